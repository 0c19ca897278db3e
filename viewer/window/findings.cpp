#include "viewer/window/findings.h"

#include <chrono>
#include <exception>

#include "solver/circuit/read.h"
#include "solver/units/patience.h"

namespace lostvolts {
namespace {

void weigh(Findings& found) {
    const Circuit& circuit = found.job->circuit;
    if (Problems errors = review(circuit).errors; !errors.empty()) {
        found.problems = std::move(errors);
        return;
    }
    const Network network = analyse(std::make_shared<const Circuit>(circuit));
    for (int s = 0; s < static_cast<int>(circuit.states.size()); ++s)
        found.healthy.push_back(working_point(network, s, {}, &found.problems));
    if (!found.problems.empty()) return;

    auto location = found.first_answer ? locate(*found.job, AtMost::one, Advising::no) : locate(*found.job);
    if (!location) {
        found.problems = location.problems();
        return;
    }
    const std::vector<Fault> faults = faults_of(location->suspects.front());
    for (int s = 0; s < static_cast<int>(circuit.states.size()); ++s)
        found.suspected.push_back(working_point(network, s, faults));
    found.location = *std::move(location);
}

} // namespace

std::optional<StatePrediction> working_point(const Network& network, int state,
                                             const std::vector<Fault>& faults, Problems* problems) {
    Workspace work;
    auto found = predict_state(network, state, faults, work);
    if (found) return *std::move(found);
    if (problems) problems->insert(problems->end(), found.problems().begin(), found.problems().end());
    return std::nullopt;
}

Findings find_out(std::shared_ptr<const Readings> job, Thoroughness wanted) {
    const auto begun = std::chrono::steady_clock::now();
    Findings found;
    found.first_answer = wanted == Thoroughness::first;
    found.job = std::move(job);
    try {
        weigh(found);
    } catch (const GivenUp&) {
        throw;
    } catch (const std::exception& slip) {
        found.location.reset();
        found.problems.push_back(
            {"", {}, std::string("a slip of the program's own: ") + slip.what(), "", ""});
    }
    found.milliseconds =
        std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - begun).count();
    return found;
}

} // namespace lostvolts

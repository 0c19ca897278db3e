#include "solver/locate/slips.h"

#include <cmath>

#include <fmt/format.h>

namespace lostvolts {
namespace {

constexpr double close = 2.5; // sigmas within which a slip explains a reading

/// What the instrument would show in this state; nothing when it can't be taken there.
std::optional<double> shown_in(Weighing& w, const Reading& reading, int state,
                               const std::vector<Fault>& faults) {
    const Network& n = *w.network;
    if (reading.quantity == Measurand::resistance) {
        Setup dead = set_up_dead(n, state, faults);
        const Leads leads{reading.red, reading.black};
        const auto ohms = read_ohms(n, dead, w.work, {&leads, 1});
        return ohms ? std::optional(ohms->front() + lead_ohms(*w.job, reading)) : std::nullopt;
    }
    Setup setup = set_up(n, state, faults);
    if (operate(n, setup, w.work, w.at)) return std::nullopt;
    const Probe probe = probe_of(*w.job, reading, w.supply_volts);
    return read_probes(n, setup, w.at, w.work, {&probe, 1}).front();
}

} // namespace

std::string slip_of(Weighing& w, const Reading& reading, const ReadingCheck& check,
                    const std::vector<Fault>& faults) {
    const auto fits = [&](double value, double expected, double sigma) {
        return std::abs(value - expected) <= close * sigma;
    };
    std::vector<std::string> found;
    // A value near nothing fits every state in which nothing flows: it tells no story.
    if (std::abs(check.measured) > close * check.sigma)
        for (int s = 0; s < static_cast<int>(w.network->circuit->states.size()); ++s) {
            if (s == reading.state) continue;
            const auto shown = shown_in(w, reading, s, faults);
            if (shown && fits(check.measured, *shown, check.sigma))
                found.push_back(fmt::format("taken in state \"{}\"",
                                            w.network->circuit->states[static_cast<std::size_t>(s)].name));
        }
    for (const auto& [factor, words] : {std::pair{1000.0, "a unit a thousand times too small"},
                                        std::pair{0.001, "a unit a thousand times too large"},
                                        std::pair{10.0, "the decimal point a place too far left"},
                                        std::pair{0.1, "the decimal point a place too far right"}})
        if (check.measured != 0 &&
            fits(check.measured * factor, check.expected, check.sigma * std::max(factor, 1.0)))
            found.emplace_back(words);
    return found.size() == 1 ? found.front() : "";
}

} // namespace lostvolts

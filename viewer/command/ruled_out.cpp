#include "viewer/command/ruled_out.h"

#include <algorithm>

namespace lostvolts {
namespace {

constexpr double cleared = 0.01; // probability
constexpr double share_of_prior = 0.1;
constexpr std::size_t most_work = 6000; // readings times parts: about half a second. Not the clock: the same
                                        // files give the same report

/// Per part, the probability that something is wrong with it.
std::vector<double> on_each_part(const Circuit& c, const Location& l) {
    std::vector<double> all(c.parts.size(), 0);
    for (const Suspect& s : l.suspects)
        for (const FoundFault& f : s.faults) all[static_cast<std::size_t>(f.part)] += s.probability;
    return all;
}

} // namespace

std::vector<RuledOut> ruled_out(const Readings& readings, const Location& whole) {
    if (readings.readings.size() * readings.circuit.parts.size() > most_work) return {};
    const Circuit& c = readings.circuit;
    Readings some = readings;
    std::vector<std::vector<double>> after; // [0]: before any reading
    for (std::size_t n = 0; n <= readings.readings.size(); ++n) {
        some.readings.assign(readings.readings.begin(),
                             readings.readings.begin() + static_cast<std::ptrdiff_t>(n));
        const auto location = locate(some, AtMost::one, Advising::no);
        after.push_back(location ? on_each_part(c, *location)
                        : n == 0 ? std::vector<double>(c.parts.size(), 1)
                                 : after.back());
    }
    const std::vector<double> at_last = on_each_part(c, whole);
    std::vector<RuledOut> all;
    for (std::size_t p = 0; p < c.parts.size(); ++p) {
        const double limit = std::min(cleared, share_of_prior * after[0][p]);
        std::size_t n = after.size(); // from here on it stays below
        while (n > 0 && after[n - 1][p] < limit) --n;
        if (n == 0 || n == after.size() || after[0][p] == 0 || at_last[p] >= limit) continue;
        const int reading = static_cast<int>(n) - 1;
        auto at =
            std::find_if(all.begin(), all.end(), [&](const RuledOut& r) { return r.reading == reading; });
        if (at == all.end()) at = all.insert(all.end(), {reading, {}});
        at->parts.push_back(static_cast<PartId>(p));
    }
    std::sort(all.begin(), all.end(),
              [](const RuledOut& a, const RuledOut& b) { return a.reading < b.reading; });
    return all;
}

} // namespace lostvolts

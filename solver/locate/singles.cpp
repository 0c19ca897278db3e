#include "solver/locate/singles.h"

#include <algorithm>

#include "solver/locate/pairs.h"

namespace lostvolts {

std::vector<Evidence> weigh_singles(Weighing& w, const std::vector<Hypothesis>& singles, const Alike& alike) {
    std::vector<Evidence> weighed;
    std::vector<int> place(singles.size(), none); // of a speaker, in `weighed`
    const auto speaker = [&](std::size_t k) { return static_cast<std::size_t>(alike.speaker[k]); };
    for (std::size_t k = 0; k < singles.size(); ++k) {
        if (speaker(k) != k) continue;
        place[k] = static_cast<int>(weighed.size());
        weighed.push_back(predict_sizes(w, singles[k], singles.size() > most_singles_paired));
    }
    double leader = judge(w, weighed, -1e300);
    for (Evidence& e : weighed) {
        refine(w, e, leader);
        for (const Tried& t : e.tried) leader = std::max(leader, e.hypothesis.log_prior + t.log_likelihood);
    }
    std::vector<Evidence> all;
    for (std::size_t k = 0; k < singles.size(); ++k)
        all.push_back(on_behalf_of(weighed[static_cast<std::size_t>(place[speaker(k)])], singles[k]));
    return all;
}

Evidence on_behalf_of(const Evidence& evidence, Hypothesis hypothesis) {
    Evidence e = evidence;
    for (std::size_t k = 0; k < e.sizes.size(); ++k) {
        const FaultRange &from = evidence.hypothesis.faults[k], &to = hypothesis.faults[k];
        if (from.low == to.low && from.high == to.high) continue;
        for (double* size : {&e.sizes[k].low, &e.sizes[k].middle, &e.sizes[k].high})
            *size = to.size_at(from.place_of(*size));
    }
    e.hypothesis = std::move(hypothesis);
    return e;
}

} // namespace lostvolts

#include "solver/network/elimination.h"

#include <algorithm>
#include <cassert>

namespace lostvolts {
namespace {

using Index = std::int32_t;

/// What the loops over a run read and write; slot and leak hold conductances before a pivot, f and 1/d after
/// it.
struct Arrays {
    double* slot;
    double* leak;
    const EliminationPlan& plan;
    Factor& factor;
};

[[gnu::noinline, gnu::cold]] double hold(const Arrays& a, Index pivot, const double* w, Index degree) {
    const bool attached = std::any_of(w, w + degree, [](double siemens) { return siemens != 0.0; });
    (attached ? a.factor.cancelled : a.factor.floating).push_back(a.plan.node_of_pivot[pivot]);
    return 0.0;
}

/// 1/d, or 0 for a node that is to be held at 0 V.
inline double inverse(double d, const Arrays& a, Index pivot, const double* w, Index degree) {
    if (d == 0.0) [[unlikely]]
        return hold(a, pivot, w, degree);
    return 1.0 / d;
}

void eliminate_lone(const PivotRun& run, const Arrays& a) {
    for (Index k = run.first_pivot; k < run.first_pivot + run.count; ++k)
        a.leak[k] = inverse(a.leak[k], a, k, nullptr, 0);
}

void eliminate_leaves(const PivotRun& run, const Arrays& a) {
    double* const leak = a.leak;
    double* slot = a.slot + run.first_slot;
    const Index* neighbour = a.plan.neighbour.data() + run.first_slot;
    for (Index k = run.first_pivot; k < run.first_pivot + run.count; ++k, ++slot, ++neighbour) {
        const double e = leak[k], w = *slot;
        const double inv = inverse(e + w, a, k, slot, 1), f = w * inv;
        *slot = f;
        leak[k] = inv;
        leak[*neighbour] += f * e;
    }
}

void eliminate_series(const PivotRun& run, const Arrays& a) {
    double* const leak = a.leak;
    double* slot = a.slot + run.first_slot;
    const Index* neighbour = a.plan.neighbour.data() + run.first_slot;
    const Index* target = a.plan.target.data() + run.first_target;
    for (Index k = run.first_pivot; k < run.first_pivot + run.count;
         ++k, slot += 2, neighbour += 2, ++target) {
        const double e = leak[k], w0 = slot[0], w1 = slot[1];
        const double inv = inverse(e + w0 + w1, a, k, slot, 2), f0 = w0 * inv, f1 = w1 * inv;
        slot[0] = f0;
        slot[1] = f1;
        leak[k] = inv;
        leak[neighbour[0]] += f0 * e;
        leak[neighbour[1]] += f1 * e;
        a.slot[*target] += f0 * w1;
    }
}

/// A star of m neighbours becomes the mesh of m(m − 1)/2 conductances between them.
template <bool stretches> void eliminate_stars(const PivotRun& run, const Arrays& a) {
    const Index m = run.degree;
    double* slot = a.slot + run.first_slot;
    const Index* neighbour = a.plan.neighbour.data() + run.first_slot;
    const Index* target = a.plan.target.data() + run.first_target;
    for (Index k = run.first_pivot; k < run.first_pivot + run.count; ++k, slot += m, neighbour += m) {
        const double e = a.leak[k];
        double d = e;
        for (Index p = 0; p < m; ++p) d += slot[p];
        const double inv = inverse(d, a, k, slot, m);
        a.leak[k] = inv;
        for (Index p = 0; p < m; ++p) {
            const double f = slot[p] * inv;
            slot[p] = f;
            a.leak[neighbour[p]] += f * e;
            if constexpr (stretches) {
                const double* w = slot + p + 1;
                for (Index left = *target++; left > 0; --left, target += 2) {
                    double* const mesh = a.slot + target[0];
                    const Index length = target[1];
                    for (Index i = 0; i < length; ++i) mesh[i] += f * w[i];
                    w += length;
                }
            } else {
                for (Index q = p + 1; q < m; ++q) a.slot[*target++] += f * slot[q];
            }
        }
    }
}

void eliminate_run(const PivotRun& run, const Arrays& a) {
    switch (run.degree) {
    case 0:
        return eliminate_lone(run, a);
    case 1:
        return eliminate_leaves(run, a);
    case 2:
        return eliminate_series(run, a);
    default:
        if (run.degree < least_degree_of_stretches) return eliminate_stars<false>(run, a);
        return eliminate_stars<true>(run, a);
    }
}

} // namespace

void eliminate(const EliminationPlan& plan, std::span<const double> siemens, Factor& factor) {
    assert(siemens.size() == plan.place_of_edge.size());
    factor.value.assign(static_cast<std::size_t>(plan.slots()) + plan.nodes + 1, 0.0);
    factor.floating.clear();
    factor.cancelled.clear();
    double* const value = factor.value.data();
    for (std::size_t edge = 0; edge < siemens.size(); ++edge)
        value[plan.place_of_edge[edge]] += siemens[edge];
    const Arrays arrays{value, value + plan.slots(), plan, factor};
    for (const PivotRun& run : plan.runs) eliminate_run(run, arrays);
}

} // namespace lostvolts

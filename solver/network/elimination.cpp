#include "solver/network/elimination.h"

#include <algorithm>
#include <cassert>

namespace lostvolts {
namespace {

using Index = std::int32_t;

/// What the loops over a run read and write; w and leak hold conductances before a pivot, f and 1/d after it.
struct Arrays {
    double* slot;
    double* leak;
    const Index* neighbour;
    const Index* target;
};

/// 1/d, or 0 for the last node of a floating section.
inline double inverse(double d) { return d != 0.0 ? 1.0 / d : 0.0; }

bool eliminate_lone(const PivotRun& run, Arrays a) {
    double* const leak = a.leak + run.first_pivot;
    bool held = false;
    for (Index i = 0; i < run.count; ++i) {
        held |= leak[i] == 0.0;
        leak[i] = inverse(leak[i]);
    }
    return held;
}

bool eliminate_leaves(const PivotRun& run, Arrays a) {
    double* const leak = a.leak + run.first_pivot;
    double* const slot = a.slot + run.first_slot;
    const Index* const neighbour = a.neighbour + run.first_slot;
    bool held = false;
    for (Index i = 0; i < run.count; ++i) {
        const double e = leak[i], w = slot[i], d = e + w;
        held |= d == 0.0;
        const double inv = inverse(d), f = w * inv;
        slot[i] = f;
        leak[i] = inv;
        a.leak[neighbour[i]] += f * e;
    }
    return held;
}

bool eliminate_series(const PivotRun& run, Arrays a) {
    double* const leak = a.leak + run.first_pivot;
    double* const slot = a.slot + run.first_slot;
    const Index* const neighbour = a.neighbour + run.first_slot;
    const Index* const target = a.target + run.first_target;
    bool held = false;
    for (Index i = 0; i < run.count; ++i) {
        const double e = leak[i], w0 = slot[2 * i], w1 = slot[2 * i + 1], d = e + w0 + w1;
        held |= d == 0.0;
        const double inv = inverse(d), f0 = w0 * inv, f1 = w1 * inv;
        slot[2 * i] = f0;
        slot[2 * i + 1] = f1;
        leak[i] = inv;
        a.leak[neighbour[2 * i]] += f0 * e;
        a.leak[neighbour[2 * i + 1]] += f1 * e;
        a.slot[target[i]] += f0 * w1;
    }
    return held;
}

bool eliminate_stars(const PivotRun& run, Arrays a) {
    const Index m = run.degree;
    double* slot = a.slot + run.first_slot;
    const Index* neighbour = a.neighbour + run.first_slot;
    const Index* target = a.target + run.first_target;
    bool held = false;
    for (Index i = 0; i < run.count; ++i, slot += m, neighbour += m) {
        const double e = a.leak[run.first_pivot + i];
        double d = e;
        for (Index p = 0; p < m; ++p) d += slot[p];
        held |= d == 0.0;
        const double inv = inverse(d);
        a.leak[run.first_pivot + i] = inv;
        for (Index p = 0; p < m; ++p) {
            const double f = slot[p] * inv;
            slot[p] = f;
            a.leak[neighbour[p]] += f * e;
            for (Index q = p + 1; q < m; ++q) a.slot[*target++] += f * slot[q];
        }
    }
    return held;
}

bool eliminate_run(const PivotRun& run, Arrays a) {
    switch (run.degree) {
    case 0:
        return eliminate_lone(run, a);
    case 1:
        return eliminate_leaves(run, a);
    case 2:
        return eliminate_series(run, a);
    default:
        return eliminate_stars(run, a);
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
    const Arrays arrays{value, value + plan.slots(), plan.neighbour.data(), plan.target.data()};
    bool held = false;
    for (const PivotRun& run : plan.runs) held |= eliminate_run(run, arrays);
    if (!held) return;
    for (Index k = 0; k < plan.nodes; ++k)
        if (arrays.leak[k] == 0.0) factor.floating.push_back(plan.node_of_pivot[k]);
}

void solve(const EliminationPlan& plan, const Factor& factor, std::span<double> amps_to_volts) {
    assert(amps_to_volts.size() == static_cast<std::size_t>(plan.nodes));
    double* const x = amps_to_volts.data();
    const double* const inverse_d = factor.value.data() + plan.slots();
    for (const PivotRun& run : plan.runs) {
        const Index m = run.degree;
        const double* f = factor.value.data() + run.first_slot;
        const Index* other = plan.neighbour_node.data() + run.first_slot;
        const Index* node = plan.node_of_pivot.data() + run.first_pivot;
        if (m == 1) {
            for (Index i = 0; i < run.count; ++i) x[other[i]] += f[i] * x[node[i]];
        } else if (m == 2) {
            for (Index i = 0; i < run.count; ++i) {
                const double amps = x[node[i]];
                x[other[2 * i]] += f[2 * i] * amps;
                x[other[2 * i + 1]] += f[2 * i + 1] * amps;
            }
        } else {
            for (Index i = 0; i < run.count; ++i, f += m, other += m) {
                const double amps = x[node[i]];
                for (Index p = 0; p < m; ++p) x[other[p]] += f[p] * amps;
            }
        }
    }
    for (auto run = plan.runs.rbegin(); run != plan.runs.rend(); ++run) {
        const Index m = run->degree;
        const double* f = factor.value.data() + run->first_slot;
        const double* inv = inverse_d + run->first_pivot;
        const Index* other = plan.neighbour_node.data() + run->first_slot;
        const Index* node = plan.node_of_pivot.data() + run->first_pivot;
        if (m == 1) {
            for (Index i = 0; i < run->count; ++i) x[node[i]] = x[node[i]] * inv[i] + f[i] * x[other[i]];
        } else if (m == 2) {
            for (Index i = 0; i < run->count; ++i)
                x[node[i]] =
                    x[node[i]] * inv[i] + (f[2 * i] * x[other[2 * i]] + f[2 * i + 1] * x[other[2 * i + 1]]);
        } else {
            for (Index i = 0; i < run->count; ++i, f += m, other += m) {
                double volts = x[node[i]] * inv[i];
                for (Index p = 0; p < m; ++p) volts += f[p] * x[other[p]];
                x[node[i]] = volts;
            }
        }
    }
}

} // namespace lostvolts

#include "solver/network/elimination.h"

#include <array>
#include <cassert>

namespace lostvolts {
namespace {

using Index = std::int32_t;

/// Every pivot of a run hands its amperes on to its neighbours in the proportions f. `x` holds `width`
/// adjoining columns of a right-hand side of `stride` columns; `degree` < 0 means the run's own, else a
/// constant for speed.
template <int width, int degree>
void hand_on(const EliminationPlan& plan, const Factor& factor, const PivotRun& run, double* x,
             Index stride) {
    const Index m = degree < 0 ? run.degree : degree;
    const double* f = factor.value.data() + run.first_slot;
    const Index* neighbour = plan.neighbour_node.data() + run.first_slot;
    const Index* node = plan.node_of_pivot.data() + run.first_pivot;
    for (Index i = 0; i < run.count; ++i, f += m, neighbour += m) {
        std::array<double, width> amps;
        for (int c = 0; c < width; ++c) amps[c] = x[std::ptrdiff_t{node[i]} * stride + c];
        for (Index p = 0; p < m; ++p) {
            double* const other = x + std::ptrdiff_t{neighbour[p]} * stride;
            const double share = f[p];
            for (int c = 0; c < width; ++c) other[c] += share * amps[c];
        }
    }
}

/// Every pivot of a run takes its volts: amperes over d plus the mean of its neighbours' volts with weights
/// f.
template <int width, int degree>
void take_volts(const EliminationPlan& plan, const Factor& factor, const PivotRun& run, double* x,
                Index stride) {
    const Index m = degree < 0 ? run.degree : degree;
    const double* f = factor.value.data() + run.first_slot;
    const double* inverse_d = factor.value.data() + plan.slots() + run.first_pivot;
    const Index* neighbour = plan.neighbour_node.data() + run.first_slot;
    const Index* node = plan.node_of_pivot.data() + run.first_pivot;
    for (Index i = 0; i < run.count; ++i, f += m, neighbour += m) {
        double* const mine = x + std::ptrdiff_t{node[i]} * stride;
        std::array<double, width> volts;
        for (int c = 0; c < width; ++c) volts[c] = mine[c] * inverse_d[i];
        for (Index p = 0; p < m; ++p) {
            const double* const other = x + std::ptrdiff_t{neighbour[p]} * stride;
            for (int c = 0; c < width; ++c) volts[c] += f[p] * other[c];
        }
        for (int c = 0; c < width; ++c) mine[c] = volts[c];
    }
}

template <int width>
void solve_columns(const EliminationPlan& plan, const Factor& factor, double* x, Index stride) {
    for (const PivotRun& run : plan.runs) switch (run.degree) {
        case 0:
            break;
        case 1:
            hand_on<width, 1>(plan, factor, run, x, stride);
            break;
        case 2:
            hand_on<width, 2>(plan, factor, run, x, stride);
            break;
        default:
            hand_on<width, -1>(plan, factor, run, x, stride);
        }
    for (auto run = plan.runs.rbegin(); run != plan.runs.rend(); ++run) switch (run->degree) {
        case 1:
            take_volts<width, 1>(plan, factor, *run, x, stride);
            break;
        case 2:
            take_volts<width, 2>(plan, factor, *run, x, stride);
            break;
        default:
            take_volts<width, -1>(plan, factor, *run, x, stride);
        }
}

} // namespace

void solve(const EliminationPlan& plan, const Factor& factor, std::span<double> amps_to_volts) {
    assert(amps_to_volts.size() == static_cast<std::size_t>(plan.nodes));
    solve_columns<1>(plan, factor, amps_to_volts.data(), 1);
}

void solve_many(const EliminationPlan& plan, const Factor& factor, int columns,
                std::span<double> amps_to_volts) {
    assert(amps_to_volts.size() == static_cast<std::size_t>(plan.nodes) * columns);
    double* const x = amps_to_volts.data();
    int done = 0;
    for (; done + 8 <= columns; done += 8) solve_columns<8>(plan, factor, x + done, columns);
    for (; done + 4 <= columns; done += 4) solve_columns<4>(plan, factor, x + done, columns);
    for (; done + 2 <= columns; done += 2) solve_columns<2>(plan, factor, x + done, columns);
    for (; done < columns; ++done) solve_columns<1>(plan, factor, x + done, columns);
}

std::vector<std::int32_t> floating_section(const EliminationPlan& plan, const Factor& factor) {
    std::vector<std::int32_t> section(plan.nodes, -1);
    if (factor.floating.empty()) return section;
    for (std::size_t i = 0; i < factor.floating.size(); ++i)
        section[factor.floating[i]] = static_cast<Index>(i);
    // From the last pivot to the first: a node belongs where any neighbour it is still connected to belongs.
    for (auto run = plan.runs.rbegin(); run != plan.runs.rend(); ++run)
        for (Index i = 0; i < run->count * run->degree; ++i) {
            const Index slot = run->first_slot + i,
                        node = plan.node_of_pivot[run->first_pivot + i / run->degree];
            if (factor.value[slot] != 0.0) section[node] = section[plan.neighbour_node[slot]];
        }
    return section;
}

} // namespace lostvolts

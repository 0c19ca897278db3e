#include "solver/locate/superposition.h"

#include <algorithm>
#include <cmath>

namespace lostvolts {
namespace {

constexpr double next_to_nothing = 1e-6; // of the largest current or the supply's volts

/// What stands at every place: a branch's amperes, a shunt's volts.
void take_places(const Network& n, const Operating& at, std::vector<double>& out) {
    out.resize(n.edges.size());
    for (std::size_t e = 0; e < n.edges.size(); ++e)
        out[e] =
            e < n.branches.size() ? at.branch_amps[e] : at.node_volts[static_cast<std::size_t>(n.edges[e].a)];
}

std::size_t place_of(const Network& n, const FaultRange& f) {
    const auto p = static_cast<std::size_t>(f.part);
    if (f.kind == FaultKind::short_to_ground) return static_cast<std::size_t>(n.shunt_edge[p]);
    if (f.kind == FaultKind::open_coil) return static_cast<std::size_t>(n.coil_branch[p]);
    return p;
}

/// Per stretch between sizes how far the curve lies from its chord, half way along: an eighth of the larger
/// second difference at its ends.
std::vector<Eigen::VectorXd> bends_of(const std::vector<Eigen::VectorXd>& y) {
    std::vector<Eigen::VectorXd> bends;
    const auto bend = [&](std::size_t k) -> Eigen::VectorXd {
        if (k == 0 || k + 1 >= y.size() || y[k - 1].size() == 0 || y[k].size() == 0 || y[k + 1].size() == 0)
            return Eigen::VectorXd::Zero(y[std::min(k, y.size() - 1)].size());
        return (2 * y[k] - y[k - 1] - y[k + 1]) / 8;
    };
    for (std::size_t k = 0; k + 1 < y.size(); ++k) {
        Eigen::VectorXd low = bend(k), high = bend(k + 1);
        bends.push_back(low.squaredNorm() > high.squaredNorm() ? std::move(low) : std::move(high));
    }
    return bends;
}

} // namespace

Superposition superpose(Weighing& w, const std::vector<Evidence>& singles) {
    const Network& n = *w.network;
    Superposition s;
    s.sound = best_of(singles.front()).predicted.mean;
    s.places = n.edges.size();
    std::vector<int> states;
    for (Eigen::Index row = 0; row < w.measured.value.size(); ++row) {
        const int state = w.reading(row).state;
        const auto at = std::find(states.begin(), states.end(), state);
        s.state_of_row.push_back(static_cast<int>(at - states.begin()));
        if (at == states.end()) states.push_back(state);
    }
    s.states = states.size();

    std::vector<Setup> setups;
    std::vector<std::vector<double>> sound(s.states);
    std::vector<double> least_amps(s.states, 0), here;
    for (std::size_t k = 0; k < s.states; ++k) {
        setups.push_back(set_up(n, states[k]));
        Setup setup = setups.back();
        if (operate(n, setup, w.work, w.at)) continue;
        take_places(n, w.at, sound[k]);
        least_amps[k] = next_to_nothing * std::max(w.at.largest_branch_amps, 1e-3);
    }
    const double least_volts = next_to_nothing * w.supply_volts;

    for (const Evidence& e : singles) {
        Alone a;
        if (e.hypothesis.faults.empty()) {
            s.alone.push_back(std::move(a));
            continue;
        }
        const FaultRange& f = e.hypothesis.faults.front();
        a.kind = f.kind;
        a.place = place_of(n, f);
        a.scaled = f.kind != FaultKind::low_charge;
        const int sizes = f.sized() ? first_sizes : 1;
        for (int k = 0; k < sizes; ++k) {
            const double place = f.sized() ? static_cast<double>(k) / (sizes - 1) : 0;
            const auto tried = std::find_if(e.tried.begin(), e.tried.end(),
                                            [&](const Tried& t) { return t.place == place; });
            a.left.emplace_back();
            a.change.emplace_back();
            if (tried == e.tried.end() || tried->predicted.mean.size() == 0) continue;
            std::vector<double> left(s.states * s.places, 1.0);
            bool works = true;
            for (std::size_t state = 0; state < s.states && works; ++state) {
                Setup setup = setups[state];
                add_fault(n, setup, {f.part, f.kind, f.size_at(place)});
                works = !operate(n, setup, w.work, w.at) && !sound[state].empty();
                if (!works) break;
                take_places(n, w.at, here);
                for (std::size_t p = 0; p < s.places; ++p) {
                    const double least = p < n.branches.size() ? least_amps[state] : least_volts;
                    double& l = left[state * s.places + p];
                    if (std::abs(sound[state][p]) > least)
                        l = here[p] / sound[state][p];
                    else if (std::abs(here[p]) > least)
                        l = std::nan("");
                }
            }
            if (!works) continue;
            a.left.back() = std::move(left);
            a.change.back() = tried->predicted.mean - s.sound;
        }
        a.bend = bends_of(a.change);
        s.alone.push_back(std::move(a));
    }
    return s;
}

bool scales_of(const Superposition& s, const Alone& a, int i, const Alone& b, int j, std::size_t state,
               Scales& scales) {
    const double at_a = a.scaled ? b.left[static_cast<std::size_t>(j)][state * s.places + a.place] : 1;
    const double at_b = b.scaled ? a.left[static_cast<std::size_t>(i)][state * s.places + b.place] : 1;
    if (std::isnan(at_a) || std::isnan(at_b)) return false;
    const double together = 1 - (1 - at_a) * (1 - at_b);
    const double moved = std::min(std::max(std::abs(1 - at_a), std::abs(1 - at_b)), 1.0);
    if (std::abs(together) < 1e-9) { // each alone already stops everything
        scales = {0.5, 0.5, moved};
        return true;
    }
    scales = {at_a / together, at_b / together, moved};
    return true;
}

} // namespace lostvolts

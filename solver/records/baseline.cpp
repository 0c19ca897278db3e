#include "solver/records/baseline.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "solver/records/index.h"
#include "solver/records/kept_figures.h"
#include "solver/records/with_index.h"

namespace lostvolts {
namespace {

constexpr double normal_consistent = 1.4826; // 1/Φ⁻¹(3/4): makes the median deviation a standard deviation
constexpr double normal_99 = 2.576;          // Φ⁻¹(0.995)
constexpr double median_variance = 1.571;    // π/2: of a median, in units of that of a mean
constexpr std::size_t most_left_out_in_turn = 200;

// How many spreads, taken from n normal values, a further one lies within in 99 of 100. Own simulation:
// 400,000 to 4,000,000 draws each, std::mt19937_64 seeded with 7; tests/records counts again with another
// seed.
struct Allowed {
    double n, spreads;
};
constexpr std::array<Allowed, 12> allowed = {{{4, 15.66},
                                              {5, 14.50},
                                              {6, 8.09},
                                              {7, 7.76},
                                              {8, 5.91},
                                              {9, 5.82},
                                              {10, 4.94},
                                              {12, 4.41},
                                              {15, 4.05},
                                              {20, 3.54},
                                              {30, 3.17},
                                              {50, 2.91}}};

double allowed_spreads(std::size_t jobs) {
    const double n = static_cast<double>(jobs);
    Allowed before = allowed.front();
    for (const Allowed& a : allowed) {
        if (n <= a.n) {
            if (a.n == before.n) return a.spreads;
            const double t = (1 / before.n - 1 / n) / (1 / before.n - 1 / a.n); // smooth in 1/n
            return before.spreads + t * (a.spreads - before.spreads);
        }
        before = a;
    }
    return normal_99 + (before.spreads - normal_99) * before.n / n;
}

/// The standard deviation that the instruments alone give: half of their usual half-widths (clamp 2 %, meter
/// 0.5 % and two counts of a millivolt, probe 1 %, speed 0.5 %; ripple goes with the instrument's bandwidth).
/// Common practice, no source.
double instrument_spread(const std::string& what, double middle) {
    const double size = std::abs(middle);
    if (what == "speed") return 0.0025 * size;
    if (what == "volts") return 0.0025 * size + 0.001;
    if (what == "sag") return 0.005 * size + 0.005;
    if (what == "ripple") return 0.05 * size;
    return 0.01 * size;
}

using FigurePlace = std::pair<std::size_t, std::string>; // of figure_kinds(), where

FigurePlace place_of(const KeptFigure& f) {
    const auto& kinds = figure_kinds();
    return {static_cast<std::size_t>(std::find(kinds.begin(), kinds.end(), f.what) - kinds.begin()), f.where};
}

bool outside(const Usual& u, double value, double times) {
    const double half = u.high - u.middle;
    return half > 0 && std::abs(value - u.middle) > times * half;
}

/// Good jobs that lie far from what the others say, each held against the rest.
void name_the_odd(Usual& usual, const std::vector<FigureOfJob>& all, const std::vector<double>& values) {
    for (std::size_t k = 0; k < values.size(); ++k) {
        Usual others = usual;
        if (values.size() <= most_left_out_in_turn) {
            std::vector<double> rest = values;
            rest.erase(rest.begin() + static_cast<std::ptrdiff_t>(k));
            others = usual_of(usual.what, rest);
        }
        if (outside(others, values[k], 2)) usual.odd.push_back(all[k]);
    }
}

} // namespace

Usual usual_of(const std::string& what, const std::vector<double>& values) {
    Usual u;
    u.what = what;
    u.jobs = values.size();
    if (values.empty()) return u;
    u.middle = median_of_values(values);
    std::vector<double> off;
    off.reserve(values.size());
    for (const double v : values) off.push_back(std::abs(v - u.middle));
    u.spread = normal_consistent * median_of_values(off);
    const auto [least, most] = std::minmax_element(values.begin(), values.end());
    u.least = *least;
    u.most = *most;
    u.low = u.high = u.middle;
    if (values.size() < fewest_good_jobs) return u;
    const double n = static_cast<double>(values.size());
    const double half =
        std::max(allowed_spreads(values.size()) * u.spread,
                 normal_99 * std::sqrt(1 + median_variance / n) * instrument_spread(what, u.middle));
    u.low = u.middle - half;
    if (what == "sag" || what == "ripple") u.low = std::max(u.low, 0.0); // neither is ever below nothing
    u.high = u.middle + half;
    return u;
}

Result<Baseline> baseline_of(const std::filesystem::path& store, const std::string& drawing,
                             const std::string& leave_out) {
    Problems remarks;
    auto found = with_index<Baseline>(store, remarks, [&](const Store&, Index& index) -> Result<Baseline> {
        Baseline baseline;
        std::map<FigurePlace, std::map<std::string, std::vector<KeptFigure>>> places; // each job's figures
        std::map<std::string, bool> good;
        for (FigureOfJob& f : index.figures(drawing)) {
            if (f.job == leave_out) continue;
            good[f.job] = true;
            places[place_of(f.figure)][f.job].push_back(std::move(f.figure));
        }
        baseline.good_jobs = good.size();
        for (const auto& [place, jobs] : places) {
            std::vector<FigureOfJob> all;
            std::vector<double> values;
            for (const auto& [job, figures] : jobs) {
                std::vector<double> own;
                for (const KeptFigure& f : figures) own.push_back(f.value);
                values.push_back(median_of_values(own));
                all.push_back({job, figures.front()});
                all.back().figure.value = values.back();
            }
            Usual usual = usual_of(all.front().figure.what, values);
            usual.where = place.second;
            name_the_odd(usual, all, values);
            baseline.usual.push_back(std::move(usual));
        }
        return baseline;
    });
    if (found) found->remarks = std::move(remarks);
    return found;
}

std::vector<Judged> judge(const std::vector<KeptFigure>& figures, const Baseline& baseline) {
    std::vector<Judged> all;
    for (const KeptFigure& figure : figures) {
        Judged j{figure, nullptr, Judgement::unknown, 0};
        for (const Usual& u : baseline.usual)
            if (u.what == figure.what && u.where == figure.where) j.usual = &u;
        if (j.usual && j.usual->jobs >= fewest_good_jobs) {
            j.judgement = figure.value < j.usual->low    ? Judgement::low
                          : figure.value > j.usual->high ? Judgement::high
                                                         : Judgement::usual;
            if (j.usual->spread > 0) j.spreads = (figure.value - j.usual->middle) / j.usual->spread;
        }
        all.push_back(std::move(j));
    }
    return all;
}

} // namespace lostvolts

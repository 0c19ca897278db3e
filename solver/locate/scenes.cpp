#include "solver/locate/scenes.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include <Eigen/Cholesky>

namespace lostvolts {
namespace {

constexpr double no_load_ohms = 1e15; // the candidate's own meter is put in later, as accuracy only

constexpr double live_amps = 1e-3; // a state in which a source gives this is none to put an ohmmeter in

bool worth_clamping(const AnyPart& law) { return is_load(law) || std::holds_alternative<Battery<>>(law); }

double normal(std::mt19937_64& random) { // Box–Muller: the same numbers from every compiler's library
    const auto uniform = [&] { return (static_cast<double>(random() >> 11) + 1) * 0x1p-53; };
    return std::sqrt(-2 * std::log(uniform())) * std::cos(2 * std::numbers::pi * uniform());
}

/// What the readings so far leave of the healthy parts' numbers, in units of their deviations: shift and, by
/// its factor, the covariance I − Sᵀ·C⁻¹·S. Readings that are likelier blunders than not have no say.
struct Learned {
    Eigen::MatrixXd spread; // S, right readings × numbers
    Eigen::LLT<Eigen::MatrixXd> factor;
    Eigen::VectorXd shift;
    Eigen::VectorXd draw; // one departure from the shift that the covariance allows
};

Learned learn(const Weighing& w, const Predicted& predicted, const Eigen::MatrixXd& spread,
              std::mt19937_64& random) {
    const Scrutiny look = scrutinise(w.measured, predicted);
    std::vector<Eigen::Index> right;
    for (Eigen::Index i = 0; i < look.blunder.size(); ++i)
        if (look.blunder[i] < 0.5) right.push_back(i);
    Learned l;
    l.spread = spread(right, Eigen::all);
    Eigen::MatrixXd c = l.spread * l.spread.transpose();
    const Eigen::VectorXd variance = w.measured.variance(right);
    c.diagonal() += variance;
    const Eigen::MatrixXd gain =
        w.measured.gain.cols() > 0 ? w.measured.gain(right, Eigen::all) : Eigen::MatrixXd(variance.size(), 0);
    c.noalias() += gain * gain.transpose();
    l.factor.compute(c);
    const Eigen::VectorXd error = w.measured.value(right) - predicted.mean(right);
    l.shift = l.spread.transpose() * l.factor.solve(error);
    // Draw numbers and meters' errors, then take off what the readings would have told of them: the rest has
    // just that covariance.
    l.draw = Eigen::VectorXd::NullaryExpr(spread.cols(), [&] { return normal(random); });
    Eigen::VectorXd seen = l.spread * l.draw;
    for (Eigen::Index i = 0; i < seen.size(); ++i) seen[i] += std::sqrt(variance[i]) * normal(random);
    for (Eigen::Index g = 0; g < gain.cols(); ++g) seen += normal(random) * gain.col(g);
    l.draw -= l.spread.transpose() * l.factor.solve(seen);
    return l;
}

View view(Weighing& w, const Reach& reach, int state, const std::vector<Fault>& faults,
          const std::vector<double>& deviations, const std::vector<std::size_t>& straying,
          const Learned& learned) {
    const Network& n = *w.network;
    View v;
    Setup setup = set_up(n, state, faults);
    if (operate(n, setup, w.work, w.at)) return v;
    std::vector<Probe> probes;
    for (const PointId p : reach.points)
        probes.push_back({ProbeKind::voltage, p, n.circuit->ground, none, no_load_ohms});
    for (const Reach::OnPart& o : reach.on_parts) probes.push_back(o.instrument.probe);
    std::vector<double> shared;
    const std::vector<double> values = read_probes_with_slopes(n, setup, w.at, w.work, probes, w.slopes,
                                                               reach.lamps.empty() ? nullptr : &shared);
    const std::vector<int> sections = floating_points(n, w.at, w.work);
    for (const PointId p : reach.points) v.section.push_back(sections[static_cast<std::size_t>(p)]);

    const auto rows = static_cast<Eigen::Index>(probes.size());
    Eigen::MatrixXd g(rows, static_cast<Eigen::Index>(straying.size()));
    for (Eigen::Index k = 0; k < rows; ++k)
        for (std::size_t j = 0; j < straying.size(); ++j)
            g(k, static_cast<Eigen::Index>(j)) =
                w.slopes[straying[j] * probes.size() + static_cast<std::size_t>(k)] * deviations[straying[j]];
    v.nominal = Eigen::Map<const Eigen::VectorXd>(values.data(), rows);
    v.mean = v.nominal + g * learned.shift;
    v.stray = g * learned.draw;
    const Eigen::MatrixXd cross = g * learned.spread.transpose();
    v.tolerance.noalias() = g * g.transpose();
    v.covariance = v.tolerance;
    v.covariance.noalias() -= cross * learned.factor.solve(cross.transpose());
    if (!shared.empty()) {
        const auto points = static_cast<Eigen::Index>(reach.points.size());
        v.shared_ohms =
            Eigen::Map<const Eigen::MatrixXd>(shared.data(), rows, rows).topLeftCorner(points, points);
    }
    return v;
}

/// Of a dead state with these faults; nothing where that circuit can't be solved.
OhmsAmong ohms_among(Weighing& w, const Reach& reach, int state, const std::vector<Fault>& faults,
                     const std::vector<double>& deviations) {
    Setup dead = set_up_dead(*w.network, state, faults);
    auto ohms = read_ohms_among(*w.network, dead, w.work, reach.points, deviations);
    return ohms ? *std::move(ohms) : OhmsAmong{};
}

/// Instruments for two points and for words.
void add_instruments(const Weighing& w, const Toolbox& tools, Reach& reach) {
    for (const int meter : tools.lamps) {
        Reading r;
        r.quantity = Measurand::lamp;
        r.meter = meter;
        reach.lamps.emplace(meter, hookup_of(w, r));
    }
    for (const double amps : w.source_amps) reach.dead.push_back(amps < live_amps);
    if (std::find(reach.dead.begin(), reach.dead.end(), 1) == reach.dead.end()) return;
    Reading r;
    r.quantity = Measurand::resistance;
    r.open = true;
    r.meter = tools.ohmmeter;
    reach.ohmmeter = hookup_of(w, r);
}

/// An ohmmeter's number, or "open".
Foreseen foresee_ohms(const Reach& reach, const OhmsAmong& among, std::size_t red, std::size_t black) {
    const Hookup& meter = *reach.ohmmeter;
    Scaling number = meter.scaling;
    number.told = false;
    const double ohms = among.between(red, black);
    Foreseen f;
    f.mean = number(ohms);
    f.variance = f.mean < no_path_ohms ? among.variance_between(red, black)
                                       : std::numeric_limits<double>::infinity(); // a number is a blunder
    f.word = Foreseen::Word{*meter.sense, meter.scaling(ohms), 0};
    return f;
}

/// A word, from the number behind it.
Foreseen foresee_word(const Hookup& instrument, double value, double variance) {
    const double scale = instrument.scaling.scale;
    Foreseen f;
    f.mean = instrument.scaling(value);
    f.variance = std::max(variance, 0.0) * scale * scale;
    f.word = Foreseen::Word{*instrument.sense, f.mean, f.variance};
    return f;
}

Foreseen foresee_lamp(const Hookup& lamp, const Behind& b) {
    const double share = b.volts == 0 ? 0 : share_left(lamp.probe, b.volts, b.ohms);
    return foresee_word(lamp, share * b.volts, share * share * b.variance);
}

} // namespace

int Reach::row_of(Measurand quantity, PartId part) const {
    const auto at = std::find_if(on_parts.begin(), on_parts.end(),
                                 [&](const OnPart& o) { return o.quantity == quantity && o.part == part; });
    return at == on_parts.end() ? none : static_cast<int>(points.size() + (at - on_parts.begin()));
}

Reach reach_of(const Weighing& w, const std::vector<PartId>& suspected, const Toolbox& tools) {
    const Circuit& c = *w.network->circuit;
    Reach reach;
    const auto add = [&](PointId p) {
        if (p != none && reach.points.size() < most_points &&
            std::find(reach.points.begin(), reach.points.end(), p) == reach.points.end())
            reach.points.push_back(p);
    };
    add(c.ground);
    for (const PartId p : suspected) {
        const Part& part = c.parts[static_cast<std::size_t>(p)];
        for (const PointId point : {part.from, part.to, part.coil_from, part.coil_to}) add(point);
    }
    for (const Reading& r : w.job->readings) add(r.red), add(r.black);
    for (PointId p = 0; p < static_cast<PointId>(c.points.size()); ++p)
        if (c.points[static_cast<std::size_t>(p)].declared) add(p);
    for (PointId p = 0; p < static_cast<PointId>(c.points.size()); ++p) add(p);
    reach.row_of_point.assign(c.points.size(), none);
    for (std::size_t row = 0; row < reach.points.size(); ++row)
        reach.row_of_point[static_cast<std::size_t>(reach.points[row])] = static_cast<int>(row);
    const bool clamp = can_read(tools, Measurand::current), tachometer = can_read(tools, Measurand::speed);
    for (PartId p = 0; p < static_cast<PartId>(c.parts.size()) && reach.on_parts.size() < most_points; ++p) {
        const AnyPart& law = c.parts[static_cast<std::size_t>(p)].law;
        const auto add_reading = [&](Measurand quantity) {
            Reading r;
            r.quantity = quantity;
            r.through = p;
            reach.on_parts.push_back({quantity, p, hookup_of(w, r)});
        };
        const bool motor = std::holds_alternative<Motor<>>(law);
        if (clamp && worth_clamping(law)) add_reading(Measurand::current);
        if (tachometer && motor) add_reading(Measurand::speed);
        if (motor || std::holds_alternative<Relay<>>(law)) add_reading(Measurand::sound);
    }
    add_instruments(w, tools, reach);
    return reach;
}

std::optional<Scene> stage(Weighing& w, const Reach& reach, const std::vector<Fault>& faults,
                           std::mt19937_64& random) {
    Eigen::MatrixXd spread;
    const auto predicted = predict_readings(w, faults, &spread);
    if (!predicted) return std::nullopt;
    const Learned learned = learn(w, *predicted, spread, random);
    const std::vector<double> deviations = deviations_with(w, faults);
    const std::vector<std::size_t> straying = straying_numbers(deviations);
    Scene scene;
    for (int s = 0; s < static_cast<int>(w.network->circuit->states.size()); ++s) {
        scene.states.push_back(view(w, reach, s, faults, deviations, straying, learned));
        scene.dead.push_back(reach.is_dead(s) ? ohms_among(w, reach, s, faults, deviations) : OhmsAmong{});
    }
    return scene;
}

std::optional<Foreseen> foresee(const Reach& reach, const Scene& scene, const Prospect& p) {
    if (p.quantity == Measurand::resistance) {
        const OhmsAmong& among = scene.dead[static_cast<std::size_t>(p.state)];
        if (among.points == 0) return std::nullopt;
        return foresee_ohms(reach, among, static_cast<std::size_t>(reach.row_of(p.red)),
                            static_cast<std::size_t>(reach.row_of(p.black)));
    }
    if (p.quantity == Measurand::lamp) {
        const auto b = behind(reach, scene, p.state, p.red, p.black);
        return b ? std::optional(foresee_lamp(reach.lamps.at(p.meter), *b)) : std::nullopt;
    }
    const View& v = scene.states[static_cast<std::size_t>(p.state)];
    if (v.mean.size() == 0) return std::nullopt;
    if (p.quantity != Measurand::voltage) {
        const Eigen::Index k = reach.row_of(p.quantity, p.through);
        const Hookup& on = reach.on_parts[static_cast<std::size_t>(k) - reach.points.size()].instrument;
        if (on.sense) return foresee_word(on, v.nominal[k], v.tolerance(k, k));
        return Foreseen{v.mean[k], std::max(v.covariance(k, k), 0.0), v.stray[k]};
    }
    const int red = reach.row_of(p.red), black = reach.row_of(p.black);
    // Between two sections the meter is the only path: it shows nothing.
    if (v.section[static_cast<std::size_t>(red)] != v.section[static_cast<std::size_t>(black)])
        return Foreseen{};
    return Foreseen{
        v.mean[red] - v.mean[black],
        std::max(v.covariance(red, red) + v.covariance(black, black) - 2 * v.covariance(red, black), 0.0),
        v.stray[red] - v.stray[black]};
}

std::optional<Behind> behind(const Reach& reach, const Scene& scene, int state, PointId red, PointId black) {
    const View& v = scene.states[static_cast<std::size_t>(state)];
    if (v.mean.size() == 0) return std::nullopt;
    const int r = reach.row_of(red), b = reach.row_of(black);
    if (v.section[static_cast<std::size_t>(r)] != v.section[static_cast<std::size_t>(b)]) return Behind{};
    return Behind{v.nominal[r] - v.nominal[b], v.tolerance(r, r) + v.tolerance(b, b) - 2 * v.tolerance(r, b),
                  v.shared_ohms(r, r) + v.shared_ohms(b, b) - v.shared_ohms(r, b) - v.shared_ohms(b, r)};
}

} // namespace lostvolts

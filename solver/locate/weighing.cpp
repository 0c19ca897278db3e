#include "solver/locate/weighing.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "solver/locate/inverse.h"

namespace lostvolts {
namespace {

/// Where a blunder may fall. An ohmmeter's is as likely in one decade as in the next, from a tenth of an ohm
/// to a megohm: its density at the value read is 1/(value·ln 10⁷).
double span_of(const Weighing& w, const Reading& reading) {
    const auto p = static_cast<std::size_t>(std::max(reading.through, 0));
    if (reading.quantity == Measurand::current)
        return 3 * std::max({w.typical_amps[p], std::abs(reading.value), 0.1});
    if (reading.quantity == Measurand::speed) return 2 * std::max(std::abs(reading.value), 100.0);
    if (reading.quantity == Measurand::resistance)
        return std::max(reading.value, 0.1) * 7 * std::numbers::ln10;
    return 2.4 * std::max(w.supply_volts, std::abs(reading.value));
}

/// How far a clamp's zero drifts that nobody set: 5 % of the largest current that it is put round, an ampere
/// at least. Common practice, no source.
double drift_of(const Weighing& w) {
    double most = 0;
    for (const int i : w.weighed) {
        const Reading& r = w.job->readings[static_cast<std::size_t>(i)];
        if (r.quantity == Measurand::current)
            most = std::max(most, w.typical_amps[static_cast<std::size_t>(r.through)]);
    }
    return std::max(1.0, 0.05 * most);
}

/// Healthy: the range of the supply, and what each part carries and each motor turns at the most.
Problems note_usual(Weighing& w) {
    const Network& network = *w.network;
    const std::size_t parts = network.circuit->parts.size();
    w.typical_amps.assign(parts, 0);
    w.typical_speeds.assign(parts, 0);
    w.source_amps.assign(network.circuit->states.size(), 0);
    Problems problems;
    for (int s = 0; s < static_cast<int>(network.circuit->states.size()); ++s) {
        Setup setup = set_up(network, s);
        if (auto problem = operate(network, setup, w.work, w.at)) {
            problems.push_back(*problem);
            continue;
        }
        double low = 0, high = 0;
        for (const double v : w.at.node_volts) low = std::min(low, v), high = std::max(high, v);
        w.supply_volts = std::max(w.supply_volts, high - low);
        for (std::size_t p = 0; p < parts; ++p) {
            w.typical_amps[p] = std::max(w.typical_amps[p], std::abs(w.at.branch_amps[p]));
            if (double& most = w.source_amps[static_cast<std::size_t>(s)]; is_source(setup.parts[p]))
                most = std::max(most, std::abs(w.at.branch_amps[p]));
            if (std::holds_alternative<Motor<>>(setup.parts[p]))
                w.typical_speeds[p] = std::max(w.typical_speeds[p], std::abs(w.at.own[p][1]));
        }
    }
    w.typical_volts.assign(parts, w.supply_volts);
    return problems;
}

MeasuredState& measured_state(Weighing& w, int state, bool dead) {
    for (MeasuredState& m : w.states)
        if (m.state == state && m.dead == dead) return m;
    MeasuredState m;
    m.state = state;
    m.dead = dead;
    if (!dead) m.healthy = set_up(*w.network, state);
    w.states.push_back(std::move(m));
    return w.states.back();
}

double scale_of(const Weighing& w, const Reading& r, const Probe& probe, Sense sense) {
    constexpr double slow = 10; // rad/s: of a motor that turns in no state, so that any turning is heard
    if (sense == Sense::turning)
        return 1 / std::max(w.typical_speeds[static_cast<std::size_t>(r.through)], slow);
    if (sense == Sense::lamp) return 1 / probe.filament_volts;
    if (sense == Sense::polar_lamp) return 1 / nominal_volts(w.supply_volts);
    return 1;
}

void weigh(Weighing& w, int index) {
    const Reading& r = w.job->readings[static_cast<std::size_t>(index)];
    const Hookup instrument = hookup_of(w, r);
    MeasuredState& state = measured_state(w, r.state, instrument.scaling.dead);
    ReadingRow row{0, instrument.scaling};
    if (instrument.scaling.dead)
        state.leads.push_back({r.red, r.black});
    else
        state.probes.push_back(instrument.probe);
    if (instrument.sense) {
        row.index = static_cast<Eigen::Index>(w.told.size());
        w.told.push_back(index);
        w.measured.told.push_back({*instrument.sense, r.open ? 0 : static_cast<int>(r.value)});
    } else {
        row.index = static_cast<Eigen::Index>(w.weighed.size());
        w.weighed.push_back(index);
    }
    state.rows.push_back(row);
}

/// Readings taken with one meter on one range (its last digit tells which) share its gain: that part of their
/// variance goes from each to all of them. Of a single one nothing changes.
void note_gains(Weighing& w) {
    const auto n = static_cast<Eigen::Index>(w.weighed.size());
    const auto same_range = [&](Eigen::Index a, Eigen::Index b) {
        const Reading &r = w.reading(a), &s = w.reading(b);
        return r.meter == s.meter && r.quantity == s.quantity && r.resolution == s.resolution;
    };
    std::vector<char> done(static_cast<std::size_t>(n), 0);
    for (Eigen::Index first = 0; first < n; ++first) {
        Eigen::VectorXd gain = Eigen::VectorXd::Zero(n);
        int sharing = 0;
        for (Eigen::Index row = first; row < n; ++row) {
            if (done[static_cast<std::size_t>(row)] || !same_range(first, row)) continue;
            const Reading& r = w.reading(row);
            gain[row] = std::copysign(shared_sigma(accuracy_of(*w.job, r), r.quantity, r.value), r.value);
            done[static_cast<std::size_t>(row)] = 1;
            sharing += gain[row] != 0;
        }
        if (sharing < 2) continue;
        w.measured.variance -= gain.cwiseAbs2();
        w.measured.gain.conservativeResize(n, w.measured.gain.cols() + 1);
        w.measured.gain.rightCols(1) = gain;
    }
}

void note_values(Weighing& w) {
    const auto n = static_cast<Eigen::Index>(w.weighed.size());
    w.measured.value.resize(n);
    w.measured.variance.resize(n);
    w.measured.span.resize(n);
    Eigen::VectorXd zero = Eigen::VectorXd::Zero(n);
    const double drift = drift_of(w);
    for (Eigen::Index row = 0; row < n; ++row) {
        const Reading& r = w.reading(row);
        const double sigma = r.quantity == Measurand::resistance
                                 ? ohmmeter_sigma(*w.job, r)
                                 : instrument_sigma(accuracy_of(*w.job, r), r.resolution, r.value);
        w.measured.value[row] = r.value;
        w.measured.variance[row] = sigma * sigma;
        w.measured.span[row] = span_of(w, r);
        if (r.quantity == Measurand::current) zero[row] = drift;
    }
    if ((zero.array() > 0).count() >= 2) w.measured.zero = std::move(zero);
    note_gains(w);
}

/// What the instruments of one state show, and their slopes left in w.slopes; nothing without a working
/// point.
std::optional<std::vector<double>> read_state(Weighing& w, const MeasuredState& state,
                                              const std::vector<Fault>& faults) {
    const Network& n = *w.network;
    if (state.dead) {
        Setup dead = set_up_dead(n, state.state, faults);
        auto ohms = read_ohms(n, dead, w.work, state.leads, &w.slopes);
        return ohms ? std::optional(std::move(*ohms)) : std::nullopt;
    }
    Setup setup = state.healthy;
    for (const Fault& fault : faults) add_fault(n, setup, fault);
    if (operate(n, setup, w.work, w.at)) return std::nullopt;
    return read_probes_with_slopes(n, setup, w.at, w.work, state.probes, w.slopes);
}

/// Puts one reading in its place: its number, and how it moves with each of `count` numbers by a deviation.
void put(const ReadingRow& row, double value, const double* moved, Eigen::Index count, Predicted& p,
         MoveRows& scaled) {
    const Scaling& s = row.scaling;
    (s.told ? p.told : p.mean)[row.index] = s(value);
    const Eigen::Map<const Eigen::RowVectorXd> by(moved, count);
    if (!s.told)
        scaled.row(row.index) = by;
    else if (!s.dead) // the blur of "open" is wider than any tolerance
        p.told_variance[row.index] = by.squaredNorm() * s.scale * s.scale;
}

Predicted room_for(const Weighing& w) {
    Predicted p;
    p.mean.resize(w.measured.value.size());
    p.told.resize(static_cast<Eigen::Index>(w.told.size()));
    p.told_variance = Eigen::VectorXd::Zero(p.told.size());
    return p;
}

std::optional<Predicted> predict_steady(Weighing& w, const std::vector<Fault>& faults,
                                        Eigen::MatrixXd* spread) {
    std::vector<double> deviations; // of the slower way, which a spread asks for
    std::vector<std::size_t> straying(w.strays.number_of_column.begin(), w.strays.number_of_column.end());
    if (spread) straying = straying_numbers(deviations = deviations_with(w, faults));
    const auto count = static_cast<Eigen::Index>(straying.size());
    Predicted p = room_for(w);
    MoveRows scaled(p.mean.size(), count);
    for (MeasuredState& state : w.states) {
        if (!spread && state.sound &&
            read_with_faults(*w.network, w.strays, *state.sound, faults, w.values, w.moved)) {
            for (std::size_t k = 0; k < w.values.size(); ++k)
                put(state.rows[k], w.values[k], &w.moved[k * state.sound->rows.size()], count, p, scaled);
            continue;
        }
        const auto values = read_state(w, state, faults);
        if (!values) return std::nullopt;
        if (deviations.empty()) deviations = deviations_with(w, faults);
        w.moved.resize(straying.size());
        for (std::size_t k = 0; k < values->size(); ++k) {
            for (std::size_t j = 0; j < straying.size(); ++j)
                w.moved[j] = w.slopes[straying[j] * values->size() + k] * deviations[straying[j]];
            put(state.rows[k], (*values)[k], w.moved.data(), count, p, scaled);
        }
    }
    p.tolerance = squared(scaled);
    if (spread) *spread = scaled; // its columns lie the other way
    return p;
}

/// Of a fault in a joint or contact: the same with its part wide open. Others don't come and go with a
/// wiggle.
std::optional<Fault> wide_open(const Fault& fault) {
    if (fault.kind != FaultKind::high_resistance && fault.kind != FaultKind::open &&
        fault.kind != FaultKind::worn_brushes)
        return std::nullopt;
    return Fault{fault.part, FaultKind::open, 0};
}

/// Readings taken while the part of one of the faults was wiggled: evenly likely anywhere between sound and
/// open.
void loosen(Weighing& w, const std::vector<Fault>& faults, Predicted& p) {
    const auto disturbed = [&](int index, PartId part) {
        return w.job->readings[static_cast<std::size_t>(index)].disturbed == part;
    };
    for (std::size_t f = 0; f < faults.size(); ++f) {
        const auto open = wide_open(faults[f]);
        const auto of_part = [&](int index) { return disturbed(index, faults[f].part); };
        if (!open || !(std::any_of(w.weighed.begin(), w.weighed.end(), of_part) ||
                       std::any_of(w.told.begin(), w.told.end(), of_part)))
            continue;
        std::vector<Fault> ends = faults;
        ends[f] = *open;
        const auto bad = predict_steady(w, ends, nullptr);
        ends.erase(ends.begin() + static_cast<std::ptrdiff_t>(f));
        const auto sound = predict_steady(w, ends, nullptr);
        if (!bad || !sound) continue;
        const auto between = [](double a, double b, double& mean, double& variance) {
            mean = 0.5 * (a + b);
            variance += (b - a) * (b - a) / 12;
        };
        for (Eigen::Index row = 0; row < p.mean.size(); ++row)
            if (of_part(w.weighed[static_cast<std::size_t>(row)]))
                between(bad->mean[row], sound->mean[row], p.mean[row], p.tolerance(row, row));
        for (Eigen::Index row = 0; row < p.told.size(); ++row)
            if (of_part(w.told[static_cast<std::size_t>(row)]))
                between(bad->told[row], sound->told[row], p.told[row], p.told_variance[row]);
    }
}

} // namespace

Result<Weighing> prepare(const Network& network, const Readings& job) {
    Weighing w;
    w.network = &network;
    w.job = &job;
    w.strays = strays_of(network);
    if (Problems problems = note_usual(w); !problems.empty()) return problems;
    for (int i = 0; i < static_cast<int>(job.readings.size()); ++i) weigh(w, i);
    note_values(w);
    for (MeasuredState& state : w.states)
        if (!state.dead) state.sound = sound_state(network, state.healthy, state.probes, w.strays, w.work);
    return w;
}

double Scaling::operator()(double number) const {
    if (!dead) return number * scale;
    const double ohms = std::min(number + added, no_path_ohms);
    return told ? std::log(std::max(ohms, least_ohms)) : ohms;
}

Hookup hookup_of(const Weighing& w, const Reading& r) {
    Hookup i;
    i.sense = sense_of(*w.job, r);
    i.scaling.told = i.sense.has_value();
    i.scaling.dead = r.quantity == Measurand::resistance;
    if (i.scaling.dead) {
        i.scaling.added = lead_ohms(*w.job, r);
        return i;
    }
    i.probe = probe_of(*w.job, r, w.supply_volts);
    if (i.sense) i.scaling.scale = scale_of(w, r, i.probe, *i.sense);
    return i;
}

std::vector<double> deviations_with(const Weighing& w, const std::vector<Fault>& faults) {
    std::vector<double> all = w.strays.deviations;
    for (const Fault& fault : faults) {
        const auto p = static_cast<std::size_t>(fault.part);
        const Part& part = w.network->circuit->parts[p];
        AnyPart law = part.law;
        apply_fault(law, fault.kind, fault.size);
        const PartNumbers numbers = numbers_of(law, part.tolerance);
        std::copy(numbers.deviations.begin(), numbers.deviations.end(),
                  all.begin() + w.network->first_number[p]);
    }
    return all;
}

std::vector<std::size_t> straying_numbers(const std::vector<double>& deviations) {
    std::vector<std::size_t> straying;
    for (std::size_t j = 0; j < deviations.size(); ++j)
        if (deviations[j] > 0) straying.push_back(j);
    return straying;
}

std::optional<Predicted> bound_readings(Weighing& w, const std::vector<Fault>& faults) {
    const auto& readings = w.job->readings;
    if (std::any_of(readings.begin(), readings.end(), [](const Reading& r) { return r.disturbed != none; }))
        return predict_readings(w, faults);
    Predicted p = room_for(w);
    p.rough = true;
    p.tolerance = Eigen::MatrixXd::Zero(p.mean.size(), p.mean.size());
    MoveRows scaled(p.mean.size(), 1);
    for (MeasuredState& state : w.states) {
        if (!state.sound ||
            !bound_with_faults(*w.network, w.strays, *state.sound, faults, w.values, w.moved)) {
            const auto values = read_state(w, state, faults);
            if (!values) return std::nullopt;
            const std::vector<double> deviations = deviations_with(w, faults);
            w.values = *values;
            w.moved.assign(values->size(), 0.0);
            for (const int number : w.strays.number_of_column)
                for (std::size_t k = 0; k < values->size(); ++k)
                    w.moved[k] = std::hypot(w.moved[k],
                                            w.slopes[static_cast<std::size_t>(number) * values->size() + k] *
                                                deviations[static_cast<std::size_t>(number)]);
        }
        for (std::size_t k = 0; k < w.values.size(); ++k)
            put(state.rows[k], w.values[k], &w.moved[k], 1, p, scaled);
    }
    p.tolerance.diagonal() = scaled.col(0).cwiseAbs2();
    if (w.measured.gain.cols() > 0) p.tolerance.diagonal() += w.measured.gain.rowwise().squaredNorm();
    return p;
}

std::optional<Predicted> predict_readings(Weighing& w, const std::vector<Fault>& faults,
                                          Eigen::MatrixXd* spread) {
    auto p = predict_steady(w, faults, spread);
    if (p) loosen(w, faults, *p);
    if (p && w.measured.gain.cols() > 0)
        p->tolerance.noalias() += w.measured.gain * w.measured.gain.transpose();
    return p;
}

} // namespace lostvolts

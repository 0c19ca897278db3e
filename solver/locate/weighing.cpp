#include "solver/locate/weighing.h"

#include <algorithm>
#include <cmath>

namespace lostvolts {
namespace {

constexpr double jumper_deviation = 0.5; // share of its resistance: clips differ. Common practice, no source.

void append_deviations(const AnyPart& law, const std::optional<double>& tolerance, std::vector<double>& all) {
    const PartNumbers numbers = numbers_of(law, tolerance);
    all.insert(all.end(), numbers.deviations.begin(), numbers.deviations.end());
}

double span_of(const Weighing& w, const Reading& reading) {
    const auto p = static_cast<std::size_t>(std::max(reading.through, 0));
    if (reading.quantity == Measurand::current)
        return 3 * std::max({w.typical_amps[p], std::abs(reading.value), 0.1});
    if (reading.quantity == Measurand::speed) return 2 * std::max(std::abs(reading.value), 100.0);
    return 2.4 * std::max(w.supply_volts, std::abs(reading.value));
}

} // namespace

bool is_weighed(Measurand quantity) {
    return quantity == Measurand::voltage || quantity == Measurand::current || quantity == Measurand::speed;
}

Accuracy usual_accuracy(Measurand quantity) {
    if (quantity == Measurand::current) return {0.02, 5};
    if (quantity == Measurand::speed) return {0.005, 1};
    return {0.005, 2};
}

double instrument_sigma(const Accuracy& accuracy, double resolution, double value) {
    const double half = accuracy.share * std::abs(value) + accuracy.counts * resolution;
    return std::sqrt(half * half / 3 + resolution * resolution / 12);
}

Probe probe_of(const Readings& job, const Reading& r) {
    Probe probe;
    probe.kind = r.quantity == Measurand::current ? ProbeKind::current
                 : r.quantity == Measurand::speed ? ProbeKind::speed
                                                  : ProbeKind::voltage;
    probe.red = r.red;
    probe.black = r.black;
    probe.through = r.through;
    if (r.meter != none) probe.input_ohms = si(job.meters[static_cast<std::size_t>(r.meter)].input);
    return probe;
}

Result<Weighing> prepare(const Network& network, const Readings& job) {
    const Circuit& c = *network.circuit;
    Weighing w;
    w.network = &network;
    w.job = &job;
    for (const Part& part : c.parts) append_deviations(part.law, part.tolerance, w.deviations);
    w.deviations.push_back(jumper_ohms * jumper_deviation);

    w.typical_amps.assign(c.parts.size(), 0);
    w.typical_volts.assign(c.parts.size(), 0);
    std::vector<int> used(c.states.size(), none);
    for (const Reading& r : job.readings)
        if (is_weighed(r.quantity)) used[static_cast<std::size_t>(r.state)] = 0;
    Problems problems;
    for (int s = 0; s < static_cast<int>(c.states.size()); ++s) {
        Setup setup = set_up(network, s);
        Setup solved = setup;
        if (auto problem = operate(network, solved, w.work, w.at)) {
            problems.push_back(*problem);
            continue;
        }
        double low = 0, high = 0;
        for (const double v : w.at.node_volts) low = std::min(low, v), high = std::max(high, v);
        w.supply_volts = std::max(w.supply_volts, high - low);
        for (std::size_t p = 0; p < c.parts.size(); ++p)
            w.typical_amps[p] = std::max(w.typical_amps[p], std::abs(w.at.branch_amps[p]));
        if (used[static_cast<std::size_t>(s)] == none) continue;
        used[static_cast<std::size_t>(s)] = static_cast<int>(w.states.size());
        w.states.push_back({std::move(setup), {}, {}});
    }
    if (!problems.empty()) return problems;
    std::fill(w.typical_volts.begin(), w.typical_volts.end(), w.supply_volts);

    for (int i = 0; i < static_cast<int>(job.readings.size()); ++i)
        if (is_weighed(job.readings[static_cast<std::size_t>(i)].quantity)) w.weighed.push_back(i);
    const auto n = static_cast<Eigen::Index>(w.weighed.size());
    w.measured.value.resize(n);
    w.measured.variance.resize(n);
    w.measured.span.resize(n);
    for (Eigen::Index row = 0; row < n; ++row) {
        const Reading& r = w.reading(row);
        MeasuredState& state = w.states[static_cast<std::size_t>(used[static_cast<std::size_t>(r.state)])];
        state.probes.push_back(probe_of(job, r));
        state.rows.push_back(static_cast<int>(row));
        const Accuracy accuracy = r.meter == none ? usual_accuracy(r.quantity)
                                                  : job.meters[static_cast<std::size_t>(r.meter)].accuracy;
        const double sigma = instrument_sigma(accuracy, r.resolution, r.value);
        w.measured.value[row] = r.value;
        w.measured.variance[row] = sigma * sigma;
        w.measured.span[row] = span_of(w, r);
    }
    return w;
}

std::vector<double> deviations_with(const Weighing& w, const std::vector<Fault>& faults) {
    std::vector<double> all = w.deviations;
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

std::optional<Predicted> predict_readings(Weighing& w, const std::vector<Fault>& faults,
                                          Eigen::MatrixXd* spread) {
    const Network& n = *w.network;
    const Eigen::Index rows = w.measured.value.size();
    const std::vector<double> deviations = deviations_with(w, faults);
    const std::vector<std::size_t> straying = straying_numbers(deviations);

    Predicted p;
    p.mean.resize(rows);
    Eigen::MatrixXd scaled(rows, static_cast<Eigen::Index>(straying.size()));
    for (const MeasuredState& state : w.states) {
        Setup setup = state.healthy;
        for (const Fault& fault : faults) add_fault(n, setup, fault);
        if (operate(n, setup, w.work, w.at)) return std::nullopt;
        const std::vector<double> values =
            read_probes_with_slopes(n, setup, w.at, w.work, state.probes, w.slopes);
        for (std::size_t k = 0; k < values.size(); ++k) {
            const Eigen::Index row = state.rows[k];
            p.mean[row] = values[k];
            for (std::size_t j = 0; j < straying.size(); ++j)
                scaled(row, static_cast<Eigen::Index>(j)) =
                    w.slopes[straying[j] * values.size() + k] * deviations[straying[j]];
        }
    }
    p.tolerance.noalias() = scaled * scaled.transpose();
    if (spread) *spread = std::move(scaled);
    return p;
}

} // namespace lostvolts

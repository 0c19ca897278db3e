#include "solver/locate/toolbox.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "solver/locate/weighing.h"

namespace lostvolts {
namespace {

// Common practice, no source: a hand-held meter counts to 4000, with ranges of 4 V, 40 V and 400 V; a clamp
// shows tenths of an ampere, a tachometer whole turns.
constexpr double most_counts = 4000;
constexpr std::array<double, 3> usual_volts{0.001, 0.01, 0.1};
constexpr std::array<double, 6> usual_ohms{0.1, 1, 10, 100, 1e3, 1e4}; // the finest to 400 ohm
constexpr double usual_amps = 0.1, usual_speed = 1 / rpm_per_si;

/// The finest that reaches so far, else the coarsest.
const Toolbox::Range* fittest(const Toolbox& tools, Measurand quantity, double value) {
    const Toolbox::Range* best = nullptr;
    for (const Toolbox::Range& r : tools.ranges) {
        if (r.quantity != quantity) continue;
        best = &r;
        if (std::abs(value) <= most_counts * r.resolution) break;
    }
    return best;
}

const Meter& meter_at(const Readings& job, int meter) {
    static const Meter usual;
    return meter == none ? usual : job.meters[static_cast<std::size_t>(meter)];
}

/// A meter in ohms, else the one that ohms were read with, else the plain one.
int ohmmeter_of(const Readings& job) {
    for (std::size_t m = 0; m < job.meters.size(); ++m)
        if (job.meters[m].resolves == Measurand::resistance) return static_cast<int>(m);
    for (const Reading& r : job.readings)
        if (r.quantity == Measurand::resistance && r.meter != none) return r.meter;
    return none;
}

std::vector<int> lamps_of(const Readings& job) {
    std::vector<int> lamps;
    const auto add = [&](int meter) {
        if (std::find(lamps.begin(), lamps.end(), meter) == lamps.end()) lamps.push_back(meter);
    };
    if (job.meters.empty()) add(none);
    for (std::size_t m = 0; m < job.meters.size(); ++m)
        if (job.meters[m].lights) add(static_cast<int>(m));
    for (const Reading& r : job.readings)
        if (r.quantity == Measurand::lamp) add(r.meter);
    return lamps;
}

} // namespace

Toolbox toolbox_of(const Readings& job) {
    Toolbox tools;
    const auto add = [&](Measurand quantity, const Accuracy& accuracy, double resolution) {
        if (!(resolution > 0)) return;
        const bool known =
            std::any_of(tools.ranges.begin(), tools.ranges.end(), [&](const Toolbox::Range& r) {
                return r.quantity == quantity && r.resolution == resolution;
            });
        if (!known) tools.ranges.push_back({quantity, accuracy, resolution});
    };
    for (const Meter& m : job.meters)
        if (m.resolves) add(*m.resolves, m.accuracy, m.resolution);
    for (const Reading& r : job.readings) {
        if (r.meter == none || job.meters[static_cast<std::size_t>(r.meter)].resolves) continue;
        const Accuracy& accuracy = job.meters[static_cast<std::size_t>(r.meter)].accuracy;
        if (r.quantity == Measurand::voltage)
            for (const double step : usual_volts) add(r.quantity, accuracy, step);
        else if (r.quantity != Measurand::resistance)
            add(r.quantity, accuracy, r.resolution);
    }
    const auto any = [&](Measurand quantity) {
        return std::any_of(job.readings.begin(), job.readings.end(),
                           [&](const Reading& r) { return r.quantity == quantity; });
    };
    if (!can_read(tools, Measurand::voltage))
        for (const double step : usual_volts)
            add(Measurand::voltage, usual_accuracy(Measurand::voltage), step);
    if (!can_read(tools, Measurand::current) && any(Measurand::current))
        add(Measurand::current, usual_accuracy(Measurand::current), usual_amps);
    if (!can_read(tools, Measurand::speed) && any(Measurand::speed))
        add(Measurand::speed, usual_accuracy(Measurand::speed), usual_speed);
    tools.lamps = lamps_of(job);
    tools.ohmmeter = ohmmeter_of(job);
    tools.lead_ohms = si(meter_at(job, tools.ohmmeter).leads);
    if (!can_read(tools, Measurand::resistance))
        for (const double step : usual_ohms)
            add(Measurand::resistance,
                tools.ohmmeter == none ? usual_accuracy(Measurand::resistance)
                                       : meter_at(job, tools.ohmmeter).accuracy,
                step);
    std::sort(tools.ranges.begin(), tools.ranges.end(), [](const Toolbox::Range& a, const Toolbox::Range& b) {
        return a.quantity != b.quantity ? a.quantity < b.quantity : a.resolution < b.resolution;
    });
    return tools;
}

bool can_read(const Toolbox& tools, Measurand quantity) {
    return std::any_of(tools.ranges.begin(), tools.ranges.end(),
                       [&](const Toolbox::Range& r) { return r.quantity == quantity; });
}

double tool_resolution(const Toolbox& tools, Measurand quantity, double value) {
    const Toolbox::Range* range = fittest(tools, quantity, value);
    return range ? range->resolution : 0;
}

double tool_sigma(const Toolbox& tools, Measurand quantity, double value) {
    const Toolbox::Range* range = fittest(tools, quantity, value);
    if (!range) return 0;
    return quantity == Measurand::resistance
               ? ohmmeter_sigma(range->accuracy, range->resolution, tools.lead_ohms, value)
               : instrument_sigma(range->accuracy, range->resolution, value);
}

} // namespace lostvolts

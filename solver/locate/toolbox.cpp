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
        else
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
    return range ? instrument_sigma(range->accuracy, range->resolution, value) : 0;
}

} // namespace lostvolts

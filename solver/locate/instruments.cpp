#include "solver/locate/instruments.h"

#include <array>
#include <cmath>

namespace lostvolts {
namespace {

constexpr double lead_doubt =
    0.3;                         // share by which a lead's resistance may differ. Common practice, no source.
constexpr double lamp_watts = 5; // of a plain test lamp. Common practice, no source.
constexpr double least_volts = 0.8; // of nominal: a flat battery is still of its kind

const Meter& meter_of(const Readings& job, const Reading& r) {
    static const Meter usual;
    return r.meter == none ? usual : job.meters[static_cast<std::size_t>(r.meter)];
}

} // namespace

Accuracy usual_accuracy(Measurand quantity) {
    if (quantity == Measurand::current) return {0.02, 5};
    if (quantity == Measurand::speed) return {0.005, 1};
    if (quantity == Measurand::resistance) return {0.008, 3};
    return {0.005, 2};
}

Accuracy accuracy_of(const Readings& job, const Reading& r) {
    return r.meter == none ? usual_accuracy(r.quantity) : meter_of(job, r).accuracy;
}

double instrument_sigma(const Accuracy& accuracy, double resolution, double value) {
    const double half = accuracy.share * std::abs(value) + accuracy.counts * resolution;
    return std::sqrt(half * half / 3 + resolution * resolution / 12);
}

double shared_sigma(const Accuracy& accuracy, Measurand quantity, double value) {
    constexpr double one_gain = 0.75, of_a_clamp = 0.5; // of the variance
    return std::sqrt((quantity == Measurand::current ? of_a_clamp : one_gain) / 3) * accuracy.share *
           std::abs(value);
}

double lead_ohms(const Readings& job, const Reading& r) { return si(meter_of(job, r).leads); }

double ohmmeter_sigma(const Accuracy& accuracy, double resolution, double leads, double value) {
    return std::hypot(instrument_sigma(accuracy, resolution, value), lead_doubt * leads);
}

double ohmmeter_sigma(const Readings& job, const Reading& r) {
    return ohmmeter_sigma(accuracy_of(job, r), r.resolution, lead_ohms(job, r), r.value);
}

double nominal_volts(double supply_volts) {
    constexpr std::array nominal{48.0, 36.0, 24.0, 12.0};
    for (const double volts : nominal)
        if (supply_volts >= least_volts * volts) return volts;
    return 6;
}

Probe probe_of(const Readings& job, const Reading& r, double supply_volts) {
    Probe probe;
    probe.red = r.red;
    probe.black = r.black;
    probe.through = r.through;
    const Meter& meter = meter_of(job, r);
    switch (r.quantity) {
    case Measurand::current:
        probe.kind = ProbeKind::current;
        break;
    case Measurand::speed:
        probe.kind = ProbeKind::speed;
        break;
    case Measurand::sound: {
        const Part& part = job.circuit.parts[static_cast<std::size_t>(r.through)];
        probe.kind = std::holds_alternative<Motor<>>(part.law) ? ProbeKind::speed : ProbeKind::contact;
        break;
    }
    case Measurand::lamp: {
        const double rated = si(meter.rated) > 0 ? si(meter.rated) : nominal_volts(supply_volts);
        const double amps = si(meter.draws) > 0 ? si(meter.draws) : lamp_watts / rated;
        probe.input_ohms = rated / amps;
        if (!meter.shows_polarity) probe.filament_volts = rated;
        break;
    }
    case Measurand::voltage:
    case Measurand::resistance:
        if (r.meter != none) probe.input_ohms = si(meter.input);
        break;
    }
    return probe;
}

std::optional<Sense> sense_of(const Readings& job, const Reading& r) {
    if (r.quantity == Measurand::lamp)
        return meter_of(job, r).shows_polarity ? Sense::polar_lamp : Sense::lamp;
    if (r.quantity == Measurand::sound)
        return std::holds_alternative<Motor<>>(job.circuit.parts[static_cast<std::size_t>(r.through)].law)
                   ? Sense::turning
                   : Sense::click;
    if (r.quantity == Measurand::resistance && r.open) return Sense::no_path;
    return std::nullopt;
}

} // namespace lostvolts

#include "tests/locate/random_job.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "solver/locate/weighing.h"

namespace lostvolts::testing {
namespace {

enum MeterId { multimeter, clamp, tachometer };
constexpr double least_share = 0.05; // of a number's value: nothing strays below

void multiply_numbers(AnyPart& part, const double* deviates) {
    const PartNumbers numbers = numbers_of(part);
    std::visit(
        [&](auto& p) {
            std::size_t k = 0;
            const auto multiply = [&](const auto& parameter) {
                const double value = numbers.values[k], deviation = numbers.deviations[k];
                if (deviation > 0)
                    p.*(parameter.member) *= std::max(1 + deviates[k] * deviation / value, least_share);
                ++k;
            };
            std::apply([&](const auto&... parameter) { (multiply(parameter), ...); },
                       std::decay_t<decltype(p)>::parameters());
        },
        part);
}

/// Something that no single fault of the drawing is: a leak between two points, or an end on the wrong point.
Circuit unlike(const Circuit& drawn, Random& r) {
    Circuit c = drawn;
    const auto point = [&] { return below(r, static_cast<int>(c.points.size())); };
    if (below(r, 2) == 0) {
        Part leak;
        leak.name = "leak";
        leak.law = resistor(log_uniform(r, 0.1, 30));
        leak.from = point();
        do leak.to = point();
        while (leak.to == leak.from);
        c.parts.push_back(std::move(leak));
        return c;
    }
    Part* moved = nullptr;
    do moved = &c.parts[static_cast<std::size_t>(below(r, static_cast<int>(c.parts.size())))];
    while (is_source(moved->law));
    const PointId was = moved->to;
    do moved->to = point();
    while (moved->to == was || moved->to == moved->from);
    return c;
}

Reading place_reading(Random& r, const Readings& job) {
    const Circuit& c = job.circuit;
    Reading reading;
    reading.state = chance(r, 0.5) ? 0 : below(r, static_cast<int>(c.states.size()));
    const std::vector<PartId>& removed = c.states[static_cast<std::size_t>(reading.state)].removed;
    std::vector<PartId> there, motors;
    for (PartId p = 0; p < static_cast<PartId>(c.parts.size()); ++p) {
        if (std::find(removed.begin(), removed.end(), p) != removed.end()) continue;
        there.push_back(p);
        if (std::holds_alternative<Motor<>>(c.parts[static_cast<std::size_t>(p)].law)) motors.push_back(p);
    }
    const auto any_of = [&](const std::vector<PartId>& parts) {
        return parts[static_cast<std::size_t>(below(r, static_cast<int>(parts.size())))];
    };
    const double what = uniform(r, 0, 1);
    if (what < 0.1 && !motors.empty()) {
        reading.quantity = Measurand::speed;
        reading.through = any_of(motors);
        reading.meter = tachometer;
    } else if (what < 0.3) {
        reading.quantity = Measurand::current;
        reading.through = any_of(there);
        reading.meter = clamp;
    } else {
        reading.meter = multimeter;
        const Part& part = c.parts[static_cast<std::size_t>(any_of(there))];
        reading.red = part.from;
        reading.black = what < 0.6 ? part.to : c.ground;
        if (reading.red == reading.black) reading.red = part.to;
    }
    reading.resolution = job.meters[static_cast<std::size_t>(reading.meter)].resolution;
    return reading;
}

double rounded(double value, double resolution) { return std::round(value / resolution) * resolution; }

/// Anything within the instrument's span, as the likelihood's header has it; the widths are documented there
/// as shares of what the healthy circuit has at the most.
double anything(Random& r, const Weighing& healthy, const Reading& reading, double shown) {
    if (reading.quantity == Measurand::voltage) return uniform(r, -1.2, 1.2) * healthy.supply_volts;
    if (reading.quantity == Measurand::current)
        return uniform(r, -1.5, 1.5) *
               std::max(healthy.typical_amps[static_cast<std::size_t>(reading.through)], 0.1);
    return uniform(r, -1, 1) * std::max(std::abs(shown), 100.0);
}

void blunder(Random& r, const JobRequest& request, const Weighing& healthy, Machine& machine,
             RandomJob& out) {
    Readings& job = out.readings;
    const double offset = chance(r, 0.2) ? uniform(r, -2, 2) : 0; // of the clamp, amperes
    for (Reading& reading : job.readings) {
        if (request.blunders == Blunders::zero) {
            if (reading.quantity != Measurand::current || offset == 0) continue;
            reading.value = rounded(reading.value + offset, reading.resolution);
            ++out.blundered;
            continue;
        }
        if (!chance(r, blunder_share)) continue;
        if (request.blunders == Blunders::wrong_state) {
            Reading other = reading;
            other.state = below(r, static_cast<int>(job.circuit.states.size()));
            const auto& removed = job.circuit.states[static_cast<std::size_t>(other.state)].removed;
            if (other.state == reading.state ||
                std::find(removed.begin(), removed.end(), other.through) != removed.end())
                continue;
            const auto shown = take(machine, job, other, r);
            if (!shown) continue;
            reading.value = shown->value;
        } else if (chance(r, swapped_share)) {
            reading.value = -reading.value;
        } else {
            reading.value = rounded(anything(r, healthy, reading, reading.value), reading.resolution);
        }
        ++out.blundered;
    }
}

Weighing weighing_of(const Network& network, const Readings& job) {
    auto prepared = prepare(network, job);
    if (!prepared) throw std::logic_error(describe(prepared.problems().front()));
    return *std::move(prepared);
}

/// The circuit's own weighing without a reading: currents and volts when healthy, and so the faults' ranges.
struct Drawing {
    explicit Drawing(const Circuit& circuit) : network(analyse(std::make_shared<const Circuit>(circuit))) {
        job.circuit = circuit;
        healthy = weighing_of(network, job);
    }
    Drawing(const Drawing&) = delete;

    DrawnFault fault(Random& r) const {
        const auto all = single_faults(network, healthy.typical_amps, healthy.typical_volts);
        double total = 0;
        for (const Hypothesis& h : all)
            if (!h.faults.empty()) total += h.faults.front().odds;
        double left = uniform(r, 0, total);
        const FaultRange* chosen = nullptr;
        for (const Hypothesis& h : all) {
            if (h.faults.empty()) continue;
            chosen = &h.faults.front();
            left -= chosen->odds;
            if (left < 0) break;
        }
        return {*chosen, chosen->size_at(uniform(r, 0, 1))};
    }

    Network network;
    Readings job;
    Weighing healthy;
};

} // namespace

Setup strayed(const Network& network, int state, const std::vector<Fault>& faults,
              const std::vector<double>& strays) {
    Setup setup = set_up(network, state, faults);
    for (std::size_t p = 0; p < setup.parts.size(); ++p)
        multiply_numbers(setup.parts[p], strays.data() + network.first_number[p]);
    setup.jumper *= std::max(1 + 0.5 * strays.back(), least_share); // ±100 %: clips differ (weighing.cpp)
    return setup;
}

Machine::Machine(const Circuit& drawn, std::vector<Fault> faults, bool unlike_its_drawing, Random& random)
    : network_(analyse(std::make_shared<const Circuit>(unlike_its_drawing ? unlike(drawn, random) : drawn))),
      faults_(std::move(faults)), states_(drawn.states.size()) {
    for (int k = 0; k < network_.numbers; ++k) strays_.push_back(normal(random));
}

Machine::Solved& Machine::solved(int state) {
    Solved& s = states_[static_cast<std::size_t>(state)];
    if (s.tried) return s;
    s.tried = true;
    s.setup = strayed(network_, state, faults_, strays_);
    s.works = !operate(network_, s.setup, work_, s.at);
    return s;
}

std::optional<double> Machine::show(int state, const Probe& probe) {
    const Solved& s = solved(state);
    if (!s.works) return std::nullopt;
    return read_probes(network_, s.setup, s.at, work_, std::span(&probe, 1)).front();
}

std::optional<double> Machine::show_ohms(int state, const Leads& leads) {
    Setup dead = strayed(network_, state, faults_, strays_);
    switch_off(dead);
    const auto ohms = read_ohms(network_, dead, work_, {&leads, 1});
    return ohms ? std::optional(ohms->front()) : std::nullopt;
}

double Machine::gain(int meter, double resolution, bool normally, Random& random) {
    const auto [at, first_time] = gains_.try_emplace({meter, resolution}, 0.0);
    if (first_time) at->second = normally ? normal(random) / std::sqrt(3.0) : uniform(random, -1, 1);
    return at->second;
}

std::vector<Meter> random_meters(Random& r) {
    std::vector<Meter> meters(3);
    meters[multimeter].name = "multimeter";
    meters[multimeter].accuracy = {log_uniform(r, 0.0005, 0.01), static_cast<double>(1 + below(r, 5))};
    meters[multimeter].resolution = below(r, 3) ? 0.01 : 0.001;
    meters[clamp].name = "clamp";
    meters[clamp].accuracy = {uniform(r, 0.01, 0.03), static_cast<double>(2 + below(r, 6))};
    meters[clamp].resolution = below(r, 2) ? 0.01 : 0.1;
    meters[tachometer].name = "tachometer";
    meters[tachometer].accuracy = {log_uniform(r, 0.0005, 0.005), 1};
    meters[tachometer].resolution = 0.1; // rad/s: about 1 rpm
    return meters;
}

bool same_place(const Reading& a, const Reading& b) {
    return a.state == b.state && a.quantity == b.quantity && a.through == b.through &&
           ((a.red == b.red && a.black == b.black) || (a.red == b.black && a.black == b.red));
}

namespace {

/// By how much a meter errs: the gain that it has in common with its other readings, and what it has not.
double misread(Machine& machine, const Meter& meter, const Reading& where, double exact, Random& r,
               MeterErrors errors) {
    const double percent = meter.accuracy.share * exact, counts = meter.accuracy.counts * where.resolution;
    const double half = std::abs(percent) + counts;
    if (errors == MeterErrors::even) return uniform(r, -half, half);
    if (errors == MeterErrors::normal) return normal(r) * half / std::sqrt(3.0);
    const bool normally = errors == MeterErrors::shared_normal;
    const double gain = machine.gain(where.meter, where.resolution, normally, r);
    const double own = normally ? normal(r) / std::sqrt(3.0) : uniform(r, -1, 1);
    if (errors == MeterErrors::one_gain) return gain * percent + own * counts;
    const double common = std::sqrt(3.0) * shared_sigma(meter.accuracy, where.quantity, exact);
    return gain * std::copysign(common, exact) + own * std::sqrt(half * half - common * common);
}

} // namespace

std::optional<Reading> take(Machine& machine, const Readings& job, Reading where, Random& r,
                            MeterErrors errors) {
    const auto exact = machine.show(where.state, probe_of(job, where));
    if (!exact) return std::nullopt;
    const Meter& meter = job.meters[static_cast<std::size_t>(where.meter)];
    where.value = rounded(*exact + misread(machine, meter, where, *exact, r, errors), where.resolution);
    return where;
}

DrawnFault random_fault(Random& random, const Circuit& circuit) { return Drawing(circuit).fault(random); }

Truth random_truth(Random& random) {
    const double share = uniform(random, 0, 1);
    if (share < prior_healthy) return Truth::healthy;
    return share < prior_healthy + prior_unmodelled ? Truth::unmodelled : Truth::fault;
}

RandomJob random_job(Random& random, const JobRequest& request) {
    const Circuit circuit = random_harness(random, request.family, request.size);
    const Drawing drawing(circuit);
    for (;;) {
        RandomJob out;
        out.truth = request.truth;
        std::vector<Fault> faults;
        if (request.truth == Truth::fault) {
            const DrawnFault drawn = drawing.fault(random);
            out.range = drawn.range;
            out.size = drawn.size;
            faults.push_back({drawn.range.part, drawn.range.kind, drawn.size});
        }
        Machine machine(circuit, std::move(faults), request.truth == Truth::unmodelled, random);
        Readings& job = out.readings;
        job.circuit = circuit;
        job.meters = random_meters(random);
        bool works = true;
        for (int k = 0, tries = 0; works && k < request.readings && tries < 100; ++tries) {
            const Reading where = place_reading(random, job);
            if (std::any_of(job.readings.begin(), job.readings.end(),
                            [&](const Reading& r) { return same_place(r, where); }))
                continue;
            const auto reading = take(machine, job, where, random, request.errors);
            works = reading.has_value();
            if (reading) job.readings.push_back(*reading), ++k;
        }
        if (!works) continue;
        if (request.blunders != Blunders::none) blunder(random, request, drawing.healthy, machine, out);
        return out;
    }
}

} // namespace lostvolts::testing

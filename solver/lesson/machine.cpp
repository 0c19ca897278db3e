#include "solver/lesson/machine.h"

#include <algorithm>
#include <cmath>
#include <random>

#include "solver/lesson/meters.h"
#include "solver/network/measure.h"

namespace lostvolts {
namespace {

std::uint32_t word(int k) { return static_cast<std::uint32_t>(k + 1); }

} // namespace

double even_draw(std::uint64_t seed, Chance purpose, const std::vector<std::uint32_t>& counters) {
    std::vector<std::uint32_t> words{static_cast<std::uint32_t>(seed), static_cast<std::uint32_t>(seed >> 32),
                                     static_cast<std::uint32_t>(purpose)};
    words.insert(words.end(), counters.begin(), counters.end());
    std::seed_seq sequence(words.begin(), words.end());
    std::mt19937_64 engine(sequence);
    return (static_cast<double>(engine() >> 11) + 0.5) * 0x1p-53;
}

Machine::Machine(const Network& network, std::uint64_t seed, const Fault& fault)
    : network_(network), seed_(seed), fault_(fault), strays_(strays_of_machines(*network.circuit)) {
    draw_sample(strays_, seed, 0, draw_);
}

std::optional<double> Machine::shown(const Prospect& p) {
    Setup setup = set_up(network_, p.state);
    put_draw(strays_, draw_, setup);
    add_fault(network_, setup, fault_);
    if (operate(network_, setup, work_, at_)) return std::nullopt;
    // The same two points have the same error whichever way round the leads are.
    const bool turned = p.quantity == Measurand::voltage && p.red > p.black;
    Probe probe;
    probe.kind = p.quantity == Measurand::current ? ProbeKind::current
                 : p.quantity == Measurand::speed ? ProbeKind::speed
                                                  : ProbeKind::voltage;
    probe.red = turned ? p.black : p.red;
    probe.black = turned ? p.red : p.black;
    probe.through = p.through;
    const Meter meter = class_meter(p.quantity);
    probe.input_ohms = si(meter.input);
    const double truth = read_probes(network_, setup, at_, work_, std::span(&probe, 1)).front();
    const double half = meter.accuracy.share * std::abs(truth) + meter.accuracy.counts * meter.resolution;
    const double even = even_draw(seed_, Chance::meter,
                                  {word(p.state), word(static_cast<int>(p.quantity)), word(probe.red),
                                   word(probe.black), word(p.through)});
    const double off = truth + (2 * even - 1) * half;
    const double value = meter.resolution * std::round(off / meter.resolution);
    return turned ? -value : value;
}

} // namespace lostvolts

#include "solver/lesson/machine.h"

#include <algorithm>
#include <cmath>
#include <random>

#include "solver/lesson/meters.h"
#include "solver/network/dead.h"
#include "solver/network/measure.h"

namespace lostvolts {
namespace {

std::uint32_t word(int k) { return static_cast<std::uint32_t>(k + 1); }

/// The word that a draw between 0 and 1 falls on, by their chances.
int word_for(Sense sense, double number, double share) {
    int said = 0;
    for (int k = 0; k < static_cast<int>(most_words); ++k) {
        const double chance = chance_of(sense, k, number, 0);
        if (chance > 0) said = k;
        if ((share -= chance) < 0) break;
    }
    return said;
}

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

double Machine::even(const Reading& asked) const {
    // The same two points have the same error whichever way round the leads are.
    return even_draw(seed_, Chance::meter,
                     {word(asked.state), word(static_cast<int>(asked.quantity)),
                      word(std::min(asked.red, asked.black)), word(std::max(asked.red, asked.black)),
                      word(asked.through)});
}

std::optional<double> Machine::number_behind(const Reading& asked, const Hookup& instrument) {
    Setup setup = set_up(network_, asked.state);
    put_draw(strays_, draw_, setup);
    add_fault(network_, setup, fault_);
    if (asked.quantity == Measurand::resistance) {
        switch_off(setup);
        const Leads leads{asked.red, asked.black};
        const auto ohms = read_ohms(network_, setup, work_, {&leads, 1});
        return ohms ? std::optional(ohms->front()) : std::nullopt;
    }
    if (operate(network_, setup, work_, at_)) return std::nullopt;
    return read_probes(network_, setup, at_, work_, std::span(&instrument.probe, 1)).front();
}

std::optional<Reading> Machine::shown(const Weighing& class_job, const Prospect& p) {
    Reading r = class_reading(p);
    r.open = p.quantity == Measurand::resistance; // it may be: the instrument is asked for that word
    const Hookup instrument = hookup_of(class_job, r);
    const auto number = number_behind(r, instrument);
    if (!number) return std::nullopt;
    const double share = even(r);
    if (instrument.sense) {
        const int said = word_for(*instrument.sense, instrument.scaling(*number), share);
        r.open = r.open && said == 0;
        r.value = said;
        if (r.open || p.quantity != Measurand::resistance) return r;
    }
    const Meter meter = class_meter(p.quantity);
    const double truth = *number + instrument.scaling.added;
    const double half = meter.accuracy.share * std::abs(truth) + meter.accuracy.counts * meter.resolution;
    const double turned = p.quantity == Measurand::voltage && p.red > p.black ? -1 : 1;
    const double off = turned * truth + (2 * share - 1) * half;
    r.value = turned * meter.resolution * std::round(off / meter.resolution);
    if (p.quantity == Measurand::resistance) r.value = std::max(r.value, 0.0);
    return r;
}

} // namespace lostvolts

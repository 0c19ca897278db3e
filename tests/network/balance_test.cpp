// Conservation on random circuits: Kirchhoff's current law at every point, and power in against power out.
#include <doctest/doctest.h>

#include <cmath>

#include "solver/network/operate.h"
#include "tests/network/random_circuit.h"
#include "tests/network/times.h"

using namespace lostvolts;
using namespace lostvolts::testing;

namespace {

constexpr std::uint64_t seed = 20260501;
// What rounding alone leaves over where next to nothing flows: two units in the last place of the greatest
// volts there are, over the least resistance (random_circuit.cpp).
constexpr double most_volts = 28.4, least_ohms_drawn = 0.5e-3;
constexpr double rounding_amps = 2 * 0x1p-52 * most_volts / least_ohms_drawn;

struct Power_balance {
    double from_sources = 0, used = 0;
    double turned_over = 0; ///< by all sources, one charging another among them
};

double across(const Network& n, const Operating& at, std::size_t branch) {
    const Branch& b = n.branches[branch];
    const auto volts = [&](std::int32_t node) {
        return node == ground_node ? 0 : at.node_volts[static_cast<std::size_t>(node)];
    };
    return volts(b.a) - volts(b.b);
}

double motor_power(const Motor<>& m, double amps, double speed) {
    // By hand, not by the part's own equation: copper, brushes, and torque times speed of everything that is
    // driven.
    const double copper = (si(m.winding) + si(m.brushes)) * amps * amps;
    const double knee = si(m.settings.brush_knee);
    const double brush = si(m.brush_drop) * (std::abs(amps) >= knee ? std::abs(amps) : amps * amps / knee);
    if (m.settings.locked) return copper + brush;
    const double w0 = si(m.settings.load_speed), x = std::abs(speed) / w0;
    const double law = m.settings.law == LoadLaw::constant ? 1
                       : m.settings.law == LoadLaw::linear ? x
                                                           : x * x;
    const double turning = std::abs(speed) >= 1e-3 * w0 ? (speed > 0 ? 1 : -1) : speed / (1e-3 * w0);
    const double load = (1 - 1e-6) * law * turning + 1e-6 * speed / w0;
    const double torque = si(m.friction) * turning + si(m.load_torque) * load + si(m.drag) * speed;
    return copper + brush + torque * speed;
}

Power_balance balance_of(const Network& n, const Setup& setup, const Operating& at) {
    Power_balance p;
    for (std::size_t k = 0; k < setup.parts.size(); ++k) {
        if (setup.link[k] == Link::out) continue;
        const double i = at.branch_amps[k], v = across(n, at, k);
        const AnyPart& law = setup.parts[k];
        if (const auto* b = std::get_if<Battery<>>(&law)) {
            p.from_sources += si(b->emf) * i;
            p.turned_over += std::abs(si(b->emf) * i);
            p.used += (si(b->resistance) + si(b->added)) * i * i;
        } else if (std::holds_alternative<Charger<>>(law)) {
            p.from_sources += -v * i;
            p.turned_over += std::abs(v * i);
        } else if (const auto* m = std::get_if<Motor<>>(&law)) {
            p.used += motor_power(*m, i, at.own[k][1]);
        } else if (const auto* f = std::get_if<Fuse<>>(&law)) {
            const double load = i / si(f->settings.rating);
            p.used += (si(f->cold) * (1 + f->settings.heating * load * load) + si(f->added)) * i * i;
        } else {
            p.used += v * i;
        }
        if (const int coil = n.coil_branch[k]; coil != none) {
            const double vc = across(n, at, static_cast<std::size_t>(coil));
            p.used += vc * at.branch_amps[static_cast<std::size_t>(coil)];
        }
        if (setup.shunt_siemens[k] > 0) {
            const auto node = n.edges[static_cast<std::size_t>(n.shunt_edge[k])].a;
            p.used += setup.shunt_siemens[k] * std::pow(at.node_volts[static_cast<std::size_t>(node)], 2);
        }
    }
    return p;
}

} // namespace

TEST_CASE("currents and power balance to 1e-9 on random circuits") {
    // Conservation: Kirchhoff's current law, and emf power = heat + work. Tolerance: 1e-9 of the largest
    // current and of the power that the sources turn over, and rounding.
    MESSAGE("seed ", seed);
    std::mt19937_64 random(seed);
    Workspace work;
    Operating at;
    int solved = 0, chattering = 0, iterations = 0, most = 0;
    double worst_current = 0, worst_power = 0;
    for (int k = 0; k < times(10000); ++k) {
        const RandomCircuit made = random_circuit(random, 6 + static_cast<int>(random() % 55));
        const Network n = analyse(std::make_shared<const Circuit>(made.circuit));
        Setup setup = set_up(n, 0, made.faults);
        if (const auto problem = operate(n, setup, work, at)) {
            const bool chatter = problem->what.find("chatter") != std::string::npos;
            CHECK_MESSAGE(chatter, "circuit ", k, ": ", problem->what);
            chattering += chatter;
            continue;
        }
        ++solved;
        iterations += at.iterations;
        most = std::max(most, at.iterations);
        const Power_balance p = balance_of(n, setup, at);
        const double current = at.largest_leftover_amps / (at.largest_branch_amps + 1e9 * rounding_amps);
        const double power =
            std::abs(p.from_sources - p.used) / (p.turned_over + 1e9 * rounding_amps * most_volts);
        worst_current = std::max(worst_current, current);
        worst_power = std::max(worst_power, power);
        CHECK_MESSAGE(current < 1e-9, "circuit ", k);
        CHECK_MESSAGE(power < 1e-9, "circuit ", k);
    }
    MESSAGE("solved ", solved, ", chattering ", chattering, ", worst current ", worst_current,
            ", worst power ", worst_power, ", Newton steps ", iterations, ", most ", most);
    CHECK(solved > 0.9 * times(10000));
}

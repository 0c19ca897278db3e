#include "solver/parts/motor.h"

namespace lostvolts {
namespace {

constexpr std::array<std::string_view, 3> law_names{"constant", "linear", "quadratic"};

LoadLaw read_law(Entry& e) {
    const std::string word =
        e.word("load", law_names, "quadratic"); // pumps and fans: torque grows with speed squared
    return word == "constant" ? LoadLaw::constant : word == "linear" ? LoadLaw::linear : LoadLaw::quadratic;
}

void read_nameplate(Entry& e, Motor<>& m) {
    const Voltage<> rated = e.needed<Voltage<>>("rated", "rated = \"12 V\"");
    const Current<> run = e.needed<Current<>>("run_current", "run_current = \"9 A\"");
    const Current<> stall = e.needed<Current<>>("stall_current", "stall_current = \"24 A\"");
    const Speed<> speed = e.needed<Speed<>>("run_speed", "run_speed = \"3400 rpm\"");
    const bool all = e.has("rated") && e.has("run_current") && e.has("stall_current") && e.has("run_speed");
    if (all && stall <= run)
        e.wrong("stall_current",
                "stall current is not above run current: a motor held still draws the most current it can",
                "check which is which, for example run_current = \"9 A\" and stall_current = \"24 A\"");
    if (all && m.brush_drop >= rated)
        e.wrong("brush_drop", "the brushes drop all of the rated voltage", "brush_drop = \"0.8 V\"");
    m.winding = (rated - m.brush_drop) / stall;
    m.constant = (rated - m.brush_drop - m.winding * run) / speed;
    m.load_torque = m.constant * run - m.friction;
    if (all && stall > run && m.load_torque < Torque<>{})
        e.wrong("friction", "friction alone is more than the motor's torque at run current",
                "leave friction out, or give less of it");
    m.settings.load_speed = speed;
    m.settings.run_current = run;
    m.settings.rated = rated;
}

void read_own_numbers(Entry& e, Motor<>& m) {
    m.winding = e.resistance("resistance", from_si<Resistance<>>(1.0));
    m.constant = e.needed<MotorConstant<>>("constant", "constant = \"0.025 V s\"");
    m.load_torque = e.value<Torque<>>("load_torque", Torque<>{}, Range::not_negative);
    m.settings.load_speed = e.value<Speed<>>("load_speed", from_si<Speed<>>(100.0));
    if (e.has("load_torque") && !e.has("load_speed") && m.settings.law != LoadLaw::constant)
        e.missing("load_speed", "load_speed = \"3400 rpm\"");
    m.settings.run_current = (m.load_torque + m.friction) / m.constant;
    m.settings.rated = e.value<Voltage<>>("rated", Voltage<>{});
}

} // namespace

Motor<> read_motor(Entry& e) {
    Motor<> m;
    m.settings.law = read_law(e);
    m.brush_drop = e.value<Voltage<>>("brush_drop", Voltage<>{}, Range::not_negative);
    m.friction = e.value<Torque<>>("friction", Torque<>{}, Range::not_negative);
    m.drag = e.value<ViscousDrag<>>("drag", ViscousDrag<>{}, Range::not_negative);
    m.settings.bars = e.count("bars", 2, 1000, 0);

    const bool own = e.has("resistance") || e.has("constant");
    if (own && (e.has("run_current") || e.has("stall_current")))
        e.wrong(e.has("run_current") ? "run_current" : "stall_current",
                "the motor is told both by nameplate and by its own numbers",
                "keep rated, run_current, stall_current and run_speed, or resistance and constant");
    if (own)
        read_own_numbers(e, m);
    else
        read_nameplate(e, m);

    // At most half the run current, so that the full drop stands at every working point.
    m.settings.brush_knee =
        std::min(m.brush_drop / m.winding, std::max(0.5 * m.settings.run_current, from_si<Current<>>(1e-3)));
    // When not told: an electrical time constant of 2 ms and a mechanical one (J·R/k²) of 60 ms. Measured
    // small motors lie at 47 … 82 ms (solver/reference/SOURCES.md, measured machines).
    m.inductance =
        e.value<Inductance<>>("inductance", from_si<Inductance<>>(0.002 * si(m.winding)), Range::positive);
    const double k = si(m.constant);
    m.inertia =
        e.value<Inertia<>>("inertia", from_si<Inertia<>>(0.060 * k * k / si(m.winding)), Range::positive);
    return m;
}

} // namespace lostvolts

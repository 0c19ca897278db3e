// Circuits put together in a test: named points appear as they are used, every switch is closed in the one
// state.
#pragma once

#include <string>
#include <string_view>

#include "solver/network/network.h"

namespace lostvolts::testing {

struct Builder {
    Circuit circuit;

    Builder() {
        circuit.states.push_back(
            {.name = "run", .closed = {}, .locked = {}, .bridged = {}, .removed = {}, .place = {}});
    }

    PointId point(std::string_view name) {
        for (std::size_t p = 0; p < circuit.points.size(); ++p)
            if (circuit.points[p].name == name) return static_cast<PointId>(p);
        circuit.points.push_back({.name = std::string(name), .note = {}});
        if (circuit.ground == none) circuit.ground = 0;
        return static_cast<PointId>(circuit.points.size() - 1);
    }

    PartId add(AnyPart law, std::string_view from, std::string_view to, std::string name = "") {
        Part part;
        part.name =
            name.empty() ? std::string("part ") += std::to_string(circuit.parts.size()) : std::move(name);
        part.law = std::move(law);
        part.from = point(from);
        part.to = point(to);
        circuit.parts.push_back(std::move(part));
        const auto id = static_cast<PartId>(circuit.parts.size() - 1);
        if (std::holds_alternative<Switch<>>(circuit.parts.back().law))
            circuit.states.front().closed.push_back(id);
        return id;
    }

    PartId add_relay(Relay<> law, std::string_view from, std::string_view to, std::string_view coil_from,
                     std::string_view coil_to, std::string name = "relay") {
        const PartId id = add(law, from, to, std::move(name));
        circuit.parts.back().coil_from = point(coil_from);
        circuit.parts.back().coil_to = point(coil_to);
        return id;
    }

    Network network() const { return analyse(std::make_shared<const Circuit>(circuit)); }
};

inline Battery<> battery(double volts, double ohms) {
    Battery<> b;
    b.emf = from_si<Voltage<>>(volts);
    b.resistance = from_si<Resistance<>>(ohms);
    return b;
}

template <class Conductor> Conductor conductor(double ohms) {
    Conductor c;
    c.resistance = from_si<Resistance<>>(ohms);
    return c;
}
inline Resistor<> resistor(double ohms) { return conductor<Resistor<>>(ohms); }
inline Wire<> wire(double ohms) { return conductor<Wire<>>(ohms); }

/// A motor by its nameplate, as the file's reader makes it.
inline Motor<> nameplate_motor(double volts, double run_amps, double stall_amps, double rpm, LoadLaw law) {
    Motor<> m;
    m.winding = from_si<Resistance<>>(volts / stall_amps);
    const double speed = rpm * 2 * 3.14159265358979323846 / 60;
    m.constant = from_si<MotorConstant<>>((volts - volts / stall_amps * run_amps) / speed);
    m.load_torque = m.constant * from_si<Current<>>(run_amps);
    m.settings.load_speed = from_si<Speed<>>(speed);
    m.settings.run_current = from_si<Current<>>(run_amps);
    m.settings.law = law;
    m.inductance = from_si<Inductance<>>(1e-3);
    m.inertia = from_si<Inertia<>>(1e-4);
    return m;
}

} // namespace lostvolts::testing

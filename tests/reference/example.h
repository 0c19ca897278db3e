// A published example, written as a circuit file's text and taken the whole way: reader, network, prediction.
#pragma once

#include <doctest/doctest.h>

#include <numbers>
#include <string>
#include <vector>

#include "solver/circuit/read.h"
#include "solver/network/predict.h"

namespace lostvolts::reference_tests {

inline constexpr double rpm = 2 * std::numbers::pi / 60;

/// One [[part]]; `keys` are further lines, each `key = "value"`.
inline std::string part(const std::string& name, const std::string& kind, const std::string& from,
                        const std::string& to, const std::string& keys) {
    return "[[part]]\nname = \"" + name + "\"\nkind = \"" + kind + "\"\nfrom = \"" + from + "\"\nto = \"" +
           to + "\"\n" + keys + "\n";
}

/// A supply without resistance of its own: "0 ohm" is taken as ten micro-ohms.
inline std::string supply(const std::string& emf, const std::string& from = "0",
                          const std::string& to = "+") {
    return part("supply " + to, "battery", from, to, "emf = \"" + emf + "\"\nresistance = \"0 ohm\"");
}
inline std::string resistor(const std::string& name, const std::string& from, const std::string& to,
                            const std::string& ohms) {
    return part(name, "resistor", from, to, "resistance = \"" + ohms + "\"");
}

/// The states "run" and, with the rotor of the motor "m" held, "stall".
inline const std::string run_and_stall =
    "[[state]]\nname = \"run\"\n[[state]]\nname = \"stall\"\nlocked = [\"m\"]\n";

/// The text of a circuit with these parts; its ground is the point "0".
inline std::string circuit_text(const std::string& parts) {
    return "format = 1\nname = \"example\"\nground = \"0\"\n" + parts;
}

inline Circuit circuit_of(const std::string& parts) {
    const auto read = read_circuit_text(circuit_text(parts), "example.toml");
    for (const Problem& p : read.problems()) MESSAGE(describe(p));
    REQUIRE(read);
    return *read;
}

struct Solved {
    Circuit circuit;
    std::vector<StatePrediction> states;

    const PartResult& part(const std::string& name, std::size_t state = 0) const {
        return states[state].parts[static_cast<std::size_t>(find_part(circuit, name))];
    }
    double amps(const std::string& name, std::size_t state = 0) const {
        return si(part(name, state).current);
    }
    double volts(const std::string& point, std::size_t state = 0) const {
        return si(*states[state].points[static_cast<std::size_t>(find_point(circuit, point))]);
    }
    const MotorResult& motor(std::size_t state = 0) const { return states[state].motors.front(); }
    double motor_amps(std::size_t state = 0) const { return si(motor(state).current); }
    double motor_rpm(std::size_t state = 0) const { return si(motor(state).speed) / rpm; }
};

inline Solved solved(const std::string& parts) {
    const Circuit circuit = circuit_of(parts);
    const auto states = predict(analyse(std::make_shared<const Circuit>(circuit)));
    for (const Problem& p : states.problems()) MESSAGE(describe(p));
    REQUIRE(states);
    return {circuit, *states};
}

} // namespace lostvolts::reference_tests

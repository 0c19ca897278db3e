// A circuit with its working point, for tests that ask it by name.
#pragma once

#include <doctest/doctest.h>

#include "solver/network/operate.h"
#include "tests/network/builder.h"

namespace lostvolts::testing {

struct Worked {
    Network network;
    Setup setup;
    Workspace work;
    Operating at;
    std::optional<Problem> problem;

    explicit Worked(const Builder& b, const std::vector<Fault>& faults = {})
        : Worked(std::make_shared<const Circuit>(b.circuit), faults) {}
    explicit Worked(std::shared_ptr<const Circuit> circuit, const std::vector<Fault>& faults = {})
        : network(analyse(std::move(circuit))), setup(set_up(network, 0, faults)),
          problem(operate(network, setup, work, at)) {}

    double volts(std::string_view point) const {
        return at.volts(network, find_point(*network.circuit, point));
    }
    double amps(PartId p) const { return at.branch_amps[static_cast<std::size_t>(p)]; }
    double coil_amps(PartId p) const {
        return at.branch_amps[static_cast<std::size_t>(network.coil_branch[static_cast<std::size_t>(p)])];
    }
    double speed(PartId p) const { return at.own[static_cast<std::size_t>(p)][1]; }
};

inline Relay<> relay() {
    Relay<> r;
    r.contact = from_si<Resistance<>>(3e-3);
    r.coil = from_si<Resistance<>>(85.0);
    return r;
}

} // namespace lostvolts::testing

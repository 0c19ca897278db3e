#include "solver/network/relays.h"

#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace lostvolts {

std::vector<PartId> move_relays(const Network& network, Setup& setup, const Operating& at) {
    std::vector<PartId> moved;
    for (std::size_t p = 0; p < setup.parts.size(); ++p) {
        const int coil = network.coil_branch[p];
        if (coil == none || setup.held[p] || setup.link[p] != Link::part) continue;
        auto& relay = std::get<Relay<>>(setup.parts[p]);
        const double amps = std::abs(at.branch_amps[static_cast<std::size_t>(coil)]);
        const double volts = amps * si(relay.coil); // what the winding itself gets
        const bool close = relay.settings.closed ? volts >= si(relay.settings.drop_out)
                                                 : volts >= si(relay.settings.pull_in);
        if (close == relay.settings.closed) continue;
        relay.settings.closed = close;
        moved.push_back(static_cast<PartId>(p));
    }
    return moved;
}

Problem chattering(const Network& network, const Setup& setup, const std::vector<PartId>& moving) {
    const Circuit& c = *network.circuit;
    std::vector<std::string> names;
    names.reserve(moving.size());
    for (const PartId p : moving)
        names.push_back(fmt::format("\"{}\"", c.parts[static_cast<std::size_t>(p)].name));
    const bool one = names.size() == 1;
    return {c.file, c.parts[static_cast<std::size_t>(moving.front())].place,
            fmt::format("state \"{}\": relay {} {}", c.states[static_cast<std::size_t>(setup.state)].name,
                        fmt::join(names, " and relay "),
                        one ? "chatters: closed, it takes away its own coil's voltage; open, it gets it back"
                            : "chatter: closed, they take away their coils' voltage; open, they get it back"),
            one ? "check where its coil is fed from, or hold it with closed = [...] in the state"
                : "check where their coils are fed from, or hold one with closed = [...] in the state",
            ""};
}

} // namespace lostvolts

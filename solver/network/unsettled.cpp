#include "solver/network/unsettled.h"

#include <cmath>

#include <fmt/format.h>

namespace lostvolts {

Problem no_working_point(const Network& network, const Setup& setup, const Workspace& work) {
    const Circuit& c = *network.circuit;
    int worst = work.curved.empty() ? 0 : work.curved.front();
    for (const int p : work.curved)
        if (std::abs(work.lines[static_cast<std::size_t>(p)].amps) >
            std::abs(work.lines[static_cast<std::size_t>(worst)].amps))
            worst = p;
    const Part& part = c.parts[static_cast<std::size_t>(worst)];
    return {c.file, part.place,
            fmt::format("state \"{}\": no working point was found; {} \"{}\" does not come to rest",
                        c.states[static_cast<std::size_t>(setup.state)].name, kind_of(part.law), part.name),
            "check its numbers, and that something in its path limits the current", ""};
}

} // namespace lostvolts

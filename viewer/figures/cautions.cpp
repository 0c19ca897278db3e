#include "viewer/figures/cautions.h"

#include <algorithm>

namespace lostvolts {
namespace {

template <class... Kinds> bool has(const Circuit& circuit) {
    return std::any_of(circuit.parts.begin(), circuit.parts.end(),
                       [](const Part& part) { return (std::holds_alternative<Kinds>(part.law) || ...); });
}

} // namespace

std::vector<std::string> cautions(const Circuit& circuit) {
    std::vector<std::string> all;
    all.emplace_back(
        "Fuel vapour, and the hydrogen of a charging battery, explode. Ventilate and wait before "
        "you make or break a live connection; on a petrol boat run the blower first.");
    all.emplace_back(
        "Before you take a joint apart: disconnect the battery's ground lead first, insulate it, "
        "and connect it last. Rings and watches off: a shorted 12 V lead glows within seconds.");
    if (has<Motor<>>(circuit))
        all.emplace_back(
            "A motor may start when a bad joint moves: keep hands, hair and tools clear. Hold a "
            "stall test to one or two seconds; windings, cables and joints may be hot after it.");
    else if (has<Lamp<>, Heater<>, Solenoid<>, Resistor<>>(circuit))
        all.emplace_back("Loads, cables and bad joints may be hot enough to burn; let them cool.");
    all.emplace_back(
        "Jump only with a fused lead. Never fit a bigger fuse, foil or wire: find out why it blew.");
    all.emplace_back(
        "Keep meter and lamp off airbag and belt-tensioner circuits and off high-voltage (orange) "
        "cables.");
    all.emplace_back("The maker's procedures, local codes and licensed practice come first. This answer is "
                     "reckoned from a drawing and from readings; it has not seen the machine.");
    return all;
}

std::string_view sizing_deference() {
    return "These sizes are reckoned from a drawing and from tables, some of them from memory. The code "
           "and the maker's instructions that apply to the machine come first, and a qualified person "
           "checks routing, terminals, support and protection and signs.";
}

} // namespace lostvolts

#include "viewer/command/predict_text.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "solver/units/text.h"
#include "viewer/command/style.h"
#include "viewer/command/table.h"
#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

/// How the part stands in this state, in a word; empty for one that simply carries its current.
std::string standing(const Circuit& c, const StatePrediction& s, const PartResult& r) {
    const Part& part = c.parts[static_cast<std::size_t>(r.part)];
    const State& state = c.states[static_cast<std::size_t>(s.state)];
    if (holds(state.removed, r.part)) return "taken out";
    if (holds(state.bridged, r.part)) return "bridged";
    if (!r.in_circuit) return "open";
    if (holds(state.locked, r.part)) return "held still";
    if (std::holds_alternative<Relay<>>(part.law)) return holds(s.relays_closed, r.part) ? "closed" : "open";
    if (std::holds_alternative<Switch<>>(part.law)) return holds(state.closed, r.part) ? "" : "open";
    if (is_source(part.law))
        return std::abs(si(r.current)) < 1e-6 ? "at rest"
               : r.power > Power<>{}          ? "is being charged"
                                              : "gives";
    return {};
}

std::string findings(const Circuit& c, const StatePrediction& s, const PartResult& r) {
    std::string text = standing(c, s, r);
    const auto add = [&](const std::string& more) { text += (text.empty() ? "" : ", ") + more; };
    if (r.over_limit) add(alarm("over"));
    if (holds(s.overloaded_fuses, r.part)) add(alarm("more than its rating"));
    return text;
}

std::string part_table(const Circuit& c, const StatePrediction& s, int columns) {
    Table table;
    table.columns = {{"part", false, true, 0}, {"kind", false, false, 3}, {"current", true, false, 0},
                     {"drop", true, false, 0}, {"limit", true, false, 2}, {"", false, true, 0}};
    for (const PartResult& r : s.parts) {
        const Part& part = c.parts[static_cast<std::size_t>(r.part)];
        // A source gives its volts and current; neither is lost, so neither is shown with a minus.
        const bool source = is_source(part.law);
        const Voltage<> v = source && r.drop < Voltage<>{} ? -r.drop : r.drop;
        const bool gone = !r.in_circuit;
        table.add({part.name, std::string(kind_of(part.law)), gone ? "—" : amperes(r.current), drop(v),
                   r.limit ? drop(*r.limit) : "", findings(c, s, r)});
    }
    return draw(table, columns);
}

std::string point_table(const Circuit& c, const StatePrediction& s, int columns) {
    Table table;
    table.columns = {{"point", false, true, 0}, {"against ground", true, false, 0}};
    for (std::size_t p = 0; p < s.points.size(); ++p)
        table.add({c.points[p].name, s.points[p] ? volts(*s.points[p]) : "floats"});
    return draw(table, columns);
}

} // namespace

std::vector<std::string> load_lines(const Circuit& c, const StatePrediction& s) {
    std::vector<std::string> lines;
    const auto name = [&](PartId p) { return said(c.parts[static_cast<std::size_t>(p)]); };
    for (const LoadResult& l : s.loads) {
        if (holds(s.off, l.part)) continue;
        lines.push_back(fmt::format("{} reaches {}; {} is lost on the way (limit {}){}", volts(l.across),
                                    name(l.part), volts(l.lost), volts(l.limit),
                                    l.over_limit ? ": " + alarm("over") : ""));
    }
    for (const MotorResult& m : s.motors) {
        if (std::abs(si(m.current)) < 1e-6 || holds(s.off, m.part)) continue;
        const bool held = holds(c.states[static_cast<std::size_t>(s.state)].locked, m.part);
        lines.push_back(fmt::format("{} {}, draws {} and gives {}", name(m.part),
                                    held ? "is held still" : "turns at " + show(m.speed, 3),
                                    amperes(m.current), show(m.torque, 3)));
    }
    return lines;
}

std::string predict_text(const Circuit& c, const StatePrediction& s, int columns) {
    std::string text = strong(c.states[static_cast<std::size_t>(s.state)].name) + '\n';
    const auto line = [&](const std::string& words) { text += wrapped(words, columns, 2, 4) + '\n'; };
    const std::vector<std::string> loads = load_lines(c, s);
    for (const std::string& words : loads) line(words);
    if (loads.empty()) line("no load carries current");
    for (const PartId p : s.overloaded_fuses)
        line(alarm("caution: ") +
             fmt::format(
                 "{} carries {}, more than its rating: it will open. Find out why; don't fit a bigger one",
                 said(c.parts[static_cast<std::size_t>(p)]),
                 amperes(s.parts[static_cast<std::size_t>(p)].current)));
    return text + '\n' + part_table(c, s, columns) + '\n' + point_table(c, s, columns);
}

} // namespace lostvolts

#include "viewer/command/inrush_text.h"

#include <algorithm>
#include <iterator>
#include <numbers>

#include <fmt/format.h>

#include "solver/circuit/names.h"
#include "solver/units/lines.h"
#include "viewer/command/problems.h"
#include "viewer/command/style.h"
#include "viewer/command/table.h"
#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

InrushColumn volts_column(const Circuit& c, PointId red, PointId black) {
    return {{ProbeKind::voltage, red, black, none, 10e6},
            fmt::format("volts, {} to {}", point_name(c, red), point_name(c, black)),
            "V"};
}
InrushColumn amps_column(const Circuit& c, PartId part) {
    return {{ProbeKind::current, none, none, part, 10e6}, "amps, " + part_name(c, part), "A"};
}
InrushColumn speed_column(const Circuit& c, PartId part) {
    return {{ProbeKind::speed, none, none, part, 10e6}, "speed, " + part_name(c, part), "rpm"};
}

Problem no_probe(const Circuit& c, std::string what) {
    return {c.file,
            {},
            std::move(what),
            "write a probe as \"A: rinse pump\", \"V: pump + / pump -\" or \"rpm: rinse pump\"",
            ""};
}

/// Two points with / between; a point's own name may hold a stroke.
Result<InrushColumn> read_volts(const Circuit& c, std::string_view words) {
    if (const PointId p = find_point(c, words); p != none) return volts_column(c, p, c.ground);
    for (std::size_t at = words.find('/'); at != words.npos; at = words.find('/', at + 1)) {
        const PointId red = find_point(c, trimmed(words.substr(0, at)));
        const PointId black = find_point(c, trimmed(words.substr(at + 1)));
        if (red != none && black != none) return volts_column(c, red, black);
    }
    const std::size_t cut = words.find('/');
    const auto red = trimmed(words.substr(0, cut));
    if (find_point(c, red) == none)
        return unknown_name("point", std::string(red), names_of(c.points), c.file);
    return unknown_name("point", std::string(trimmed(words.substr(cut + 1))), names_of(c.points), c.file);
}

std::string csv_field(const std::string& text) {
    std::string quoted = "\"";
    for (const char ch : text) {
        if (ch == '"') quoted += '"';
        quoted += ch;
    }
    return quoted + '"';
}

std::string seconds(Time<> t) { return show(t, 4); }

std::string verdict(const FuseHeat& f) {
    if (f.opens_latest)
        return fmt::format("opens, between {} and {}", seconds(*f.opens_earliest), seconds(*f.opens_latest));
    if (f.opens_earliest) return fmt::format("may open, from {} on", seconds(*f.opens_earliest));
    if (f.shortest_share < 0.005) return "holds";
    return fmt::format("holds; {} of the way to its shortest operating time", percent(f.shortest_share));
}

} // namespace

Result<InrushColumn> read_probe(const Circuit& c, std::string_view words) {
    const std::size_t colon = words.find(':');
    if (colon == words.npos)
        return no_probe(c, fmt::format("the probe \"{}\" doesn't say what it reads", words));
    const auto kind = trimmed(words.substr(0, colon)), what = trimmed(words.substr(colon + 1));
    if (kind == "V") return read_volts(c, what);
    if (kind != "A" && kind != "rpm")
        return no_probe(c, fmt::format("a probe reads V, A or rpm, not \"{}\"", kind));
    const PartId part = find_part(c, what);
    if (part == none) return unknown_name("part", std::string(what), names_of(c.parts), c.file);
    if (kind == "A") return amps_column(c, part);
    if (!std::holds_alternative<Motor<>>(c.parts[static_cast<std::size_t>(part)].law))
        return no_probe(c, fmt::format("{} has no speed", said(c.parts[static_cast<std::size_t>(part)])));
    return speed_column(c, part);
}

std::vector<InrushColumn> usual_probes(const Circuit& c) {
    std::vector<InrushColumn> columns;
    const auto parts = static_cast<PartId>(c.parts.size());
    const auto law = [&](PartId p) -> const AnyPart& { return c.parts[static_cast<std::size_t>(p)].law; };
    for (PartId p = 0; p < parts; ++p)
        if (std::holds_alternative<Battery<>>(law(p))) {
            const Part& part = c.parts[static_cast<std::size_t>(p)];
            columns.push_back(volts_column(c, part.to, part.from));
            break;
        }
    const std::size_t before = columns.size();
    for (PartId p = 0; p < parts; ++p)
        if (std::holds_alternative<Motor<>>(law(p))) columns.push_back(amps_column(c, p));
    if (columns.size() > before) return columns;
    for (PartId p = 0; p < parts; ++p)
        if (std::holds_alternative<Lamp<>>(law(p)) || std::holds_alternative<Heater<>>(law(p)) ||
            std::holds_alternative<Electronic<>>(law(p)) || std::holds_alternative<Solenoid<>>(law(p)) ||
            std::holds_alternative<Resistor<>>(law(p)) || std::holds_alternative<Capacitor<>>(law(p)))
            columns.push_back(amps_column(c, p));
    return columns;
}

std::string inrush_csv(const SpinUp& run, const std::vector<InrushColumn>& columns) {
    fmt::memory_buffer out;
    const auto end = std::back_inserter(out);
    fmt::format_to(end, "time");
    for (const InrushColumn& c : columns) fmt::format_to(end, ",{}", csv_field(c.name));
    fmt::format_to(end, "\ns");
    for (const InrushColumn& c : columns) fmt::format_to(end, ",{}", c.unit);
    for (std::size_t k = 0; k < run.seconds.size(); ++k) {
        fmt::format_to(end, "\n{:.10g}", run.seconds[k]);
        for (std::size_t c = 0; c < columns.size(); ++c) {
            const double value = run.columns[c][k];
            fmt::format_to(end, ",{:.7g}",
                           columns[c].probe.kind == ProbeKind::speed ? value * rpm_per_si : value);
        }
    }
    out.push_back('\n');
    return fmt::to_string(out);
}

int bounces_of(const SpinUp& run) {
    int opens = 0;
    std::vector<PartId> closed;
    for (std::size_t k = 0; k < run.events.size(); ++k) {
        if (run.events[k].what != Happening::opens) continue;
        opens += std::any_of(run.events.begin() + static_cast<std::ptrdiff_t>(k), run.events.end(),
                             [&](const Event& later) {
                                 return later.part == run.events[k].part && later.what == Happening::closes;
                             });
    }
    return opens;
}

bool fuse_may_open(const SpinUp& run) {
    return std::any_of(run.fuses.begin(), run.fuses.end(),
                       [](const FuseHeat& f) { return f.opens_earliest.has_value(); });
}

std::string inrush_text(const Circuit& c, const SpinUp& run, int columns) {
    std::string text;
    Table motors{{{"motor", false, true},
                  {"peak", true},
                  {"at", true, false, 3},
                  {"run", true},
                  {"speed", true, false, 1},
                  {"95 % after", true, false, 2}},
                 {}};
    for (const MotorStart& m : run.motors)
        motors.add({part_name(c, m.part), amperes(m.peak), seconds(m.peak_at), amperes(m.run),
                    show(m.speed, 4), m.to_95_percent ? seconds(*m.to_95_percent) : "—"});
    if (!motors.rows.empty()) text += draw(motors, columns) + '\n';
    Table sources{{{"source", false, true}, {"lowest", true}, {"at", true}}, {}};
    for (const SupplyDip& s : run.supplies)
        sources.add({part_name(c, s.part), volts(s.lowest), seconds(s.at)});
    if (!sources.rows.empty()) text += draw(sources, columns) + '\n';
    Table fuses{{{"fuse", false, true}, {"peak", true}, {"", false, true}}, {}};
    for (const FuseHeat& f : run.fuses) {
        const std::string words = verdict(f);
        fuses.add({part_name(c, f.part), amperes(f.peak), f.opens_earliest ? alarm(words) : words});
    }
    if (!fuses.rows.empty()) text += draw(fuses, columns) + '\n';
    Table events{{{"at", true}, {"part", false, true}, {""}}, {}};
    for (const Event& e : run.events)
        events.add({seconds(e.at), e.part == none ? "" : part_name(c, e.part), std::string(name_of(e.what))});
    if (!events.rows.empty()) text += draw(events, columns) + '\n';
    text += wrapped(fmt::format("{} bounces. Energy: {} given, {} heat, {} work, {} stored.", bounces_of(run),
                                show(run.energy.given), show(run.energy.heat), show(run.energy.work),
                                show(run.energy.stored)),
                    columns) +
            '\n';
    return text;
}

Json json_of(const Circuit& c, const SpinUp& run) {
    const auto time = [](const std::optional<Time<>>& t) { return t ? Json(si(*t)) : Json(); };
    Json events = Json::array(), motors = Json::array(), supplies = Json::array(), fuses = Json::array();
    for (const Event& e : run.events)
        events.push_back({{"at_s", si(e.at)},
                          {"part", e.part == none ? Json() : Json(part_name(c, e.part))},
                          {"what", name_of(e.what)}});
    for (const MotorStart& m : run.motors)
        motors.push_back({{"name", part_name(c, m.part)},
                          {"peak_current_A", si(m.peak)},
                          {"peak_s", si(m.peak_at)},
                          {"run_current_A", si(m.run)},
                          {"speed_rpm", si(m.speed) * rpm_per_si},
                          {"to_95_percent_s", time(m.to_95_percent)}});
    for (const SupplyDip& s : run.supplies)
        supplies.push_back({{"name", part_name(c, s.part)}, {"lowest_V", si(s.lowest)}, {"at_s", si(s.at)}});
    for (const FuseHeat& f : run.fuses)
        fuses.push_back({{"name", part_name(c, f.part)},
                         {"peak_current_A", si(f.peak)},
                         {"shortest_share", f.shortest_share},
                         {"longest_share", f.longest_share},
                         {"opens_earliest_s", time(f.opens_earliest)},
                         {"opens_latest_s", time(f.opens_latest)}});
    const EnergyAccount& e = run.energy;
    return {{"motors", motors},
            {"supplies", supplies},
            {"fuses", fuses},
            {"events", events},
            {"bounces", bounces_of(run)},
            {"energy_J",
             {{"given", si(e.given)},
              {"heat", si(e.heat)},
              {"work", si(e.work)},
              {"stored", si(e.stored)},
              {"leftover", si(e.leftover)}}},
            {"samples", run.seconds.size()},
            {"steps", run.steps},
            {"rejected", run.rejected},
            {"bars", run.bars}};
}

} // namespace lostvolts

// The tables that speak about parts: points and their access, states, conditions, limits.
#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "solver/circuit/circuit_reader.h"

namespace lostvolts {
namespace {

using Kind = TomlValue::Kind;

const Part& part_at(const CircuitReader& r, PartId id) {
    return r.circuit.parts[static_cast<std::size_t>(id)];
}
bool understood(const CircuitReader& r, PartId id) { return r.understood[static_cast<std::size_t>(id)] != 0; }

/// "a wire", "an electronic".
std::string with_article(std::string_view kind) {
    const bool vowel = !kind.empty() && std::string_view("aeiou").find(kind[0]) != std::string_view::npos;
    return fmt::format("{} {}", vowel ? "an" : "a", kind);
}

/// A table with a name of its own, such as [[state]]; `what` is the kind and the sort.
Entry named_entry(CircuitReader& r, const TomlValue& table, std::string what, std::size_t number,
                  std::string_view example, Names* names) {
    Entry e = entry_of(table, r.file, fmt::format("{} {}", what, number));
    const auto name = e.needed_text("name", example);
    if (name) e.kind = std::move(what), e.name = *name;
    if (names)
        if (auto problem =
                names->add_new(name.value_or(fmt::format("({})", number)), e.place_of("name"), r.file))
            e.problems.push_back(*problem);
    e.text("note");
    e.text("notes");
    return e;
}

/// How a list of a state fits a kind of part: empty when it does.
struct Fit {
    std::string what, write;
};

Fit fits_closed(const Part& part) {
    if (std::holds_alternative<Switch<>>(part.law) || std::holds_alternative<Relay<>>(part.law)) return {};
    if (std::holds_alternative<Breaker<>>(part.law))
        return {"is a breaker, which is always closed",
                "leave it out here, and list it under removed in the states where it is open"};
    return {fmt::format("is {}, and only a switch or a relay can be closed", with_article(kind_of(part.law))),
            "leave it out here"};
}

Fit fits_locked(const Part& part) {
    if (std::holds_alternative<Motor<>>(part.law)) return {};
    return {fmt::format("is {}, and only a motor's rotor can be locked", with_article(kind_of(part.law))),
            "leave it out here"};
}

Fit fits_bridged(const Part& part) {
    const bool source =
        std::holds_alternative<Battery<>>(part.law) || std::holds_alternative<Charger<>>(part.law);
    if (!source) return {};
    return {fmt::format("is {}: a jumper across it would be a dead short", with_article(kind_of(part.law))),
            "bridge a switch, relay, fuse, connector, wire or ground"};
}

Fit fits_removed(const Part&) { return {}; }

std::vector<PartId> read_part_list(CircuitReader& r, Entry& e, const TomlValue& table, std::string_view key,
                                   Fit (*fit)(const Part&)) {
    std::vector<PartId> ids;
    e.taken(key);
    const TomlValue* list = table.find(key);
    if (!list) return ids;
    const std::string head = fmt::format("{}: {}", e.subject(), key);
    const auto problem = [&](Place place, std::string what, std::string write) {
        e.problems.push_back({r.file, place, fmt::format("{} {}", head, what), std::move(write), ""});
    };
    if (list->kind == Kind::text) {
        problem(list->place, "is one name, where a list is wanted",
                fmt::format("{} = [\"{}\"]", key, list->text));
        return ids;
    }
    if (list->kind != Kind::list) {
        problem(list->place, "is not a list of names", fmt::format("{} = [\"pump switch\"]", key));
        return ids;
    }
    for (const TomlValue& item : list->items) {
        if (item.kind != Kind::text) {
            problem(item.place, "has something in it that is not a name", "write each name in quotes");
            continue;
        }
        const PartId id = r.parts.find(item.text);
        if (id == none) {
            problem(item.place, fmt::format("names a part \"{}\" that does not exist", item.text),
                    r.parts.advice(item.text));
        } else if (Fit f = understood(r, id) ? fit(part_at(r, id)) : Fit{}; !f.what.empty()) {
            problem(item.place, fmt::format("can't have \"{}\" in it: it {}", item.text, f.what), f.write);
        } else {
            ids.push_back(id);
        }
    }
    std::vector<PartId> sorted = ids;
    std::sort(sorted.begin(), sorted.end());
    if (const auto twice = std::adjacent_find(sorted.begin(), sorted.end()); twice != sorted.end())
        problem(list->place, fmt::format("names \"{}\" twice", part_at(r, *twice).name), "keep one of them");
    return ids;
}

/// A part can't be in two of a state's lists that exclude each other.
void say_both(const CircuitReader& r, Entry& e, const std::vector<PartId>& a, std::string_view as,
              const std::vector<PartId>& b, std::string_view bs) {
    std::vector<PartId> left = a, right = b, both;
    std::sort(left.begin(), left.end());
    std::sort(right.begin(), right.end());
    std::set_intersection(left.begin(), left.end(), right.begin(), right.end(), std::back_inserter(both));
    for (const PartId id : both)
        e.wrong(bs, fmt::format("\"{}\" is both {} and {}", part_at(r, id).name, as, bs),
                "keep it in one of the two lists, or make two states of it");
}

State usual_state(const Circuit& circuit) {
    State run;
    run.name = "run";
    for (std::size_t p = 0; p < circuit.parts.size(); ++p)
        if (std::holds_alternative<Switch<>>(circuit.parts[p].law))
            run.closed.push_back(static_cast<PartId>(p));
    return run;
}

std::string example_size(FaultKind kind) {
    if (kind == FaultKind::short_to_ground) return "value = \"0.5 ohm\"";
    return size_of(kind) == FaultSize::ohms ? "value = \"180 mohm\"" : "value = \"30 %\"";
}

/// The most that a share can be: a charge or the load that is left can't be above 100 %, and of its field or
/// its turns a motor can't lose all.
bool share_in_range(FaultKind kind, double share) {
    if (kind == FaultKind::dragging) return true;
    if (kind == FaultKind::weak_field || kind == FaultKind::shorted_winding) return share < 1;
    return share <= 1;
}

double read_fault_size(Entry& e, FaultKind kind) {
    const std::string example = example_size(kind);
    switch (size_of(kind)) {
    case FaultSize::none:
        if (e.has("value")) {
            e.taken("value");
            e.wrong("value", fmt::format("a fault \"{}\" has no size", name_of(kind)), "leave value out");
        }
        return 0;
    case FaultSize::ohms:
        return si(e.needed<Resistance<>>("value", example));
    case FaultSize::share:
        break;
    }
    if (!e.has("value")) e.missing("value", example);
    const double share = si(e.value<Ratio<>>("value", from_si<Ratio<>>(0.3), Range::not_negative));
    if (!share_in_range(kind, share))
        e.wrong("value", fmt::format("\"{}\" of {:.4g} % can't be", name_of(kind), share * 100), example);
    return share;
}

std::optional<Fault> read_fault(CircuitReader& r, const TomlValue& table, const std::string& subject) {
    Entry e = entry_of(table, r.file, subject + ": fault");
    Fault fault;
    if (const auto part = e.needed_text("part", "part = \"pump ground\"")) {
        fault.part = r.parts.find(*part);
        if (fault.part == none)
            e.wrong("part", fmt::format("there is no part \"{}\"", *part), r.parts.advice(*part));
    }
    const auto kind_text = e.needed_text("kind", "kind = \"high resistance\"");
    const std::optional<FaultKind> kind = fault_kind(kind_text.value_or(""));
    std::vector<std::string_view> possible(fault_names().begin(), fault_names().end());
    const bool judged = fault.part != none && understood(r, fault.part);
    if (judged) {
        possible.clear();
        for (const FaultMode& mode : faults_of(part_at(r, fault.part).law))
            possible.push_back(name_of(mode.kind));
    }
    e.taken("value");
    if (kind_text && !kind) {
        const auto near = nearest(*kind_text, {possible.begin(), possible.end()});
        e.wrong("kind", fmt::format("there is no fault \"{}\"", *kind_text),
                near ? fmt::format("did you mean \"{}\"?", *near)
                     : fmt::format("it can be: {}", fmt::join(possible, ", ")));
    } else if (kind && judged && std::find(possible.begin(), possible.end(), *kind_text) == possible.end()) {
        e.wrong("kind",
                fmt::format("{} can't have \"{}\"", with_article(kind_of(part_at(r, fault.part).law)),
                            *kind_text),
                fmt::format("it can have: {}", fmt::join(possible, ", ")));
    } else if (kind) {
        fault.kind = *kind;
        fault.size = read_fault_size(e, *kind);
    }
    const bool right = e.problems.empty();
    r.finish(e);
    return right && fault.part != none ? std::optional(fault) : std::nullopt;
}

/// The largest voltage of the circuit's sources: what a limit in per cent is of.
Voltage<> source_voltage(const Circuit& circuit) {
    Voltage<> most{};
    for (const Part& part : circuit.parts) {
        if (const auto* battery = std::get_if<Battery<>>(&part.law)) most = std::max(most, battery->emf);
        if (const auto* charger = std::get_if<Charger<>>(&part.law))
            most = std::max(most, charger->regulated);
    }
    return most;
}

} // namespace

void read_points(CircuitReader& r, const TomlValue& root) {
    Names declared("point");
    const auto tables = tables_of(root, "point", r.file, r.problems);
    for (std::size_t k = 0; k < tables.size(); ++k) {
        Entry e = named_entry(r, *tables[k], "point", k + 1, "name = \"pump +\"", &declared);
        const Time<> access = e.value<Time<>>("access", Point{}.access, Range::not_negative);
        const PointId id = e.has("name") ? r.points.find(e.name) : none;
        if (id == none && e.has("name") && e.problems.empty())
            e.wrong("name", "no part touches this point", r.points.advice(e.name));
        if (id != none) {
            Point& point = r.circuit.points[static_cast<std::size_t>(id)];
            point.access = access;
            point.note = e.text("note").value_or("");
            point.declared = true;
        }
        r.finish(e);
    }
}

void read_states(CircuitReader& r, const TomlValue& root) {
    const auto tables = tables_of(root, "state", r.file, r.problems);
    for (std::size_t k = 0; k < tables.size(); ++k) {
        Entry e = named_entry(r, *tables[k], "state", k + 1, "name = \"run\"", &r.states);
        State state;
        state.name = e.name;
        state.place = e.place_of("name");
        state.closed = read_part_list(r, e, *tables[k], "closed", fits_closed);
        state.locked = read_part_list(r, e, *tables[k], "locked", fits_locked);
        state.bridged = read_part_list(r, e, *tables[k], "bridged", fits_bridged);
        state.removed = read_part_list(r, e, *tables[k], "removed", fits_removed);
        say_both(r, e, state.closed, "closed", state.removed, "removed");
        say_both(r, e, state.locked, "locked", state.bridged, "bridged");
        say_both(r, e, state.locked, "locked", state.removed, "removed");
        say_both(r, e, state.bridged, "bridged", state.removed, "removed");
        r.finish(e);
        r.circuit.states.push_back(std::move(state));
    }
    if (r.circuit.states.empty()) r.circuit.states.push_back(usual_state(r.circuit));
}

void read_conditions(CircuitReader& r, const TomlValue& root) {
    const auto tables = tables_of(root, "condition", r.file, r.problems);
    for (std::size_t k = 0; k < tables.size(); ++k) {
        Entry e =
            named_entry(r, *tables[k], "condition", k + 1, "name = \"corroded pump ground\"", &r.conditions);
        e.taken("fault");
        Condition condition{e.name, {}};
        const std::string example =
            "fault = [{ part = \"pump ground\", kind = \"high resistance\", value = \"180 mohm\" }]";
        const TomlValue* list = tables[k]->find("fault");
        const std::vector<TomlValue> no_items;
        if (!list) {
            e.missing("fault", example);
        } else if (list->kind == Kind::table) {
            if (const auto fault = read_fault(r, *list, e.subject())) condition.faults.push_back(*fault);
        } else if (list->kind != Kind::list || list->items.empty()) {
            e.wrong("fault", "fault is not a list of faults", example);
        } else {
            for (const TomlValue& item : list->items) {
                if (item.kind != Kind::table)
                    e.problems.push_back({r.file, item.place,
                                          fmt::format("{}: this is not a fault", e.subject()), example, ""});
                else if (const auto fault = read_fault(r, item, e.subject()))
                    condition.faults.push_back(*fault);
            }
        }
        r.finish(e);
        r.circuit.conditions.push_back(std::move(condition));
    }
}

void read_limits(CircuitReader& r, const TomlValue& root) {
    const TomlValue* table = root.find("limits");
    if (!table) return;
    if (table->kind != Kind::table) {
        r.problems.push_back(
            {r.file,
             table->kind == Kind::list && !table->items.empty() ? table->items[0].place : table->place,
             "limits is one table", "write [limits], with one bracket, once", ""});
        return;
    }
    Entry e = entry_of(*table, r.file, "limits");
    DropLimits& drops = r.circuit.limits.drops;
    const auto read = [&](std::string_view key, Voltage<>& limit) {
        const TomlValue* value = table->find(key);
        if (value && value->kind == Kind::text && value->text.find('%') != std::string::npos) {
            if (const auto share = e.maybe<Ratio<>>(key)) {
                if (si(*share) > 1)
                    e.wrong(key, fmt::format("{} is more than the source's voltage", key),
                            fmt::format("{} = \"3 %\"", key));
                limit = si(*share) * source_voltage(r.circuit);
            }
            return;
        }
        limit = e.value<Voltage<>>(key, limit);
    };
    read("connection", drops.connection);
    read("wire", drops.wire);
    read("contact", drops.contact);
    read("ground_path", drops.ground_path);
    read("fuse", drops.fuse);
    read("whole_loop", drops.whole_loop);
    drops.source = "the circuit's own [limits]";
    r.circuit.limits.told = true;
    r.finish(e);
}

} // namespace lostvolts

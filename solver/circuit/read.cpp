#include "solver/circuit/read.h"

#include <algorithm>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "solver/circuit/circuit_reader.h"

namespace lostvolts {
namespace {

/// The keys outside every table, and which tables there may be.
void read_head(CircuitReader& r, const TomlValue& root) {
    Entry e = entry_of(root, r.file, "circuit");
    e.place = {};
    if (!e.has("format"))
        e.missing("format", "format = 1");
    else if (e.count("format", 1, 1, 1); !e.problems.empty())
        e.problems.back().what = "circuit: this program reads format 1 only",
        e.problems.back().write = "format = 1";
    r.circuit.name = e.text("name").value_or(std::filesystem::path(r.file).stem().string());
    e.text("note");
    e.text("notes");
    e.text("ground"); // looked up once the points are known
    r.circuit.temperature = e.value("temperature", r.circuit.temperature);
    for (const char* table : {"part", "point", "state", "condition", "limits"}) e.taken(table);
    r.finish(e);
}

PointId read_end(CircuitReader& r, Entry& e, std::string_view key, std::string_view example) {
    const auto name = e.needed_text(key, example);
    if (!name) return none;
    const PointId point = r.points.find_or_add(*name, e.place_of(key));
    if (static_cast<std::size_t>(point) == r.circuit.points.size())
        r.circuit.points.emplace_back().name = *name;
    return point;
}

void read_law(CircuitReader& r, Entry& e, Part& part) {
    auto law = read_part(e);
    if (!law && !e.kind.empty()) {
        static const std::vector<std::string> kinds = part_kinds();
        const auto near = nearest(e.kind, kinds);
        const std::string list = fmt::format("the kinds are: {}", fmt::join(kinds, ", "));
        e.problems.push_back({e.file, e.place_of("kind"),
                              fmt::format("part \"{}\": there is no kind \"{}\"", part.name, e.kind),
                              near ? fmt::format("did you mean \"{}\"?", *near) : list, ""});
    }
    r.understood.push_back(law.has_value());
    if (law) part.law = *law;
    part.tolerance = e.tolerance();
}

void read_one_part(CircuitReader& r, const TomlValue& table, std::size_t number) {
    Part part;
    Entry e = entry_of(table, r.file, fmt::format("part {}", number));
    e.surroundings = r.circuit.temperature;
    const auto name = e.needed_text("name", "name = \"main feed\"");
    part.place = e.place_of("name");
    part.name = name.value_or(fmt::format("(part {})", number));
    e.name = name.value_or("");
    if (auto problem = r.parts.add_new(part.name, part.place, r.file)) e.problems.push_back(*problem);
    const std::string unsorted = name ? "part" : e.kind; // how messages call it while its kind is not known
    e.kind = unsorted;
    const auto kind = e.needed_text("kind", "kind = \"wire\"");
    e.text("note");
    e.text("notes");

    e.kind = kind.value_or("");
    read_law(r, e, part);
    const bool understood = r.understood.back();
    if (!understood) e.kind = unsorted;
    part.from = read_end(r, e, "from", "from = \"battery +\"");
    part.to = read_end(r, e, "to", "to = \"fuse bus\"");
    if (part.from != none && part.from == part.to)
        e.wrong("to", "both of its ends are at the same point", "give the point at its other end");
    if (understood && std::holds_alternative<Relay<>>(part.law)) {
        part.coil_from = read_end(r, e, "coil_from", "coil_from = \"relay 86\"");
        part.coil_to = read_end(r, e, "coil_to", "coil_to = \"relay 85\"");
        if (part.coil_from != none && part.coil_from == part.coil_to)
            e.wrong("coil_to", "both ends of its coil are at the same point", "give the coil's other end");
    }
    if (understood)
        r.finish(e);
    else // its keys can't be told from unknown ones
        r.problems.insert(r.problems.end(), e.problems.begin(), e.problems.end());
    r.circuit.parts.push_back(std::move(part));
}

void read_parts(CircuitReader& r, const TomlValue& root) {
    const std::size_t before = r.problems.size();
    const auto tables = tables_of(root, "part", r.file, r.problems);
    const bool all_there = r.problems.size() == before;
    r.circuit.parts.reserve(tables.size());
    for (std::size_t k = 0; k < tables.size(); ++k) read_one_part(r, *tables[k], k + 1);
    if (tables.empty()) {
        if (!root.find("part"))
            r.problems.push_back({r.file, {}, "the circuit has no parts", "add one with [[part]]", ""});
        return;
    }
    const bool all_understood =
        all_there && std::find(r.understood.begin(), r.understood.end(), 0) == r.understood.end();
    const auto sources = std::count_if(r.circuit.parts.begin(), r.circuit.parts.end(),
                                       [](const Part& part) { return is_source(part.law); });
    if (all_understood && sources == 0)
        r.problems.push_back({r.file, {}, "the circuit has no source", "add a battery or a charger", ""});
    else if (all_understood && static_cast<std::size_t>(sources) == r.circuit.parts.size())
        r.problems.push_back(
            {r.file, {}, "the circuit has nothing but a source", "add the parts it feeds", ""});
}

void read_ground(CircuitReader& r, const TomlValue& root) {
    const TomlValue* ground = root.find("ground");
    if (!ground) {
        std::string example = "battery -";
        for (const Part& part : r.circuit.parts)
            if (is_source(part.law) && part.from != none) {
                example = point_name(r.circuit, part.from);
                break;
            }
        r.problems.push_back({r.file,
                              {},
                              "circuit: ground is missing: the point that reads 0 V",
                              fmt::format("add a line at the top, for example  ground = \"{}\"", example),
                              ""});
        return;
    }
    if (ground->kind != TomlValue::Kind::text || ground->text.empty()) return; // said by read_head
    r.circuit.ground = r.points.find(ground->text);
    if (r.circuit.ground == none)
        r.problems.push_back({r.file, ground->place,
                              fmt::format("circuit: no part touches the ground point \"{}\"", ground->text),
                              r.points.advice(ground->text), ""});
}

} // namespace

void CircuitReader::finish(Entry& entry) {
    entry.unknown_keys();
    problems.insert(problems.end(), std::make_move_iterator(entry.problems.begin()),
                    std::make_move_iterator(entry.problems.end()));
}

Result<Circuit> read_circuit(const std::filesystem::path& path) {
    const auto text = read_text_file(path);
    if (!text) return text.problems();
    return read_circuit_text(*text, path == "-" ? "standard input" : path.string());
}

Result<Circuit> read_circuit_text(std::string_view text, std::string file) {
    CircuitReader r;
    r.file = file;
    r.circuit.file = std::move(file);
    const TomlFile toml = parse_toml(text, r.file);
    if (toml.whole) {
        read_head(r, toml.root);
        read_parts(r, toml.root);
        read_points(r, toml.root);
        read_ground(r, toml.root);
        read_states(r, toml.root);
        read_limits(r, toml.root);
        read_conditions(r, toml.root);
    }
    r.problems = with_syntax(toml, std::move(r.problems));
    if (r.problems.empty()) r.problems = review(r.circuit).errors;
    if (r.problems.empty()) return std::move(r.circuit);
    return tidy(std::move(r.problems), text);
}

} // namespace lostvolts

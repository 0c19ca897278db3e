#include "solver/study/order.h"

#include <algorithm>
#include <array>
#include <limits>

#include <fmt/format.h>

#include "solver/circuit/read.h"
#include "solver/circuit/toml_file.h"
#include "solver/records/sha256.h"
#include "solver/study/order_lists.h"
#include "solver/study/variant.h"
#include "solver/units/lines.h"

namespace lostvolts {
namespace {

namespace fs = std::filesystem;
using Value = TomlValue::Kind;

constexpr std::array<std::string_view, 3> kind_names{"tolerances", "faults", "captures"};
constexpr int most_of_a_count = std::numeric_limits<int>::max();

/// Keys that only some kinds of study have.
bool of_kind(std::string_view key, StudyKind kind) {
    const auto one_of = [&](std::initializer_list<std::string_view> keys) {
        return std::find(keys.begin(), keys.end(), key) != keys.end();
    };
    if (one_of({"samples", "state", "load", "limit", "coldest", "warmest"}))
        return kind == StudyKind::tolerances;
    if (one_of({"readings", "conditions", "machines"})) return kind == StudyKind::faults;
    if (one_of({"folder", "bars", "clamp", "time_column", "volts_column", "amps_column", "time_unit",
                "volts_unit", "amps_unit"}))
        return kind == StudyKind::captures;
    return kind != StudyKind::captures; // circuits, vary, variants, seed
}

/// Keys of another kind of study are named as such, not as unknown.
void refuse_others(OrderReader& r, Entry& e) {
    const std::vector<Entry::Field> fields = e.fields;
    for (const Entry::Field& field : fields) {
        constexpr std::array<std::string_view, 22> known{
            "samples",     "state",        "load",        "limit",     "coldest",    "warmest",
            "readings",    "conditions",   "machines",    "folder",    "bars",       "clamp",
            "time_column", "volts_column", "amps_column", "time_unit", "volts_unit", "amps_unit",
            "circuits",    "vary",         "variants",    "seed"};
        if (std::find(known.begin(), known.end(), field.key) == known.end()) continue;
        if (of_kind(field.key, r.order.kind)) continue;
        e.taken(field.key);
        e.problems.push_back(
            {e.file, field.key_place,
             fmt::format("study: {} has no place in a study of {}", field.key, name_of(r.order.kind)),
             "leave it out", ""});
    }
}

void read_numbers(OrderReader& r, Entry& e) {
    StudyOrder& o = r.order;
    o.seed = static_cast<std::uint64_t>(e.count("seed", 0, most_of_a_count, 1));
    o.samples = e.count("samples", 1, 50'000'000, 1000);
    o.machines = e.count("machines", 1, 1'000'000, 1);
    o.state = e.text("state").value_or("");
    o.load = e.text("load").value_or("");
    o.limit = e.maybe<Voltage<>>("limit");
    o.coldest = e.value<Temperature<>>("coldest", o.coldest, Range::any);
    o.warmest = e.value<Temperature<>>("warmest", o.warmest, Range::any);
    if (o.coldest > o.warmest) e.wrong("coldest", "coldest is warmer than warmest", "coldest = \"-10 degC\"");
}

void read_captures(OrderReader& r, Entry& e) {
    StudyOrder& o = r.order;
    if (const int bars = e.count("bars", 0, 1000, 0); bars > 0) o.bars = bars;
    const std::pair<const char*, std::string*> words[] = {{"clamp", &o.reading.clamp},
                                                          {"time_column", &o.reading.time_column},
                                                          {"volts_column", &o.reading.volts_column},
                                                          {"amps_column", &o.reading.amps_column},
                                                          {"time_unit", &o.reading.time_unit},
                                                          {"volts_unit", &o.reading.volts_unit},
                                                          {"amps_unit", &o.reading.amps_unit}};
    for (const auto& [key, into] : words) *into = e.text(key).value_or("");
    const auto folder = e.needed_text("folder", "folder = \"captures\"");
    if (!folder) return;
    std::error_code trouble;
    const fs::path path = r.folder / *folder;
    for (fs::recursive_directory_iterator at(path, trouble), end; !trouble && at != end;
         at.increment(trouble))
        if (at->is_regular_file() && at->path().extension() == ".csv")
            o.captures.push_back(at->path().string());
    std::sort(o.captures.begin(), o.captures.end());
    if (trouble)
        e.wrong("folder", fmt::format("folder \"{}\": {}", *folder, trouble.message()),
                "name the folder of captures");
    else if (o.captures.empty())
        e.wrong("folder", fmt::format("folder \"{}\" has no .csv file in it", *folder),
                "name the folder of captures");
}

void read_kind(OrderReader& r, Entry& e) {
    if (!e.has("study")) e.missing("study", "study = \"tolerances\"");
    const std::string kind = e.word("study", kind_names, kind_names.front());
    r.order.kind =
        static_cast<StudyKind>(std::find(kind_names.begin(), kind_names.end(), kind) - kind_names.begin());
}

void read_output(OrderReader& r, Entry& e) {
    if (r.order.output.empty()) {
        if (const auto output = e.needed_text("output", "output = \"study.csv\""))
            r.order.output = r.folder / *output;
    } else {
        e.text("output");
    }
    if (r.order.output.empty()) return;
    std::error_code unreadable;
    const fs::path folder = r.order.output.has_parent_path() ? r.order.output.parent_path() : ".";
    if (!fs::is_directory(folder, unreadable))
        e.wrong("output", fmt::format("output \"{}\": there is no such folder", folder.string()),
                "make it, or name another file");
}

void read_head(OrderReader& r, const TomlValue& root) {
    Entry e = entry_of(root, r.order.file, "study");
    e.place = {};
    if (!e.has("format")) e.missing("format", "format = 1");
    e.count("format", 1, 1, 1);
    for (const char* text : {"name", "note", "notes"}) e.text(text);
    const std::size_t before = e.problems.size();
    read_kind(r, e);
    const bool known = e.problems.size() == before;
    read_output(r, e);
    if (known) refuse_others(r, e);
    read_numbers(r, e);
    if (r.order.kind == StudyKind::captures) {
        if (known) read_captures(r, e);
    } else {
        if (!e.has("circuits")) e.missing("circuits", "circuits = [\"circuit.toml\"]");
        read_circuits(r, e, root);
        read_vary(r, e, root);
    }
    if (r.order.kind == StudyKind::faults) read_faults(r, e, root);
    // Their lists and tables are read by others, or are told as out of place.
    for (const char* key :
         {"circuits", "vary", "conditions", "readings", "folder", "bars", "clamp", "time_column",
          "volts_column", "amps_column", "time_unit", "volts_unit", "amps_unit", "variants"})
        e.taken(key);
    e.unknown_keys();
    r.problems.insert(r.problems.end(), e.problems.begin(), e.problems.end());
}

std::string fingerprint_of(const StudyOrder& o, std::string_view text) {
    Sha256 sum;
    const auto add = [&](std::string_view piece) { sum.add(fmt::format("{}:{};", piece.size(), piece)); };
    add(LOSTVOLTS_VERSION);
    add(text);
    for (const StudiedCircuit& c : o.circuits) {
        add(c.text);
        add(c.readings_text);
    }
    for (const std::string& file : o.captures) {
        std::error_code gone;
        add(fmt::format("{} {} {}", file, fs::file_size(file, gone),
                        fs::last_write_time(file, gone).time_since_epoch().count()));
    }
    return sum.hex();
}

} // namespace

std::string_view name_of(StudyKind kind) { return kind_names[static_cast<std::size_t>(kind)]; }

bool is_order(std::string_view text) {
    constexpr std::string_view key = "study", blanks = " \t\r";
    while (!text.empty()) {
        std::string_view line = take_line(text);
        line.remove_prefix(std::min(line.find_first_not_of(blanks), line.size()));
        if (line.starts_with('[')) return false;
        if (!line.starts_with(key)) continue;
        line.remove_prefix(key.size());
        const std::size_t after = line.find_first_not_of(blanks);
        if (after != std::string_view::npos && line[after] == '=') return true;
    }
    return false;
}

Result<StudyOrder> read_order(const fs::path& file, const fs::path& output) {
    const auto text = read_text_file(file);
    if (!text) return text.problems();
    return read_order_text(*text, file, output);
}

Result<StudyOrder> read_order_text(std::string_view text, const fs::path& file, const fs::path& output) {
    OrderReader r;
    r.order.file = file == "-" ? "standard input" : file.string();
    r.order.output = output;
    r.folder = folder_beside(file);
    const TomlFile toml = parse_toml(text, r.order.file);
    if (toml.whole) read_head(r, toml.root);
    Problems all = tidy(with_syntax(toml, std::move(r.problems)), text);
    all.insert(all.end(), r.of_files.begin(), r.of_files.end());
    if (!all.empty()) return all;
    r.order.fingerprint = fingerprint_of(r.order, text);
    return std::move(r.order);
}

} // namespace lostvolts

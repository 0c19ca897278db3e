#include "solver/locate/readings.h"

#include <array>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "solver/circuit/names.h"
#include "solver/circuit/read.h"
#include "solver/circuit/toml_file.h"
#include "solver/locate/reading_checks.h"

namespace lostvolts {
namespace {

constexpr std::array<std::string_view, 6> quantity_names = {"voltage",    "current", "speed",
                                                            "resistance", "lamp",    "sound"};
constexpr std::array<std::string_view, 4> lamp_words = {"lit", "dim", "dark", "reversed"};
constexpr std::array<std::string_view, 3> sound_words = {"runs", "silent", "clicks"};
constexpr std::array<std::string_view, 2> lights = {"filament", "LED"};

/// What the steps of reading one file of readings share.
struct Reader {
    std::string file;
    Readings out;
    bool has_circuit = true; ///< false: the circuit has mistakes of its own, names can't be looked up
    Problems problems;
    Names parts{"part"}, points{"point"}, states{"state"}, meters{"meter"};
    DanglingPoints dangling{out.circuit};
};

void finish(Reader& r, Entry& e) {
    e.unknown_keys();
    r.problems.insert(r.problems.end(), e.problems.begin(), e.problems.end());
}

/// A name that must be one of `names`; none when it isn't, or when there is no circuit to look it up in.
int look_up(Reader& r, Entry& e, std::string_view key, Names& names, std::string_view sort,
            const std::optional<std::string>& name) {
    if (!name || !r.has_circuit) return none;
    const int id = names.find(*name);
    if (id == none) e.wrong(key, fmt::format("there is no {} \"{}\"", sort, *name), names.advice(*name));
    return id;
}

/// A meter's resolution may be in volts, amps, ohms or turns: the unit says of which quantity it is.
void read_resolution(Entry& e, const TomlValue& table, Meter& meter, std::optional<Measurand>& of) {
    const TomlValue* value = table.find("resolution");
    const std::string text = value ? value->text : "";
    const auto takes = [&]<class Q>(Q, Measurand quantity) {
        if (of || !std::holds_alternative<Q>(read_quantity<Q>(text))) return;
        of = quantity;
        meter.resolution = si(e.value<Q>("resolution", Q{}));
    };
    takes(Current<>{}, Measurand::current);
    takes(Resistance<>{}, Measurand::resistance);
    takes(Speed<>{}, Measurand::speed);
    if (of) return;
    of = Measurand::voltage;
    meter.resolution = si(e.value<Voltage<>>("resolution", Voltage<>{}));
}

void read_meter(Reader& r, const TomlValue& table, std::size_t number) {
    Meter meter;
    Entry e = entry_of(table, r.file, fmt::format("meter {}", number));
    const auto name = e.needed_text("name", "name = \"multimeter\"");
    if (name) e.kind = "meter", e.name = *name;
    meter.name = name.value_or("");
    if (auto problem =
            r.meters.add_new(name.value_or(fmt::format("(meter {})", number)), e.place_of("name"), r.file))
        e.problems.push_back(*problem);
    e.text("note");
    e.text("notes");
    if (const auto text = e.text("accuracy")) {
        const auto read = read_accuracy(*text);
        if (const auto* error = std::get_if<ValueError>(&read))
            e.wrong("accuracy", fmt::format("accuracy {}", error->what), error->write);
        else
            meter.accuracy = std::get<Accuracy>(read);
    }
    std::optional<Measurand> of;
    if (e.has("resolution")) read_resolution(e, table, meter, of);
    meter.input = e.value<Resistance<>>("input", meter.input);
    meter.leads = e.value<Resistance<>>("leads", meter.leads, Range::not_negative);
    meter.rated = e.value<Voltage<>>("rated", meter.rated);
    meter.draws = e.value<Current<>>("draws", meter.draws);
    meter.lights = e.has("light") || e.has("rated") || e.has("draws");
    meter.shows_polarity = e.word("light", lights, lights.front()) == "LED";
    finish(r, e);
    meter.resolves = of;
    r.out.meters.push_back(std::move(meter));
}

int read_state(Reader& r, Entry& e) {
    const std::vector<State>& states = r.out.circuit.states;
    if (e.has("state")) return look_up(r, e, "state", r.states, "state", e.text("state"));
    if (!r.has_circuit) return e.taken("state"), none;
    if (states.size() == 1) return e.taken("state"), 0;
    e.text("state");
    e.missing("state", fmt::format("state = \"{}\"", states.front().name));
    return none;
}

std::optional<Measurand> read_quantity_word(Entry& e) {
    if (!e.has("quantity")) e.missing("quantity", "quantity = \"voltage\"");
    const std::string word = e.word("quantity", quantity_names, "");
    for (std::size_t k = 0; k < quantity_names.size(); ++k)
        if (quantity_names[k] == word) return static_cast<Measurand>(k);
    return std::nullopt;
}

/// The keys that say where: two points, or a part; and a word about those that don't belong to the quantity.
void read_where(Reader& r, Entry& e, Reading& reading) {
    const std::string_view quantity = name_of(reading.quantity);
    const auto surplus = [&](std::string_view key, std::string_view instead) {
        e.taken(key);
        if (e.has(key))
            e.wrong(key, fmt::format("a {} reading has no \"{}\"", quantity, key), std::string(instead));
    };
    if (between_two_points(reading.quantity)) {
        reading.red = look_up(r, e, "red", r.points, "point", e.needed_text("red", "red = \"battery +\""));
        reading.black =
            look_up(r, e, "black", r.points, "point", e.needed_text("black", "black = \"battery -\""));
        surplus("through", "leave it out: red and black say where the leads were");
    } else {
        reading.through =
            look_up(r, e, "through", r.parts, "part", e.needed_text("through", "through = \"rinse pump\""));
        surplus("red", "leave it out: through says which part");
        surplus("black", "leave it out: through says which part");
    }
}

template <class Q>
void read_amount(Entry& e, Reading& reading, std::string_view example, Range range = Range::any) {
    if (!e.has("value")) e.missing("value", example);
    const auto read = e.maybe<Q>("value", range);
    if (!read) return;
    reading.value = si(*read);
    const auto step = read_quantity<Q>(last_digit(reading.text));
    if (const auto* q = std::get_if<Q>(&step)) reading.resolution = si(*q);
}

void read_word(Entry& e, Reading& reading, std::span<const std::string_view> words) {
    if (!e.has("value")) e.missing("value", fmt::format("value = \"{}\"", words.front()));
    const std::string word = e.word("value", words, words.front());
    for (std::size_t k = 0; k < words.size(); ++k)
        if (words[k] == word) reading.value = static_cast<double>(k);
}

void read_value(Entry& e, const TomlValue& table, Reading& reading) {
    if (const TomlValue* value = table.find("value")) reading.text = value->text;
    switch (reading.quantity) {
    case Measurand::voltage:
        return read_amount<Voltage<>>(e, reading, "value = \"1.84 V\"");
    case Measurand::current:
        return read_amount<Current<>>(e, reading, "value = \"6.1 A\"");
    case Measurand::speed:
        return read_amount<Speed<>>(e, reading, "value = \"2950 rpm\"");
    case Measurand::resistance:
        if (reading.text == no_path) return e.taken("value"), void(reading.open = true);
        return read_amount<Resistance<>>(e, reading, "value = \"0.8 ohm\"", Range::not_negative);
    case Measurand::lamp:
        return read_word(e, reading, lamp_words);
    case Measurand::sound:
        return read_word(e, reading, sound_words);
    }
}

void read_one(Reader& r, const TomlValue& table, std::size_t number) {
    Reading reading;
    Entry e = entry_of(table, r.file, fmt::format("reading {}", number));
    reading.place = table.place;
    reading.note = e.text("note").value_or("");
    reading.state = read_state(r, e);
    const auto quantity = read_quantity_word(e);
    if (quantity) {
        reading.quantity = *quantity;
        read_where(r, e, reading);
        read_value(e, table, reading);
    } else {
        for (const char* key : {"red", "black", "through", "value"}) e.taken(key);
    }
    if (const auto name = e.text("meter")) {
        reading.meter = r.meters.find(*name);
        if (reading.meter == none)
            e.wrong("meter", fmt::format("there is no meter \"{}\"", *name), r.meters.advice(*name));
    }
    if (reading.meter != none) {
        const auto m = static_cast<std::size_t>(reading.meter);
        if (r.out.meters[m].resolves == reading.quantity) reading.resolution = r.out.meters[m].resolution;
    }
    if (reading.quantity == Measurand::lamp && reading.text == lamp_words.back() &&
        (reading.meter == none || !r.out.meters[static_cast<std::size_t>(reading.meter)].shows_polarity))
        e.wrong("value", "a filament lamp can't show that it is reversed",
                "write \"lit\", \"dim\" or \"dark\", or name a meter with  light = \"LED\"");
    reading.disturbed = look_up(r, e, "disturbed", r.parts, "part", e.text("disturbed"));
    if (r.has_circuit && quantity) check_sense(r.out.circuit, reading, r.dangling, e);
    finish(r, e);
    r.out.readings.push_back(std::move(reading));
}

void read_tables(Reader& r, const TomlValue& root) {
    const Circuit& circuit = r.out.circuit;
    for (const Part& part : circuit.parts) r.parts.find_or_add(part.name, part.place);
    for (const Point& point : circuit.points) r.points.find_or_add(point.name, {});
    for (const State& state : circuit.states) r.states.find_or_add(state.name, state.place);

    Entry head = entry_of(root, r.file, "readings");
    head.place = {};
    head.count("format", 1, 1, 1);
    for (const char* key : {"circuit", "meter", "reading"}) head.taken(key);
    for (const char* key : {"name", "note", "notes"}) head.text(key);
    finish(r, head);

    std::size_t number = 0;
    for (const TomlValue* table : tables_of(root, "meter", r.file, r.problems))
        read_meter(r, *table, ++number);
    number = 0;
    for (const TomlValue* table : tables_of(root, "reading", r.file, r.problems))
        read_one(r, *table, ++number);
}

/// The circuit that the readings name, beside their own file.
std::optional<Circuit> read_named_circuit(Reader& r, const TomlValue& root,
                                          const std::filesystem::path& folder, Problems& of_circuit) {
    Entry e = entry_of(root, r.file, "readings");
    e.place = {};
    const auto name = e.needed_text("circuit", "circuit = \"circuit.toml\"");
    r.problems.insert(r.problems.end(), e.problems.begin(), e.problems.end());
    if (!name) return std::nullopt;
    const std::filesystem::path path = folder / *name;
    auto circuit = read_circuit(path);
    if (circuit) return *std::move(circuit);
    of_circuit = circuit.problems();
    std::error_code unknown; // a folder that may not be looked into
    if (of_circuit.size() == 1 && of_circuit[0].place.line == 0 && of_circuit[0].file == path.string() &&
        !std::filesystem::is_regular_file(path, unknown)) {
        r.problems.push_back({r.file, e.place_of("circuit"),
                              fmt::format("readings: circuit \"{}\": {}", *name, of_circuit[0].what),
                              of_circuit[0].write, ""});
        of_circuit.clear();
    }
    return std::nullopt;
}

} // namespace

std::string_view name_of(Measurand quantity) { return quantity_names[static_cast<std::size_t>(quantity)]; }

bool between_two_points(Measurand quantity) {
    return quantity == Measurand::voltage || quantity == Measurand::resistance || quantity == Measurand::lamp;
}

std::span<const std::string_view> words_of(Measurand quantity) {
    if (quantity == Measurand::lamp) return lamp_words;
    if (quantity == Measurand::sound) return sound_words;
    return {};
}

Result<Readings> read_readings(const std::filesystem::path& path) {
    const auto text = read_text_file(path);
    if (!text) return text.problems();
    return read_readings_beside(*text, path == "-" ? "standard input" : path.string(), folder_beside(path));
}

Result<Readings> read_readings_beside(std::string_view text, std::string file,
                                      const std::filesystem::path& folder) {
    Reader r;
    r.file = std::move(file);
    const TomlFile toml = parse_toml(text, r.file);
    Problems of_circuit;
    if (toml.whole) {
        auto circuit = read_named_circuit(r, toml.root, folder, of_circuit);
        r.has_circuit = circuit.has_value();
        if (circuit) r.out.circuit = *std::move(circuit);
        read_tables(r, toml.root);
    }
    Problems all = tidy(with_syntax(toml, std::move(r.problems)), text);
    all.insert(all.end(), of_circuit.begin(), of_circuit.end());
    if (!all.empty()) return all;
    r.out.file = std::move(r.file);
    return std::move(r.out);
}

Result<Readings> read_readings_text(std::string_view text, std::string file, Circuit circuit) {
    Reader r;
    r.file = std::move(file);
    r.out.circuit = std::move(circuit);
    const TomlFile toml = parse_toml(text, r.file);
    if (toml.whole) read_tables(r, toml.root);
    Problems all = tidy(with_syntax(toml, std::move(r.problems)), text);
    if (!all.empty()) return all;
    r.out.file = std::move(r.file);
    return std::move(r.out);
}

} // namespace lostvolts

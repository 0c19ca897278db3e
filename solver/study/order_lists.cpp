#include "solver/study/order_lists.h"

#include <algorithm>

#include <fmt/format.h>

#include "solver/circuit/names.h"
#include "solver/circuit/read.h"
#include "solver/study/variant.h"

namespace lostvolts {
namespace {

using Kind = TomlValue::Kind;

struct Text {
    std::string text;
    Place place;
};

/// A list of texts in quotes, or one of them alone; what is none is told.
std::vector<Text> texts_of(Entry& e, const TomlValue& table, std::string_view key, std::string_view example) {
    std::vector<Text> all;
    e.taken(key);
    const TomlValue* value = table.find(key);
    if (!value) return all;
    const auto wrong = [&](Place place, const char* what) {
        e.problems.push_back(
            {e.file, place, fmt::format("{}: {} {}", e.subject(), key, what), std::string(example), ""});
    };
    if (value->kind == Kind::text) {
        all.push_back({value->text, value->place});
    } else if (value->kind != Kind::list || value->items.empty()) {
        wrong(value->place, "is not a list of texts in quotes");
    } else {
        for (const TomlValue& item : value->items) {
            if (item.kind == Kind::text)
                all.push_back({item.text, item.place});
            else
                wrong(item.place, "has something in it that is not in quotes");
        }
    }
    return all;
}

/// Tries one value of one circuit's part; the first thing wrong with it is told where the order has it.
void try_value(OrderReader& r, Entry& e, const StudiedCircuit& c, Vary vary, const Text& value) {
    vary.values = {value.text};
    vary.even = false;
    const auto tried = with_values(c, {vary}, {value.text});
    if (tried) return;
    const Problem& first = tried.problems().front();
    e.problems.push_back({r.order.file, value.place,
                          fmt::format("{}: with \"{}\", {}", e.subject(), value.text, first.what),
                          first.write, ""});
}

void read_stretch(OrderReader& r, Entry& e, Vary& vary, std::vector<Text>& values) {
    for (const char* key : {"from", "to"})
        if (const auto end = e.needed_text(key, fmt::format("{} = \"2 m\"", key)))
            values.push_back({*end, e.place_of(key)});
    if (values.size() != 2) return;
    vary.even = true;
    vary.values = {values[0].text, values[1].text};
    const auto middle = between_ends(vary, 0.5);
    if (!middle) {
        e.wrong("to", fmt::format("\"{}\" and \"{}\" are not in one unit", values[0].text, values[1].text),
                "write both ends in the same unit");
        values.clear();
    } else {
        values.push_back({*middle, values[1].place});
    }
    if (r.order.variants == 1 && !r.order.drawn) {
        e.wrong("from", "a stretch is drawn from, and the study doesn't say how often",
                "add at the top  variants = 1000");
        r.order.drawn = true; // said once
    }
}

void read_one(OrderReader& r, const TomlValue& table, std::size_t number) {
    Entry e = entry_of(table, r.order.file, fmt::format("vary {}", number));
    Vary vary;
    vary.part = e.text("part").value_or("");
    vary.key = e.needed_text("key", "key = \"length\"").value_or("");
    std::vector<Text> values;
    if (e.has("from") || e.has("to")) {
        read_stretch(r, e, vary, values);
        if (e.has("values"))
            e.taken("values"), e.wrong("values", "values stand beside a stretch", "keep one of them");
    } else if (!e.has("values")) {
        e.missing("values", "values = [\"2 m\", \"4 m\"]");
    } else {
        values = texts_of(e, table, "values", "values = [\"2 m\", \"4 m\"]");
        for (const Text& value : values) vary.values.push_back(value.text);
    }
    for (StudiedCircuit& c : r.order.circuits) {
        if (!vary.part.empty() && find_part(c.circuit, vary.part) == none) {
            Names names("part");
            for (const Part& part : c.circuit.parts) names.find_or_add(part.name, part.place);
            e.wrong("part", fmt::format("{} has no part \"{}\"", c.file, vary.part), names.advice(vary.part));
        } else if (!vary.key.empty()) {
            for (const Text& value : values) try_value(r, e, c, vary, value);
        }
    }
    e.unknown_keys();
    const bool right = e.problems.empty();
    r.problems.insert(r.problems.end(), e.problems.begin(), e.problems.end());
    if (right) r.order.vary.push_back(std::move(vary));
}

} // namespace

void read_circuits(OrderReader& r, Entry& head, const TomlValue& root) {
    for (const Text& named : texts_of(head, root, "circuits", "circuits = [\"circuit.toml\"]")) {
        StudiedCircuit c;
        c.file = (r.folder / named.text).string();
        auto text = read_text_file(c.file);
        if (!text) {
            head.problems.push_back(
                {r.order.file, named.place,
                 fmt::format("study: circuit \"{}\": {}", named.text, text.problems()[0].what),
                 text.problems()[0].write, ""});
            continue;
        }
        c.text = *std::move(text);
        auto circuit = read_circuit_text(c.text, c.file);
        if (!circuit) {
            r.of_files.insert(r.of_files.end(), circuit.problems().begin(), circuit.problems().end());
            continue;
        }
        c.circuit = *std::move(circuit);
        StudyOrder& o = r.order;
        const auto lacks = [&](const char* key, const char* sort, const std::string& name) {
            head.wrong(key, fmt::format("{} has no {} \"{}\"", c.file, sort, name),
                       "name one that every circuit has");
        };
        if (!o.state.empty() && find_state(c.circuit, o.state) == none) lacks("state", "state", o.state);
        if (!o.load.empty() && find_part(c.circuit, o.load) == none) lacks("load", "part", o.load);
        o.circuits.push_back(std::move(c));
    }
}

void read_vary(OrderReader& r, Entry& head, const TomlValue& root) {
    StudyOrder& o = r.order;
    if (head.has("variants")) {
        o.variants = head.count("variants", 1, 10'000'000, 1);
        o.drawn = true;
    }
    std::size_t number = 0;
    for (const TomlValue* table : tables_of(root, "vary", o.file, r.problems)) read_one(r, *table, ++number);
    if (o.drawn) return;
    for (const Vary& vary : o.vary) {
        o.variants *= static_cast<long>(vary.values.size());
        if (o.variants <= most_cases) continue;
        head.problems.push_back({o.file,
                                 {},
                                 fmt::format("study: the values make more than {} combinations", most_cases),
                                 "add at the top  variants = 10000  to draw some of them",
                                 ""});
        o.variants = 1;
        return;
    }
}

void read_faults(OrderReader& r, Entry& head, const TomlValue& root) {
    StudyOrder& o = r.order;
    const auto template_file = head.needed_text("readings", "readings = \"readings.toml\"");
    const std::vector<Text> wanted =
        texts_of(head, root, "conditions", "conditions = [\"corroded pump ground\"]");
    std::string text;
    if (template_file) {
        auto read = read_text_file(r.folder / *template_file);
        if (read)
            text = *std::move(read);
        else
            head.wrong("readings",
                       fmt::format("readings \"{}\": {}", *template_file, read.problems()[0].what),
                       read.problems()[0].write);
    }
    for (StudiedCircuit& c : o.circuits) {
        if (wanted.empty()) {
            c.conditions.push_back(none);
            for (int k = 0; k < static_cast<int>(c.circuit.conditions.size()); ++k) c.conditions.push_back(k);
        }
        for (const Text& name : wanted) {
            c.conditions.push_back(name.text == "healthy" ? none : find_condition(c.circuit, name.text));
            if (c.conditions.back() == none && name.text != "healthy")
                head.problems.push_back({o.file, name.place,
                                         fmt::format("study: {} has no condition \"{}\"", c.file, name.text),
                                         "name one of its conditions, or \"healthy\"", ""});
        }
        if (text.empty()) continue;
        c.readings_text = text;
        auto readings = read_readings_text(text, (r.folder / *template_file).string(), c.circuit);
        if (!readings) {
            r.of_files.insert(r.of_files.end(), readings.problems().begin(), readings.problems().end());
            continue;
        }
        for (const Reading& reading : readings->readings)
            if (reading.quantity != Measurand::voltage && reading.quantity != Measurand::current &&
                reading.quantity != Measurand::speed)
                r.of_files.push_back(
                    {readings->file, reading.place,
                     fmt::format("a study of faults can't take a reading of {}", name_of(reading.quantity)),
                     "keep those of voltage, current and speed", ""});
        c.readings = *std::move(readings);
    }
}

} // namespace lostvolts

#include "viewer/window/entry.h"

#include <algorithm>
#include <cctype>

#include <fmt/format.h>

#include "solver/circuit/names.h"
#include "solver/locate/written_value.h"
#include "solver/units/lines.h"

namespace lostvolts {
namespace {

/// Small letters without spaces: how names are compared while somebody types.
std::string bare(std::string_view text) {
    std::string out;
    for (const char c : text)
        if (!std::isspace(static_cast<unsigned char>(c)))
            out += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    return out;
}

bool is_bare_number(std::string_view text) {
    return !text.empty() && text.find_first_not_of("0123456789.+-") == std::string_view::npos;
}

/// A point or part that must be there.
std::string named(std::string_view key, std::string_view sort, const std::string& text,
                  const std::vector<std::string>& names, FieldProblems& problems) {
    const std::string_view what = trimmed(text);
    if (what.empty()) {
        problems.push_back({std::string(key), fmt::format("which {}?", sort), "type it or click on it"});
        return {};
    }
    if (auto name = completed(what, names)) return *name;
    const std::vector<std::string> may = candidates(what, names, 3);
    std::string advice;
    if (may.empty()) {
        if (const auto near = nearest(what, names)) advice = fmt::format("did you mean \"{}\"?", *near);
    } else {
        for (const std::string& name : may) advice += (advice.empty() ? "" : " or ") + name;
        advice += "?";
    }
    problems.push_back({std::string(key),
                        may.empty() ? fmt::format("there is no {} \"{}\"", sort, what)
                                    : fmt::format("several {}s fit", sort),
                        advice});
    return {};
}

} // namespace

const std::vector<std::string>& quantity_words() {
    static const std::vector<std::string> words{"volts",       "amperes",      "speed", "ohms, dead circuit",
                                                "a test lamp", "what is heard"};
    return words;
}

std::vector<std::string> candidates(std::string_view typed, const std::vector<std::string>& names,
                                    std::size_t most) {
    const std::string wanted = bare(typed);
    std::vector<std::string> begin, inside;
    for (const std::string& name : names) {
        const std::string have = bare(name);
        if (have.starts_with(wanted))
            begin.push_back(name);
        else if (have.find(wanted) != std::string::npos)
            inside.push_back(name);
    }
    begin.insert(begin.end(), inside.begin(), inside.end());
    if (begin.size() > most) begin.resize(most);
    return begin;
}

std::optional<std::string> completed(std::string_view typed, const std::vector<std::string>& names) {
    const std::string wanted = bare(typed);
    if (wanted.empty()) return std::nullopt;
    std::vector<const std::string*> same, begin, inside;
    for (const std::string& name : names) {
        const std::string have = bare(name);
        if (have == wanted) same.push_back(&name);
        if (have.starts_with(wanted)) begin.push_back(&name);
        if (have.find(wanted) != std::string::npos) inside.push_back(&name);
    }
    for (const auto* found : {&same, &begin, &inside})
        if (found->size() == 1) return *found->front();
    // "Pump" and "pump" may both exist: then the letters as typed decide.
    for (const std::string* name : same)
        if (*name == typed) return *name;
    return std::nullopt;
}

UnderstoodReading understand(const Readings& job, const TypedReading& typed) {
    const Circuit& circuit = job.circuit;
    UnderstoodReading out;
    WrittenReading& w = out.reading;
    Measurand quantity = typed.quantity;
    w.value = trimmed(typed.value);
    if (const auto told = quantity_of_value(w.value)) quantity = *told;

    if (typed.state >= 0 && typed.state < static_cast<int>(circuit.states.size()))
        w.state = circuit.states[static_cast<std::size_t>(typed.state)].name;
    w.quantity = name_of(quantity);
    if (between_two_points(quantity)) {
        const std::vector<std::string> names = names_of(circuit.points);
        w.red = named("red", "point", typed.red, names, out.problems);
        w.black = named("black", "point", typed.black, names, out.problems);
        if (!w.red.empty() && w.red == w.black)
            out.problems.push_back({"black", "both leads are on one point", "put one elsewhere"});
    } else {
        w.through = named("through", "part", typed.through, names_of(circuit.parts), out.problems);
    }
    if (w.value.empty()) {
        out.problems.push_back(
            {"value", "what does it show?",
             usual_unit(quantity).empty() ? "" : fmt::format("1.84 {}", usual_unit(quantity))});
    } else {
        if (is_bare_number(w.value) && !usual_unit(quantity).empty())
            w.value += fmt::format(" {}", usual_unit(quantity));
        if (const auto error = value_error(quantity, w.value))
            out.problems.push_back({"value", error->what, error->write});
    }
    const auto known = std::any_of(job.meters.begin(), job.meters.end(),
                                   [&](const Meter& m) { return m.name == typed.meter; });
    w.meter = known ? typed.meter : last_meter(job, quantity);
    w.note = trimmed(typed.note);
    return out;
}

TypedReading typed(const Readings& job, const NextReading& next) {
    const Circuit& c = job.circuit;
    TypedReading t;
    t.state = next.state;
    t.quantity = next.quantity;
    const auto name = [](const auto& all, int id) {
        return id == none ? std::string() : all[static_cast<std::size_t>(id)].name;
    };
    t.red = name(c.points, next.red);
    t.black = name(c.points, next.black);
    t.through = name(c.parts, next.through);
    t.meter = name(job.meters, next.meter);
    return t;
}

} // namespace lostvolts

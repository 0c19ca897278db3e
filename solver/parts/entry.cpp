#include "solver/parts/entry.h"

#include <algorithm>
#include <charconv>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "solver/parts/equation.h"

namespace lostvolts {
namespace {

// Square metres: the largest conductor of IEC 60228 (class 2, 2500 mm²; from memory), and a little less
// than 40 AWG.
constexpr double largest_wire_area = 2500e-6;
constexpr double smallest_wire_area = 0.004e-6;

} // namespace

bool Entry::has(std::string_view key) const {
    return std::any_of(fields.begin(), fields.end(), [&](const Field& f) { return f.key == key; });
}

Entry::Field* Entry::find(std::string_view key) {
    asked_.emplace_back(key);
    const auto at = std::find_if(fields.begin(), fields.end(), [&](const Field& f) { return f.key == key; });
    if (at == fields.end()) return nullptr;
    at->used = true;
    if (at->odd.empty()) return &*at;
    problems.push_back({file, at->value_place, fmt::format("{}: {} is {}", subject(), key, at->odd),
                        "write one value in quotes", at->excerpt});
    return nullptr;
}

std::string Entry::subject() const { return name.empty() ? kind : fmt::format("{} \"{}\"", kind, name); }

void Entry::taken(std::string_view key) {
    asked_.emplace_back(key);
    for (Field& field : fields)
        if (field.key == key) field.used = true;
}

Place Entry::place_of(std::string_view key) const {
    for (const Field& field : fields)
        if (field.key == key) return field.value_place;
    return place;
}

std::optional<std::string> Entry::text(std::string_view key) {
    const Field* field = find(key);
    if (!field) return std::nullopt;
    std::string what, write;
    if (!field->quoted) {
        what = "is not in quotes";
        write = fmt::format("{} = \"{}\"", key, field->text);
    } else if (field->text.find_first_not_of(" \t\r\n") == std::string::npos) {
        what = "is empty";
        write = "write at least one character";
    } else if (field->text.size() > longest_name && !key.starts_with("note")) {
        what = fmt::format("is longer than {} characters", longest_name);
        write = "write a shorter one";
    } else {
        return field->text;
    }
    refuse(*field, {0, what, write});
    return std::nullopt;
}

std::optional<std::string> Entry::needed_text(std::string_view key, std::string_view example) {
    if (!has(key)) missing(key, example);
    return text(key);
}

void Entry::refuse(const Field& field, const ValueError& error) {
    Place place = field.value_place;
    place.column += static_cast<int>(error.at);
    place.width = std::max(1, place.width - static_cast<int>(error.at));
    problems.push_back({file, place, fmt::format("{}: {} {}", subject(), field.key, error.what), error.write,
                        field.excerpt});
}

bool Entry::within(const Field& field, double value, Range range) {
    const bool right = range == Range::any || value > 0 || (range == Range::not_negative && value == 0);
    if (right) return true;
    const bool zero = value == 0;
    problems.push_back({file, field.value_place,
                        fmt::format("{}: {} is {}", subject(), field.key, zero ? "zero" : "negative"),
                        zero ? "write a value above zero" : "write it without the minus sign",
                        field.excerpt});
    return false;
}

std::optional<Resistance<>> Entry::maybe_resistance(std::string_view key) {
    const auto ohms = maybe<Resistance<>>(key, Range::not_negative);
    if (!ohms) return std::nullopt;
    return std::max(*ohms, from_si<Resistance<>>(least_ohms));
}

Resistance<> Entry::resistance(std::string_view key, Resistance<> otherwise) {
    return maybe_resistance(key).value_or(otherwise);
}

std::optional<WireSize> Entry::wire_size(std::string_view key) {
    Field* field = find(key);
    if (!field) return std::nullopt;
    const Parsed<WireSize> read = read_wire_size(field->text);
    if (const auto* error = std::get_if<ValueError>(&read)) return refuse(*field, *error), std::nullopt;
    const WireSize size = std::get<WireSize>(read);
    if (!within(*field, si(size.area), Range::positive)) return std::nullopt;
    const bool larger = si(size.area) > largest_wire_area;
    if (!larger && si(size.area) >= smallest_wire_area) return size;
    problems.push_back(
        {file, field->value_place, fmt::format("{}: no wire is so {}", subject(), larger ? "large" : "small"),
         fmt::format("write the copper's cross-section, for example  {} = \"6 mm2\"", key), field->excerpt});
    return std::nullopt;
}

std::string Entry::word(std::string_view key, std::span<const std::string_view> known,
                        std::string_view otherwise) {
    Field* field = find(key);
    if (!field) return std::string(otherwise);
    if (std::find(known.begin(), known.end(), field->text) != known.end()) return field->text;
    const std::vector<std::string> words(known.begin(), known.end());
    const auto near = nearest(field->text, words);
    problems.push_back({file, field->value_place,
                        fmt::format("{}: {} can't be \"{}\"", subject(), key, field->text),
                        near ? fmt::format("did you mean \"{}\"?", *near)
                             : fmt::format("it can be: {}", fmt::join(words, ", ")),
                        field->excerpt});
    return std::string(otherwise);
}

int Entry::count(std::string_view key, int low, int high, int otherwise) {
    Field* field = find(key);
    if (!field) return otherwise;
    int n = 0;
    const char* end = field->text.data() + field->text.size();
    const auto [stop, error] = std::from_chars(field->text.data(), end, n);
    if (error == std::errc{} && stop == end && n >= low && n <= high) return n;
    problems.push_back({file, field->value_place,
                        fmt::format("{}: {} must be a whole number from {} to {}", subject(), key, low, high),
                        fmt::format("{} = {}", key, std::clamp(otherwise, low, high)), field->excerpt});
    return otherwise;
}

std::optional<double> Entry::tolerance() {
    const auto share = maybe<Ratio<>>("tolerance", Range::not_negative);
    if (!share) return std::nullopt;
    if (si(*share) < 1) return si(*share);
    wrong("tolerance", "tolerance is 100 % or more", "tolerance = \"8 %\"");
    return std::nullopt;
}

void Entry::missing(std::string_view key, std::string_view example) {
    problems.push_back({file, place, fmt::format("{}: {} is missing", subject(), key),
                        fmt::format("add, for example,  {}", example), header_excerpt});
}

void Entry::wrong(std::string_view key, std::string what, std::string write) {
    const auto at = std::find_if(fields.begin(), fields.end(), [&](const Field& f) { return f.key == key; });
    const bool there = at != fields.end();
    problems.push_back({file, there ? at->value_place : place, fmt::format("{}: {}", subject(), what),
                        std::move(write), there ? at->excerpt : header_excerpt});
}

void Entry::unknown_keys() {
    std::vector<std::string> known;
    for (const Field& field : fields) {
        if (field.used) continue;
        if (known.empty()) {
            known = asked_;
            std::sort(known.begin(), known.end());
            known.erase(std::unique(known.begin(), known.end()), known.end());
        }
        const auto near = nearest(field.key, known);
        if (near)
            std::erase_if(problems, [end = fmt::format(": {} is missing", *near)](const Problem& p) {
                return p.what.ends_with(end);
            });
        problems.push_back({file, field.key_place,
                            fmt::format("{}: unknown {} \"{}\"", subject(),
                                        field.odd == "a table" ? "table" : "key", field.key),
                            near ? fmt::format("did you mean \"{}\"?", *near)
                                 : fmt::format("it can have: {}", fmt::join(known, ", ")),
                            field.excerpt});
    }
}

} // namespace lostvolts

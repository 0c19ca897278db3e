#include "solver/waveform/unit_words.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <string>

#include "solver/units/lines.h"
#include "solver/waveform/number.h"

namespace lostvolts {
namespace {

struct Known {
    std::string_view word;
    UnitWord unit;
};
using Of = UnitWord::Of;
constexpr std::array<Known, 37> units{{{"s", {Of::seconds, 1}},
                                       {"sec", {Of::seconds, 1}},
                                       {"second", {Of::seconds, 1}},
                                       {"seconds", {Of::seconds, 1}},
                                       {"ms", {Of::seconds, 1e-3}},
                                       {"msec", {Of::seconds, 1e-3}},
                                       {"us", {Of::seconds, 1e-6}},
                                       {"µs", {Of::seconds, 1e-6}},
                                       {"μs", {Of::seconds, 1e-6}},
                                       {"usec", {Of::seconds, 1e-6}},
                                       {"ns", {Of::seconds, 1e-9}},
                                       {"milliseconds", {Of::seconds, 1e-3}},
                                       {"min", {Of::seconds, 60}},
                                       {"microseconds", {Of::seconds, 1e-6}},
                                       {"v", {Of::volts, 1}},
                                       {"volt", {Of::volts, 1}},
                                       {"volts", {Of::volts, 1}},
                                       {"mv", {Of::volts, 1e-3}},
                                       {"millivolts", {Of::volts, 1e-3}},
                                       {"kv", {Of::volts, 1e3}},
                                       {"uv", {Of::volts, 1e-6}},
                                       {"µv", {Of::volts, 1e-6}},
                                       {"a", {Of::amperes, 1}},
                                       {"amp", {Of::amperes, 1}},
                                       {"amps", {Of::amperes, 1}},
                                       {"ampere", {Of::amperes, 1}},
                                       {"amperes", {Of::amperes, 1}},
                                       {"ma", {Of::amperes, 1e-3}},
                                       {"milliamps", {Of::amperes, 1e-3}},
                                       {"ka", {Of::amperes, 1e3}},
                                       {"ua", {Of::amperes, 1e-6}},
                                       {"rpm", {Of::other, 1}},
                                       {"1/min", {Of::other, 1}},
                                       {"hz", {Of::other, 1}},
                                       {"w", {Of::other, 1}},
                                       {"degc", {Of::other, 1}},
                                       {"°c", {Of::other, 1}}}};

struct Meaning {
    std::string_view word;
    Of of;
};
constexpr std::array<Meaning, 18> meanings{{{"time", Of::seconds},
                                            {"timestamp", Of::seconds},
                                            {"t", Of::seconds},
                                            {"seconds", Of::seconds},
                                            {"second", Of::seconds},
                                            {"voltage", Of::volts},
                                            {"volts", Of::volts},
                                            {"volt", Of::volts},
                                            {"v", Of::volts},
                                            {"u", Of::volts},
                                            {"current", Of::amperes},
                                            {"amps", Of::amperes},
                                            {"amp", Of::amperes},
                                            {"amperes", Of::amperes},
                                            {"ampere", Of::amperes},
                                            {"i", Of::amperes},
                                            {"clamp", Of::amperes},
                                            {"shunt", Of::amperes}}};

std::string lower(std::string_view text) {
    std::string low(text);
    for (char& c : low) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    return low;
}

std::string_view bare(std::string_view text) { return trimmed(text, " \t\""); }

std::optional<UnitWord> known_unit(std::string_view word) {
    const std::string low = lower(word);
    const auto it = std::find_if(units.begin(), units.end(), [&](const Known& k) { return k.word == low; });
    return it == units.end() ? std::nullopt : std::optional(it->unit);
}

/// Where the unit begins in a name, with its bracket or separator; npos when there is none.
std::size_t unit_place(std::string_view name) {
    if (name.ends_with(')') || name.ends_with(']')) {
        const std::size_t open = name.find_last_of("([");
        const bool unit = open != std::string_view::npos &&
                          known_unit(bare(name.substr(open + 1, name.size() - open - 2))).has_value();
        return unit ? open : std::string_view::npos;
    }
    const std::size_t at = name.find_last_of("_/ ");
    if (at == std::string_view::npos || !known_unit(name.substr(at + 1))) return std::string_view::npos;
    // "Channel A" and "probe V" are names of inputs, no units.
    const std::string before = lower(bare(name.substr(0, at)));
    const bool input = name[at] == ' ' && name.size() - at == 2 &&
                       (before == "channel" || before == "ch" || before == "probe" || before == "input");
    return input ? std::string_view::npos : at;
}

} // namespace

std::optional<UnitWord> unit_word(std::string_view cell) {
    cell = bare(cell);
    const bool bracketed = cell.size() > 2 && ((cell.front() == '(' && cell.back() == ')') ||
                                               (cell.front() == '[' && cell.back() == ']'));
    return known_unit(bracketed ? bare(cell.substr(1, cell.size() - 2)) : cell);
}

std::optional<UnitWord> unit_in_name(std::string_view name) {
    name = bare(name);
    if (const auto whole = known_unit(name); whole && name.size() > 1) return whole;
    const std::size_t at = unit_place(name);
    if (at == std::string_view::npos) return std::nullopt;
    return unit_word(name[at] == '(' || name[at] == '[' ? name.substr(at) : name.substr(at + 1));
}

std::optional<UnitWord::Of> quantity_in_name(std::string_view name) {
    const std::string low = lower(without_unit(bare(name)));
    for (std::size_t at = 0; at < low.size();) {
        std::size_t end = at;
        while (end < low.size() && (std::isalnum(static_cast<unsigned char>(low[end])) || low[end] < 0))
            ++end;
        const std::string_view word(low.data() + at, end - at);
        for (const Meaning& m : meanings)
            if (m.word == word && (word.size() > 1 || word.size() == low.size())) return m.of;
        at = end + 1;
    }
    return std::nullopt;
}

std::string_view without_unit(std::string_view name) {
    name = bare(name);
    const std::size_t at = unit_place(name);
    return at == std::string_view::npos || at == 0 ? name : bare(name.substr(0, at));
}

bool same_words(std::string_view a, std::string_view b) { return lower(bare(a)) == lower(bare(b)); }

std::optional<double> read_clamp(std::string_view text) {
    const std::string padded = std::string(bare(text)) + std::string(reading_slack, '\0');
    const char* const end = padded.data() + padded.size() - reading_slack;
    double number = 0;
    const char* p = read_decimal(padded.data(), end, '.', number);
    if (!p || !(number > 0)) return std::nullopt;
    const std::string_view rest = bare({p, static_cast<std::size_t>(end - p)});
    const std::size_t slash = rest.find('/');
    if (slash == std::string_view::npos) return std::nullopt;
    const auto volts = known_unit(bare(rest.substr(0, slash))),
               amperes = known_unit(bare(rest.substr(slash + 1)));
    if (!volts || !amperes || volts->of != Of::volts || amperes->of != Of::amperes) return std::nullopt;
    return number * volts->size / amperes->size;
}

} // namespace lostvolts

#include "solver/locate/reading_checks.h"

#include <algorithm>
#include <array>
#include <charconv>

#include <fmt/format.h>

namespace lostvolts {
namespace {

std::array<PointId, 4> terminals(const Part& part) {
    return {part.from, part.to, part.coil_from, part.coil_to};
}

/// What has a sound of its own: a motor runs or is silent, a relay clicks or is silent.
void check_sound(const Part& part, std::string_view word, Entry& entry) {
    const bool motor = std::holds_alternative<Motor<>>(part.law);
    if (!motor && !std::holds_alternative<Relay<>>(part.law))
        entry.wrong("through",
                    fmt::format("{} \"{}\" has no sound that is weighed", kind_of(part.law), part.name),
                    "give the motor that runs or is silent, or the relay that clicks or is silent");
    else if (word == (motor ? "clicks" : "runs"))
        entry.wrong("value",
                    fmt::format("{} \"{}\" {} is not a thing to hear", kind_of(part.law), part.name, word),
                    motor ? "write \"runs\" or \"silent\"; a click is the relay's"
                          : "write \"clicks\" or \"silent\"");
}

} // namespace

bool DanglingPoints::dangles(PointId point, int state) {
    const State& st = circuit_.states[static_cast<std::size_t>(state)];
    if (st.removed.empty()) return false;
    const auto [at, first_time] = by_state_.try_emplace(state);
    if (first_time) {
        if (touches_.empty()) {
            touches_.assign(circuit_.points.size(), 0);
            for (const Part& part : circuit_.parts)
                for (const PointId p : terminals(part))
                    if (p != none) ++touches_[static_cast<std::size_t>(p)];
        }
        std::unordered_map<PointId, int> gone;
        for (const PartId id : st.removed)
            for (const PointId p : terminals(circuit_.parts[static_cast<std::size_t>(id)]))
                if (p != none && ++gone[p] == touches_[static_cast<std::size_t>(p)]) at->second.insert(p);
    }
    return at->second.contains(point);
}

void check_sense(const Circuit& circuit, const Reading& reading, DanglingPoints& dangling, Entry& entry) {
    if (reading.red != none && reading.red == reading.black)
        entry.wrong("black", "both leads are on the same point", "give the point where the other lead was");
    if (reading.through != none && reading.quantity == Measurand::sound)
        check_sound(circuit.parts[static_cast<std::size_t>(reading.through)], reading.text, entry);
    const bool moving = reading.through != none && reading.quantity == Measurand::speed;
    if (moving) {
        const Part& part = circuit.parts[static_cast<std::size_t>(reading.through)];
        if (!std::holds_alternative<Motor<>>(part.law))
            entry.wrong("through", fmt::format("{} \"{}\" does not turn", kind_of(part.law), part.name),
                        "give the motor whose speed was read");
    }
    if (reading.state == none) return;
    const State& state = circuit.states[static_cast<std::size_t>(reading.state)];
    if (reading.through != none && holds(state.removed, reading.through))
        entry.wrong("through",
                    fmt::format("\"{}\" is removed in state \"{}\"",
                                circuit.parts[static_cast<std::size_t>(reading.through)].name, state.name),
                    "give a part that was in the circuit, or the state in which it was");
    for (const auto& [key, point] : {std::pair{"red", reading.red}, std::pair{"black", reading.black}})
        if (point != none && dangling.dangles(point, reading.state))
            entry.wrong(
                key,
                fmt::format("nothing is left at \"{}\" in state \"{}\": all that touches it is removed",
                            point_name(circuit, point), state.name),
                "give a point that some part still touches, or the state in which it was read");
}

std::string last_digit(std::string_view text) {
    constexpr std::string_view minus = "\xE2\x88\x92", blanks = " \t";
    const auto digit = [&](std::size_t i) { return i < text.size() && text[i] >= '0' && text[i] <= '9'; };
    std::size_t i = std::min(text.find_first_not_of(blanks), text.size());
    if (text.substr(i).starts_with(minus))
        i += minus.size();
    else if (i < text.size() && (text[i] == '-' || text[i] == '+'))
        ++i;
    std::size_t digits = 0;
    long decimals = 0;
    for (; digit(i); ++i) ++digits;
    if (i < text.size() && text[i] == '.')
        for (++i; digit(i); ++i) ++digits, ++decimals;
    if (digits == 0) return {};
    long tens = 0;
    const std::size_t sign = i + 1 < text.size() && (text[i + 1] == '-' || text[i + 1] == '+') ? 1 : 0;
    if (i < text.size() && (text[i] == 'e' || text[i] == 'E') && digit(i + 1 + sign)) {
        const std::size_t from = i + 1 + sign;
        std::size_t end = from;
        while (digit(end)) ++end;
        std::from_chars(text.data() + from, text.data() + end, tens);
        if (text[i + 1] == '-') tens = -tens;
        i = end;
    }
    const auto rest = text.substr(std::min(text.find_first_not_of(blanks, i), text.size()));
    return fmt::format("1e{} {}", tens - decimals, rest);
}

} // namespace lostvolts

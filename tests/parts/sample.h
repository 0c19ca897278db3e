// Parts as the reader makes them from keys, and what one alone does with a voltage across it.
#pragma once

#include <array>
#include <cmath>
#include <string>
#include <vector>

#include "solver/network/kernel.h"

namespace lostvolts::parts_tests {

struct Key {
    std::string key, text;
};
using Keys = std::vector<Key>;

inline Entry entry_of(std::string kind, const Keys& keys) {
    Entry e;
    e.kind = std::move(kind);
    e.surroundings = celsius(20);
    for (const Key& k : keys)
        e.fields.push_back({.key = k.key,
                            .text = k.text,
                            .quoted = true,
                            .odd = {},
                            .key_place = {},
                            .value_place = {},
                            .excerpt = {},
                            .used = false});
    return e;
}

/// How a contact or a shaft stands while it is looked at.
enum class Held { free, closed, locked };

inline void hold(AnyPart& part, Held held) {
    if (auto* s = std::get_if<Switch<>>(&part)) s->settings.closed = held == Held::closed;
    if (auto* r = std::get_if<Relay<>>(&part)) r->settings.closed = held == Held::closed;
    if (auto* m = std::get_if<Motor<>>(&part)) m->settings.locked = held == Held::locked;
}

struct Settled {
    double amps = 0;
    std::array<double, most_own> own{};
};

/// The part at rest with `volts` held across it: Newton on its own rows, from where the solver starts it.
inline Settled settled(const AnyPart& part, double volts) {
    Settled s{0, start_of(part)};
    for (int k = 0; k < 200; ++k) {
        const Line line = line_at(part, volts, s.own);
        s.amps = line.amps;
        if (own_count(part) == 0) break;
        double moved = 0;
        for (std::size_t j = 0; j < most_own; ++j)
            moved = std::max(moved, std::abs(line.own[j] - s.own[j]) / (1e-9 + std::abs(line.own[j])));
        s.own = line.own;
        if (moved < 1e-15) break;
    }
    return s;
}

/// The part with its number j (in the order of numbers_of) moved by `by`, SI.
inline AnyPart with_number_moved(AnyPart part, std::size_t j, double by) {
    std::visit(
        [&](auto& p) {
            std::size_t k = 0;
            const auto move = [&](const auto& parameter) {
                auto& number = p.*(parameter.member);
                using Number = std::decay_t<decltype(number)>;
                if (k++ == j) number = from_si<Number>(si(number) + by);
            };
            std::apply([&](const auto&... parameter) { (move(parameter), ...); },
                       std::decay_t<decltype(p)>::parameters());
        },
        part);
    return part;
}

} // namespace lostvolts::parts_tests

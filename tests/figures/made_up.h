// Circuits made up for the drawing: chains, ladders, and branched ones with shared grounds.
#pragma once

#include <random>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>

#include "solver/circuit/read.h"

namespace lostvolts::figures_tests {

class CircuitText {
  public:
    CircuitText() { add("battery", "battery -", "battery +", "emf = \"12.6 V\"\nresistance = \"9 mohm\""); }
    void add(std::string_view kind, std::string_view from, std::string_view to, std::string_view more = "") {
        text_ += fmt::format("[[part]]\nname = \"{} {}\"\nkind = \"{}\"\nfrom = \"{}\"\nto = \"{}\"\n{}\n",
                             kind == "ground" ? "frame joint of" : kind, ++parts_, kind, from, to, more);
    }
    /// A part on the way: wire, fuse, connector, switch or splice by turns.
    void add_in_line(std::string_view from, std::string_view to, int which) {
        switch (which % 5) {
        case 0:
            return add("wire", from, to, "size = \"2.5 mm2\"\nlength = \"3.4 m\"");
        case 1:
            return add("fuse", from, to, "rating = \"15 A\"");
        case 2:
            return add("connector", from, to);
        case 3:
            return add("switch", from, to);
        default:
            return add("splice", from, to);
        }
    }
    /// `count` parts in a row; the points between get names.
    void add_chain(std::string from, const std::string& to, int count, int first_kind = 0) {
        for (int k = 0; k < count; ++k) {
            const std::string next = k + 1 == count ? to : new_point();
            add_in_line(from, next, first_kind + k);
            from = next;
        }
    }
    void add_lamp(std::string_view from, std::string_view to) {
        add("lamp", from, to, "rated = \"12 V\"\npower = \"21 W\"");
    }
    std::string new_point() { return fmt::format("terminal {}", ++points_); }
    int parts() const { return parts_; }
    Circuit circuit() const {
        auto read = read_circuit_text(text_, "made_up.toml");
        if (!read) throw std::runtime_error(describe(read.problems().front()));
        return *std::move(read);
    }

  private:
    std::string text_ = "format = 1\nname = \"made up\"\nground = \"battery -\"\n";
    int parts_ = 0, points_ = 0;
};

/// One load, all else in a row.
inline Circuit series_circuit(int parts) {
    CircuitText t;
    const std::string high = t.new_point(), low = t.new_point();
    t.add_chain("battery +", high, parts / 2 - 1);
    t.add_lamp(high, low);
    t.add_chain(low, "battery -", parts - parts / 2 - 1);
    return t.circuit();
}

/// Lamps between two buses that run side by side.
inline Circuit ladder_circuit(int rungs) {
    CircuitText t;
    std::string high = "battery +", low = "battery -";
    for (int k = 0; k < rungs; ++k) {
        const std::string next_high = t.new_point(), next_low = t.new_point();
        t.add_chain(high, next_high, 1, k);
        t.add_chain(next_low, low, 1, k + 2);
        t.add_lamp(next_high, next_low);
        high = next_high;
        low = next_low;
    }
    return t.circuit();
}

/// Feeds that branch at random, each load grounded at one of a few shared places.
inline Circuit branched_circuit(std::uint64_t seed, int parts) {
    std::mt19937_64 random(seed);
    const auto pick = [&](int n) { return static_cast<int>(random() % static_cast<std::uint64_t>(n)); };
    CircuitText t;
    std::vector<std::string> feeds{"battery +"}, grounds;
    const int shared = 1 + pick(3);
    for (int k = 0; k < shared; ++k) {
        grounds.push_back(fmt::format("ground place {}", k + 1));
        t.add("ground", grounds.back(), k == 0 || pick(2) ? "battery -" : grounds[0]);
    }
    while (t.parts() < parts - 5) {
        const std::string from = feeds[static_cast<std::size_t>(pick(static_cast<int>(feeds.size())))];
        const std::string end = t.new_point();
        t.add_chain(from, end, 1 + pick(4), pick(5));
        if (pick(3) == 0) feeds.push_back(end);
        const std::string low = t.new_point();
        t.add_lamp(end, low);
        t.add_chain(low, grounds[static_cast<std::size_t>(pick(shared))], 1 + pick(2), pick(5));
    }
    return t.circuit();
}

} // namespace lostvolts::figures_tests

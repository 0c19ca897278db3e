// A right circuit, read; and files too large or too deep to be one.
#include <chrono>
#include <random>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "solver/circuit/read.h"
#include "solver/circuit/toml_file.h"
#include "tests/circuit/sprayer.h"

using namespace lostvolts;

namespace {

std::string replaced(std::string text, const std::string& from, const std::string& to) {
    for (std::size_t at = 0; (at = text.find(from, at)) != std::string::npos; at += to.size())
        text.replace(at, from.size(), to);
    return text;
}

/// A feed of `wires` wires in a row and a ground.
std::string long_circuit(int wires) {
    std::string text = "format = 1\nground = \"b-\"\n[[part]]\nname = \"b\"\nkind = \"battery\"\nfrom = "
                       "\"b-\"\nto = \"p0\"\n";
    for (int k = 0; k < wires; ++k)
        text += fmt::format("[[part]]\nname = \"wire {0}\"\nkind = \"wire\"\nfrom = \"p{0}\"\nto = \"p{1}\"\n"
                            "size = \"2.5 mm2\"\nlength = \"1.6 m\"\n",
                            k, k + 1);
    return text +
           fmt::format("[[part]]\nname = \"g\"\nkind = \"ground\"\nfrom = \"p{}\"\nto = \"b-\"\n", wires);
}

std::string first_message(const std::string& text) {
    const auto circuit = read_circuit_text(text, "c.toml");
    return circuit ? "" : describe(circuit.problems().front());
}

} // namespace

TEST_CASE("a circuit is read with its parts, points, states, conditions and limits") {
    // Expected, by hand, from the file's text.
    const auto c = read_circuit_text(sprayer, "sprayer.toml");
    REQUIRE(static_cast<bool>(c));
    CHECK(c->name == "Orchard sprayer, rinse pump");
    CHECK(c->points[static_cast<std::size_t>(c->ground)].name == "battery -");
    CHECK(si(c->temperature) == doctest::Approx(298.15));
    REQUIRE(c->parts.size() == 9);
    CHECK(c->points.size() == 9);
    const Part& relay = c->parts[static_cast<std::size_t>(find_part(*c, "pump relay"))];
    CHECK(relay.coil_from == find_point(*c, "relay 86"));
    CHECK(relay.coil_to == find_point(*c, "relay 85"));
    CHECK(si(std::get<Relay<>>(relay.law).contact) == 3e-3);
    const Point& pump = c->points[static_cast<std::size_t>(find_point(*c, "pump +"))];
    CHECK(pump.declared);
    CHECK(si(pump.access) == 1500);
    REQUIRE(c->states.size() == 4);
    CHECK(c->states[1].locked == std::vector{find_part(*c, "rinse pump")});
    CHECK(c->states[2].bridged == std::vector{find_part(*c, "pump relay")});
    REQUIRE(c->conditions.size() == 1);
    CHECK(c->conditions[0].faults[0].part == find_part(*c, "pump ground"));
    CHECK(c->conditions[0].faults[0].size == 0.180);
    CHECK(c->limits.told);
    CHECK(si(c->limits.drops.connection) == 0.1);
    CHECK(find_part(*c, "nowhere") == none);
    CHECK(review(*c).errors.empty());
    CHECK(review(*c).remarks.empty());
}

TEST_CASE("Windows line ends and a byte order mark change nothing but the bytes") {
    // Expected: the same circuit; and the same line and column in a message.
    const std::string windows = "\xEF\xBB\xBF" + replaced(sprayer, "\n", "\r\n");
    const auto c = read_circuit_text(windows, "sprayer.toml");
    REQUIRE(static_cast<bool>(c));
    CHECK(c->parts.size() == 9);
    const std::string spoilt = replaced(sprayer, "10 mm2", "10 mm");
    CHECK(first_message("\xEF\xBB\xBF" + replaced(spoilt, "\n", "\r\n")) ==
          replaced(first_message(spoilt), "\r", ""));
}

TEST_CASE("a column counts code points, so a caret stands under the right character") {
    // Expected, by hand: 10 characters before name, 12 of it, 8 before the quoted size, 3 before "mm".
    const auto c = read_circuit_text(
        "format = 1\nground = \"b\"\npart = [{ name = \"é\", size = \"10 mm\", kind = \"wire\" }]\n",
        "c.toml");
    REQUIRE_FALSE(static_cast<bool>(c));
    bool found = false;
    for (const Problem& p : c.problems())
        if (p.what.find("is a length") != std::string::npos) {
            found = true;
            CHECK(p.place.line == 3);
            CHECK(p.place.column == 34);
        }
    CHECK(found);
}

TEST_CASE("a circuit without states has one, run, with every switch closed") {
    // Expected, by DESIGN's rule.
    std::string text = sprayer;
    const std::size_t from = text.find("[[state]]"), to = text.find("[[condition]]");
    text.erase(from, to - from);
    const auto c = read_circuit_text(text, "c.toml");
    REQUIRE(static_cast<bool>(c));
    REQUIRE(c->states.size() == 1);
    CHECK(c->states[0].name == "run");
    CHECK(c->states[0].closed == std::vector{find_part(*c, "pump switch")});
}

TEST_CASE("a limit in per cent is of the source's voltage") {
    // Expected, by hand: 3 % of 12.6 V is 0.378 V.
    const auto c =
        read_circuit_text(replaced(sprayer, "whole_loop = \"0.5 V\"", "whole_loop = \"3 %\""), "c.toml");
    REQUIRE(static_cast<bool>(c));
    CHECK(si(c->limits.drops.whole_loop) == doctest::Approx(0.378).epsilon(1e-12));
}

TEST_CASE("an end that looks misspelt and a part without a way to ground are remarked on") {
    // Expected, by hand: "pump+" is one terminal only and "pump +" is near, and the pump hangs in the air.
    const auto c = read_circuit_text(replaced(sprayer, "from = \"pump +\"", "from = \"pump+\""), "c.toml");
    REQUIRE(static_cast<bool>(c));
    const Review found = review(*c);
    CHECK(found.errors.empty());
    REQUIRE(found.remarks.size() == 1);
    CHECK(found.remarks[0].what == "point \"pump+\" is touched by motor \"rinse pump\" only");
    CHECK(found.remarks[0].write ==
          "did you mean \"pump +\"? If the end is free on purpose, give it a [[point]]");

    const std::string island =
        std::string(sprayer) + "[[part]]\nname = \"C12\"\nkind = \"connector\"\nfrom = \"a\"\nto = \"b\"\n";
    const auto with_island = read_circuit_text(
        replaced(island, "[[part]]\nname = \"C12\"", "\n[[part]]\nname = \"C12\""), "c.toml");
    REQUIRE(static_cast<bool>(with_island));
    const Review about_island = review(*with_island);
    REQUIRE_FALSE(about_island.remarks.empty());
    CHECK(about_island.remarks[0].what == "connector \"C12\" has no path to \"battery -\"");
}

TEST_CASE("deep nesting, long lines and too many values are refused before they are parsed") {
    // Expected, by the limits in toml_file.h.
    std::string dotted = "a", brackets = "a = ", lists = "a = [";
    for (int k = 0; k < 50'000; ++k) dotted += ".a";
    brackets += std::string(50'000, '[');
    for (std::size_t k = 0; k < most_values + 1; ++k) lists += k % 100 ? "1," : "1,\n";
    CHECK(first_message(dotted + " = 1").find("dotted keys are nested more than 16 deep") !=
          std::string::npos);
    CHECK(first_message(brackets).find("brackets are nested more than 16 deep") != std::string::npos);
    CHECK(first_message(lists + "]").find("values, the most that is read") != std::string::npos);
    CHECK(first_message(std::string(2u << 20, '#')).find("this line is longer than 1 MB") !=
          std::string::npos);
}

TEST_CASE("more than two hundred mistakes are counted, not listed") {
    // Expected, by hand: 500 unknown keys.
    std::string keys;
    for (int k = 0; k < 500; ++k) keys += fmt::format("zz{} = 1\n", k);
    const auto c = read_circuit_text(replaced(sprayer, "format = 1\n", "format = 1\n" + keys), "c.toml");
    REQUIRE(c.problems().size() == 201);
    CHECK(c.problems().back().what == "and 300 more mistakes");
}

TEST_CASE("reading takes time in proportion to the number of parts, its mistakes included") {
    // Expected: ten times the parts in about ten times the time; a quadratic reader would take a hundred.
    // The bound of 40 leaves room for a busy machine.
    const auto seconds = [](const std::string& text) {
        const auto start = std::chrono::steady_clock::now();
        (void)read_circuit_text(text, "c.toml");
        return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
    };
    const std::string small = long_circuit(2'000), large = long_circuit(20'000);
    CHECK(static_cast<bool>(read_circuit_text(large, "c.toml")));
    CHECK(seconds(large) < 40 * std::max(seconds(small), 1e-3));
    const std::string bad = replaced(large, "kind = \"wire\"", "knd = \"wire\"");
    CHECK(seconds(bad) < 40 * std::max(seconds(small), 1e-3));
}

TEST_CASE("no mutation of a good file brings the reader down") {
    // Expected: a circuit or messages, whatever the bytes; the seed is printed.
    const unsigned seed = 20240611;
    std::mt19937 random(seed);
    MESSAGE("seed " << seed);
    const std::string good = sprayer;
    const std::string tokens[] = {"[", "]", "{",  "}",      "\"", "'",   "=", ".",    "\n",       "\r",
                                  "#", ",", "\\", "\"\"\"", "[[", "\0x", "é", "\xFF", "[[part]]", "name = "};
    const auto pick = [&](std::size_t n) {
        return std::uniform_int_distribution<std::size_t>(0, n - 1)(random);
    };
    int read = 0, refused = 0;
    for (int round = 0; round < 3000; ++round) {
        std::string text = good;
        for (std::size_t change = 1 + pick(6); change > 0; --change) {
            const std::size_t at = pick(text.size());
            switch (pick(4)) {
            case 0:
                text[at] = static_cast<char>(pick(256));
                break;
            case 1:
                text.erase(at, 1 + pick(40));
                break;
            case 2:
                text.insert(at, tokens[pick(std::size(tokens))]);
                break;
            default:
                text.insert(at, text.substr(pick(text.size()), pick(200)));
                break;
            }
            if (text.empty()) text.push_back(' ');
        }
        const auto c = read_circuit_text(text, "c.toml");
        if (c) {
            ++read;
            (void)review(*c);
            continue;
        }
        ++refused;
        REQUIRE_FALSE(c.problems().empty());
        for (const Problem& p : c.problems()) (void)describe(p);
    }
    CHECK(read > 0);
    CHECK(refused > 1000);
}

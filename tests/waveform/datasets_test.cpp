// Starts that strangers to this project recorded on real motors: tests/waveform/datasets, README there.
#include <doctest/doctest.h>

#include <fstream>
#include <sstream>

#include <fmt/format.h>

#include "solver/waveform/waveform.h"

using namespace lostvolts;

namespace {

const std::string folder = LOSTVOLTS_SOURCE "/tests/waveform/datasets/";

struct Edges {
    double t, upper, lower;
    int flag;
};
std::vector<Edges> trace(const std::string& name) {
    std::ifstream in(folder + "start_current_scope/" + name);
    std::string line;
    std::getline(in, line);
    std::vector<Edges> rows;
    Edges e{};
    char comma;
    while (in >> e.t >> comma >> e.upper >> comma >> e.lower >> comma >> e.flag) rows.push_back(e);
    return rows;
}

CaptureOptions shunt() {
    CaptureOptions options;
    options.clamp = "220 mV/A"; // a resistor of 0.22 Ω
    return options;
}

/// The README's own correction: 10 mV off the upper edge, columns with an upward spike left out.
Waveform upper_edge(const std::string& name) {
    std::string text = "t_s,shunt_mV\n";
    for (const Edges& e : trace(name))
        if ((e.flag & 2) == 0) text += fmt::format("{:.4f},{}\n", e.t, e.upper - 10);
    const auto c = read_capture_text(text, name, shunt());
    REQUIRE(c);
    return *analyse(*c);
}
/// The middle of the trace, columns with any spike left out.
Waveform middle(const std::string& name) {
    std::string text = "t_s,shunt_mV\n";
    for (const Edges& e : trace(name))
        if (e.flag == 0) text += fmt::format("{:.4f},{}\n", e.t, 0.5 * (e.upper + e.lower));
    const auto c = read_capture_text(text, name, shunt());
    REQUIRE(c);
    return *analyse(*c);
}

} // namespace

TEST_CASE("three photographed starts give their published peak currents") {
    // Expected: README of start_current_scope and 09_motor_examples.toml, small_pm_fan_motor: 0.78, 1.94
    // and 2.83 A, ±0.05 A.
    const struct {
        const char* file;
        double amps;
    } starts[] = {{"start_2V00.csv", 0.78}, {"start_4V00.csv", 1.94}, {"start_6V30.csv", 2.83}};
    for (const auto& s : starts) {
        const Waveform w = upper_edge(s.file);
        REQUIRE(w.start);
        CHECK(std::abs(si(*w.start)) < 0.03); // t = 0 is the trigger
        REQUIRE(w.peak_current);
        CHECK(std::abs(si(*w.peak_current) - s.amps) < 0.05);
        CHECK_FALSE(w.upstream); // one channel only
        CHECK_FALSE(w.sag);
    }
}

TEST_CASE("two photographed starts give their published running currents") {
    // Expected: the same README, the middle of the trace: 0.12 A at 2.00 V, 0.25 A at 6.30 V, ±0.05 A.
    const Waveform low = middle("start_2V00.csv"), high = middle("start_6V30.csv");
    REQUIRE(low.run_current);
    CHECK(std::abs(si(*low.run_current) - 0.12) < 0.05);
    REQUIRE(high.run_current);
    CHECK(std::abs(si(*high.run_current) - 0.25) < 0.05);
}

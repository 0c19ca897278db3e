// Starts that strangers to this project recorded on real motors: tests/waveform/datasets, README there.
#include <doctest/doctest.h>

#include <fstream>
#include <sstream>

#include <fmt/format.h>

#include "solver/waveform/start_fit.h"
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

TEST_CASE("a gearmotor's speed step has its published end speed and time constant") {
    // Expected: README of gearmotor_speed_step: 3945 counts/s, 0.047 s, 1.9 counts rms over 0.6 s.
    std::ifstream in(folder + "gearmotor_speed_step/full_voltage_step_encoder.csv");
    std::string line;
    std::getline(in, line);
    std::vector<double> ms, counts;
    while (std::getline(in, line)) {
        std::istringstream cells(line);
        double t, n;
        char comma;
        if (cells >> t >> comma >> n) {
            ms.push_back(t);
            counts.push_back(n);
        }
    }
    std::size_t first = 0, last = 0;
    while (counts[first + 1] == counts[0]) ++first;
    while (last + 1 < ms.size() && ms[last + 1] - ms[first] <= 600) ++last;
    const auto late = counts.size() - 1 - 120; // the last 0.6 s, at 5 ms each
    const double speed = 1e3 * (counts.back() - counts[late]) / (ms.back() - ms[late]);
    CHECK(std::abs(speed) == doctest::Approx(3945).epsilon(0.005));
    // With v the speed of the first 0.6 s, counts − v·t approach −v·τ exponentially; v is the one that leaves
    // least.
    std::optional<Approach> fit;
    for (double v = -4200; v < -3600; v += 1) {
        std::vector<double> seconds, lag;
        for (std::size_t k = first + 1; k <= last; ++k) {
            seconds.push_back(1e-3 * (ms[k] - ms[first]));
            lag.push_back(counts[k] - counts[first] - v * seconds.back());
        }
        const auto tried = fit_approach(seconds, lag);
        if (tried && (!fit || tried->rms < fit->rms)) fit = tried;
    }
    REQUIRE(fit);
    MESSAGE(fmt::format("end {:.0f} counts/s, time constant {:.4f} s, {:.1f} counts rms", speed,
                        fit->seconds.value, fit->rms));
    CHECK(fit->rms < 1.9);
    // The published fit counts from the command, this one from the first count: 10 % apart on the same data.
    CHECK(fit->seconds.value == doctest::Approx(0.047).epsilon(0.12));
}

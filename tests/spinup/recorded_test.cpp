// A start that strangers to this project recorded: tests/waveform/datasets/gearmotor_speed_step, README
// there.
#include "solver/spinup/spinup.h"
#include "tests/network/builder.h"

#include <doctest/doctest.h>

#include <cmath>
#include <fstream>
#include <sstream>

using namespace lostvolts;
using namespace lostvolts::testing;

namespace {

struct Counts {
    std::vector<double> seconds, counts; ///< since the last row before the first count
};
Counts recorded(double span) {
    std::ifstream in(LOSTVOLTS_SOURCE
                     "/tests/waveform/datasets/gearmotor_speed_step/full_voltage_step_encoder.csv");
    std::string line;
    std::getline(in, line);
    Counts all, kept;
    while (std::getline(in, line)) {
        std::istringstream cells(line);
        double ms, count;
        char comma;
        if (!(cells >> ms >> comma >> count)) continue;
        all.seconds.push_back(1e-3 * ms);
        all.counts.push_back(count);
    }
    std::size_t first = 0;
    while (all.counts[first + 1] == all.counts[0]) ++first;
    for (std::size_t k = first; k < all.counts.size() && all.seconds[k] - all.seconds[first] <= span; ++k) {
        kept.seconds.push_back(all.seconds[k] - all.seconds[first]);
        kept.counts.push_back(std::abs(all.counts[k] - all.counts[0]));
    }
    return kept;
}

constexpr double every = 1e-4, lead = 0.01, span = 0.6;

/// Angle against time of a motor that starts at once with this time constant R·J/k², almost without
/// inductance, no load; by the trapezium rule over the simulated speed, 1 rad/s in the end.
std::vector<double> angle_of(double time_constant) {
    Builder b;
    Motor<> m;
    m.winding = from_si<Resistance<>>(1);
    m.constant = from_si<MotorConstant<>>(10);
    m.inductance = from_si<Inductance<>>(1e-5);
    m.inertia = from_si<Inertia<>>(time_constant * 10 * 10 / 1.002);
    b.add(battery(10, 0.001), "-", "+");
    b.add(conductor<Switch<>>(0.001), "+", "motor");
    const PartId motor = b.add(m, "motor", "-");
    SpinUpRequest request;
    request.closing = from_si<Time<>>(0);
    request.every = from_si<Time<>>(every);
    request.duration = from_si<Time<>>(span + 2 * lead);
    request.probes = {{ProbeKind::speed, none, none, motor, 10e6}};
    const Network network = b.network();
    const auto run = spin_up(network, request);
    REQUIRE(run);
    std::vector<double> angle{0};
    for (std::size_t k = 1; k < run->seconds.size(); ++k)
        angle.push_back(angle.back() + 0.5 * every * (run->columns[0][k - 1] + run->columns[0][k]));
    return angle;
}

struct Fitted {
    double rms = HUGE_VAL, speed = 0, onset = 0;
};
/// The end speed and the onset that leave least, the rotor standing still until the onset.
Fitted fitted(const std::vector<double>& angle, const Counts& c) {
    Fitted best;
    for (double onset = -lead; onset < 0.002; onset += every) {
        double xx = 0, xy = 0, yy = 0;
        for (std::size_t k = 0; k < c.seconds.size(); ++k) {
            const double since = c.seconds[k] - onset, y = c.counts[k];
            const double x = since <= 0 ? 0 : angle[static_cast<std::size_t>(std::lround(since / every))];
            xx += x * x, xy += x * y, yy += y * y;
        }
        const double rms = std::sqrt((yy - xy * xy / xx) / static_cast<double>(c.seconds.size()));
        if (rms < best.rms) best = {rms, xy / xx, onset};
    }
    return best;
}

} // namespace

TEST_CASE("a recorded gearmotor turns as the simulated start of its published time constant") {
    // Expected: README of gearmotor_speed_step: time constant 0.047 s, 1.9 counts rms over 0.6 s, about 3945
    // counts/s in the end (of the last second; the speed still creeps up after 0.6 s). The published constant
    // is the mechanical one of a rotor from rest, R·J/k², with onset and end speed free and no inductance.
    // Tolerance: the digits published. Without the condition of rest at the onset the same rows give 0.052 s.
    const Counts counts = recorded(span);
    double best = 0, least = HUGE_VAL;
    for (double tau = 0.0410; tau < 0.0535; tau += 0.0005)
        if (const Fitted f = fitted(angle_of(tau), counts); f.rms < least) best = tau, least = f.rms;
    const Fitted published = fitted(angle_of(0.047), counts);
    MESSAGE("least at " << best << " s, " << least << " counts rms; at 0.047 s " << published.rms
                        << " counts rms, onset " << published.onset << " s, " << published.speed
                        << " counts/s");
    CHECK(std::abs(best - 0.047) < 0.0005 + 1e-9);
    CHECK(published.rms < 1.95);
    CHECK(published.speed == doctest::Approx(3945).epsilon(0.025));
    const Counts all = recorded(1e9);
    const std::size_t last = all.counts.size() - 1;
    CHECK((all.counts[last] - all.counts[last - 200]) / (all.seconds[last] - all.seconds[last - 200]) ==
          doctest::Approx(3945).epsilon(0.0002));
}

// How long does locate take over single faults, and over all pairs of them, with 25 parts, 10 readings and 3
// states? And singles alone with 2,000 parts? Targets: 15 ms, 250 ms, 2 s. The named part has to be the true
// one.
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <ctime>
#include <functional>
#include <vector>

#include <fmt/format.h>

#include "solver/circuit/read.h"
#include "solver/locate/locate.h"
#include "solver/locate/pairs.h"
#include "solver/locate/singles.h"
#include "tests/bench/conditions.h"

using namespace lostvolts;

namespace {

/// Battery, switch, fuse, a feed and a return of wires and joints in turn, a motor between them.
Circuit a_loop(int parts) {
    std::string text = "format = 1\nname = \"loop\"\nground = \"p0\"\n";
    const auto part = [&](int k, const char* kind, int from, int to, const char* more) {
        text += fmt::format("[[part]]\nname = \"part {}\"\nkind = \"{}\"\nfrom = \"p{}\"\nto = \"p{}\"\n{}",
                            k, kind, from, to, more);
    };
    part(0, "battery", 0, 1, "emf = \"12.6 V\"\nresistance = \"9 mohm\"\n");
    part(1, "fuse", 1, 2, "rating = \"25 A\"\n");
    part(2, "switch", 2, 3, "");
    const int joints = parts - 4, feed = joints / 2;
    const bool long_one = parts > 100; // a long loop of ten times finer joints, or nothing would run
    const auto joint = [&](int k, int from, int to) {
        const char* kind = k % 3 == 0 ? "connector" : k % 3 == 1 ? "splice" : "ground";
        part(k, kind, from, to, long_one ? "resistance = \"50 uohm\"\n" : "resistance = \"3 mohm\"\n");
    };
    for (int k = 0; k < feed; ++k) joint(3 + k, 3 + k, 4 + k);
    part(3 + feed, "motor", 3 + feed, 4 + feed,
         "rated = \"12 V\"\nrun_current = \"9 A\"\nstall_current = \"24 A\"\nrun_speed = \"3400 rpm\"\n");
    for (int k = feed; k < joints; ++k) joint(4 + k, 4 + k, k + 1 == joints ? 0 : 5 + k);
    text += fmt::format("[[state]]\nname = \"run\"\nclosed = [\"part 2\"]\n[[state]]\nname = \"stall\"\n"
                        "closed = [\"part 2\"]\nlocked = [\"part {}\"]\n[[state]]\nname = \"bridged\"\n"
                        "closed = [\"part 2\"]\nbridged = [\"part 1\"]\n",
                        3 + feed);
    auto circuit = read_circuit_text(text, "loop");
    for (const Problem& problem : circuit.problems()) std::puts(describe(problem).c_str());
    return circuit ? *circuit : Circuit{};
}

/// Ten readings in three states, of a circuit with 0.15 ohm in one joint.
Readings ten_readings(const Circuit& circuit, PartId bad) {
    Readings job;
    job.circuit = circuit;
    const Network network = analyse(std::make_shared<const Circuit>(circuit));
    const PartId motor = static_cast<PartId>(3 + (static_cast<int>(circuit.parts.size()) - 4) / 2);
    const Part& load = circuit.parts[static_cast<std::size_t>(motor)];
    Workspace work;
    Operating at;
    const auto read = [&](int state, Measurand quantity, PointId red, PointId black) {
        Reading r;
        r.state = state;
        r.quantity = quantity;
        r.red = red;
        r.black = black;
        r.through = quantity == Measurand::voltage ? none : motor;
        r.resolution = 1e-2;
        Setup setup = set_up(network, state, {{bad, FaultKind::high_resistance, 0.15}});
        if (operate(network, setup, work, at)) return;
        const Probe probe = probe_of(job, r);
        const double exact = read_probes(network, setup, at, work, std::span(&probe, 1)).front();
        r.value = std::round(exact / r.resolution) * r.resolution;
        job.readings.push_back(r);
    };
    const PointId plus = find_point(circuit, "p1"), minus = circuit.ground;
    for (const int state : {0, 1, 2}) {
        read(state, Measurand::voltage, plus, minus);
        read(state, Measurand::current, none, none);
    }
    read(0, Measurand::voltage, plus, load.from);
    read(0, Measurand::voltage, load.to, minus);
    read(0, Measurand::voltage, circuit.parts[static_cast<std::size_t>(bad)].from,
         circuit.parts[static_cast<std::size_t>(bad)].to);
    read(1, Measurand::voltage, load.from, load.to);
    return job;
}

/// As locate() does.
std::vector<Evidence> singles_of(Weighing& w, const std::vector<Hypothesis>& hypotheses) {
    return weigh_singles(w, hypotheses, alike_of(w, hypotheses));
}

double log_total_of(const std::vector<Evidence>& all) {
    double most = -1e300, sum = 0;
    for (const Evidence& e : all) most = std::max(most, e.log_weight());
    for (const Evidence& e : all) sum += std::exp(e.log_weight() - most);
    return most + std::log(sum);
}

bool measure(int parts, bool with_pairs, double turn_seconds) {
    const PartId bad = static_cast<PartId>(parts - 4);
    const Readings job = ten_readings(a_loop(parts), bad);
    const Network network = analyse(std::make_shared<const Circuit>(job.circuit));
    auto w = prepare(network, job);
    if (!w || job.readings.size() != 10) return std::puts("no working point: nothing timed"), false;
    const std::vector<Hypothesis> hypotheses = single_faults(network, w->typical_amps, w->typical_volts);
    const std::vector<Evidence> singles = singles_of(*w, hypotheses);
    const auto best =
        std::max_element(singles.begin(), singles.end(), [](const Evidence& a, const Evidence& b) {
            return a.log_weight() < b.log_weight();
        });
    if (best->hypothesis.faults.empty() || best->hypothesis.faults.front().part != bad)
        return std::puts("the wrong part is named: nothing timed"), false;
    const double log_total = log_total_of(singles);
    std::vector<std::function<void()>> works{[&] { singles_of(*w, hypotheses); }};
    if (with_pairs) works.push_back([&] { weigh_pairs(*w, singles, alike_of(*w, hypotheses), log_total); });
    const auto timings = bench::time_interleaved(works, with_pairs ? 5 : 1, turn_seconds);
    std::printf("%d parts, %zu singles: median %.1f ms (%.1f to %.1f)\n", parts, singles.size(),
                timings[0].median / 1e6, timings[0].least / 1e6, timings[0].most / 1e6);
    std::clock_t before = std::clock();
    singles_of(*w, hypotheses);
    const double alone = static_cast<double>(std::clock() - before) / CLOCKS_PER_SEC;
    if (!with_pairs) return std::printf("of the processor's time: %.1f ms\n", alone * 1e3), true;
    before = std::clock();
    const PairStudy study = weigh_pairs(*w, singles, alike_of(*w, hypotheses), log_total);
    const double paired = static_cast<double>(std::clock() - before) / CLOCKS_PER_SEC;
    std::printf("of the processor's time: singles %.1f ms, pairs %.1f ms\n", alone * 1e3, paired * 1e3);
    std::printf("%d parts, %d pairs, %zu of them weighed as %zu: median %.1f ms (%.1f to %.1f)\n", parts,
                study.considered, study.weighed.size(), study.evidence.size(), timings[1].median / 1e6,
                timings[1].least / 1e6, timings[1].most / 1e6);
    return true;
}

} // namespace

/// With any argument the 2,000 parts too.
int main(int arguments, char**) {
    std::puts(bench::conditions().c_str());
    const bool sound = measure(25, true, 0.2) && measure(250, false, 0.1);
    return sound && (arguments < 2 || measure(2000, false, 0.1)) ? 0 : 1;
}

// How much is a whole nonlinear working point, and the slopes of ten readings, as a multiple of one linear
// solve of the same network? 25 parts with a motor; all three in the same run, in turns. Targets: 15, and 10
// more.
#include <algorithm>
#include <cstdio>
#include <functional>
#include <vector>

#include "solver/network/measure.h"
#include "tests/bench/conditions.h"
#include "tests/network/builder.h"

using namespace lostvolts;
using namespace lostvolts::testing;

namespace {

/// Battery, a feed of joints, wire and a fuse, the motor, its return, and a side branch; 25 parts.
Builder twenty_five_parts(PartId& motor) {
    Builder b;
    b.add(battery(12.6, 9e-3), "ground", "p0");
    int at = 0;
    const auto chain = [&](AnyPart part) {
        const std::string from = std::string("p") += std::to_string(at++);
        b.add(std::move(part), from, std::string("p") += std::to_string(at));
    };
    for (int k = 0; k < 4; ++k) {
        chain(wire(5e-3));
        chain(conductor<Connector<>>(5e-3));
        chain(conductor<Splice<>>(2e-3));
    }
    Fuse<> fuse;
    fuse.cold = from_si<Resistance<>>(2.5e-3);
    fuse.settings.rating = from_si<Current<>>(25.0);
    fuse.settings.heating = 0.47;
    chain(fuse);
    for (int k = 0; k < 3; ++k) chain(wire(8e-3));
    motor = b.add(nameplate_motor(12, 9, 24, 3400, LoadLaw::quadratic),
                  std::string("p") += std::to_string(at), "m-");
    b.add(wire(6e-3), "m-", "g1");
    b.add(conductor<Ground<>>(3e-3), "g1", "g2");
    b.add(wire(2e-3), "g2", "ground");
    b.add(conductor<Connector<>>(3e-3), "p3", "x1");
    b.add(resistor(40), "x1", "x2");
    b.add(conductor<Ground<>>(3e-3), "x2", "ground");
    b.add(wire(0.1), "p5", "p9");
    return b;
}

} // namespace

int main() {
    PartId motor = none;
    const Builder b = twenty_five_parts(motor);
    const Network n = b.network();
    Setup setup = set_up(n, 0);
    Workspace work;
    Operating at;
    if (operate(n, setup, work, at) || at.largest_leftover_amps > 1e-9) {
        std::puts("the working point is wrong: nothing timed");
        return 1;
    }
    std::vector<Probe> probes;
    for (int k = 0; k < 8; ++k) probes.push_back({ProbeKind::voltage, 2 * k, 2 * k + 3, none, 10e6});
    probes.push_back({ProbeKind::current, none, none, motor, 10e6});
    probes.push_back({ProbeKind::speed, none, none, motor, 10e6});
    std::vector<double> slopes, rhs(static_cast<std::size_t>(n.nodes));
    const std::vector<std::function<void()>> works{
        [&] {
            std::fill(rhs.begin(), rhs.end(), 1.0);
            eliminate(n.plan, at.edge_siemens, work.factor);
            solve(n.plan, work.factor, rhs);
        },
        [&] { operate(n, setup, work, at); },
        [&] { read_probes_with_slopes(n, setup, at, work, probes, slopes); }};
    const std::vector<bench::Timing> t = bench::time_interleaved(works, 101, 0.002);
    std::printf("%s\n", bench::conditions().c_str());
    std::printf("parts %zu, nodes %d, Newton steps %d, numbers %d; medians (least to most)\n",
                b.circuit.parts.size(), n.nodes, at.iterations, n.numbers);
    const char* names[] = {"one linear solve", "whole working point, target 15",
                           "slopes of ten readings, target 10"};
    for (std::size_t k = 0; k < t.size(); ++k)
        std::printf("%-34s %7.0f ns (%.0f to %.0f) %6.1f x\n", names[k], t[k].median, t[k].least, t[k].most,
                    t[k].median / t[0].median);
    return 0;
}

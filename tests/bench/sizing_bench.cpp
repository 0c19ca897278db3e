// How many tolerance samples a second does a core solve on a 25-part circuit with a motor, and how long does
// it take to size a harness of 25 and of 500 wires, with what proven gap?
#include <cstdio>

#include <fmt/format.h>

#include "solver/circuit/read.h"
#include "solver/sizing/sizing.h"
#include "solver/sizing/study.h"
#include "tests/bench/conditions.h"

using namespace lostvolts;

namespace {

/// A machine's harness: branches of relay-less loads behind fuses on shared feeds, two wires out and one back
/// each. Wires in all: 2 + 3·loads.
std::string harness_text(int loads, int per_feed) {
    std::string t = "format = 1\nname = \"Harness\"\nground = \"battery -\"\n\n";
    const auto part = [&](const std::string& name, const std::string& kind, const std::string& from,
                          const std::string& to, const std::string& more) {
        t += fmt::format("[[part]]\nname = \"{}\"\nkind = \"{}\"\nfrom = \"{}\"\nto = \"{}\"\n{}\n\n", name,
                         kind, from, to, more);
    };
    part("battery", "battery", "battery -", "battery +", "emf = \"12.6 V\"\nresistance = \"4 mohm\"");
    for (int k = 0; k < loads; ++k) {
        const int feed = k / per_feed;
        const std::string bus = fmt::format("bus {}", feed), frame = fmt::format("frame {}", feed);
        if (k % per_feed == 0) {
            part(fmt::format("feed {}", feed), "wire", "battery +", bus,
                 fmt::format("size = \"16 mm2\"\nlength = \"{:.2f} m\"", 0.6 + 0.13 * (feed % 7)));
            part(fmt::format("strap {}", feed), "wire", frame, "battery -",
                 fmt::format("size = \"16 mm2\"\nlength = \"{:.2f} m\"", 0.5 + 0.11 * (feed % 5)));
        }
        part(fmt::format("fuse {}", k), "fuse", bus, fmt::format("fused {}", k), "rating = \"20 A\"");
        part(fmt::format("out {}", k), "wire", fmt::format("fused {}", k), fmt::format("plug {}", k),
             fmt::format("size = \"2.5 mm2\"\nlength = \"{:.2f} m\"", 0.8 + 0.37 * (k * 7 % 11)));
        part(fmt::format("pigtail {}", k), "wire", fmt::format("plug {}", k), fmt::format("load {} +", k),
             fmt::format("size = \"1.5 mm2\"\nlength = \"{:.2f} m\"", 0.3 + 0.05 * (k % 6)));
        if (k % 3 == 0)
            part(fmt::format("pump {}", k), "motor", fmt::format("load {} +", k), fmt::format("load {} -", k),
                 fmt::format("rated = \"12 V\"\nrun_current = \"{} A\"\nstall_current = \"{} A\"\nrun_speed "
                             "= \"3200 rpm\"",
                             3 + k % 4, 12 + 4 * (k % 4)));
        else
            part(fmt::format("lamp {}", k), "lamp", fmt::format("load {} +", k), fmt::format("load {} -", k),
                 fmt::format("rated = \"12 V\"\npower = \"{} W\"", 21 + 15 * (k % 3)));
        part(fmt::format("back {}", k), "wire", fmt::format("load {} -", k), frame,
             fmt::format("size = \"2.5 mm2\"\nlength = \"{:.2f} m\"", 0.7 + 0.29 * (k * 5 % 9)));
    }
    return t;
}

Network network_of(const std::string& text) {
    auto circuit = read_circuit_text(text, "bench");
    if (!circuit) {
        for (const Problem& p : circuit.problems()) std::fprintf(stderr, "%s\n", describe(p).c_str());
        std::abort();
    }
    return analyse(std::make_shared<const Circuit>(*std::move(circuit)));
}

} // namespace

int main() {
    std::printf("%s\n", bench::conditions().c_str());
    for (const int loads : {7, 152}) {
        const Network network = network_of(harness_text(loads, 7));
        SizingRequest request;
        request.rule = land_rule(*network.circuit);
        auto sizing = size_harness(network, request);
        if (!sizing) {
            std::fprintf(stderr, "%s\n", describe(sizing.problems().front()).c_str());
            return 1;
        }
        // The answer first: every state within its limits.
        for (const StatePrediction& s : sizing->states)
            for (const LoadResult& l : s.loads)
                if (l.over_limit) return 1;
        const std::vector<std::function<void()>> works{[&] { sizing = size_harness(network, request); }};
        const auto t = bench::time_interleaved(works, 5, 0.05).front();
        std::printf("%zu wires: %.1f ms (%.1f to %.1f), %s, gap %.3f %%, %ld nodes, %d rounds\n",
                    sizing->wires.size(), t.median / 1e6, t.least / 1e6, t.most / 1e6,
                    sizing->proven ? "proven" : "not proven", 100 * sizing->gap, sizing->nodes,
                    sizing->rounds);
    }
    const Network network = network_of(harness_text(4, 2));
    StudyRequest request;
    request.samples = 100'000;
    request.limit = from_si<Voltage<>>(0.5);
    ToleranceStudy one, two;
    const std::vector<std::function<void()>> works{[&] {
                                                       request.threads = 1;
                                                       one = *study_tolerances(network, request);
                                                   },
                                                   [&] {
                                                       request.threads = 2;
                                                       two = *study_tolerances(network, request);
                                                   }};
    const auto t = bench::time_interleaved(works, 5, 0.2);
    if (one.drop.p99 != two.drop.p99 || one.drop.mean != two.drop.mean) return 1;
    std::printf("%zu parts: %.0f samples/s on one thread, %.0f on two\n", network.circuit->parts.size(),
                1e9 * static_cast<double>(request.samples) / t[0].median,
                1e9 * static_cast<double>(request.samples) / t[1].median);
}

#include "tests/bench/sample_job.h"

#include <algorithm>
#include <cstdio>
#include <cstdlib>

#include <fmt/format.h>

#include "solver/circuit/read.h"

namespace lostvolts::bench {
namespace {

class Writer {
  public:
    std::string text = "format = 1\nname = \"harness\"\nground = \"frame\"\n";
    int parts = 0;

    void part(std::string_view kind, std::string_view from, std::string_view to, std::string_view keys) {
        fmt::format_to(std::back_inserter(text),
                       "[[part]]\nname = \"{} {}\"\nkind = \"{}\"\nfrom = \"{}\"\nto = \"{}\"\n{}\n", kind,
                       ++parts, kind, from, to, keys);
    }
};

constexpr std::string_view motor =
    "rated = \"12 V\"\nrun_current = \"4 A\"\nstall_current = \"14 A\"\nrun_speed = \"3400 rpm\"";
constexpr std::string_view lamp = "rated = \"12 V\"\npower = \"21 W\"";
constexpr std::string_view heater = "rated = \"12 V\"\npower = \"30 W\"";
constexpr std::string_view electronic = "power = \"10 W\"";
constexpr int branches_of_a_trunk = 20;

void load(Writer& w, int branch, const std::string& from, const std::string& to) {
    switch (branch % 4) {
    case 0:
        return w.part("motor", from, to, motor);
    case 1:
        return w.part("lamp", from, to, lamp);
    case 2:
        return w.part("heater", from, to, heater);
    default:
        return w.part("electronic", from, to, electronic);
    }
}

std::shared_ptr<const Circuit> kept(Result<Circuit> read) {
    if (!read) refuse_to_time(describe(read.problems().front()));
    return std::make_shared<const Circuit>(*std::move(read));
}

} // namespace

std::string harness_text(int parts) {
    Writer w;
    for (int b = 0; w.parts < parts; ++b) {
        const std::string before = fmt::format("trunk {}", b), here = fmt::format("trunk {}", b + 1);
        if (b % branches_of_a_trunk == 0)
            w.part("battery", "frame", before, "emf = \"12.6 V\"\nresistance = \"8 mohm\"");
        w.part("wire", before, here, "size = \"16 mm2\"\nlength = \"0.6 m\"");
        const std::string fused = fmt::format("fused {}", b), plug = fmt::format("plug {}", b);
        w.part("fuse", here, fused, "rating = \"10 A\"");
        w.part("wire", fused, plug, "size = \"1.5 mm2\"\nlength = \"2 m\"");
        std::string feed = plug;
        if (b % 10 == 5) {
            feed = fmt::format("switched {}", b);
            w.part("relay", plug, feed,
                   fmt::format("coil = \"85 ohm\"\ncoil_from = \"{}\"\ncoil_to = \"frame\"", here));
        }
        const std::string back = fmt::format("back {}", b);
        load(w, b, feed, back);
        w.part("ground", back, "frame", "");
    }
    return std::move(w.text);
}

std::shared_ptr<const Circuit> bundled_circuit(std::string_view scenario) {
    return kept(read_circuit(fmt::format("{}/circuits/{}/circuit.toml", LOSTVOLTS_SOURCE, scenario)));
}

std::shared_ptr<const Circuit> circuit_from_text(std::string_view text) {
    return kept(read_circuit_text(text, "harness.toml"));
}

double leftover_share(const Operating& at) {
    constexpr double least_amps = 10e-3; // what draws less is held to that one's share
    return at.largest_leftover_amps / std::max(at.largest_branch_amps, least_amps);
}

void refuse_to_time(const std::string& why) {
    std::fprintf(stderr, "%s\nnothing is timed\n", why.c_str());
    std::exit(EXIT_FAILURE);
}

} // namespace lostvolts::bench

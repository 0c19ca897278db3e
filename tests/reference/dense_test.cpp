// LAPACK as a second opinion: the same circuit file's numbers put into one dense tableau (Kirchhoff's two
// laws and every branch's own line, with node volts and branch amperes all unknown) and solved by dgesv.
// Nothing of the program's reader, assembly or elimination is in it.
#include <doctest/doctest.h>

#include <lapacke.h>

#include <random>

#include <fmt/format.h>

#include "solver/network/measure.h"
#include "tests/reference/example.h"

using namespace lostvolts;
using namespace lostvolts::reference_tests;

namespace {

/// A branch of the drawing: v(from) − v(to) + emf = ohms·i.
struct Drawn {
    int from, to;
    double ohms, emf;
};

struct Drawing {
    int points = 0; ///< point 0 is ground
    std::vector<Drawn> branches;
    std::string text;

    void add(const std::string& kind, int from, int to, double ohms, const std::string& keys,
             double emf = 0) {
        text += part(fmt::format("part {}", branches.size()), kind, fmt::format("p{}", from),
                     fmt::format("p{}", to), keys);
        branches.push_back({from, to, ohms, emf});
    }
};

class Maker {
  public:
    explicit Maker(std::uint64_t seed) : random_(seed) {}

    /// A tree that reaches every point, about half as many chords, one to three batteries.
    Drawing drawing() {
        Drawing d;
        d.points = 3 + below(28);
        for (int p = 1; p < d.points; ++p) conductor(d, p, below(p));
        for (int c = d.points / 2; c > 0; --c) {
            const int from = below(d.points), to = below(d.points);
            if (from != to) conductor(d, from, to);
        }
        for (int s = 1 + below(3); s > 0; --s) {
            const int from = below(d.points);
            // Three points at least; the analyser lets a distribution give what lies outside it.
            // NOLINTNEXTLINE(clang-analyzer-core.UndefinedBinaryOperatorResult)
            battery(d, from, (from + 1 + below(d.points - 1)) % d.points);
        }
        return d;
    }

    int below(int n) { return std::uniform_int_distribution<>(0, n - 1)(random_); }

  private:
    double uniform(double low, double high) { return std::uniform_real_distribution<>(low, high)(random_); }

    /// Half a milliohm to a kilohm, evenly over the decades.
    void conductor(Drawing& d, int from, int to) {
        const double ohms = 0.5e-3 * std::pow(2e6, uniform(0, 1));
        const char* const kinds[] = {"wire",     "connector", "splice",   "ground", "breaker",
                                     "resistor", "heater",    "solenoid", "fuse"};
        const std::string kind = kinds[below(9)];
        d.add(
            kind, from, to, ohms,
            fmt::format("resistance = \"{:.17g} ohm\"{}", ohms, kind == "fuse" ? "\nrating = \"30 A\"" : ""));
    }

    void battery(Drawing& d, int from, int to) {
        const double ohms = uniform(3e-3, 0.1), emf = uniform(6, 28);
        d.add("battery", from, to, ohms,
              fmt::format("emf = \"{:.17g} V\"\nresistance = \"{:.17g} ohm\"", emf, ohms), emf);
    }

    std::mt19937_64 random_;
};

/// The tableau's matrix, column by column, and what the right-hand sides are solved into.
struct Tableau {
    lapack_int size = 0, nodes = 0;
    std::vector<double> matrix;

    explicit Tableau(const Drawing& d)
        : size(d.points - 1 + static_cast<lapack_int>(d.branches.size())), nodes(d.points - 1),
          matrix(static_cast<std::size_t>(size) * static_cast<std::size_t>(size), 0.0) {
        for (std::size_t b = 0; b < d.branches.size(); ++b) {
            const Drawn& e = d.branches[b];
            const lapack_int branch = nodes + static_cast<lapack_int>(b);
            for (const auto& [point, sign] : {std::pair{e.from, 1.0}, {e.to, -1.0}}) {
                if (point == 0) continue;
                at(point - 1, branch) += sign; // what leaves a node along its branches sums to nothing
                at(branch, point - 1) += sign;
            }
            at(branch, branch) = -e.ohms;
        }
    }

    double& at(lapack_int row, lapack_int column) {
        return matrix[static_cast<std::size_t>(column) * static_cast<std::size_t>(size) +
                      static_cast<std::size_t>(row)];
    }

    /// Right-hand sides, one after the other, become answers.
    void solve(std::vector<double>& sides) {
        std::vector<lapack_int> pivots(static_cast<std::size_t>(size));
        const auto columns = static_cast<lapack_int>(sides.size()) / size;
        REQUIRE(LAPACKE_dgesv(LAPACK_COL_MAJOR, size, columns, matrix.data(), size, pivots.data(),
                              sides.data(), size) == 0);
    }
};

struct Worked {
    Network network;
    Setup setup;
    Workspace work;
    Operating at;

    explicit Worked(const Drawing& d) {
        const auto read =
            read_circuit_text("format = 1\nname = \"drawn\"\nground = \"p0\"\n" + d.text, "drawn.toml");
        REQUIRE(read);
        network = analyse(std::make_shared<const Circuit>(*read));
        setup = set_up(network, 0);
        REQUIRE_FALSE(operate(network, setup, work, at));
    }
    PointId point(int p) const { return find_point(*network.circuit, fmt::format("p{}", p)); }
};

} // namespace

TEST_CASE("volts and amperes of 3,000 circuit files agree with LAPACK's dense solution") {
    // LAPACK dgesv on the tableau. Tolerance: 1e-9 of the greatest volts and amperes: the tableau's condition
    // reaches 1e6, which leaves the dense solution ten digits.
    constexpr std::uint64_t seed = 20261125;
    MESSAGE("seed ", seed);
    Maker maker(seed);
    double worst_volts = 0, worst_amps = 0;
    for (int k = 0; k < 3000; ++k) {
        const Drawing d = maker.drawing();
        Worked ours(d);
        Tableau tableau(d);
        std::vector<double> answer(static_cast<std::size_t>(tableau.size), 0.0);
        for (std::size_t b = 0; b < d.branches.size(); ++b)
            answer[static_cast<std::size_t>(tableau.nodes) + b] = -d.branches[b].emf;
        tableau.solve(answer);

        double most_volts = 0, most_amps = 0, volts = 0, amps = 0;
        for (int p = 1; p < d.points; ++p) {
            const double theirs = answer[static_cast<std::size_t>(p - 1)];
            most_volts = std::max(most_volts, std::abs(theirs));
            volts = std::max(volts, std::abs(ours.at.volts(ours.network, ours.point(p)) - theirs));
        }
        for (std::size_t b = 0; b < d.branches.size(); ++b) {
            const double theirs = answer[static_cast<std::size_t>(tableau.nodes) + b];
            most_amps = std::max(most_amps, std::abs(theirs));
            amps = std::max(amps, std::abs(ours.at.branch_amps[b] - theirs));
        }
        CHECK_MESSAGE(volts <= 1e-9 * most_volts, "circuit ", k);
        CHECK_MESSAGE(amps <= 1e-9 * most_amps, "circuit ", k);
        worst_volts = std::max(worst_volts, volts / most_volts);
        worst_amps = std::max(worst_amps, amps / most_amps);
    }
    MESSAGE("worst volts ", worst_volts, ", worst amperes ", worst_amps);
}

TEST_CASE("slopes of readings against every resistance and emf agree with LAPACK's") {
    // Differentiating the tableau: A·dx = −dA·x, so against a branch's ohms the right-hand side is +i in that
    // branch's row and against its emf −1. One dense solve with a column for each number, the direct way;
    // the program goes by the adjoint. Tolerance: 1e-9 of the largest effect that any whole number has
    // on any volts, or amperes, of the circuit: what dgesv answers for.
    constexpr std::uint64_t seed = 20261126;
    MESSAGE("seed ", seed);
    Maker maker(seed);
    double worst = 0;
    int compared = 0;
    for (int k = 0; k < 200; ++k) {
        const Drawing d = maker.drawing();
        Worked ours(d);
        std::vector<Probe> probes;
        std::vector<std::pair<int, int>> leads;
        for (int r = 0; r < 4; ++r) {
            leads.emplace_back(maker.below(d.points), maker.below(d.points));
            probes.push_back({ProbeKind::voltage, ours.point(leads.back().first),
                              ours.point(leads.back().second), none, 1e18});
        }
        std::vector<int> clamped;
        for (int r = 0; r < 4; ++r) {
            clamped.push_back(maker.below(static_cast<int>(d.branches.size())));
            probes.push_back({ProbeKind::current, none, none, clamped.back(), 1e18});
        }
        std::vector<double> slopes;
        read_probes_with_slopes(ours.network, ours.setup, ours.at, ours.work, probes, slopes);

        Tableau tableau(d);
        const auto size = static_cast<std::size_t>(tableau.size),
                   nodes = static_cast<std::size_t>(tableau.nodes);
        std::vector<double> sides(2 * d.branches.size() * size, 0.0); // against ohms, then against emf
        for (std::size_t b = 0; b < d.branches.size(); ++b) {
            sides[b * size + nodes + b] = ours.at.branch_amps[b];
            sides[(d.branches.size() + b) * size + nodes + b] = -1;
        }
        tableau.solve(sides);
        // The effect of a whole number on the x that a row of the tableau stands for.
        const auto effect_of = [&](std::size_t b, bool emf, std::size_t row) {
            const double number = emf ? d.branches[b].emf : d.branches[b].ohms;
            return number * sides[(emf ? d.branches.size() + b : b) * size + row];
        };
        double most_volts = 0, most_amps = 0;
        for (std::size_t b = 0; b < d.branches.size(); ++b)
            for (const bool emf : {false, true})
                for (std::size_t row = 0; row < size; ++row) {
                    double& most = row < nodes ? most_volts : most_amps;
                    most = std::max(most, std::abs(effect_of(b, emf, row)));
                }
        for (std::size_t r = 0; r < probes.size(); ++r) {
            const bool volts = r < leads.size();
            double apart = 0;
            for (std::size_t b = 0; b < d.branches.size(); ++b) {
                const auto at_point = [&](int p, bool emf) {
                    return p == 0 ? 0.0 : effect_of(b, emf, static_cast<std::size_t>(p - 1));
                };
                const PartNumbers numbers = numbers_of(ours.setup.parts[b]);
                for (std::size_t j = 0; j < numbers.names.size(); ++j) {
                    const bool emf = numbers.names[j] == "emf";
                    if (!emf && numbers.names[j] != "resistance") continue;
                    const double theirs =
                        volts
                            ? at_point(leads[r].first, emf) - at_point(leads[r].second, emf)
                            : effect_of(b, emf, nodes + static_cast<std::size_t>(clamped[r - leads.size()]));
                    const auto row = static_cast<std::size_t>(ours.network.first_number[b]) + j;
                    const double own = slopes[row * probes.size() + r] * numbers.values[j];
                    apart = std::max(apart, std::abs(own - theirs));
                    ++compared;
                }
            }
            const double share = apart / (volts ? most_volts : most_amps);
            CHECK_MESSAGE(share <= 1e-9, "circuit ", k, " probe ", r);
            worst = std::max(worst, share);
        }
    }
    MESSAGE(compared, " slopes compared, worst ", worst);
    CHECK(compared > 20000);
}

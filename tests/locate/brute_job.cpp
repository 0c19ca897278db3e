#include "tests/locate/brute_job.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "solver/circuit/read.h"
#include "solver/locate/locate.h"

namespace lostvolts::testing {
namespace {

std::string readings_text(const std::vector<Written>& all) {
    std::string text = "circuit = \"circuit.toml\"\n";
    for (std::size_t k = 0; k < all.size(); ++k)
        text +=
            fmt::format("[[meter]]\nname = \"m{}\"\naccuracy = \"{} % + {} counts\"\ninput = \"1e6 Mohm\"\n",
                        k, 100 * all[k].share, all[k].counts);
    for (std::size_t k = 0; k < all.size(); ++k)
        text += fmt::format(
            "[[reading]]\nstate = \"{}\"\nquantity = \"{}\"\n{}value = \"{:.{}f} {}\"\nmeter = \"m{}\"\n",
            all[k].state, all[k].quantity, all[k].where, all[k].value, all[k].decimals, all[k].unit, k);
    return text;
}

} // namespace

double rest_volts(double charge) {
    constexpr double table[] = {11.89, 12.06, 12.24, 12.45, 12.65};
    const int k = std::min(static_cast<int>(4 * charge), 3);
    return table[k] + (4 * charge - k) * (table[k + 1] - table[k]) - 6 * 0.0002 * 1.7;
}

BruteSuspect sized(std::string part, std::string kind, double odds, double low, double high, bool ohms,
                   std::function<void(Numbers&, double)> put) {
    return {std::move(part), std::move(kind), odds, low, high, ohms, std::move(put)};
}
BruteSuspect there_or_not(std::string part, std::string kind, double odds,
                          std::function<void(Numbers&)> put) {
    return {std::move(part),
            std::move(kind),
            odds,
            0,
            0,
            false,
            [put = std::move(put)](Numbers& n, double) { put(n); }};
}

std::function<void(Numbers&, double)> set(std::size_t which) {
    return [which](Numbers& n, double size) { n[which] = size; };
}
std::function<void(Numbers&)> open(std::size_t which, double ohms) {
    return [which, ohms](Numbers& n) { n[which] = ohms; };
}

std::string circuit_text(const std::string& emf, const std::string& inside,
                         const std::vector<WrittenPart>& parts) {
    std::string text = fmt::format("format = 1\nground = \"b-\"\n[[part]]\nname = \"battery\"\n"
                                   "kind = \"battery\"\nfrom = \"b-\"\nto = \"b+\"\nemf = \"{}\"\n"
                                   "resistance = \"{}\"\n",
                                   emf, inside);
    for (const WrittenPart& p : parts)
        text += fmt::format("[[part]]\nname = \"{}\"\nkind = \"{}\"\nfrom = \"{}\"\nto = \"{}\"\n"
                            "resistance = \"{}\"\n{}",
                            p.name, p.kind, p.from, p.to, p.resistance, p.more);
    return text;
}

BruteReading brute(const Written& w, double most) {
    const double digit = std::pow(10.0, -w.decimals), size = std::abs(w.value);
    if (w.quantity == "speed") { // written in rpm
        constexpr double rpm = 2 * std::numbers::pi / 60;
        const double half = w.share * size + w.counts * digit;
        return {w.value * rpm, rpm * std::sqrt(half * half / 3 + digit * digit / 12),
                2 * std::max(size * rpm, 100.0)};
    }
    const double half = w.share * size + w.counts * digit;
    // Half-width taken as evenly likely, JCGM 100 4.3.7, and the last digit's rounding; spans by
    // weighing.cpp.
    return {w.value, std::sqrt(half * half / 3 + digit * digit / 12),
            w.quantity == "voltage" ? 2.4 * std::max(most, size) : 3 * std::max({most, size, 0.1})};
}

std::string between(const char* red, const char* black) {
    return fmt::format("red = \"{}\"\nblack = \"{}\"\n", red, black);
}
std::string through(const char* part) { return fmt::format("through = \"{}\"\n", part); }

void compare(const std::string& text, const std::vector<Written>& written, const BruteCircuit& brute_circuit,
             double within) {
    const auto circuit = read_circuit_text(text, "circuit.toml");
    for (const Problem& p : circuit.problems()) MESSAGE(describe(p));
    REQUIRE(circuit);
    const auto job = read_readings_text(readings_text(written), "readings.toml", *circuit);
    for (const Problem& p : job.problems()) MESSAGE(describe(p));
    REQUIRE(job);
    const auto found = locate(*job, AtMost::one);
    REQUIRE(found);
    const BrutePosterior brute = brute_force(brute_circuit, brute_seed);
    CHECK(brute.worst_error < 0.003);
    double worst = 0;
    std::size_t seen = 0;
    for (const Suspect& s : found->suspects) {
        if (s.faults.size() > 1) continue; // two faults at once: not among the brute-force's
        std::size_t at = brute_circuit.suspects.size();
        const std::string part =
            s.faults.empty() ? "" : circuit->parts[static_cast<std::size_t>(s.faults[0].part)].name;
        const std::string kind = s.faults.empty() ? "" : std::string(name_of(s.faults[0].kind));
        if (!s.unmodelled)
            at = static_cast<std::size_t>(
                std::find_if(brute_circuit.suspects.begin(), brute_circuit.suspects.end(),
                             [&](const BruteSuspect& b) { return b.part == part && b.kind == kind; }) -
                brute_circuit.suspects.begin());
        REQUIRE_MESSAGE((s.unmodelled || at < brute_circuit.suspects.size()), part, " ", kind);
        INFO((s.unmodelled ? "not modelled" : part), " ", kind, ": locate ", s.probability, ", brute force ",
             brute.probability[at]);
        CHECK(std::abs(s.probability - brute.probability[at]) < within + 3 * brute.worst_error);
        worst = std::max(worst, std::abs(s.probability - brute.probability[at]));
        ++seen;
    }
    CHECK(seen == brute.probability.size());
    MESSAGE("first ", found->suspects[0].probability, ", largest difference ", worst, ", VEGAS ",
            brute.worst_error);
}

} // namespace lostvolts::testing

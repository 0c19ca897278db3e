#include "solver/sizing/draw.h"

#include <algorithm>
#include <cmath>

namespace lostvolts {
namespace {

using Put = void (*)(AnyPart&, double);

template <class PartT, std::size_t K> void put_number(AnyPart& part, double value) {
    auto& field = std::get<PartT>(part).*(std::get<K>(PartT::parameters()).member);
    field = std::decay_t<decltype(field)>::from_value(value);
}

template <class PartT, std::size_t... K> std::vector<Put> puts_of(std::index_sequence<K...>) {
    return {&put_number<PartT, K>...};
}

std::vector<Put> puts_of(const AnyPart& part) {
    return std::visit(
        [](const auto& p) {
            using PartT = std::decay_t<decltype(p)>;
            constexpr auto count = std::tuple_size_v<decltype(PartT::parameters())>;
            return puts_of<PartT>(std::make_index_sequence<count>{});
        },
        part);
}

/// What grows with temperature: a wire's resistance, a motor's winding, a relay's coil.
double coefficient_of(const AnyPart& part, std::string_view number) {
    static const double copper = si(find_metal("copper")->coefficient);
    if (const auto* wire = std::get_if<Wire<>>(&part))
        return number == "resistance" ? si(find_metal(wire->settings.metal)->coefficient) : 0;
    if (std::holds_alternative<Motor<>>(part)) return number == "winding resistance" ? copper : 0;
    if (std::holds_alternative<Relay<>>(part)) return number == "coil resistance" ? copper : 0;
    return 0;
}

/// A counter's hash as the next random number: SplitMix64 (Steele, Lea, Flood 2014; constants from memory).
std::uint64_t mixed(std::uint64_t z) {
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ull;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebull;
    return z ^ (z >> 31);
}
constexpr std::uint64_t golden = 0x9e3779b97f4a7c15ull;

double open_unit(std::uint64_t bits) { return (static_cast<double>(bits >> 11) + 0.5) * 0x1p-53; }

double between(double low, double high, double share) { return low + (high - low) * share; }

} // namespace

double normal_deviate(double p) {
    static constexpr double a[] = {-3.969683028665376e+01, 2.209460984245205e+02,  -2.759285104469687e+02,
                                   1.383577518672690e+02,  -3.066479806614716e+01, 2.506628277459239e+00};
    static constexpr double b[] = {-5.447609879822406e+01, 1.615858368580409e+02, -1.556989798598866e+02,
                                   6.680131188771972e+01, -1.328068155288572e+01};
    static constexpr double c[] = {-7.784894002430293e-03, -3.223964580411365e-01, -2.400758277161838e+00,
                                   -2.549732539343734e+00, 4.374664141464968e+00,  2.938163982698783e+00};
    static constexpr double d[] = {7.784695709041462e-03, 3.224671290700398e-01, 2.445134137142996e+00,
                                   3.754408661907416e+00};
    constexpr double low = 0.02425;
    const auto tail = [&](double share) {
        const double q = std::sqrt(-2 * std::log(share));
        return (((((c[0] * q + c[1]) * q + c[2]) * q + c[3]) * q + c[4]) * q + c[5]) /
               ((((d[0] * q + d[1]) * q + d[2]) * q + d[3]) * q + 1);
    };
    if (p < low) return tail(p);
    if (p > 1 - low) return -tail(1 - p);
    const double q = p - 0.5, r = q * q;
    return (((((a[0] * r + a[1]) * r + a[2]) * r + a[3]) * r + a[4]) * r + a[5]) * q /
           (((((b[0] * r + b[1]) * r + b[2]) * r + b[3]) * r + b[4]) * r + 1);
}

Strays find_strays(const Circuit& circuit, const Setup& setup, const StudyRequest& request) {
    Strays strays;
    strays.request = request;
    strays.drawn_temperature = circuit.temperature;
    for (std::size_t p = 0; p < setup.parts.size(); ++p) {
        const AnyPart& part = setup.parts[p];
        if (setup.link[p] != Link::part) continue;
        const PartNumbers numbers = numbers_of(part, circuit.parts[p].tolerance);
        const std::vector<Put> puts = puts_of(part);
        const auto* battery = std::get_if<Battery<>>(&part);
        for (std::size_t k = 0; k < puts.size(); ++k) {
            Stray s{static_cast<PartId>(p),
                    static_cast<int>(k),
                    numbers.names[k],
                    numbers.values[k],
                    numbers.deviations[k],
                    0,
                    false,
                    puts[k]};
            s.per_kelvin = coefficient_of(part, s.name);
            s.ages = is_source(part) && s.name == "resistance";
            if (battery && s.name == "emf") continue; // by its charge, below
            // Inductance and inertia say nothing about a circuit at rest.
            if (s.name == "inductance" || s.name == "inertia") continue;
            if (s.deviation > 0 || s.per_kelvin > 0 || s.ages) strays.numbers.push_back(s);
        }
        if (battery)
            strays.batteries.push_back({static_cast<PartId>(p), si(battery->emf),
                                        si(lead_acid_rest_voltage(1, celsius(25), battery->settings.cells)),
                                        battery->settings.cells});
    }
    return strays;
}

void draw_sample(const Strays& strays, std::uint64_t seed, std::uint64_t n, Draw& draw) {
    std::uint64_t state = mixed(mixed(seed + golden) ^ (n * golden));
    const auto next = [&state] { return open_unit(mixed(state += golden)); };
    draw.temperature = next();
    draw.charge = next();
    draw.age = next();
    draw.deviates.resize(strays.numbers.size());
    for (double& z : draw.deviates) z = normal_deviate(next());
}

double counted_share(std::uint64_t seed, std::uint64_t n, std::uint64_t k) {
    return open_unit(mixed(mixed(mixed(seed + golden) ^ (n * golden)) ^ mixed((k + 1) * golden)));
}

Strays strays_of_machines(const Circuit& circuit) {
    StudyRequest request;
    request.coldest = request.warmest = circuit.temperature;
    request.least_charge = request.most_charge = 1;
    request.most_ageing = 1;
    Setup setup;
    for (const Part& part : circuit.parts) setup.parts.push_back(part.law);
    setup.link.assign(circuit.parts.size(), Link::part);
    Strays strays = find_strays(circuit, setup, request);
    strays.batteries.clear(); // their charge is what the file says
    return strays;
}

void put_draw(const Strays& strays, const Draw& draw, Setup& setup) {
    const StudyRequest& r = strays.request;
    const double celsius_now = between(in_celsius(r.coldest), in_celsius(r.warmest), draw.temperature);
    const double from = in_celsius(strays.drawn_temperature);
    const double age = between(1, r.most_ageing, draw.age);
    for (std::size_t k = 0; k < strays.numbers.size(); ++k) {
        const Stray& s = strays.numbers[k];
        double value = std::max(s.value + draw.deviates[k] * s.deviation, 0.02 * s.value);
        if (s.per_kelvin > 0)
            value *= (1 + s.per_kelvin * (celsius_now - 20)) / (1 + s.per_kelvin * (from - 20));
        if (s.ages) value *= age;
        s.put(setup.parts[static_cast<std::size_t>(s.part)], value);
    }
    const double charge = between(r.least_charge, r.most_charge, draw.charge);
    for (const EmfStray& b : strays.batteries)
        std::get_if<Battery<>>(&setup.parts[static_cast<std::size_t>(b.part)])->emf = from_si<Voltage<>>(
            b.emf * si(lead_acid_rest_voltage(charge, celsius(celsius_now), b.cells)) / b.full_volts);
}

} // namespace lostvolts

#include "solver/lesson/signature.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "solver/locate/suspects.h"
#include "solver/units/text.h"

namespace lostvolts {
namespace {

constexpr double typical_loss_volts =
    2; // a fault that anybody notices; the trade's limit for a joint is 0.1 V

const PartResult& result_of(const StatePrediction& s, PartId p) {
    return s.parts[static_cast<std::size_t>(p)];
}

bool stands_open(const PartResult& r) { return !r.in_circuit || !r.resistance; }

void find_largest_drop(const Stand& stand, const StatePrediction& healthy, Signature& sig) {
    for (const PartResult& r : sig.run.parts) {
        if (!drop_limit(*stand.circuit, stand.part(r.part))) continue; // meant to drop volts
        if (stands_open(result_of(healthy, r.part))) continue;
        const Voltage<> v = from_si<Voltage<>>(std::abs(si(r.drop)));
        if (sig.largest != none && v <= sig.largest_drop) continue;
        sig.largest = r.part;
        sig.largest_drop = v;
        sig.largest_open = stands_open(r);
    }
}

/// Watts at one fault, running.
std::optional<double> watts_at(const Stand& stand, const StatePrediction& run, const Fault& f) {
    const Part& part = stand.part(f.part);
    const PartResult& r = result_of(run, f.part);
    const double amps = si(r.current);
    const auto* motor = std::get_if<Motor<>>(&part.law);
    const MotorResult* turning = motor_in(run, f.part);
    const double speed = turning ? si(turning->speed) : 0;
    switch (f.kind) {
    case FaultKind::high_resistance:
    case FaultKind::worn_brushes:
    case FaultKind::weak_battery:
        return amps * amps * f.size;
    case FaultKind::short_to_ground: {
        // A motor's is at its + terminal, any other's at its far end (network.cpp, shorted_point).
        const double volts = si(volts_at(run, motor ? part.from : part.to));
        return volts * volts / f.size;
    }
    case FaultKind::dragging:
        return motor ? std::optional(f.size * si(motor->load_torque) * std::abs(speed)) : std::nullopt;
    case FaultKind::shorted_winding: {
        if (!motor) return std::nullopt;
        const double k = si(motor->constant);
        return k * k / si(motor->winding) * f.size * speed * speed;
    }
    case FaultKind::seized:
        return std::abs(si(r.power));
    default:
        return std::nullopt;
    }
}

std::optional<Power<>> power_at(const Stand& stand, const StatePrediction& run,
                                const std::vector<Fault>& faults) {
    std::optional<Power<>> all;
    for (const Fault& f : faults)
        if (const auto watts = watts_at(stand, run, f))
            all = all.value_or(Power<>{}) + from_si<Power<>>(*watts);
    return all;
}

void fill_numbers(const Stand& stand, const StatePrediction& healthy, Signature& sig) {
    const PartResult& load = result_of(sig.run, stand.load);
    sig.run_current = load.current;
    sig.across = fall_across(stand, sig.run, stand.load);
    sig.lost = between_posts(stand, sig.run) - sig.across;
    Voltage<> hardest = between_posts(stand, sig.run);
    if (sig.stall) {
        sig.stall_current = result_of(*sig.stall, stand.load).current;
        hardest = std::min(hardest, between_posts(stand, *sig.stall));
    }
    sig.sag = between_posts(stand, sig.rest) - hardest;
    if (stand.turns()) {
        const MotorResult* motor = motor_in(sig.run, stand.load);
        sig.speed = motor ? motor->speed : Speed<>{};
        sig.torque = motor ? motor->torque : Torque<>{};
        sig.work = from_si<Power<>>(si(*sig.torque) * si(*sig.speed));
        for (const Fault& f : sig.faults) // what brakes the shaft is no work
            if (f.part == stand.load &&
                (f.kind == FaultKind::dragging || f.kind == FaultKind::shorted_winding))
                *sig.work -= from_si<Power<>>(watts_at(stand, sig.run, f).value_or(0));
    }
    find_largest_drop(stand, healthy, sig);
    sig.power_in_fault = power_at(stand, sig.run, sig.faults);
}

/// The likeliest way for one of these parts to fail in this manner.
struct Likeliest {
    PartId part = none;
    FaultMode mode{};
};
Likeliest likeliest(const Stand& stand, const std::vector<PartId>& parts, FaultKind kind) {
    Likeliest best;
    for (const PartId p : parts)
        for (const FaultMode& mode : faults_of(stand.part(p).law)) {
            const bool there = mode.kind != FaultKind::short_to_ground ||
                               stand.network.shunt_edge[static_cast<std::size_t>(p)] != none;
            if (mode.kind == kind && there && (best.part == none || mode.odds > best.mode.odds))
                best = {p, mode};
        }
    return best;
}

double typical_size(const FaultMode& mode, double amps, double volts) {
    if (size_of(mode.kind) == FaultSize::none) return 0;
    const double middle = mode.low > 0 ? std::sqrt(mode.low * mode.high) : 0.5 * (mode.low + mode.high);
    if (size_of(mode.kind) == FaultSize::share) return std::round(20 * middle) / 20;
    const double ohms =
        mode.kind == FaultKind::short_to_ground ? middle * volts / amps : typical_loss_volts / amps;
    const double step = std::pow(10.0, std::floor(std::log10(ohms)) - 1); // two digits are plenty
    return step * std::round(ohms / step);
}

} // namespace

std::string told(const Circuit& circuit, const std::vector<Fault>& faults) {
    std::string text;
    for (const Fault& f : faults) {
        text += text.empty() ? "" : " and ";
        text += fmt::format("{}: {}", circuit.parts[static_cast<std::size_t>(f.part)].name, name_of(f.kind));
        if (size_of(f.kind) == FaultSize::ohms) text += ' ' + show(from_si<Resistance<>>(f.size));
        if (size_of(f.kind) == FaultSize::share) text += fmt::format(" {:.0f} %", 100 * f.size);
    }
    return text;
}

Signature signature_of(const Stand& stand, std::string name, std::vector<Fault> faults, Workspace& work) {
    Signature sig;
    sig.name = std::move(name);
    sig.faults = std::move(faults);
    const auto predicted = [&](int state, StatePrediction& into) {
        auto result = predict_state(stand.network, state, sig.faults, work);
        if (result)
            into = *std::move(result);
        else if (!sig.trouble)
            sig.trouble = result.problems().front();
    };
    predicted(stand.run, sig.run);
    predicted(stand.rest, sig.rest);
    if (stand.turns()) predicted(stand.stall, sig.stall.emplace());
    if (sig.trouble) return sig;
    if (sig.faults.empty()) {
        fill_numbers(stand, sig.run, sig);
    } else if (const auto healthy = predict_state(stand.network, stand.run, {}, work)) {
        fill_numbers(stand, *healthy, sig);
    }
    return sig;
}

std::vector<Signature> signatures(const Stand& stand, const std::vector<Condition>& conditions) {
    Workspace work;
    std::vector<Signature> all{signature_of(stand, "healthy", {}, work)};
    for (const Condition& c : conditions) all.push_back(signature_of(stand, c.name, c.faults, work));
    return all;
}

std::vector<Condition> typical_faults(const Stand& stand) {
    Workspace work;
    const auto healthy = predict_state(stand.network, stand.run, {}, work);
    if (!healthy) return {};
    std::vector<PartId> out = stand.out, loop;
    for (const PartResult& r : healthy->parts)
        if (is_source(stand.part(r.part).law) && std::abs(si(r.current)) > 1e-6) loop.push_back(r.part);
    loop.insert(loop.end(), stand.out.begin(), stand.out.end());
    loop.push_back(stand.load);
    loop.insert(loop.end(), stand.back.begin(), stand.back.end());

    std::vector<Condition> all;
    const auto add = [&](const std::vector<PartId>& parts, FaultKind kind) {
        const Likeliest found = likeliest(stand, parts, kind);
        if (found.part == none) return;
        const double amps = std::abs(si(result_of(*healthy, found.part).current));
        const Fault fault{found.part, kind,
                          typical_size(found.mode, amps, si(between_posts(stand, *healthy)))};
        all.push_back({told(*stand.circuit, {fault}), {fault}});
    };
    for (const std::string_view name : fault_names()) {
        const FaultKind kind = *fault_kind(name);
        if (kind == FaultKind::high_resistance) {
            add(stand.out, kind);
            add(stand.back, kind);
        } else {
            add(loop, kind);
        }
    }
    return all;
}

} // namespace lostvolts

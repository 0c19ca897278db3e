#include "solver/sizing/complaints.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace lostvolts {
namespace {

std::string called(const SizingModel& m, PartId p) {
    return said(m.circuit.parts[static_cast<std::size_t>(p)]);
}

} // namespace

Problem too_much_lost(const SizingModel& m) {
    const ModelState* where = nullptr;
    const LoadPath* what = nullptr;
    double over = -HUGE_VAL;
    for (const ModelState& s : m.states) {
        if (!m.circuit.states[static_cast<std::size_t>(s.state)].locked.empty()) continue;
        for (const LoadPath& path : s.paths) {
            const double here = lost_on(m, s, path) - si(m.request.rule.whole_loop);
            if (path.coil || here <= over) continue;
            over = here;
            where = &s;
            what = &path;
        }
    }
    if (!what) return {m.circuit.file, {}, "no sizes meet the limits", "", ""};
    PartId worst = none;
    double most = -HUGE_VAL;
    for (const auto& step : what->steps) {
        const Part& part = m.circuit.parts[static_cast<std::size_t>(step.part)];
        const double drop =
            step.sign * (where->at.volts(m.network, part.from) - where->at.volts(m.network, part.to));
        if (drop > most) {
            most = drop;
            worst = step.part;
        }
    }
    return {m.circuit.file, m.circuit.parts[static_cast<std::size_t>(what->load)].place,
            fmt::format(
                "state \"{}\": even with the thickest wires {} loses {} more than the {} that may be lost; "
                "the most, {}, is across {}",
                m.circuit.states[static_cast<std::size_t>(where->state)].name, called(m, what->load),
                show(from_si<Voltage<>>(over)), show(m.request.rule.whole_loop),
                show(from_si<Voltage<>>(most)), called(m, worst)),
            "shorten or double that segment, choose parts that drop less, or allow more with --limit", ""};
}

Problem no_size(const SizingModel& m, const Demands& d, std::size_t w) {
    const ModelWire& wire = m.wires[w];
    const SizeChoice& thickest = wire.choices.back();
    const WireDemand& demand = d.wires[w];
    const Place place = m.circuit.parts[static_cast<std::size_t>(wire.part)].place;
    const std::string size = write_wire_size(thickest.size), name = called(m, wire.part);
    const double limit = in_celsius(m.request.insulation.limit), hot = stall_celsius(demand, thickest);
    if (hot > limit) {
        double amps = 0;
        for (const RunDemand& run : demand.run) amps = std::max(amps, run.amps);
        return {
            m.circuit.file, place,
            fmt::format(
                "{} carries {} and even {} gets to {:.0f} degC, {:.0f} K more than the {:.0f} degC of its "
                "insulation",
                name, show(from_si<Current<>>(amps)), size, hot, hot - limit, limit),
            "run wires side by side, take insulation of a higher class, or a cooler or smaller bundle", ""};
    }
    std::string fuse = "its fuse";
    if (demand.only_fuse != none || !demand.shorts.empty()) {
        const int f = demand.only_fuse != none ? demand.only_fuse : demand.shorts.front().fuse;
        fuse = fmt::format("{} ({})", called(m, m.fuses[static_cast<std::size_t>(f)]),
                           show(from_si<Current<>>(m.ratings[static_cast<std::size_t>(f)])));
    }
    return {
        m.circuit.file, place,
        fmt::format(
            "{} protects no available size of {}: not even {} outlasts it or makes it open in {:.0f} s on a "
            "short at the far end",
            fuse, name, size, adiabatic_seconds),
        "fit a fuse of a lower rating nearer to the wire, or split the circuit", ""};
}

Problem no_fuse(const SizingModel& m, const FuseDemand& demand, PartId fuse) {
    const double largest = blade_fuse_ratings_amps().back();
    return {
        m.circuit.file, m.circuit.parts[static_cast<std::size_t>(fuse)].place,
        fmt::format(
            "{} carries {} in run{}; no blade fuse up to {} is loaded at most {:.0f} % and lives through it",
            called(m, fuse), show(from_si<Current<>>(demand.load)),
            demand.start.peak > demand.start.run ? " and " + show(demand.start.peak) + " at a start" : "",
            show(from_si<Current<>>(largest)),
            100 * steady_fuse_share * fuse_ambient_factor(m.request.ambient)),
        "split the loads over several fuses, or keep this one with --keep and check it by its maker's curve",
        ""};
}

Problem wire_over_rule(const SizingModel& m, std::size_t w) {
    const ModelWire& wire = m.wires[w];
    double most = 0;
    for (const ModelState& s : m.states)
        if (m.circuit.states[static_cast<std::size_t>(s.state)].locked.empty()) {
            const Part& part = m.circuit.parts[static_cast<std::size_t>(wire.part)];
            most =
                std::max(most, std::abs(s.at.volts(m.network, part.from) - s.at.volts(m.network, part.to)));
        }
    const double allowed = si(*m.request.rule.wire);
    return {m.circuit.file, m.circuit.parts[static_cast<std::size_t>(wire.part)].place,
            fmt::format("{} drops {} even at {}, its thickest, {} more than the {} that a wire may drop",
                        called(m, wire.part), show(from_si<Voltage<>>(most)),
                        write_wire_size(wire.choices.back().size), show(from_si<Voltage<>>(most - allowed)),
                        show(from_si<Voltage<>>(allowed))),
            "shorten it, or raise limits wire in the circuit's file", ""};
}

} // namespace lostvolts

#include "viewer/command/waveform_circuit.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "solver/circuit/edit.h"
#include "solver/circuit/names.h"
#include "solver/locate/write_readings.h"
#include "solver/units/text.h"
#include "viewer/command/problems.h"
#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

// What a capture's number may be off by beside its own interval: clamp 2 %, probe 1 %, speed 0.5 %. Common
// practice, no source. Predictions carry the nameplate's 8 %.
constexpr double clamp_share = 0.02, probe_share = 0.01, speed_share = 0.005, nameplate_share = 0.08;

std::vector<std::string> motor_names(const Circuit& c) {
    std::vector<std::string> names;
    for (const Part& p : c.parts)
        if (std::holds_alternative<Motor<>>(p.law)) names.push_back(p.name);
    return names;
}

template <class T> const T* of_part(const std::vector<T>& all, PartId part) {
    const auto it = std::find_if(all.begin(), all.end(), [&](const T& t) { return t.part == part; });
    return it == all.end() ? nullptr : &*it;
}

std::optional<double> between(const StatePrediction& s, const CapturePlace& p) {
    if (p.red == none) return std::nullopt;
    const auto &a = s.points[static_cast<std::size_t>(p.red)],
               &b = s.points[static_cast<std::size_t>(p.black)];
    return a && b ? std::optional(si(*a) - si(*b)) : std::nullopt;
}

/// A line of the comparison. `sigma` is the capture's own, 0 when it is small beside the instrument's share.
template <class Q>
void add(std::vector<Compared>& list, std::string what, std::string key, Q measured, Q predicted,
         double share, double half_interval) {
    const double allowed =
        std::hypot(share * std::abs(si(measured)), half_interval) + nameplate_share * std::abs(si(predicted));
    list.push_back({std::move(what), std::move(key), si(measured), si(predicted), show(measured),
                    show(predicted), std::abs(si(measured) - si(predicted)) > allowed});
}

} // namespace

Result<CapturePlace> find_place(const Circuit& c, const CapturePlaceNames& names) {
    CapturePlace place;
    Problems problems;
    const auto refuse = [&](std::string what, std::string write) {
        problems.push_back({c.file, {}, std::move(what), std::move(write), ""});
    };
    const std::vector<std::string> motors = motor_names(c);
    if (!names.motor.empty()) {
        place.motor = find_part(c, names.motor);
        if (place.motor == none ||
            !std::holds_alternative<Motor<>>(c.parts[static_cast<std::size_t>(place.motor)].law)) {
            problems.push_back(unknown_name("motor", names.motor, motors, c.file));
            place.motor = none;
        }
    } else if (motors.size() == 1) {
        place.motor = find_part(c, motors[0]);
    } else {
        refuse(motors.empty() ? "has no motor" : fmt::format("has {} motors", motors.size()),
               motors.empty() ? "give the circuit that the capture was taken on"
                              : fmt::format("say which with  --motor \"{}\"", motors[0]));
    }
    const auto point = [&](const std::string& name, PointId& id) {
        if (name.empty()) return;
        id = find_point(c, name);
        if (id == none) problems.push_back(unknown_name("point", name, names_of(c.points), c.file));
    };
    point(names.red, place.red);
    point(names.black, place.black);
    if (names.red.empty() != names.black.empty())
        refuse("only one lead of the volts is told", "say both --red and --black");
    if (!names.state.empty()) {
        place.run = find_state(c, names.state);
        if (place.run == none)
            problems.push_back(unknown_name("state", names.state, names_of(c.states), c.file));
    }
    if (!problems.empty()) return problems;
    for (int s = 0; s < static_cast<int>(c.states.size()); ++s) {
        const State& state = c.states[static_cast<std::size_t>(s)];
        if (!holds(state.locked, place.motor)) {
            if (place.run == none) place.run = s;
        } else if (place.stall == none) {
            place.stall = s;
        }
    }
    if (const int run = find_state(c, "run");
        names.state.empty() && run != none &&
        !holds(c.states[static_cast<std::size_t>(run)].locked, place.motor))
        place.run = run;
    return place;
}

Result<std::vector<Compared>> compare(const std::shared_ptr<const Circuit>& circuit,
                                      const CapturePlace& place, const Waveform& w) {
    const Network network = analyse(circuit);
    Workspace work;
    std::vector<Compared> list;
    if (place.run != none) {
        const auto run = predict_state(network, place.run, {}, work);
        if (!run) return run.problems();
        const MotorResult* motor = of_part(run->motors, place.motor);
        if (motor && w.run_current)
            add(list, "run current", "run_current_A", *w.run_current, motor->current, clamp_share, 0);
        if (motor && w.speed) add(list, "speed", "speed_rpm", *w.speed, motor->speed, speed_share, 0);
        if (const auto v = between(*run, place); v && w.run_voltage)
            add(list, "run volts", "run_voltage_V", *w.run_voltage, from_si<Voltage<>>(*v), probe_share, 0);
    }
    if (place.stall != none) {
        const auto stall = predict_state(network, place.stall, {}, work);
        if (!stall) return stall.problems();
        const MotorResult* motor = of_part(stall->motors, place.motor);
        if (motor && w.stall_current)
            add(list, "stall current", "stall_current_A", w.stall_current->value, motor->current, clamp_share,
                0.5 * si(w.stall_current->high - w.stall_current->low));
    }
    for (Compared& c : list)
        if (c.key == "speed_rpm") {
            c.measured *= rpm_per_si;
            c.predicted *= rpm_per_si;
        }
    return list;
}

std::string with_readings(std::string text, const std::string& circuit_name, const Circuit& c,
                          const CapturePlace& place, const Waveform& w, const std::string& capture_name) {
    if (text.empty())
        text = fmt::format("# Readings made of the capture {}.\n{}", capture_name, first_lines(circuit_name));
    const auto meter = [&](const std::string& name, std::string_view accuracy, std::string_view resolution) {
        if (text.find("\"" + name + "\"") == std::string::npos)
            text = append_table(text, "meter",
                                {{"name", name},
                                 {"accuracy", std::string(accuracy)},
                                 {"resolution", std::string(resolution)}});
    };
    const auto reading = [&](int state, std::string_view quantity, std::vector<Field> where,
                             std::string value, const std::string& meter_name, std::string_view note) {
        std::vector<Field> fields{{"state", c.states[static_cast<std::size_t>(state)].name},
                                  {"quantity", std::string(quantity)}};
        fields.insert(fields.end(), where.begin(), where.end());
        fields.push_back({"value", std::move(value)});
        if (!meter_name.empty()) fields.push_back({"meter", meter_name});
        fields.push_back({"note", fmt::format("{}, from the capture {}", note, capture_name)});
        text = append_table(text, "reading", fields);
    };
    const std::vector<Field> through{{"through", c.parts[static_cast<std::size_t>(place.motor)].name}};
    const std::vector<Field> leads =
        place.red == none
            ? std::vector<Field>{}
            : std::vector<Field>{{"red", point_name(c, place.red)}, {"black", point_name(c, place.black)}};
    const double stall_half =
        w.stall_current ? 0.5 * si(w.stall_current->high - w.stall_current->low) / si(w.stall_current->value)
                        : 0;
    const std::string clamp = "capture, clamp", probe = "capture, probe", counter = "capture, speed",
                      stall_meter =
                          fmt::format("capture, stall {:.1f} %", 100 * std::hypot(clamp_share, stall_half));
    if (w.run_current && place.run != none) {
        meter(clamp, fmt::format("{} %", 100 * clamp_share), "0.01 A");
        reading(place.run, "current", through, fmt::format("{:.2f} A", si(*w.run_current)), clamp,
                "mean while running");
    }
    if (w.speed && place.run != none) {
        meter(counter, fmt::format("{} %", 100 * speed_share), "1 rpm");
        reading(place.run, "speed", through, fmt::format("{:.0f} rpm", si(*w.speed) * rpm_per_si), counter,
                "from the commutator's ripple");
    }
    if (w.run_voltage && !leads.empty() && place.run != none) {
        meter(probe, fmt::format("{} %", 100 * probe_share), "0.01 V");
        reading(place.run, "voltage", leads, fmt::format("{:.3f} V", si(*w.run_voltage)), probe,
                "mean while running");
    }
    if (w.stall_current && place.stall != none) {
        meter(stall_meter, fmt::format("{:.1f} %", 100 * std::hypot(clamp_share, stall_half)), "0.01 A");
        reading(place.stall, "current", through, fmt::format("{:.2f} A", si(w.stall_current->value)),
                stall_meter, "fitted to the start");
        if (w.emf && w.upstream && !leads.empty()) {
            meter(probe, fmt::format("{} %", 100 * probe_share), "0.01 V");
            reading(place.stall, "voltage", leads,
                    fmt::format("{:.3f} V",
                                si(w.emf->value) - si(w.upstream->value) * si(w.stall_current->value)),
                    probe, "fitted to the start");
        }
    }
    return text;
}

} // namespace lostvolts

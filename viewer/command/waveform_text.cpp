#include "viewer/command/waveform_text.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include <fmt/format.h>

#include "solver/units/text.h"
#include "viewer/command/style.h"
#include "viewer/command/table.h"
#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

template <class Q> Json number(const std::optional<Q>& q) { return q ? Json(si(*q)) : Json(); }
template <class Q> Json interval(const std::optional<Estimate<Q>>& e) {
    return e ? Json{{"value", si(e->value)}, {"low", si(e->low)}, {"high", si(e->high)}} : Json();
}

/// A place on the file's clock, fine enough for its samples.
std::string clock(Time<> t, Time<> step) {
    const int decimals =
        std::clamp(static_cast<int>(std::ceil(-std::log10(std::max(1e-12, si(step))))), 0, 9);
    return fixed(si(t), std::min(decimals, 6), "s");
}

template <class Q> std::string with_interval(const Estimate<Q>& e) {
    return fmt::format("{} (90 %: {} to {})", show(e.value), show(e.low), show(e.high));
}

/// What is not known, by the reason: which row gave it first.
using Reasons = std::map<std::string, std::string>;

class Rows {
  public:
    Rows(const Waveform& w, Reasons& given) : w_(w), given_(given) {
        table_.columns = {{"", false, false, 0}, {"", false, true, 0}};
    }

    /// The value, or in its place why there is none.
    void row(const std::string& what, bool known, const std::string& text, std::string_view key) {
        if (known) {
            table_.add({what, text});
            return;
        }
        const auto it = std::find_if(w_.unknown.begin(), w_.unknown.end(),
                                     [&](const Unknown& u) { return u.key == key; });
        if (it == w_.unknown.end()) return;
        const auto [first, fresh] = given_.emplace(it->reason, what);
        table_.add({what, faint(fresh ? "not known: " + it->reason : "not known: see " + first->second)});
    }
    std::string drawn(int columns) const { return draw(table_, columns); }

  private:
    const Waveform& w_;
    Reasons& given_;
    Table table_;
};

std::string levels(const Waveform& w, Reasons& given, int columns) {
    Rows rows(w, given);
    rows.row("starts at", w.start.has_value(), w.start ? clock(*w.start, w.step) : "", "start_s");
    rows.row("peak current", w.peak_current.has_value(),
             w.peak_current
                 ? fmt::format(
                       "{}{}", show(*w.peak_current),
                       w.peak_at && w.start ? ", " + show(*w.peak_at - *w.start, 2) + " after the start" : "")
                 : "",
             "peak_current_A");
    rows.row("stall current", w.stall_current.has_value(),
             w.stall_current ? with_interval(*w.stall_current) + ", with the rotor held, from the fit" : "",
             "stall_current_A");
    rows.row("run current", w.run_current.has_value(), w.run_current ? show(*w.run_current) : "",
             "run_current_A");
    rows.row("resting volts", w.resting_voltage.has_value(),
             w.resting_voltage ? volts(*w.resting_voltage) : "", "resting_voltage_V");
    rows.row("sag", w.sag.has_value(),
             w.sag ? fmt::format("{}, down to {}", show(*w.sag), volts(*w.lowest_voltage)) : "", "sag_V");
    rows.row("run volts", w.run_voltage.has_value(), w.run_voltage ? volts(*w.run_voltage) : "",
             "run_voltage_V");
    rows.row("speed", w.speed.has_value(),
             w.speed ? fmt::format("{:.0f} rpm, {} a turn{}", in_rpm(*w.speed), show(*w.revolution),
                                   w.bars ? fmt::format(", {} bars", *w.bars) : "")
                     : "",
             "speed_rpm");
    return rows.drawn(columns);
}

std::string resistances(const Waveform& w, Reasons& given, int columns) {
    Rows rows(w, given);
    rows.row("source to probe", w.upstream.has_value(), w.upstream ? with_interval(*w.upstream) : "",
             "upstream_ohm");
    rows.row("probe through motor", w.downstream.has_value(),
             w.downstream ? with_interval(*w.downstream) : "", "downstream_ohm");
    if (w.emf) rows.row("source emf", true, volts(w.emf->value), "");
    rows.row("motor constant", w.motor.constant.has_value(),
             w.motor.constant ? fmt::format("{:.4g} V s", si(*w.motor.constant)) : "", "motor.constant_V_s");
    rows.row("inductance", w.motor.inductance.has_value(),
             w.motor.inductance ? show(*w.motor.inductance, 2) : "", "motor.inductance_H");
    rows.row("inertia", w.motor.inertia.has_value(),
             w.motor.inertia ? fmt::format("{:.2g} kg m2", si(*w.motor.inertia)) : "", "motor.inertia_kg_m2");
    rows.row("time constant", w.motor.time_constant.has_value(),
             w.motor.time_constant ? show(*w.motor.time_constant, 2) +
                                         (w.motor.with_wiring ? ", the wiring's resistance in it" : "")
                                   : "",
             "motor.time_constant_s");
    return rows.drawn(columns);
}

} // namespace

Json json_of(const Capture& capture, const Waveform& w) {
    Json uneven = Json::array(), bounces = Json::array(), clipped = Json::array(), starts = Json::array(),
         unknown = Json::object();
    for (const UnevenBar& b : w.uneven_bars)
        uneven.push_back({{"bar", b.bar},
                          {"off_A", capture.amps.empty() ? Json() : Json(si(b.off))},
                          {"share", b.share},
                          {"at_s", si(b.in_the_turn)}});
    for (const Reopening& b : w.bounces) bounces.push_back({{"at_s", si(b.at)}, {"open_s", si(b.open)}});
    for (const Clipped& c : w.clipped)
        clipped.push_back({{"channel", c.amps ? "amps" : "volts"},
                           {"end", c.at_top ? "top" : "bottom"},
                           {"level", c.level},
                           {"at_s", si(c.first)},
                           {"longest_s", si(c.longest)}});
    for (const Time<>& t : w.starts) starts.push_back(si(t));
    for (const Unknown& u : w.unknown) unknown[u.key] = u.reason;
    return {{"file", capture.file},
            {"samples", w.samples},
            {"duration_s", si(w.duration)},
            {"step_s", si(w.step)},
            {"starts_s", std::move(starts)},
            {"start_s", number(w.start)},
            {"peak_current_A", number(w.peak_current)},
            {"peak_s", number(w.peak_at)},
            {"stall_current_A", interval(w.stall_current)},
            {"run_current_A", number(w.run_current)},
            {"run_voltage_V", number(w.run_voltage)},
            {"resting_voltage_V", number(w.resting_voltage)},
            {"lowest_voltage_V", number(w.lowest_voltage)},
            {"sag_V", number(w.sag)},
            {"revolution_s", number(w.revolution)},
            {"ripple_s", number(w.ripple_period)},
            {"speed_rpm", w.speed ? Json(in_rpm(*w.speed)) : Json()},
            {"bars", w.bars ? Json(*w.bars) : Json()},
            {"uneven_bars", std::move(uneven)},
            {"bounces", std::move(bounces)},
            {"upstream_ohm", interval(w.upstream)},
            {"downstream_ohm", interval(w.downstream)},
            {"emf_V", interval(w.emf)},
            {"motor",
             {{"resistance_ohm", number(w.motor.resistance)},
              {"constant_V_s", number(w.motor.constant)},
              {"inductance_H", number(w.motor.inductance)},
              {"inertia_kg_m2", number(w.motor.inertia)},
              {"time_constant_s", number(w.motor.time_constant)}}},
            {"clamp",
             {{"reversed", capture.amps.empty() ? Json() : Json(w.clamp.reversed)},
              {"zero_A", number(w.clamp.zero)}}},
            {"clipped", std::move(clipped)},
            {"noise", {{"amps_A", number(w.amps_noise)}, {"volts_V", number(w.volts_noise)}}},
            {"hum_hertz", w.hum ? Json(w.hum->hertz) : Json()},
            {"unknown", std::move(unknown)},
            {"cautions", w.cautions}};
}

Json json_of(const std::vector<Compared>& compared) {
    Json list = Json::array();
    for (const Compared& c : compared)
        list.push_back(
            {{"key", c.key}, {"measured", c.measured}, {"predicted", c.predicted}, {"differs", c.differs}});
    return list;
}

std::string waveform_text(const Capture& capture, const Waveform& w, int columns) {
    std::string text = strong(capture.file) + '\n';
    Reasons given;
    const auto line = [&](const std::string& words) { text += wrapped(words, columns, 2, 4) + '\n'; };
    line(fmt::format("{} samples, {} apart: {}; {}", w.samples, show(w.step), show(w.duration),
                     capture.volts.empty()  ? "amperes only"
                     : capture.amps.empty() ? "volts only"
                                            : "volts and amperes"));
    text += '\n' + strong("Start and run") + '\n' + levels(w, given, columns);
    for (const Reopening& b : w.bounces)
        line(fmt::format("contact open for {} at {}", show(b.open, 2), clock(b.at, w.step)));
    for (const UnevenBar& b : w.uneven_bars)
        line(fmt::format("uneven bar {}: {:+.1f} % of the run {} each turn, {} after the first", b.bar,
                         100 * b.share, capture.amps.empty() ? "volts" : "current", show(b.in_the_turn, 2)));
    text += '\n' + strong("Resistance and motor") + '\n' + resistances(w, given, columns);
    if (!w.cautions.empty()) text += '\n' + strong("Mind") + '\n';
    for (const std::string& c : w.cautions) line(c);
    return text;
}

std::string compared_text(const std::vector<Compared>& compared, int columns) {
    Table table;
    table.columns = {{"", false, true, 0},
                     {"capture", true, false, 0},
                     {"circuit says", true, false, 0},
                     {"", false, true, 0}};
    for (const Compared& c : compared)
        table.add({c.what, c.measured_text, c.predicted_text, c.differs ? alarm("differs") : "agrees"});
    return draw(table, columns);
}

} // namespace lostvolts

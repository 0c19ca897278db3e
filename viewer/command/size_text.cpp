#include "viewer/command/size_text.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "solver/units/csv.h"
#include "viewer/command/style.h"
#include "viewer/command/table.h"
#include "viewer/figures/cautions.h"
#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

const Part& part_at(const Circuit& c, PartId p) { return c.parts[static_cast<std::size_t>(p)]; }

std::string degrees(Temperature<> t) { return fmt::format("{:.0f} °C", in_celsius(t)); }
std::string grams(Mass<> m) {
    const double g = 1000 * si(m);
    return g < 999.5 ? fmt::format("{:.{}f} g", g, g < 9.95 ? 1 : 0) : fmt::format("{:.2f} kg", g / 1000);
}
std::string seconds(Time<> t) { return std::isfinite(si(t)) ? show(t, 2) : "never"; }

std::string wire_table(const Circuit& c, const Sizing& s, int columns) {
    Table table;
    table.columns = {{"wire", false, true, 0},   {"size", true, false, 0},    {"drawn", true, false, 3},
                     {"length", true, false, 5}, {"current", true, false, 0}, {"drop", true, false, 0},
                     {"run", true, false, 2},    {"stalled", true, false, 4}, {"ampacity", true, false, 4},
                     {"copper", true, false, 3}, {"bound by", false, true, 0}};
    for (const SizedWire& w : s.wires)
        table.add({part_at(c, w.part).name, write_wire_size(w.size), w.chosen ? write_wire_size(w.drawn) : "",
                   show(w.length), amperes(w.current), drop(w.drop < Voltage<>{} ? -w.drop : w.drop),
                   degrees(w.temperature), degrees(w.stalled), amperes(w.ampacity), grams(w.copper),
                   std::string(name_of(w.binding))});
    return draw(table, columns);
}

std::string fuse_table(const Circuit& c, const Sizing& s, int columns) {
    Table table;
    table.columns = {
        {"fuse", false, true, 0},   {"rating", true, false, 0},        {"drawn", true, false, 3},
        {"run", true, false, 1},    {"loaded", true, false, 2},        {"start", true, false, 1},
        {"lives", false, false, 0}, {"far-end short", true, false, 1}, {"opens within", true, false, 0},
        {"stall", true, false, 4},  {"opens on stall", true, false, 5}};
    for (const SizedFuse& f : s.fuses) {
        const bool stalls = si(f.stall) > 0;
        table.add({part_at(c, f.part).name, show(f.rating), f.chosen ? show(f.drawn) : "kept",
                   amperes(f.load), fmt::format("{:.0f} %", 100 * f.loaded),
                   si(f.start_peak) > 0 ? amperes(f.start_peak) : "", f.survives_start ? "yes" : alarm("no"),
                   si(f.short_current) > 0 ? amperes(f.short_current) : "",
                   si(f.short_current) > 0 ? seconds(f.on_short) : "", stalls ? amperes(f.stall) : "",
                   stalls ? fmt::format("{} to {}", seconds(f.on_stall.shortest), seconds(f.on_stall.longest))
                          : ""});
    }
    return draw(table, columns);
}

std::string rating_table(const Circuit& c, const Sizing& s, int columns) {
    Table table;
    table.columns = {{"contact", false, true, 0},
                     {"kind", false, false, 2},
                     {"carries", true, false, 0},
                     {"rating", true, false, 0},
                     {"", false, false, 0}};
    for (const Rating& r : s.ratings)
        if (si(r.current) > 1e-6)
            table.add({part_at(c, r.part).name, std::string(kind_of(part_at(c, r.part).law)),
                       amperes(r.current), si(r.rating) > 0 ? show(r.rating) : "not told",
                       r.over ? alarm("over") : ""});
    return draw(table, columns);
}

std::string proof(const Sizing& s) {
    if (!s.one_way)
        return "some current has more than one way: that no lighter choice meets the limits is not proven";
    if (s.proven) return "no lighter choice of these sizes meets the limits (proven)";
    return fmt::format("at most {:.2f} % above the lightest that could meet the limits", 100 * s.gap);
}

Json finite(double x) { return std::isfinite(x) ? Json(x) : Json(); }

Json json_of(const Circuit& c, const SizedWire& w) {
    return {{"name", part_at(c, w.part).name},
            {"size", write_wire_size(w.size)},
            {"current_A", si(w.current)},
            {"drop_V", si(w.drop)},
            {"temperature_degC", in_celsius(w.temperature)},
            {"limit_degC", in_celsius(w.limit)},
            {"mass_kg", si(w.mass)},
            {"binding", name_of(w.binding)},
            {"drawn", write_wire_size(w.drawn)},
            {"length_m", si(w.length)},
            {"area_mm2", si(w.size.area) * 1e6},
            {"stalled_degC", in_celsius(w.stalled)},
            {"ampacity_A", si(w.ampacity)},
            {"copper_kg", si(w.copper)},
            {"fuse", w.fuse == none ? Json() : Json(part_at(c, w.fuse).name)},
            {"state", w.state == none ? Json() : Json(c.states[static_cast<std::size_t>(w.state)].name)}};
}

Json json_of(const Circuit& c, const SizedFuse& f) {
    const bool shorted = si(f.short_current) > 0;
    return {{"name", part_at(c, f.part).name},
            {"rating_A", si(f.rating)},
            {"operates_on_short_s", shorted ? finite(si(f.on_short)) : Json()},
            {"survives_start", f.survives_start},
            {"drawn_A", si(f.drawn)},
            {"load_A", si(f.load)},
            {"loaded", f.loaded},
            {"start_peak_A", si(f.start_peak)},
            {"start_use", f.start_use},
            {"short_current_A", shorted ? Json(si(f.short_current)) : Json()},
            {"short_at", f.loads.empty() ? Json() : Json(f.loads)},
            {"stall_A", si(f.stall)},
            {"on_stall_s",
             {{"shortest", finite(si(f.on_stall.shortest))}, {"longest", finite(si(f.on_stall.longest))}}}};
}

Json json_of(const StraySpread& s) {
    return {{"p50", s.p50}, {"p95", s.p95},   {"p99", s.p99},
            {"max", s.max}, {"mean", s.mean}, {"deviation", s.deviation}};
}

} // namespace

Json json_of(const Circuit& c, const SizingRequest& request, const Sizing& s) {
    Json wires = Json::array(), fuses = Json::array(), states = Json::array(), ratings = Json::array();
    for (const SizedWire& w : s.wires) wires.push_back(json_of(c, w));
    for (const SizedFuse& f : s.fuses) fuses.push_back(json_of(c, f));
    for (const StatePrediction& p : s.states) states.push_back(json_of(c, p));
    for (const Rating& r : s.ratings)
        ratings.push_back({{"name", part_at(c, r.part).name},
                           {"current_A", si(r.current)},
                           {"rating_A", si(r.rating) > 0 ? Json(si(r.rating)) : Json()},
                           {"over", r.over}});
    Json cautions_list = cautions(c);
    cautions_list.push_back(sizing_deference());
    return {{"circuit", c.name},
            {"wires", wires},
            {"fuses", fuses},
            {"states", states},
            {"total",
             {{"drop_V", si(s.worst_drop)},
              {"mass_kg", si(s.mass)},
              {"copper_kg", si(s.copper)},
              {"limit_V", si(s.allowed)},
              {"copper_drawn_kg", si(s.copper_drawn)}}},
            {"ratings", ratings},
            {"rule",
             {{"whole_loop_V", si(request.rule.whole_loop)},
              {"wire_V", request.rule.wire ? Json(si(*request.rule.wire)) : Json()},
              {"source", request.rule.source},
              {"ambient_degC", in_celsius(request.ambient)},
              {"insulation", request.insulation.name},
              {"bundle", request.bundle}}},
            {"optimum",
             {{"proven", s.proven},
              {"gap", s.one_way ? Json(s.gap) : Json()},
              {"bound_kg", s.one_way ? Json(si(s.bound)) : Json()}}},
            {"remarks", s.remarks},
            {"cautions", cautions_list}};
}

Json json_of(const Circuit& c, const ToleranceStudy& s) {
    Json influences = Json::array();
    for (const Influence& i : s.influences)
        influences.push_back({{"part", i.part == none ? Json() : Json(part_at(c, i.part).name)},
                              {"number", i.number},
                              {"per_deviation_V", i.per_deviation},
                              {"share", i.share}});
    return {{"samples", s.request.samples},
            {"drop_V", json_of(s.drop)},
            {"within_limit", s.within_limit},
            {"limit_V", si(s.request.limit)},
            {"at_load_V", json_of(s.at_load)},
            {"worst_case", {{"drop_V", s.worst_case_drop}, {"at_load_V", s.worst_case_at_load}}},
            {"state", c.states[static_cast<std::size_t>(s.request.state)].name},
            {"load", part_at(c, s.request.load).name},
            {"seed", s.request.seed},
            {"solved", s.solved},
            {"influences", influences}};
}

std::string size_text(const Circuit& c, const SizingRequest& request, const Sizing& s, int columns) {
    std::string text = strong(c.name.empty() ? c.file : c.name) + '\n';
    const auto line = [&](const std::string& words) { text += wrapped(words, columns, 2, 4) + '\n'; };
    line(fmt::format("at most {} from source to load and back ({}){}", show(request.rule.whole_loop),
                     request.rule.source,
                     request.rule.wire ? ", " + show(*request.rule.wire) + " along one wire" : ""));
    line(fmt::format("insulation {} at {}{}", request.insulation.name, degrees(request.ambient),
                     request.bundle > 1 ? fmt::format(", {} loaded wires in a bundle", request.bundle)
                                        : ", wires in free air"));
    line(fmt::format("most lost at a load: {}; copper {} (as drawn {}), with insulation about {}",
                     drop(s.worst_drop), grams(s.copper), grams(s.copper_drawn), grams(s.mass)));
    line(proof(s));
    text += '\n' + wire_table(c, s, columns);
    if (!s.fuses.empty()) text += '\n' + fuse_table(c, s, columns);
    if (const std::string ratings = rating_table(c, s, columns); !ratings.empty()) text += '\n' + ratings;
    if (!s.remarks.empty()) text += '\n';
    for (const std::string& remark : s.remarks) line(alarm("mind: ") + remark);
    return text;
}

std::string study_text(const Circuit& c, const ToleranceStudy& s, int columns) {
    std::string text = strong("tolerances") + '\n';
    const auto line = [&](const std::string& words) { text += wrapped(words, columns, 2, 4) + '\n'; };
    const auto v = [](double volts) { return fixed(volts, 3, "V"); };
    line(fmt::format(
        "{} draws (seed {}) of state \"{}\", {} to {}, charge {:.0f} to {:.0f} %, sources up to {:g} "
        "times their resistance: what {} loses",
        s.request.samples, s.request.seed, c.states[static_cast<std::size_t>(s.request.state)].name,
        degrees(s.request.coldest), degrees(s.request.warmest), 100 * s.request.least_charge,
        100 * s.request.most_charge, s.request.most_ageing, said(part_at(c, s.request.load))));
    line(fmt::format("half lose less than {}, 95 % less than {}, 99 % less than {}; the most was {}",
                     v(s.drop.p50), v(s.drop.p95), v(s.drop.p99), v(s.drop.max)));
    line(fmt::format("{} stay within {}; the worst corner of all tolerances loses {} and leaves the load {}",
                     percent(s.within_limit), show(s.request.limit), v(s.worst_case_drop),
                     fixed(s.worst_case_at_load, 2, "V")));
    if (s.solved < s.request.samples)
        line(alarm("mind: ") + fmt::format("{} draws have no working point; they count as outside the limit",
                                           s.request.samples - s.solved));
    Table table;
    table.columns = {{"what matters", false, true, 0},
                     {"number", false, true, 1},
                     {"one deviation", true, false, 2},
                     {"of the spread", true, false, 0}};
    constexpr std::size_t shown = 6;
    for (std::size_t k = 0; k < std::min(shown, s.influences.size()); ++k) {
        const Influence& i = s.influences[k];
        table.add({i.part == none ? i.number : part_at(c, i.part).name, i.part == none ? "" : i.number,
                   fmt::format("{:+.1f} mV", 1000 * i.per_deviation), percent(i.share)});
    }
    return text + '\n' + draw(table, columns);
}

std::string bill_of_material(const Circuit& c, const Sizing& s) {
    std::string csv = "item,kind,size,area_mm2,colour,length_m,copper_kg,mass_kg,insulation_degC,note\n";
    for (const SizedWire& w : s.wires)
        csv += fmt::format("{},wire,{},{:.3f},,{:.3f},{:.4f},{:.4f},{:.0f},{}\n",
                           csv_cell(part_at(c, w.part).name), write_wire_size(w.size), si(w.size.area) * 1e6,
                           si(w.length), si(w.copper), si(w.mass), in_celsius(w.limit),
                           w.chosen ? "" : "as drawn");
    for (const SizedFuse& f : s.fuses)
        csv += fmt::format("{},fuse,{},,,,,,,{}\n", csv_cell(part_at(c, f.part).name),
                           write_quantity(f.rating), f.chosen ? "" : "as drawn");
    csv += fmt::format(
        "total,,,,,{:.3f},{:.4f},{:.4f},,\n",
        [&] {
            double metres = 0;
            for (const SizedWire& w : s.wires) metres += si(w.length);
            return metres;
        }(),
        si(s.copper), si(s.mass));
    return csv + "# " + std::string(sizing_deference()) + '\n';
}

} // namespace lostvolts

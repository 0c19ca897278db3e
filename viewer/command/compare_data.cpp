// A comparison and a sweep for other programs: JSON and CSV.
#include <cmath>

#include "solver/lesson/looks.h"
#include "solver/lesson/why.h"
#include "solver/units/csv.h"
#include "viewer/command/compare_text.h"

namespace lostvolts {
namespace {

template <class Q> Json number(const std::optional<Q>& q) { return q ? Json(si(*q)) : Json(); }
Json number(const std::optional<double>& x) { return x ? Json(*x) : Json(); }
Json rpm(const std::optional<Speed<>>& w) { return w ? Json(in_rpm(*w)) : Json(); }

template <class Q> std::string cell(const std::optional<Q>& q) { return q ? csv_number(si(*q)) : ""; }
std::string rpm_cell(const std::optional<Speed<>>& w) { return w ? csv_number(in_rpm(*w)) : ""; }

const std::string& part_name(const Stand& stand, PartId p) { return stand.part(p).name; }

Json json_of(const Comparison& c, const Telling& t) {
    if (!t.reading) return nullptr;
    Json json = json_of(*c.stand.circuit, *t.reading);
    json.erase("outcomes");
    json["here"] = t.here;
    json["there"] = t.there;
    return json;
}

Json json_of(const Comparison& c, std::size_t k) {
    const Signature& s = c.signatures[k];
    Json json{{"name", s.name}, {"faults", Json::array()}};
    for (const Fault& f : s.faults) json["faults"].push_back(json_of(*c.stand.circuit, f));
    json["looks"] = looks(c.stand, c.signatures.front(), s);
    if (s.trouble) {
        json["problem"] = s.trouble->what;
        return json;
    }
    json["run_current_A"] = si(s.run_current);
    json["stall_current_A"] = number(s.stall_current);
    json["speed_rpm"] = rpm(s.speed);
    json["torque_Nm"] = number(s.torque);
    json["work_W"] = number(s.work);
    json["across_V"] = si(s.across);
    json["lost_V"] = si(s.lost);
    json["sag_V"] = si(s.sag);
    json["largest_drop"] = s.largest == none ? Json()
                                             : Json{{"part", part_name(c.stand, s.largest)},
                                                    {"drop_V", si(s.largest_drop)},
                                                    {"open", s.largest_open}};
    json["fault_power_W"] = number(s.power_in_fault);
    const Telling& t = c.tellings[k];
    json["look_alikes"] = Json::array();
    for (const int o : t.others)
        json["look_alikes"].push_back(c.signatures[static_cast<std::size_t>(o)].name);
    json["apart_by"] = json_of(c, t);
    json["why"] = why(c.stand, c.signatures.front(), s);
    return json;
}

Json json_of(const CurrentBand& band) {
    return {{"low", band.low}, {"high", band.high}, {"left_at", number(band.left_at)}};
}

} // namespace

Json json_of(const Comparison& c) {
    const Circuit& circuit = *c.stand.circuit;
    const auto state = [&](int s) {
        return s == none ? Json() : Json(circuit.states[static_cast<std::size_t>(s)].name);
    };
    Json json{{"circuit", circuit.name},     {"load", part_name(c.stand, c.stand.load)},
              {"state", state(c.stand.run)}, {"held_state", state(c.stand.stall)},
              {"typical", c.typical},        {"conditions", Json::array()}};
    for (std::size_t k = 0; k < c.signatures.size(); ++k) json["conditions"].push_back(json_of(c, k));
    return json;
}

std::string compare_csv(const Comparison& c) {
    std::string csv = "condition,faults,run_current_A,stall_current_A,speed_rpm,torque_Nm,work_W,across_V,"
                      "lost_V,sag_V,largest_drop_V,largest_drop_part,fault_power_W,looks\n";
    for (const Signature& s : c.signatures) {
        const std::string faults = told(*c.stand.circuit, s.faults),
                          seen = looks(c.stand, c.signatures.front(), s);
        if (s.trouble) {
            csv += csv_line({s.name, faults, "", "", "", "", "", "", "", "", "", "", "", seen});
            continue;
        }
        csv +=
            csv_line({s.name, faults, csv_number(si(s.run_current)), cell(s.stall_current), rpm_cell(s.speed),
                      cell(s.torque), cell(s.work), csv_number(si(s.across)), csv_number(si(s.lost)),
                      csv_number(si(s.sag)), csv_number(si(s.largest_drop)),
                      s.largest == none ? "" : part_name(c.stand, s.largest), cell(s.power_in_fault), seen});
    }
    return csv;
}

Json json_of(const Stand& stand, const Sweep& sweep, const std::vector<Condition>& conditions) {
    const bool ohms = size_of(sweep.request.kind) == FaultSize::ohms;
    Json json{{"part", part_name(stand, sweep.request.part)},
              {"kind", name_of(sweep.request.kind)},
              {"unit", ohms ? "ohm" : "1"},
              {"limit_V", si(sweep.limit)},
              {"limit_at", number(sweep.limit_at)},
              {"slow_at", number(sweep.slow_at)},
              {"run_current_A", json_of(sweep.run)},
              {"stall_current_A", sweep.stall ? json_of(*sweep.stall) : Json()},
              {"misleads", sweep.misleads ? Json{{"from", sweep.misleads->from},
                                                 {"to", sweep.misleads->to},
                                                 {"beyond", sweep.misleads->beyond}}
                                          : Json()},
              {"same_current", Json::array()},
              {"rows", Json::array()}};
    for (const SameCurrent& d : sweep.doubles)
        json["same_current"].push_back({{"condition", conditions[static_cast<std::size_t>(d.condition)].name},
                                        {"at", d.size},
                                        {"current_A", d.amps}});
    for (const SweepRow& r : sweep.rows) {
        Json row{{"size", r.size}};
        const auto put = [&](const char* key, Json value) {
            row[key] = r.solved ? std::move(value) : Json();
        };
        put("run_current_A", si(r.run_current));
        put("stall_current_A", number(r.stall_current));
        put("speed_rpm", rpm(r.speed));
        put("across_V", si(r.across));
        put("lost_V", si(r.lost));
        put("fault_power_W", number(r.power_in_fault));
        json["rows"].push_back(std::move(row));
    }
    return json;
}

std::string sweep_csv(const Sweep& sweep) {
    const bool ohms = size_of(sweep.request.kind) == FaultSize::ohms;
    std::string csv = std::string(ohms ? "size_ohm" : "size_share") +
                      ",run_current_A,stall_current_A,speed_rpm,across_V,lost_V,fault_power_W\n";
    for (const SweepRow& r : sweep.rows)
        csv += r.solved ? csv_line({csv_number(r.size), csv_number(si(r.run_current)), cell(r.stall_current),
                                    rpm_cell(r.speed), csv_number(si(r.across)), csv_number(si(r.lost)),
                                    cell(r.power_in_fault)})
                        : csv_line({csv_number(r.size), "", "", "", "", "", ""});
    return csv;
}

} // namespace lostvolts

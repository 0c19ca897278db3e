#include "viewer/command/json.h"

#include "viewer/figures/words.h"

#include <numbers>

#include "viewer/figures/cautions.h"

namespace lostvolts {
namespace {

Json point_or_null(const Circuit& c, PointId p) { return p == none ? Json() : Json(point_name(c, p)); }
Json part_or_null(const Circuit& c, PartId p) { return p == none ? Json() : Json(part_name(c, p)); }

template <class Q> Json number(const std::optional<Q>& q) { return q ? Json(si(*q)) : Json(); }

Json names(const Circuit& c, const std::vector<PartId>& parts) {
    Json list = Json::array();
    for (const PartId p : parts) list.push_back(part_name(c, p));
    return list;
}

Json part_json(const Circuit& c, const PartResult& r) {
    const Part& part = c.parts[static_cast<std::size_t>(r.part)];
    return {
        {"name", part.name},          {"kind", kind_of(part.law)},  {"current_A", si(r.current)},
        {"drop_V", si(r.drop)},       {"power_W", si(r.power)},     {"resistance_ohm", number(r.resistance)},
        {"limit_V", number(r.limit)}, {"over_limit", r.over_limit}, {"in_circuit", r.in_circuit}};
}

Json unit_of(FaultKind kind) {
    switch (size_of(kind)) {
    case FaultSize::ohms:
        return "ohm";
    case FaultSize::share:
        return "1";
    case FaultSize::none:
        return nullptr;
    }
    return nullptr;
}

Json unit_of(Measurand quantity) {
    switch (quantity) {
    case Measurand::voltage:
        return "V";
    case Measurand::current:
        return "A";
    case Measurand::speed:
        return "rad/s";
    case Measurand::resistance:
        return "ohm";
    case Measurand::lamp:
    case Measurand::sound:
        return nullptr;
    }
    return nullptr;
}

Json json_of(const Circuit& c, const FoundFault& f) {
    const bool sized = size_of(f.kind) != FaultSize::none;
    const auto size = [&](double x) { return sized ? Json(x) : Json(); };
    return {{"part", part_name(c, f.part)}, {"kind", name_of(f.kind)}, {"value", size(f.value)},
            {"low", size(f.low)},           {"high", size(f.high)},    {"unit", unit_of(f.kind)}};
}

Json json_of(const Circuit& c, const Suspect& s) {
    Json faults = Json::array();
    for (const FoundFault& f : s.faults) faults.push_back(json_of(c, f));
    Json json{{"probability", s.probability}, {"faults", std::move(faults)}, {"misfit", s.misfit}};
    if (s.unmodelled) json["unmodelled"] = true;
    if (s.unseen) json["unseen"] = true;
    return json;
}

Json json_of(const Readings& readings, const ReadingCheck& r) {
    Json json{{"index", r.index},         {"expected", r.expected},
              {"measured", r.measured},   {"sigma", r.sigma},
              {"deviation", r.deviation}, {"suspect_reading", r.suspect_reading},
              {"repaired", r.repaired},   {"likely", r.likely.empty() ? Json() : Json(r.likely)},
              {"clashes", r.clashes}};
    const Reading& reading = readings.readings[static_cast<std::size_t>(r.index)];
    json["state"] = readings.circuit.states[static_cast<std::size_t>(reading.state)].name;
    json["quantity"] = name_of(reading.quantity);
    json["unit"] = unit_of(reading.quantity);
    if (r.told) { // in words: no number was measured
        json["measured"] = json["sigma"] = json["deviation"] = Json();
        json["told"] = reading.text;
        json["expected_word"] = expected_text(reading, r);
        json["repaired_word"] = repaired_text(reading, r);
    }
    return json;
}

} // namespace

double in_rpm(Speed<> w) { return si(w) * rpm_per_si; }

namespace {

std::string word_of(Measurand quantity, std::size_t word) {
    return words_text(quantity, {static_cast<int>(word)});
}

/// "expect", "low" and "high"; null where no number is shown.
void put_span(Json& json, double expect, double low, double high, bool shown) {
    const auto number = [&](double x) { return shown ? Json(x) : Json(); };
    json["expect"] = number(expect);
    json["low"] = number(low);
    json["high"] = number(high);
}

/// Of a reading that may be told in words also {"word", "chances": {word: chance}}. "word" is the likeliest,
/// null where a number is likelier. The numbers beside a lamp's or a sound's word are those behind it, as in
/// "readings": the share of its rated volts, or of its usual speed.
Json json_of(Measurand quantity, const Outcome& o) {
    Json json{{"suspect", o.suspect}};
    const auto word = o.word();
    put_span(json, o.expect, o.low, o.high, !(word && quantity == Measurand::resistance));
    if (words_of(quantity).empty() && quantity != Measurand::resistance) return json;
    json["word"] = word ? Json(word_of(quantity, static_cast<std::size_t>(*word))) : Json();
    json["chances"] = Json::object();
    for (std::size_t k = 0; k < most_words; ++k)
        if (o.says[k] > 0) json["chances"][word_of(quantity, k)] = o.says[k];
    return json;
}

} // namespace

Json json_of(const Circuit& c, const NextReading& n, const std::vector<Meter>& meters) {
    const auto meter = static_cast<std::size_t>(n.meter);
    Json outcomes = Json::array();
    for (const Outcome& o : n.outcomes) outcomes.push_back(json_of(n.quantity, o));
    return {{"state", c.states[static_cast<std::size_t>(n.state)].name},
            {"quantity", name_of(n.quantity)},
            {"red", point_or_null(c, n.red)},
            {"black", point_or_null(c, n.black)},
            {"through", part_or_null(c, n.through)},
            {"meter", meter < meters.size() ? Json(meters[meter].name) : Json()},
            {"unit", unit_of(n.quantity)},
            {"bits", n.bits},
            {"minutes", n.minutes},
            {"outcomes", std::move(outcomes)}};
}

namespace {

/// The plan: {"minutes", "bits", "settled", "steps": [{"state", "quantity", "red", "black", "through",
/// "meter", "unit", "bits", "minutes", "depth", "probability", "outcomes": [{"probability", "expect", "low",
/// "high", "suspects": [{"suspect", "probability"}], "cleared": [suspect], "settled", "mend", "next",
/// "words": [word]}]}]}. "next" is an index into "steps", "suspect" and "cleared" into the answer's
/// "suspects"; "mend" is the part's name, and null with "settled" true says that nothing is wrong. "words" is
/// there where it is one of these words instead of a number; with "open" no number stands beside it.
Json json_of(const Circuit& c, Measurand quantity, const PlanOutcome& o) {
    Json suspects = Json::array();
    for (const PlanOutcome::Share& s : o.suspects)
        suspects.push_back({{"suspect", s.suspect}, {"probability", s.probability}});
    Json json{{"probability", o.probability}};
    put_span(json, o.expect, o.low, o.high, o.words.empty() || quantity != Measurand::resistance);
    json["suspects"] = std::move(suspects);
    json["cleared"] = o.cleared;
    json["settled"] = o.settled;
    json["mend"] = part_or_null(c, o.mend);
    json["next"] = o.next == none ? Json() : Json(o.next);
    for (const int word : o.words) json["words"].push_back(word_of(quantity, static_cast<std::size_t>(word)));
    return json;
}

Json json_of(const Readings& readings, const Plan& plan) {
    Json steps = Json::array();
    for (const PlanStep& s : plan.steps) {
        Json step = json_of(readings.circuit, s.reading, readings.meters);
        step["depth"] = s.depth;
        step["probability"] = s.probability;
        step["outcomes"] = Json::array();
        for (const PlanOutcome& o : s.outcomes)
            step["outcomes"].push_back(json_of(readings.circuit, s.reading.quantity, o));
        steps.push_back(std::move(step));
    }
    return {{"minutes", plan.minutes},
            {"bits", plan.bits},
            {"settled", plan.settled},
            {"steps", std::move(steps)}};
}

} // namespace

Json json_of(const Problems& problems) {
    Json list = Json::array();
    for (const Problem& p : problems) {
        const auto place = [](int n) { return n > 0 ? Json(n) : Json(); };
        list.push_back({{"file", p.file.empty() ? Json() : Json(p.file)},
                        {"line", place(p.place.line)},
                        {"column", place(p.place.line > 0 ? p.place.column : 0)},
                        {"what", p.what},
                        {"write", p.write.empty() ? Json() : Json(p.write)}});
    }
    return list;
}

Json json_of(const Circuit& c, const Fault& f) {
    return {{"part", part_name(c, f.part)},
            {"kind", name_of(f.kind)},
            {"value", size_of(f.kind) == FaultSize::none ? Json() : Json(f.size)},
            {"unit", unit_of(f.kind)}};
}

Json json_of(const Circuit& c, const StatePrediction& s) {
    Json points = Json::object(), parts = Json::array(), motors = Json::array(), loads = Json::array();
    // As pairs at once: assigning by key would search all the names before it, in an ordered object.
    auto& pairs = points.get_ref<Json::object_t&>();
    pairs.reserve(s.points.size());
    for (std::size_t p = 0; p < s.points.size(); ++p)
        pairs.emplace_back(c.points[p].name, number(s.points[p]));
    for (const PartResult& r : s.parts) parts.push_back(part_json(c, r));
    for (const MotorResult& m : s.motors)
        motors.push_back({{"name", part_name(c, m.part)},
                          {"speed_rpm", in_rpm(m.speed)},
                          {"torque_Nm", si(m.torque)},
                          {"back_emf_V", si(m.back_emf)},
                          {"current_A", si(m.current)}});
    for (const LoadResult& l : s.loads)
        loads.push_back({{"name", part_name(c, l.part)},
                         {"across_V", si(l.across)},
                         {"lost_V", si(l.lost)},
                         {"limit_V", si(l.limit)},
                         {"over_limit", l.over_limit}});
    return {{"name", c.states[static_cast<std::size_t>(s.state)].name},
            {"points", std::move(points)},
            {"parts", std::move(parts)},
            {"motors", std::move(motors)},
            {"residual_A", si(s.leftover)},
            {"loads", std::move(loads)},
            {"relays_closed", names(c, s.relays_closed)},
            {"overloaded_fuses", names(c, s.overloaded_fuses)}};
}

Json json_of(const Readings& readings, const Location& location) {
    const Circuit& c = readings.circuit;
    Json suspects = Json::array(), checks = Json::array(), next = Json::array(), repaired = Json::array();
    for (const Suspect& s : location.suspects) suspects.push_back(json_of(c, s));
    for (const ReadingCheck& r : location.readings) checks.push_back(json_of(readings, r));
    for (const NextReading& n : location.next) next.push_back(json_of(c, n, readings.meters));
    for (const StatePrediction& s : location.repaired) repaired.push_back(json_of(c, s));
    return {{"verdict", name_of(location.verdict)},
            {"suspects", std::move(suspects)},
            {"readings", std::move(checks)},
            {"next", std::move(next)},
            {"repaired", std::move(repaired)},
            {"group", location.group},
            {"zero_A", location.zero_amps},
            {"cautions", cautions(c)},
            {"plan", json_of(readings, location.plan)},
            {"too_many_for_pairs", location.too_many_for_pairs}};
}

std::string written(const Json& json) {
    return json.dump(2, ' ', false, Json::error_handler_t::replace) + '\n';
}

} // namespace lostvolts

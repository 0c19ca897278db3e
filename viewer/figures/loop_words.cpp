#include "viewer/figures/loop_words.h"

#include <cmath>

#include <fmt/format.h>

#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }

/// As a label has it: "25 A", not "25.0 A".
template <class Q> std::string brief(Q q) {
    std::string text = show(q);
    const std::size_t point = text.find('.'), blank = text.find(' ');
    if (point == std::string::npos || blank == std::string::npos || blank < point) return text;
    std::size_t end = blank;
    while (text[end - 1] == '0') --end;
    if (text[end - 1] == '.') --end;
    return text.erase(end, blank - end);
}

std::string detail(const Battery<>& b) { return brief(b.emf); }
std::string detail(const Charger<>& c) { return brief(c.regulated) + ", " + brief(c.limit); }
std::string detail(const Wire<>& w) {
    if (w.settings.sized) return size_shown(w.settings.size) + ", " + brief(w.settings.length);
    return brief(w.resistance);
}
std::string detail(const Fuse<>& f) { return si(f.settings.rating) > 0 ? brief(f.settings.rating) : ""; }
std::string detail(const Breaker<>& b) { return si(b.settings.rating) > 0 ? brief(b.settings.rating) : ""; }
std::string detail(const Lamp<>& l) { return brief(l.settings.rated) + ", " + brief(l.settings.power); }
std::string detail(const Motor<>& m) {
    return brief(m.settings.rated) + ", " + brief(m.settings.run_current);
}
std::string detail(const Heater<>& h) { return brief(h.resistance); }
std::string detail(const Resistor<>& r) { return brief(r.resistance); }
std::string detail(const Solenoid<>& s) { return brief(s.resistance); }
std::string detail(const Electronic<>& e) { return brief(e.power); }
std::string detail(const Capacitor<>& c) { return brief(c.capacitance); }
template <class Kind> std::string detail(const Kind&) { return {}; }

} // namespace

std::string size_shown(const WireSize& size) {
    std::string text = write_wire_size(size);
    if (text.ends_with("mm2")) text.replace(text.size() - 3, 3, "mm²");
    return text;
}

std::string detail_of(const AnyPart& law) {
    return std::visit([](const auto& part) { return detail(part); }, law);
}

std::string part_says(const Circuit& c, PartId p, bool coil, const StatePrediction* prediction) {
    const Part& part = c.parts[at(p)];
    std::string text;
    if (coil) {
        text = fmt::format("coil of the {}, from \"{}\" to \"{}\".", said(part),
                           point_name(c, part.coil_from), point_name(c, part.coil_to));
        if (prediction) {
            const auto &from = prediction->points[at(part.coil_from)],
                       &to = prediction->points[at(part.coil_to)];
            if (from && to)
                text += fmt::format(" It gets {}.", value_text(Measurand::voltage, si(*from - *to)));
        }
        return text;
    }
    text = fmt::format("{}, from \"{}\" to \"{}\"", said(part), point_name(c, part.from),
                       point_name(c, part.to));
    if (const std::string more = detail_of(part.law); !more.empty()) text += ", " + more;
    text += '.';
    if (!prediction) return text;
    const PartResult& r = prediction->parts[at(p)];
    if (!r.in_circuit) return text + " It is out of the circuit in this state.";
    text += fmt::format(" {} {} at {}.", is_load(part.law) || is_source(part.law) ? "Across it" : "It drops",
                        value_text(Measurand::voltage, std::abs(si(r.drop))), amperes(r.current));
    if (r.over_limit && r.limit)
        text += fmt::format(" Over its limit of {}.", value_text(Measurand::voltage, si(*r.limit)));
    for (const MotorResult& m : prediction->motors)
        if (m.part == p) text += fmt::format(" It turns at {}.", show(m.speed));
    return text;
}

std::string point_says(const Circuit& c, PointId p, const StatePrediction* prediction) {
    const Point& point = c.points[at(p)];
    std::string text = fmt::format("point \"{}\"", point.name);
    if (p == c.ground) text += ", the ground that reads 0 V";
    if (prediction && p != c.ground) {
        const auto& v = prediction->points[at(p)];
        text += v ? ", " + volts(*v) + " against ground" : ", floating: no path to ground";
    }
    text += fmt::format(". A probe gets there in {}.", show(point.access));
    if (!point.note.empty()) text += ' ' + point.note + '.';
    return text;
}

std::string instrument_at(Measurand quantity) {
    return quantity == Measurand::sound   ? "listen here"
           : quantity == Measurand::speed ? "speed here"
                                          : "clamp here";
}

std::string lead_flag(Measurand quantity, std::string_view colour) {
    if (quantity == Measurand::resistance) return "ohms";
    if (quantity == Measurand::lamp) return colour == "red" ? "lamp +" : "lamp \xE2\x88\x92";
    return std::string(colour);
}

} // namespace lostvolts

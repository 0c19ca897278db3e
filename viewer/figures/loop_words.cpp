#include "viewer/figures/loop_words.h"

#include <cmath>

#include <fmt/format.h>

#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }

/// "2.5 mm²" as on a cable's sleeve.
std::string size_shown(const WireSize& size) {
    std::string text = write_wire_size(size);
    if (text.ends_with("mm2")) text.replace(text.size() - 3, 3, "mm²");
    return text;
}

std::string detail(const Battery<>& b) { return show(b.emf); }
std::string detail(const Charger<>& c) { return show(c.regulated) + ", " + show(c.limit); }
std::string detail(const Wire<>& w) {
    if (w.settings.sized) return size_shown(w.settings.size) + ", " + show(w.settings.length);
    return show(w.resistance);
}
std::string detail(const Fuse<>& f) { return si(f.settings.rating) > 0 ? show(f.settings.rating) : ""; }
std::string detail(const Breaker<>& b) { return si(b.settings.rating) > 0 ? show(b.settings.rating) : ""; }
std::string detail(const Lamp<>& l) { return show(l.settings.rated) + ", " + show(l.settings.power); }
std::string detail(const Motor<>& m) { return show(m.settings.rated) + ", " + show(m.settings.run_current); }
std::string detail(const Heater<>& h) { return show(h.resistance); }
std::string detail(const Resistor<>& r) { return show(r.resistance); }
std::string detail(const Solenoid<>& s) { return show(s.resistance); }
std::string detail(const Electronic<>& e) { return show(e.power); }
std::string detail(const Capacitor<>& c) { return show(c.capacitance); }
template <class Kind> std::string detail(const Kind&) { return {}; }

std::string point_name(const Circuit& c, PointId p) { return c.points[at(p)].name; }

} // namespace

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

} // namespace lostvolts

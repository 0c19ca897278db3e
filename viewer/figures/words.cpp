#include "viewer/figures/words.h"

#include <algorithm>
#include <cmath>
#include <span>

#include <fmt/format.h>

#include "solver/units/text.h"

namespace lostvolts {
namespace {

const Part& part_of(const Circuit& c, PartId p) { return c.parts[static_cast<std::size_t>(p)]; }
std::string point_or_mark(const Circuit& c, PointId p) { return p == none ? "?" : point_name(c, p); }

std::string interval(const FoundFault& f) {
    const std::string low = size_text(f.kind, f.low), high = size_text(f.kind, f.high);
    return low == high ? "" : fmt::format(" (90 % between {} and {})", low, high);
}

/// "1.5 V", "1.8 V" → "1.5 to 1.8 V".
std::string joined_span(const std::string& low, const std::string& high) {
    if (low == high) return low;
    const std::size_t l = low.rfind(' '), h = high.rfind(' ');
    const bool same = l != std::string::npos && h != std::string::npos && low.substr(l) == high.substr(h);
    return (same ? low.substr(0, l) : low) + " to " + high;
}

std::string word_at(std::span<const std::string_view> words, double value) {
    const long k = std::lround(value);
    return k >= 0 && k < static_cast<long>(words.size()) ? std::string(words[static_cast<std::size_t>(k)])
                                                         : "—";
}

} // namespace

std::string fixed(double value, int decimals, std::string_view unit) {
    const double scale = std::pow(10.0, decimals);
    if (std::abs(value) * scale < 0.5) value = 0;
    return fmt::format("{:.{}f} {}", value, decimals, unit);
}
std::string volts(Voltage<> v) { return fixed(si(v), 2, "V"); }
std::string drop(Voltage<> v) { return fixed(si(v), 3, "V"); }
std::string amperes(Current<> i) {
    const double a = std::abs(si(i));
    if (a < 1e-6) return "0 A";
    return a < 0.05 ? show(i, 2) : fixed(si(i), 2, "A");
}

std::string percent(double probability) {
    if (!std::isfinite(probability)) return "—";
    if (probability < 0.005) return "<1 %";
    if (probability > 0.995) return ">99 %";
    return fmt::format("{:.0f} %", 100 * probability);
}

std::string size_text(FaultKind kind, double size) {
    switch (size_of(kind)) {
    case FaultSize::ohms:
        return show(from_si<Resistance<>>(size), 3);
    case FaultSize::share:
        return fmt::format("{:.0f} %", 100 * size);
    case FaultSize::none:
        return {};
    }
    return {};
}

std::string size_with_interval(const FoundFault& f) {
    const std::string middle = size_text(f.kind, f.value), low = size_text(f.kind, f.low),
                      high = size_text(f.kind, f.high);
    return middle.empty() || low == high ? middle : middle + " (" + joined_span(low, high) + ")";
}

std::string fault_name(const Circuit& circuit, const FoundFault& f) {
    return fmt::format("{}: {}", part_of(circuit, f.part).name, name_of(f.kind));
}

std::string suspect_name(const Circuit& circuit, const Suspect& s) {
    if (s.unmodelled) return "something not in this drawing";
    if (s.faults.empty()) return "nothing wrong";
    std::string name;
    for (const FoundFault& f : s.faults) name += (name.empty() ? "" : " and ") + fault_name(circuit, f);
    return name;
}

std::string finding(const Circuit& circuit, const FoundFault& f) {
    const std::string part = said(part_of(circuit, f.part)), size = size_text(f.kind, f.value),
                      between = interval(f);
    switch (f.kind) {
    case FaultKind::high_resistance:
        return fmt::format("The {} is bad: about {} extra{}.", part, size, between);
    case FaultKind::open:
        return fmt::format("The {} is open: no current gets through it.", part);
    case FaultKind::short_to_ground:
        return fmt::format("The {} is shorted to ground, through about {}{}.", part, size, between);
    case FaultKind::worn_brushes:
        return fmt::format("The {} has worn brushes: about {} extra inside it{}.", part, size, between);
    case FaultKind::dragging:
        return fmt::format("The {} drags: friction of about {} of its load on top{}.", part, size, between);
    case FaultKind::seized:
        return fmt::format("The {} is seized: it gets its volts and does not turn.", part);
    case FaultKind::running_light:
        return fmt::format("The {} runs light: about {} of its load is left{}.", part, size, between);
    case FaultKind::weak_field:
        return fmt::format("The {} has a weak field: about {} of it is lost{}.", part, size, between);
    case FaultKind::shorted_winding:
        return fmt::format("The {} has a shorted winding: about {} of its turns{}.", part, size, between);
    case FaultKind::low_charge:
        return fmt::format("The {} is low: charge about {}{}.", part, size, between);
    case FaultKind::weak_battery:
        return fmt::format("The {} is weak: about {} extra inside it{}.", part, size, between);
    case FaultKind::open_coil:
        return fmt::format("The coil of the {} is open: it does not pull in.", part);
    case FaultKind::stuck_closed:
        return fmt::format("The contact of the {} is stuck closed: it does not let go.", part);
    }
    return {};
}

std::string_view explanation(FaultKind kind) {
    switch (kind) {
    case FaultKind::high_resistance:
        return "a joint, contact or conductor with more resistance than it should have; it drops volts only "
               "while current flows";
    case FaultKind::open:
        return "a break: nothing gets through, and full voltage stands across it";
    case FaultKind::short_to_ground:
        return "a path to ground before the load; current takes it past the load";
    case FaultKind::worn_brushes:
        return "extra resistance inside the motor, where the brushes meet the commutator";
    case FaultKind::dragging:
        return "the motor turns against extra friction: a bad bearing, a rubbing part; it draws more than it "
               "should";
    case FaultKind::seized:
        return "the rotor does not turn; the motor draws its stall current";
    case FaultKind::running_light:
        return "part of the load is missing: a pump that runs dry, a slipping belt; it turns fast and draws "
               "little";
    case FaultKind::weak_field:
        return "the magnets have lost strength: less torque for each ampere";
    case FaultKind::shorted_winding:
        return "turns of the winding touch one another; they brake the motor and heat it";
    case FaultKind::low_charge:
        return "the battery has too little charge: low volts even at rest";
    case FaultKind::weak_battery:
        return "the battery has aged: good volts at rest, low under load";
    case FaultKind::open_coil:
        return "the relay's coil is broken; its contact never closes";
    case FaultKind::stuck_closed:
        return "the relay's contact has welded; it conducts without its coil";
    }
    return {};
}

std::string value_text(Measurand quantity, double value) {
    switch (quantity) {
    case Measurand::voltage:
        return std::abs(value) < 1 ? drop(from_si<Voltage<>>(value)) : volts(from_si<Voltage<>>(value));
    case Measurand::current:
        return amperes(from_si<Current<>>(value));
    case Measurand::speed:
        return show(from_si<Speed<>>(value), 3);
    case Measurand::resistance:
        return show(from_si<Resistance<>>(value), 3);
    case Measurand::lamp:
    case Measurand::sound:
        return word_at(words_of(quantity), value);
    }
    return {};
}

std::string value_text(Measurand quantity, double value, double resolution) {
    const bool plain = quantity == Measurand::voltage || quantity == Measurand::current ||
                       (quantity == Measurand::resistance && std::abs(value) < 1000);
    if (!plain || !(resolution > 1e-6 && resolution < 1)) return value_text(quantity, value);
    const int decimals = static_cast<int>(std::ceil(-std::log10(resolution) - 1e-9));
    return fixed(value, decimals,
                 quantity == Measurand::voltage   ? "V"
                 : quantity == Measurand::current ? "A"
                                                  : "Ω");
}

namespace {

/// A number as its meter shows it; else the likeliest word, or a path's ohms instead of a word for it.
std::string told_text(const Reading& r, bool told, const std::optional<int>& word, double number) {
    if (!told) return value_text(r.quantity, number, r.resolution);
    if (r.quantity != Measurand::resistance) return value_text(r.quantity, word.value_or(0));
    return word == 0 ? "open" : value_text(r.quantity, number);
}

} // namespace

std::string expected_text(const Reading& r, const ReadingCheck& check) {
    return told_text(r, check.told.has_value(), check.expected_word, check.expected);
}

std::string repaired_text(const Reading& r, const ReadingCheck& check) {
    return told_text(r, check.told.has_value(), check.repaired_word, check.repaired);
}

std::string as_read(const Reading& r) {
    return r.text.empty() ? value_text(r.quantity, r.value, r.resolution) : r.text;
}

std::string_view fit_word(const ReadingCheck& check) {
    const double d = std::abs(check.deviation);
    return check.told || d < 2 ? "fits" : d < 3 ? "a little off" : "far off";
}

std::string span_text(Measurand quantity, double low, double high, double resolution) {
    return joined_span(value_text(quantity, low, resolution), value_text(quantity, high, resolution));
}

std::string what_is_read(const Circuit& c, Measurand quantity, PointId red, PointId black, PartId through) {
    const auto leads = [&](std::string_view what) {
        return fmt::format("{}, red on \"{}\", black on \"{}\"", what, point_or_mark(c, red),
                           point_or_mark(c, black));
    };
    const auto at = [&](std::string_view what) {
        return fmt::format("{} \"{}\"", what, through == none ? "?" : part_of(c, through).name);
    };
    switch (quantity) {
    case Measurand::voltage:
        return leads("voltage");
    case Measurand::resistance:
        return leads("resistance with the circuit dead");
    case Measurand::lamp:
        return leads("test lamp");
    case Measurand::current:
        return at("current through");
    case Measurand::speed:
        return at("speed of");
    case Measurand::sound:
        return at("sound of");
    }
    return {};
}

std::string what_to_read(const Readings& readings, const NextReading& n) {
    std::string text = what_is_read(readings.circuit, n.quantity, n.red, n.black, n.through);
    if (n.quantity != Measurand::lamp || n.meter == none) return text;
    const Meter& meter = readings.meters[static_cast<std::size_t>(n.meter)];
    return fmt::format("{} \"{}\"{}", meter.shows_polarity ? "LED tester" : "test lamp", meter.name,
                       text.substr(text.find(',')));
}

std::string words_text(Measurand quantity, const std::vector<int>& words) {
    std::string text;
    for (const int word : words)
        text += (text.empty() ? "" : " or ") +
                (quantity == Measurand::resistance ? "open" : value_text(quantity, word));
    return text;
}

std::string expect_text(Measurand quantity, const Outcome& o) {
    const auto word = o.word();
    return word ? words_text(quantity, {*word}) : value_text(quantity, o.expect);
}

std::string likely_text(Measurand quantity, const Outcome& o) {
    constexpr double likely = 0.1;
    std::vector<int> words;
    for (std::size_t k = 0; k < most_words; ++k)
        if (o.says[k] >= likely) words.push_back(static_cast<int>(k));
    std::stable_sort(words.begin(), words.end(), [&](int a, int b) {
        return o.says[static_cast<std::size_t>(a)] > o.says[static_cast<std::size_t>(b)];
    });
    std::string number = chance_of_number(o.says) >= likely ? span_text(quantity, o.low, o.high) : "";
    if (words.empty()) return number;
    const std::string said = words_text(quantity, words);
    return number.empty() ? said : o.word() ? said + " or " + number : number + " or " + said;
}

} // namespace lostvolts

#include <algorithm>
#include <numbers>

#include "solver/units/code_points.h"
#include "solver/units/kinds.h"
#include "solver/units/lines.h"
#include "solver/units/mistyped.h"
#include "solver/units/plain_text.h"
#include "solver/units/result.h"
#include "solver/units/unit_expression.h"

namespace lostvolts {
namespace {

using Why = UnitFault::Why;

std::string quoted(std::string_view text) { return std::string("\"").append(text).append("\""); }

std::vector<std::string> spellings(const KindInfo& kind) {
    std::vector<std::string> words;
    for (const WrittenUnit& unit : kind.prefixed) words.emplace_back(unit.ascii);
    for (const OtherUnit& unit : kind.others) words.emplace_back(unit.ascii);
    words.insert(words.end(), kind.understood.begin(), kind.understood.end());
    return words;
}

/// "write a resistance, for example "250 mohm"".
std::string asked_for(const KindInfo& kind) {
    return "write " + std::string(kind.name) + ", for example " + quoted(kind.example);
}

/// What the text "0.35 mm2" would be, for a person who wrote 0.35.
ValueError no_unit(const PlainText& text, std::size_t number_from, std::size_t at, const KindInfo& kind) {
    return {text.origin(at), "has no unit",
            "write the unit in the value, for example " +
                quoted(text.original(number_from, at) + " " + std::string(kind.usual))};
}

ValueError unit_error(const PlainText& text, const UnitFault& fault, std::size_t unit_from,
                      const KindInfo& kind) {
    const std::string piece = text.original(fault.from, fault.to);
    const std::size_t at = text.origin(fault.from);
    switch (fault.why) {
    case Why::number:
        return {at, "goes on after its unit with " + quoted(piece), asked_for(kind)};
    case Why::ambiguous_slash:
        return {at, "has a unit that can be read in two ways",
                "put what is divided by in brackets, for example \"V/(rad/s)\""};
    case Why::syntax:
        return {at, "has a unit that can't be read at " + quoted(piece), asked_for(kind)};
    case Why::unknown:
        break;
    }
    // The whole unit is looked up before its one bad word, so that "N x" finds "N m".
    const std::string whole = text.original(unit_from, text.size());
    std::optional<std::string> meant = nearest(whole, spellings(kind));
    if (!meant) meant = nearest(piece, spellings(kind));
    return {at, "has an unknown unit " + quoted(piece),
            meant ? "did you mean " + quoted(*meant) + "?" : asked_for(kind)};
}

bool same_but_radians(const Dimension& a, const Dimension& b) {
    return std::equal(a.begin(), a.begin() + 5, b.begin());
}

bool fits(const UnitMeaning& unit, const KindInfo& kind) {
    const int radians = unit.dimension[5];
    return same_but_radians(unit.dimension, kind.dimension) && radians >= kind.radians_low &&
           radians <= kind.radians_high && !(kind.kind == Kind::torque && unit.of_energy && radians == 0);
}

/// "1/min" on a nameplate is turns; a bare "1/s" could be turns or radians.
bool is_per_minute(const UnitMeaning& unit) {
    return same_but_radians(unit.dimension, info(Kind::speed).dimension) && unit.dimension[5] == 0 &&
           unit.times == 1 && unit.over == 6 && unit.tens == -1;
}

ValueError wrong_kind(const PlainText& text, const UnitMeaning& unit, const std::string& number,
                      std::size_t unit_from, const KindInfo& wanted) {
    const std::size_t at = text.origin(unit_from);
    if (wanted.kind == Kind::temperature && (unit.alone == "C" || unit.alone == "F"))
        return {at,
                unit.alone == "C" ? "is in coulombs; a temperature is wanted"
                                  : "is in farads; a temperature is wanted",
                "write " + quoted(number + " deg" + unit.alone)};
    if (wanted.kind == Kind::speed && same_but_radians(unit.dimension, wanted.dimension))
        return {at, "could be turns or radians", "write rpm or rad/s, for example " + quoted(wanted.example)};
    for (const KindInfo& kind : kinds())
        if (fits(unit, kind))
            return {at, "is " + std::string(kind.name) + "; " + std::string(wanted.name) + " is wanted",
                    asked_for(wanted)};
    return {at, "has a unit that is not of " + std::string(wanted.name), asked_for(wanted)};
}

/// Celsius and Fahrenheit have a zero of their own, by definition: 273.15 K and 32 degF are 0 degC.
Parsed<double> temperature(const PlainText& text, const Number& number, const UnitMeaning& unit,
                           std::size_t from) {
    const bool own_zero = unit.alone == "degC" || unit.alone == "degF";
    Parsed<double> parsed =
        value_of(number, unit.tens, own_zero ? 1 : unit.times, own_zero ? 1 : unit.over, text.origin(from));
    const double* degrees = std::get_if<double>(&parsed);
    if (!degrees) return parsed;
    double kelvins = *degrees;
    if (unit.alone == "degC") kelvins = si(celsius(*degrees));
    if (unit.alone == "degF") kelvins = si(celsius((*degrees - 32) * 5 / 9));
    if (kelvins < 0)
        return ValueError{text.origin(from), "is below absolute zero, -273.15 degC",
                          asked_for(info(Kind::temperature))};
    return kelvins;
}

/// The unit whose letters the word has in another order.
std::optional<std::string> with_letters_of(std::string_view word) {
    const auto letters = [](std::string_view text) {
        std::u32string points = code_points(text);
        std::sort(points.begin(), points.end());
        return points;
    };
    const std::u32string sought = letters(word);
    if (sought.size() < 3) return std::nullopt;
    for (const KindInfo& kind : kinds())
        for (const std::string& unit : spellings(kind))
            if (unit != word && letters(unit) == sought) return unit;
    return std::nullopt;
}

} // namespace

std::optional<std::string> value_mistyped(std::string_view text) {
    const std::size_t digits = std::min(text.find_first_not_of("0123456789.,"), text.size());
    const auto unit = digits == 0 ? std::nullopt : with_letters_of(trimmed(text.substr(digits)));
    return unit ? std::optional(std::string(text.substr(0, digits)) + " " + *unit) : std::nullopt;
}

Parsed<double> read_si(std::string_view utf8, Kind wanted) {
    const KindInfo& kind = info(wanted);
    const PlainText text(utf8);
    const std::size_t from = text.past_blanks(0);
    if (from == text.size())
        return ValueError{0, "is empty", "write a number and its unit, for example " + quoted(kind.example)};

    const Parsed<Number> parsed = read_number(text, from, kind.example);
    if (const auto* error = std::get_if<ValueError>(&parsed)) return *error;
    const Number& number = std::get<Number>(parsed);

    const std::size_t unit_from = text.past_blanks(number.end);
    if (unit_from == text.size()) {
        if (wanted == Kind::ratio) return value_of(number, 0, 1, 1, text.origin(from));
        return no_unit(text, from, number.end, kind);
    }
    auto read = read_unit(text, unit_from);
    if (const auto* fault = std::get_if<UnitFault>(&read)) return unit_error(text, *fault, unit_from, kind);
    UnitMeaning& unit = std::get<UnitMeaning>(read);

    if (wanted == Kind::speed && is_per_minute(unit)) {
        unit.times = std::numbers::pi_v<long double>;
        unit.over = 3;
    } else if (!fits(unit, kind)) {
        return wrong_kind(text, unit, text.original(from, number.end), unit_from, kind);
    }
    if (wanted == Kind::temperature) return temperature(text, number, unit, from);
    return value_of(number, unit.tens, unit.times, unit.over, text.origin(from));
}

} // namespace lostvolts

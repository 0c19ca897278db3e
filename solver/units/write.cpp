#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstring>
#include <numbers>

#include "solver/units/kinds.h"

namespace lostvolts {
namespace {

/// A number as its decimal digits, d.ddd · 10^tens.
struct Digits {
    bool negative = false;
    std::string digits;
    int tens = 0;
};

Digits from_scientific(const char* first, const char* last) {
    Digits d;
    if (*first == '-') {
        d.negative = true;
        ++first;
    }
    const char* e = std::find(first, last, 'e');
    std::copy_if(first, e, std::back_inserter(d.digits), [](char c) { return c != '.'; });
    const char* exponent = e + 1 + (e[1] == '+');
    std::from_chars(exponent, last, d.tens);
    return d;
}

Digits shortest(double value) {
    char buffer[40] = {};
    return from_scientific(
        buffer, std::to_chars(buffer, buffer + sizeof buffer, value, std::chars_format::scientific).ptr);
}

Digits rounded(double value, int digits) {
    char buffer[40] = {};
    const auto end =
        std::to_chars(buffer, buffer + sizeof buffer, value, std::chars_format::scientific, digits - 1).ptr;
    return from_scientific(buffer, end);
}

/// Without an exponent. Digits that aren't there before the point are zeros.
std::string fixed(const Digits& d, int tens) {
    std::string text = d.negative ? "-" : "";
    const int whole = tens + 1; // digits before the point
    if (whole <= 0) return text + "0." + std::string(static_cast<std::size_t>(-whole), '0') + d.digits;
    const auto n = static_cast<std::size_t>(whole);
    if (d.digits.size() <= n) return text + d.digits + std::string(n - d.digits.size(), '0');
    return text + d.digits.substr(0, n) + "." + d.digits.substr(n);
}

std::string scientific(const Digits& d, int tens) {
    std::string text = d.negative ? "-" : "";
    text += d.digits[0];
    if (d.digits.size() > 1) text.append(".").append(d.digits, 1);
    return text.append("e").append(std::to_string(tens));
}

/// The largest unit that leaves at least one digit before the point; else the smallest.
const WrittenUnit& suited(const std::vector<WrittenUnit>& units, int tens) {
    const auto it =
        std::find_if(units.rbegin(), units.rend(), [tens](const WrittenUnit& u) { return u.tens <= tens; });
    return it == units.rend() ? units.front() : *it;
}

/// Exact by construction: the shortest digits of the SI value, with the decimal point moved as reading moves
/// it back.
std::string write_decimal(double value, const KindInfo& kind) {
    const Digits d = shortest(value);
    const WrittenUnit* unit = &suited(kind.prefixed, value == 0 ? 0 : d.tens);
    if (value == 0) return fixed(d, 0).append(" ").append(unit->ascii);
    const int tens = d.tens - unit->tens;
    if (tens >= -4 && tens < 7) return fixed(d, tens).append(" ").append(unit->ascii);
    unit = &suited(kind.prefixed, 0); // beyond the prefixes: the unit itself, with an exponent
    return scientific(d, d.tens - unit->tens).append(" ").append(unit->ascii);
}

bool reads_back(const std::string& text, double value, Kind kind) {
    const Parsed<double> parsed = read_si(text, kind);
    const double* back = std::get_if<double>(&parsed);
    return back && std::memcmp(back, &value, sizeof value) == 0;
}

/// The shortest number of `unit` that reads back as the same double, if one does.
std::optional<std::string> write_other(double value, const OtherUnit& unit, const KindInfo& kind) {
    const double number = kind.kind == Kind::temperature ? value - celsius_zero_kelvin : value / unit.one;
    if (number != 0 && (std::abs(number) < 1e-3 || std::abs(number) >= 1e7)) return std::nullopt;
    // A number of 15 digits or fewer comes out of the first rounding, its zeros taken off.
    for (int digits = 15; digits <= 17; ++digits) {
        Digits d = rounded(number, digits);
        while (d.digits.size() > 1 && d.digits.back() == '0') d.digits.pop_back();
        std::string text = fixed(d, d.tens) + " " + std::string(unit.ascii);
        if (reads_back(text, value, kind.kind)) return text;
    }
    return std::nullopt;
}

/// Degrees Celsius with one decimal at three digits: -40.0, 5.0, 25.0, 105.
std::string show_degrees(double value, int digits) {
    const double degrees = value - celsius_zero_kelvin;
    const int before = std::abs(degrees) < 1 ? 1 : rounded(degrees, digits).tens + 1;
    const int after = std::clamp(digits - before, 0, std::max(digits - 2, 0));
    char buffer[400];
    const auto end =
        std::to_chars(buffer, buffer + sizeof buffer, degrees, std::chars_format::fixed, after).ptr;
    std::string text(buffer, end);
    if (text.find_first_of("123456789") == std::string::npos && text[0] == '-') text.erase(0, 1);
    return text + " °C";
}

/// The units of tables: those of writing, but rpm and Ah whatever is shortest in a file.
const std::vector<WrittenUnit>& table_units(const KindInfo& kind) {
    static const std::vector<WrittenUnit> rpm{{"rpm", "rpm", 0}};
    static const std::vector<WrittenUnit> ampere_hours{{"mAh", "mAh", -3}, {"Ah", "Ah", 0}};
    if (kind.kind == Kind::speed) return rpm;
    if (kind.kind == Kind::charge) return ampere_hours;
    return kind.prefixed;
}

std::string show_long_time(double seconds, int digits) {
    const bool hours = std::abs(seconds) >= 7200;
    const Digits d = rounded(seconds / (hours ? 3600 : 60), digits);
    return (d.tens < 9 ? fixed(d, d.tens) : scientific(d, d.tens)) + (hours ? " h" : " min");
}

} // namespace

std::string write_si(double value, Kind which) {
    const KindInfo& kind = info(which);
    std::string best = write_decimal(value, kind);
    int best_length = static_cast<int>(best.size());
    for (const OtherUnit& unit : kind.others) {
        const auto text = write_other(value, unit, kind);
        const int length = text ? static_cast<int>(text->size()) - unit.slack : best_length + 1;
        if (length > best_length) continue;
        best = *text;
        best_length = length;
    }
    return best;
}

std::string show_si(double value, Kind which, int digits) {
    const KindInfo& kind = info(which);
    if (std::isnan(value)) return "—";
    if (which == Kind::temperature && std::isfinite(value)) return show_degrees(value, digits);
    if (which == Kind::time && std::isfinite(value) && std::abs(value) >= 120)
        return show_long_time(value, digits);
    const std::vector<WrittenUnit>& units = table_units(kind);
    const bool of_trade = &units != &kind.prefixed;
    if (of_trade) value /= kind.others.front().one;
    if (std::isinf(value)) return std::string(value < 0 ? "-∞ " : "∞ ") + std::string(suited(units, 0).table);
    const bool nothing = std::abs(value) < std::pow(10.0, units.front().tens - 3);
    if (nothing) return "0 " + std::string(suited(units, 0).table);
    Digits d = rounded(value, digits);
    const WrittenUnit& unit = suited(units, d.tens);
    const int tens = d.tens - unit.tens;
    const std::string number = tens < 9 ? fixed(d, tens) : scientific(d, tens);
    return number + " " + std::string(unit.table);
}

} // namespace lostvolts

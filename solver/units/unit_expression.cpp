#include "solver/units/unit_expression.h"

#include <cmath>
#include <numbers>
#include <optional>

namespace lostvolts {
namespace {

using Why = UnitFault::Why;

enum class Prefix { none, thousands, metre }; // thousands: p n u m k M G; metre: c and d too

struct Symbol {
    std::string_view text;
    Dimension dimension; // m, kg, s, A, K, rad
    Prefix prefix = Prefix::none;
    long double times = 1; // SI value: times/over · 10^tens, exact by definition of the unit
    long double over = 1;
    int tens = 0;
    bool of_energy = false;
};

constexpr long double pi = std::numbers::pi_v<long double>;
constexpr Dimension number{}, metre{1}, kilogram{0, 1}, second{0, 0, 1}, ampere{0, 0, 0, 1},
    kelvin{0, 0, 0, 0, 1}, radian{0, 0, 0, 0, 0, 1}, per_second{0, 0, -1, 0, 0, 1}, newton{1, 1, -2},
    joule{2, 1, -2}, watt{2, 1, -3}, coulomb{0, 0, 1, 1}, volt{2, 1, -3, -1}, ohm{2, 1, -3, -2};

// SI units: BIPM SI brochure, 9th edition. Inch, foot, yard, pound: 0.0254 m, 0.3048 m, 0.9144 m, 0.45359237
// kg exactly (international yard and pound agreement, 1959). Pound-force: with 9.80665 m/s2 (3rd CGPM, 1901).
// Circular mil: the area of a circle of 0.001 in, pi/4 of its square.
// clang-format off
constexpr Symbol symbols[] = {
    {"V", volt, Prefix::thousands}, {"Vs", {2, 1, -2, -1}, Prefix::thousands},
    {"A", ampere, Prefix::thousands}, {"As", coulomb},
    {"ohm", ohm, Prefix::thousands}, {"ohms", ohm, Prefix::thousands}, {"Ohm", ohm, Prefix::thousands},
    {"S", {-2, -1, 3, 2}, Prefix::thousands},
    {"W", watt, Prefix::thousands},
    {"J", joule, Prefix::thousands, 1, 1, 0, true}, {"Wh", joule, Prefix::thousands, 36, 1, 2, true},
    {"N", newton, Prefix::thousands}, {"Nm", joule, Prefix::thousands}, {"Ncm", joule, Prefix::none, 1, 1, -2},
    {"Nms", {2, 1, -1}, Prefix::thousands}, {"Wb", {2, 1, -2, -1}, Prefix::thousands},
    {"lbf", newton, Prefix::none, 44482216152605, 1, -13}, {"ozf", newton, Prefix::none, 44482216152605, 16, -13},
    {"H", {2, 1, -2, -2}, Prefix::thousands}, {"F", {-2, -1, 4, 2}, Prefix::thousands},
    {"C", coulomb, Prefix::thousands}, {"Ah", coulomb, Prefix::thousands, 36, 1, 2},
    {"m", metre, Prefix::metre}, {"in", metre, Prefix::none, 254, 1, -4}, {"ft", metre, Prefix::none, 3048, 1, -4},
    {"yd", metre, Prefix::none, 9144, 1, -4}, {"sqmm", {2}, Prefix::none, 1, 1, -6},
    {"cmil", {2}, Prefix::none, 64516 * pi, 4, -14}, {"kcmil", {2}, Prefix::none, 64516 * pi, 4, -11},
    {"MCM", {2}, Prefix::none, 64516 * pi, 4, -11},
    {"g", kilogram, Prefix::thousands, 1, 1, -3}, {"lb", kilogram, Prefix::none, 45359237, 1, -8},
    {"oz", kilogram, Prefix::none, 45359237, 16, -8},
    {"K", kelvin, Prefix::thousands}, {"degC", kelvin}, {"degF", kelvin, Prefix::none, 5, 9},
    {"s", second, Prefix::thousands}, {"sec", second}, {"min", second, Prefix::none, 6, 1, 1},
    {"h", second, Prefix::none, 36, 1, 2}, {"hr", second, Prefix::none, 36, 1, 2},
    {"rad", radian, Prefix::thousands}, {"deg", radian, Prefix::none, pi, 18, -1},
    {"rev", radian, Prefix::none, 2 * pi}, {"r", radian, Prefix::none, 2 * pi}, // r/min, as IEC nameplates have it
    {"rpm", per_second, Prefix::thousands, pi, 3, -1},
    {"%", number, Prefix::none, 1, 1, -2}, {"ppm", number, Prefix::none, 1, 1, -6},
};

/// Units by their names, as they are spoken; large and small letters are the same in them.
struct Name {
    std::string_view text, plural, symbol;
    bool prefixed = false; ///< may have a prefix, by its name too
};
constexpr Name names[] = {
    {"volt", "volts", "V", true},      {"ampere", "amperes", "A", true}, {"amp", "amps", "A", true},
    {"ohm", "ohms", "ohm", true},      {"megohm", "megohms", "Mohm"},    {"kilohm", "kilohms", "kohm"},
    {"watt", "watts", "W", true},      {"metre", "metres", "m", true},   {"meter", "meters", "m", true},
    {"second", "seconds", "s", true},  {"minute", "minutes", "min"},     {"hour", "hours", "h"},
    {"inch", "inches", "in"},          {"foot", "feet", "ft"},           {"yard", "yards", "yd"},
    {"rpm", "rpm", "rpm"},
};
struct PrefixName {
    std::string_view text, letter;
};
constexpr PrefixName prefix_names[] = {{"", ""},      {"micro", "u"}, {"milli", "m"},
                                       {"centi", "c"}, {"kilo", "k"},  {"mega", "M"}};
// clang-format on

std::optional<int> prefix_tens(char letter, Prefix allowed) {
    if (allowed == Prefix::none) return std::nullopt;
    switch (letter) {
    case 'p':
        return -12;
    case 'n':
        return -9;
    case 'u':
        return -6;
    case 'm':
        return -3;
    case 'k':
        return 3;
    case 'M':
        return 6;
    case 'G':
        return 9;
    case 'c':
        return allowed == Prefix::metre ? std::optional(-2) : std::nullopt;
    case 'd':
        return allowed == Prefix::metre ? std::optional(-1) : std::nullopt;
    default:
        return std::nullopt;
    }
}

/// The symbol of what is called so: "mV" for "millivolts".
std::optional<std::string> symbol_named(std::string_view word) {
    std::string lower(word);
    for (char& c : lower)
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    for (const PrefixName& prefix : prefix_names) {
        if (!lower.starts_with(prefix.text)) continue;
        const std::string_view rest = std::string_view(lower).substr(prefix.text.size());
        for (const Name& name : names)
            if ((rest == name.text || rest == name.plural) && (prefix.text.empty() || name.prefixed))
                return std::string(prefix.letter).append(name.symbol);
    }
    return std::nullopt;
}

/// The meaning of one word: a whole symbol first ("min"), then a prefix and a symbol ("mV"), then a name.
std::optional<UnitMeaning> meaning_of(std::string_view word) {
    for (const Symbol& s : symbols)
        if (word == s.text)
            return UnitMeaning{s.dimension, s.times, s.over, s.tens, s.of_energy, std::string(word)};
    for (const Symbol& s : symbols) {
        if (word.size() != s.text.size() + 1 || word.substr(1) != s.text) continue;
        if (const auto tens = prefix_tens(word[0], s.prefix))
            return UnitMeaning{s.dimension, s.times, s.over, s.tens + *tens, s.of_energy, {}};
    }
    const auto symbol = symbol_named(word);
    return symbol ? meaning_of(*symbol) : std::nullopt;
}

void raise(UnitMeaning& unit, int power) {
    for (int& exponent : unit.dimension) exponent *= power;
    unit.tens *= power;
    const long double times = std::pow(unit.times, std::abs(power)),
                      over = std::pow(unit.over, std::abs(power));
    unit.times = power < 0 ? over : times;
    unit.over = power < 0 ? times : over;
    unit.alone.clear();
}

void multiply(UnitMeaning& unit, const UnitMeaning& by) {
    for (std::size_t k = 0; k < unit.dimension.size(); ++k) unit.dimension[k] += by.dimension[k];
    unit.tens += by.tens;
    unit.times *= by.times;
    unit.over *= by.over;
    unit.of_energy = unit.of_energy || by.of_energy;
    unit.alone.clear();
}

/// Reads products by recursive descent; the first fault stops it.
class Reader {
  public:
    Reader(const PlainText& text, std::size_t from) : text_(text), i_(from) {}

    std::variant<UnitMeaning, UnitFault> whole() {
        UnitMeaning unit = product(0);
        i_ = text_.past_blanks(i_);
        if (!fault_ && i_ < text_.size())
            fail(is_digit(text_[i_]) ? Why::number : Why::syntax, i_, text_.size());
        if (fault_) return *fault_;
        return unit;
    }

  private:
    static constexpr int deepest_brackets = 4, most_words = 32;

    void fail(Why why, std::size_t from, std::size_t to) {
        if (!fault_) fault_ = UnitFault{why, from, to};
    }

    UnitMeaning product(int depth) {
        UnitMeaning unit = factor(depth);
        bool divided = false;
        while (!fault_) {
            std::size_t next = text_.past_blanks(i_);
            const std::size_t operator_at = next;
            const bool divides = text_[next] == '/';
            if (divides || text_[next] == '*')
                next = text_.past_blanks(next + 1);
            else if (!is_letter(text_[next]) && text_[next] != '(')
                break;
            if (!divides && divided) {
                fail(Why::ambiguous_slash, operator_at, text_.size());
                break;
            }
            divided = divided || divides;
            i_ = next;
            UnitMeaning by = factor(depth);
            if (divides) raise(by, -1);
            multiply(unit, by);
        }
        return unit;
    }

    UnitMeaning factor(int depth) {
        UnitMeaning unit;
        const std::size_t from = i_;
        if (text_[i_] == '/') return unit; // "/K" is "1/K"
        if (text_[i_] == '1' && text_[text_.past_blanks(i_ + 1)] == '/') {
            ++i_;
            return unit;
        }
        if (text_[i_] == '(' && depth < deepest_brackets) {
            i_ = text_.past_blanks(i_ + 1);
            unit = product(depth + 1);
            i_ = text_.past_blanks(i_);
            if (!fault_ && text_[i_] != ')') fail(Why::syntax, i_, text_.size());
            ++i_;
        } else {
            unit = word();
        }
        if (const int power = exponent(from); power != 1) raise(unit, power);
        return unit;
    }

    UnitMeaning word(bool after_sq = false) {
        std::size_t end = i_;
        while (is_letter(text_[end])) ++end;
        std::string_view name = std::string_view(text_.ascii()).substr(i_, end - i_);
        std::string joined;
        if (name == "deg" && (text_.starts(end, " C") || text_.starts(end, " F")) &&
            !is_letter(text_[end + 2])) {
            end += 2; // "deg C", "° C"
            name = joined = std::string("deg") + text_[end - 1];
        }
        if (name == "sq" && !after_sq && is_letter(text_[text_.past_blanks(end)])) {
            i_ = text_.past_blanks(end);
            UnitMeaning unit = word(true);
            raise(unit, 2);
            return unit;
        }
        std::optional<UnitMeaning> unit = meaning_of(name);
        if (++words_ > most_words)
            fail(Why::syntax, i_, text_.size());
        else if (name.empty())
            fail(is_digit(text_[i_]) ? Why::number : Why::syntax, i_, text_.size());
        else if (!unit)
            fail(Why::unknown, i_, end);
        i_ = end;
        return unit.value_or(UnitMeaning{});
    }

    int exponent(std::size_t from) {
        std::size_t at = i_;
        if (text_[at] == '^') ++at;
        const bool negative = text_[at] == '-';
        if (negative) ++at;
        if (!is_digit(text_[at])) {
            if (at != i_) fail(Why::syntax, from, at);
            return 1;
        }
        const int power = text_[at] - '0';
        if (power == 0 || power > 4 || is_digit(text_[at + 1])) fail(Why::syntax, from, at + 1);
        i_ = at + 1;
        return negative ? -power : power;
    }

    const PlainText& text_;
    std::size_t i_;
    int words_ = 0;
    std::optional<UnitFault> fault_;
};

} // namespace

std::variant<UnitMeaning, UnitFault> read_unit(const PlainText& text, std::size_t from) {
    return Reader(text, from).whole();
}

} // namespace lostvolts

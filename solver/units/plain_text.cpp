#include "solver/units/plain_text.h"

#include <algorithm>
#include <charconv>
#include <cmath>

#include "solver/units/code_points.h"

namespace lostvolts {
namespace {

constexpr char foreign = '\x01';   // stands for a character that no unit or number has
constexpr long most_tens = 100000; // a power of ten beyond any double, within any long

/// The plain spelling of one code point; empty for none. Superscripts are handled by the caller.
std::string_view plain_spelling(char32_t c) {
    switch (c) {
    case U'\u03A9':
    case U'\u2126':
        return "ohm"; // Greek omega, ohm sign
    case U'\u00B5':
    case U'\u03BC':
        return "u"; // micro sign, Greek mu
    case U'\u00B0':
        return "deg"; // degree sign
    case U'\u2103':
        return "degC";
    case U'\u2109':
        return "degF";
    case U'\u00B7':
    case U'\u22C5':
    case U'\u00D7':
        return "*"; // middle dot, dot operator, times
    case U'\u2212':
        return "-"; // minus sign
    case U'\u00A0':
    case U'\u2009':
    case U'\u202F':
    case U'\t':
        return " "; // no-break and thin spaces
    case U'\u00B1':
        return "+-";
    default:
        return {};
    }
}

/// '0' … '9' or '-' behind a superscript, 0 for none.
char superscript(char32_t c) {
    switch (c) {
    case U'\u00B9':
        return '1';
    case U'\u00B2':
        return '2';
    case U'\u00B3':
        return '3';
    case U'\u2074':
        return '4';
    case U'\u207B':
        return '-';
    default:
        return 0;
    }
}

/// The power of ten of the first digit that isn't 0; nothing for a zero.
std::optional<long> leading_tens(const Number& number) {
    const std::string& s = number.significand;
    const std::size_t first = s.find_first_of("123456789");
    if (first == std::string::npos) return std::nullopt;
    const auto point = static_cast<long>(std::min(s.find('.'), s.size())), at = static_cast<long>(first);
    return number.tens + (at < point ? point - at - 1 : point - at);
}

bool is_blank(char c) { return c == ' '; }

std::string lower(std::string text) {
    std::ranges::transform(text, text.begin(),
                           [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c; });
    return text;
}

ValueError no_number(const PlainText& text, std::size_t from, std::string_view example) {
    std::size_t end = from;
    while (end < text.size() && !is_blank(text[end])) ++end;
    std::string word = text.original(from, end);
    std::string bare = lower(word);
    if (!bare.empty() && (bare[0] == '+' || bare[0] == '-')) bare.erase(0, 1);
    const std::string advice = "write a number and its unit, for example \"" + std::string(example) + "\"";
    if (bare.starts_with("nan") || bare == "inf" || bare == "infinity")
        return {text.origin(from), "is \"" + word + "\", which is not a number that can be measured", advice};
    return {text.origin(from), "starts with \"" + word + "\", which is not a number", advice};
}

/// The advice for a number with commas between its digits: what it may have meant.
ValueError comma(const PlainText& text, std::size_t from, std::size_t at) {
    std::size_t end = from + (text[from] == '-' || text[from] == '+');
    int commas = 0;
    bool point = false;
    for (; is_digit(text[end]) || text[end] == ',' || text[end] == '.'; ++end) {
        commas += text[end] == ',';
        point = point || text[end] == '.';
    }
    const std::string rest = text.original(end, text.size());
    const std::string unit = rest.empty() ? "" : " " + rest;
    std::string without = text.ascii().substr(from, end - from);
    std::string with_point = without;
    std::erase(without, ',');
    std::ranges::replace(with_point, ',', '.');
    if (commas > 1 || point)
        return {text.origin(at), "has a comma in its number",
                "write " + without + unit + ", without the comma"};
    if (end - at == 4)
        return {text.origin(at), "has a comma in its number",
                "write " + with_point + unit + " with a point, or " + without + unit + " without the comma"};
    return {text.origin(at), "has a decimal comma", "write " + with_point + unit + ", with a point"};
}

} // namespace

PlainText::PlainText(std::string_view utf8) : points_(code_points(utf8)) {
    bool raised = false;
    for (std::size_t i = 0; i < points_.size(); ++i) {
        const char32_t c = points_[i];
        const auto put = [&](std::string_view s) {
            ascii_ += s;
            origin_.insert(origin_.end(), s.size(), i);
        };
        if (const char raise = superscript(c)) {
            if (!raised) put("^");
            put(std::string_view(&raise, 1));
            raised = true;
            continue;
        }
        raised = false;
        if (const std::string_view spelling = plain_spelling(c); !spelling.empty()) {
            put(spelling);
        } else {
            const char plain = c >= 0x20 && c < 0x7F ? static_cast<char>(c) : foreign;
            put(std::string_view(&plain, 1));
        }
    }
    origin_.push_back(points_.size());
}

std::string PlainText::original(std::size_t from, std::size_t to) const {
    std::size_t first = origin_[std::min(from, ascii_.size())], last = origin_[std::min(to, ascii_.size())];
    if (to > from && to < ascii_.size() && last == origin_[to - 1]) ++last;
    const auto blank = [this](std::size_t i) {
        return points_[i] == U' ' || points_[i] == U'\t' || points_[i] == U'\u00A0';
    };
    while (first < last && blank(first)) ++first;
    while (last > first && blank(last - 1)) --last;
    return utf8(std::u32string_view(points_).substr(first, last - first));
}

std::size_t PlainText::past_blanks(std::size_t i) const {
    while (i < ascii_.size() && is_blank(ascii_[i])) ++i;
    return i;
}

bool is_digit(char c) { return c >= '0' && c <= '9'; }
bool is_letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '%' || c == foreign;
}

Parsed<Number> read_number(const PlainText& text, std::size_t from, std::string_view example) {
    Number number;
    std::size_t i = from;
    if (text[i] == '-') number.significand = "-";
    if (text[i] == '-' || text[i] == '+') ++i;
    std::size_t digits = 0;
    for (; is_digit(text[i]); ++i, ++digits) number.significand += text[i];
    if (text[i] == '.') {
        number.significand += text[i++];
        for (; is_digit(text[i]); ++i, ++digits) number.significand += text[i];
    }
    if (digits == 0) return no_number(text, from, example);
    if (text[i] == ',' && is_digit(text[i + 1])) return comma(text, from, i);
    const std::size_t sign = text[i + 1] == '-' || text[i + 1] == '+';
    if ((text[i] == 'e' || text[i] == 'E') && is_digit(text[i + 1 + sign])) {
        const bool negative = text[i + 1] == '-';
        for (i += 1 + sign; is_digit(text[i]); ++i)
            number.tens = std::min(number.tens * 10 + (text[i] - '0'), most_tens);
        if (negative) number.tens = -number.tens;
    }
    number.end = i;
    return number;
}

Parsed<double> value_of(const Number& number, int tens, long double times, long double over, std::size_t at) {
    const auto parse = [&number](auto& value, long exponent) {
        const std::string text = number.significand + "e" + std::to_string(exponent);
        return std::from_chars(text.data(), text.data() + text.size(), value).ec;
    };
    double value = 0;
    std::errc fault{};
    if (times == 1 && over == 1) {
        fault = parse(value, number.tens + tens);
    } else {
        // One rounding at the end: factors are whole numbers (or contain pi), and a long double is wider than
        // a double.
        long double wide = 0;
        fault = parse(wide, number.tens);
        const long double power = std::pow(10.0L, std::abs(tens));
        value = static_cast<double>(tens < 0 ? wide * times / (over * power) : wide * times * power / over);
    }
    const std::optional<long> leading = leading_tens(number);
    if (!leading) return number.significand[0] == '-' ? -0.0 : 0.0;
    if (fault == std::errc{} && std::isfinite(value) && value != 0) return value;
    if (*leading + tens > 0)
        return ValueError{at, "is larger than any number this program can hold", "write a smaller number"};
    return ValueError{at, "is too close to zero to be told from it", "write 0"};
}

} // namespace lostvolts

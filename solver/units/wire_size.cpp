#include <algorithm>
#include <charconv>

#include "solver/units/gauge.h"
#include "solver/units/kinds.h"
#include "solver/units/plain_text.h"

namespace lostvolts {
namespace {

constexpr std::string_view size_advice = "write an area or a gauge, for example \"2.5 mm2\" or \"14 AWG\"";
constexpr std::string_view gauge_advice =
    "write a whole gauge from 4/0 to 40, for example \"14 AWG\" or \"2/0 AWG\"";

bool is_awg(const PlainText& text, std::size_t i) {
    const auto is = [&](std::size_t k, char c) { return (text[k] | 0x20) == c; };
    return is(i, 'a') && is(i + 1, 'w') && is(i + 2, 'g') && !is_letter(text[i + 3]);
}

/// "14", "0", "00" … "0000", "1/0" … "4/0": the gauge number, 0 and below for the large ones.
std::optional<int> gauge_number(std::string_view text) {
    if (text.size() == 3 && text.substr(1) == "/0" && text[0] >= '1' && text[0] <= '4')
        return 1 - (text[0] - '0');
    if (!text.empty() && text.size() <= 4 && text.find_first_not_of('0') == text.npos)
        return 1 - static_cast<int>(text.size());
    int number = 0;
    const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), number);
    if (fault != std::errc{} || end != text.data() + text.size() || number < 1 ||
        number > largest_gauge_number)
        return std::nullopt;
    return number;
}

Parsed<WireSize> read_gauge(const PlainText& text, std::size_t awg) {
    const std::size_t from = text.past_blanks(0);
    const bool before = from == awg; // "AWG 14"
    const std::size_t first = before ? text.past_blanks(awg + 3) : from;
    std::size_t last = before ? text.size() : awg;
    while (last > first && text[last - 1] == ' ') --last;
    const std::string written = text.ascii().substr(first, last - first);
    if (written.empty())
        return ValueError{text.origin(first), "has no gauge number", std::string(gauge_advice)};
    const std::size_t after = text.past_blanks(awg + 3);
    if (!before && after < text.size())
        return ValueError{text.origin(after),
                          "goes on after its gauge with \"" + text.original(after, text.size()) + "\"",
                          std::string(gauge_advice)};
    const std::optional<int> gauge = gauge_number(written);
    if (!gauge)
        return ValueError{text.origin(first),
                          "has \"" + text.original(first, last) + "\", which is not a gauge",
                          std::string(gauge_advice)};
    return WireSize{gauge_area(*gauge), gauge};
}

std::optional<std::size_t> find_awg(const PlainText& text) {
    for (std::size_t i = 0; i + 3 <= text.size(); ++i)
        if ((i == 0 || !is_letter(text[i - 1])) && is_awg(text, i)) return i;
    return std::nullopt;
}

} // namespace

bool is_gauge(std::string_view utf8) { return find_awg(PlainText(utf8)).has_value(); }

Parsed<WireSize> read_wire_size(std::string_view utf8) {
    const PlainText text(utf8);
    if (const auto awg = find_awg(text)) return read_gauge(text, *awg);
    const Parsed<double> area = read_si(utf8, Kind::area);
    if (const auto* error = std::get_if<ValueError>(&area)) {
        ValueError told = *error;
        if (told.write.starts_with("write an area") || told.write.starts_with("write a number"))
            told.write = size_advice;
        return told;
    }
    if (std::get<double>(area) <= 0)
        return ValueError{text.origin(text.past_blanks(0)), "is not above zero", std::string(size_advice)};
    return WireSize{from_si<Area<>>(std::get<double>(area)), std::nullopt};
}

std::string write_wire_size(const WireSize& size) {
    if (!size.gauge) return write_si(si(size.area), Kind::area);
    if (*size.gauge >= 1) return std::to_string(*size.gauge) + " AWG";
    if (*size.gauge == 0) return "1/0 AWG";
    return std::to_string(1 - *size.gauge) + "/0 AWG";
}

} // namespace lostvolts

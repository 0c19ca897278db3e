#include "solver/locate/written_value.h"

#include <algorithm>
#include <string>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace lostvolts {
namespace {

template <class Q> std::optional<ValueError> error_of(std::string_view value) {
    const Parsed<Q> read = read_quantity<Q>(value);
    const auto* error = std::get_if<ValueError>(&read);
    return error ? std::optional(*error) : std::nullopt;
}

} // namespace

std::optional<ValueError> value_error(Measurand quantity, std::string_view value) {
    switch (quantity) {
    case Measurand::voltage:
        return error_of<Voltage<>>(value);
    case Measurand::current:
        return error_of<Current<>>(value);
    case Measurand::speed:
        return error_of<Speed<>>(value);
    case Measurand::resistance:
        if (value == no_path) return std::nullopt;
        return error_of<Resistance<>>(value);
    case Measurand::lamp:
    case Measurand::sound:
        break;
    }
    const auto words = words_of(quantity);
    if (std::find(words.begin(), words.end(), value) != words.end()) return std::nullopt;
    return ValueError{0, fmt::format("is not a word for a {}", name_of(quantity)),
                      fmt::format("one of {}", fmt::join(words, ", "))};
}

std::string_view usual_unit(Measurand quantity) {
    switch (quantity) {
    case Measurand::voltage:
        return "V";
    case Measurand::current:
        return "A";
    case Measurand::speed:
        return "rpm";
    case Measurand::resistance:
        return "ohm";
    case Measurand::lamp:
    case Measurand::sound:
        break;
    }
    return "";
}

std::optional<Measurand> quantity_of_value(std::string_view value) {
    if (value == no_path) return Measurand::resistance;
    for (const Measurand q : {Measurand::lamp, Measurand::sound})
        for (const std::string_view word : words_of(q))
            if (word == value) return q;
    for (const Measurand q :
         {Measurand::voltage, Measurand::current, Measurand::speed, Measurand::resistance})
        if (!value_error(q, value)) return q;
    return std::nullopt;
}

} // namespace lostvolts

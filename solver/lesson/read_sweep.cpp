// A sweep as a person writes it: "pump ground: 0 to 500 mohm", "rinse pump dragging: 0 to 200 %".
#include <algorithm>

#include <fmt/format.h>

#include "solver/circuit/names.h"
#include "solver/lesson/sweep.h"
#include "solver/units/lines.h"
#include "solver/units/text.h"

namespace lostvolts {
namespace {

constexpr std::string_view example = "write for example  \"pump ground: 0 to 500 mohm\"";

Problem wrong(std::string_view words, std::string what, std::string write) {
    return {{}, {}, fmt::format("sweep \"{}\": {}", words, what), std::move(write), {}};
}

/// The part and the kind that a head such as "rinse pump dragging" names.
struct Subject {
    PartId part = none;
    std::optional<FaultKind> kind;
};
Subject subject_of(const Circuit& c, std::string_view head) {
    Subject s{find_part(c, head), {}};
    if (s.part != none) return s;
    for (const std::string_view name : fault_names()) {
        if (!head.ends_with(name)) continue;
        std::string_view rest = trimmed(head.substr(0, head.size() - name.size()));
        if (rest.ends_with(',')) rest = trimmed(rest.substr(0, rest.size() - 1));
        if (const PartId p = find_part(c, rest); p != none) return {p, fault_kind(name)};
    }
    return s;
}

/// The sized faults that a part can have.
std::vector<FaultMode> sized_faults(const Part& part) {
    std::vector<FaultMode> modes;
    for (const FaultMode& m : faults_of(part.law))
        if (size_of(m.kind) != FaultSize::none) modes.push_back(m);
    return modes;
}

std::string list_of(const std::vector<FaultMode>& modes) {
    std::string text;
    for (const FaultMode& m : modes) text += fmt::format("{}{}", text.empty() ? "" : ", ", name_of(m.kind));
    return text;
}

Parsed<double> read_size(std::string_view text, FaultSize size) {
    const auto number = [](const auto& read) -> Parsed<double> {
        if (const auto* error = std::get_if<ValueError>(&read)) return *error;
        return si(std::get<0>(read));
    };
    return size == FaultSize::ohms ? number(read_quantity<Resistance<>>(text))
                                   : number(read_quantity<Ratio<>>(text));
}

/// "0" with the unit of "500 mohm".
std::string with_unit_of(std::string_view number, std::string_view other) {
    const auto letter = [](std::string_view s) { return s.find_first_not_of("0123456789.+-eE \t"); };
    const std::size_t at = letter(other);
    if (letter(number) != std::string_view::npos || at == std::string_view::npos) return std::string(number);
    return fmt::format("{} {}", number, other.substr(at));
}

} // namespace

Result<SweepRequest> read_sweep(const Circuit& c, std::string_view words) {
    const std::size_t colon = words.rfind(':');
    if (colon == std::string_view::npos)
        return wrong(words, "a part, a colon and a range are expected", std::string(example));
    const std::string_view head = trimmed(words.substr(0, colon)), range = trimmed(words.substr(colon + 1));
    const Subject subject = subject_of(c, head);
    if (subject.part == none) {
        const auto near = nearest(head, names_of(c.parts));
        return wrong(words, fmt::format("there is no part \"{}\"", head),
                     near ? fmt::format("did you mean \"{}\"?", *near) : std::string(example));
    }
    const Part& part = c.parts[static_cast<std::size_t>(subject.part)];
    const std::vector<FaultMode> modes = sized_faults(part);
    if (modes.empty())
        return wrong(words, fmt::format("no fault of a {} grows", kind_of(part.law)),
                     "sweep a joint, a wire, a contact, the motor or the battery");
    SweepRequest request;
    request.part = subject.part;
    request.kind = subject.kind.value_or(modes.front().kind);
    if (std::none_of(modes.begin(), modes.end(), [&](const FaultMode& m) { return m.kind == request.kind; }))
        return wrong(words,
                     fmt::format("the {} has no growing fault \"{}\"", said(part), name_of(request.kind)),
                     "it may have: " + list_of(modes));

    const std::size_t to = range.find(" to ");
    if (to == std::string_view::npos) return wrong(words, "the range lacks its \"to\"", std::string(example));
    const std::string_view last = trimmed(range.substr(to + 4));
    const std::string first = with_unit_of(trimmed(range.substr(0, to)), last);
    const FaultSize size = size_of(request.kind);
    for (const auto& [text, into] :
         {std::pair{std::string_view(first), &request.low}, {last, &request.high}}) {
        const Parsed<double> read = read_size(text, size);
        if (const auto* error = std::get_if<ValueError>(&read))
            return wrong(words, fmt::format("\"{}\" {}", text, error->what), error->write);
        *into = std::get<double>(read);
    }
    if (request.low < 0 || request.high <= request.low)
        return wrong(words, "the range has to go up, from nothing or more", std::string(example));
    if (size == FaultSize::share && request.high > 1 && request.kind != FaultKind::dragging)
        return wrong(words, fmt::format("{} goes up to 100 %", name_of(request.kind)),
                     "end the range at 100 % or below");
    return request;
}

} // namespace lostvolts

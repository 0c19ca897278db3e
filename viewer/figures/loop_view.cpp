// What the drawing is to show, from what locate found or a condition says.
#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "viewer/figures/foretold.h"
#include "viewer/figures/loop.h"
#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }

std::string_view foretold_with(Measurand quantity) {
    return quantity == Measurand::lamp    ? "It would be "
           : quantity == Measurand::sound ? "You would hear: "
                                          : "It would read ";
}

/// What the suspects say of a reading, those of one mind together.
std::string foretold_in_words(const Circuit& c, const Location& location, const NextReading& n) {
    const std::vector<Foretold> rows = foretold_by(location, n);
    if (rows.size() < 2) return {};
    std::string told;
    for (const Foretold& row : rows)
        told += fmt::format("{}{} if it is {}", told.empty() ? foretold_with(n.quantity) : "; ",
                            likely_text(n.quantity, row.outcome), any_of_them(c, location, row.suspects));
    return told + '.';
}

} // namespace

std::vector<ShownSuspect> shown_faults(const std::vector<Fault>& faults) {
    std::vector<ShownSuspect> shown;
    for (const Fault& f : faults) {
        const std::string size = size_text(f.kind, f.size);
        shown.push_back({f.part, 1, "fault" + (size.empty() ? "" : ": " + size)});
    }
    return shown;
}

LoopView view_of(const Readings& readings, const Location& location, const StatePrediction* prediction) {
    constexpr double worth_showing = 0.05;
    const Circuit& c = readings.circuit;
    LoopView view;
    view.prediction = prediction;
    if (prediction) view.state = prediction->state;
    for (const Suspect& s : location.suspects)
        for (const FoundFault& f : s.faults)
            if (s.probability >= worth_showing &&
                std::none_of(view.suspects.begin(), view.suspects.end(),
                             [&](const auto& v) { return v.part == f.part; }))
                view.suspects.push_back({f.part, s.probability});
    if (!location.suspects.empty() && !location.suspects[0].faults.empty())
        view.notes.push_back(fmt::format("Most likely {} ({}).", suspect_name(c, location.suspects[0]),
                                         percent(location.suspects[0].probability)));
    if (!location.next.empty()) {
        const NextReading& n = location.next.front();
        view.readings.push_back({n.red, n.black, n.through, Ink::next, n.quantity});
        view.notes.push_back(fmt::format("Next, in state \"{}\": {}; {:.0f} min.", c.states[at(n.state)].name,
                                         what_to_read(readings, n), std::ceil(n.minutes)));
        if (const std::string told = foretold_in_words(c, location, n); !told.empty())
            view.notes.push_back(told);
    }
    return view;
}

} // namespace lostvolts

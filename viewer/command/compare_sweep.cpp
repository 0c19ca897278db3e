// A sweep as a person reads it: the table, then where each meter begins to tell, and where the current
// misleads.
#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "solver/units/text.h"
#include "viewer/command/compare_text.h"
#include "viewer/command/style.h"
#include "viewer/command/table.h"
#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

struct Text {
    const Stand& stand;
    const Sweep& sweep;
    int columns;
    std::string out{};

    std::string size(double x) const {
        const std::string text = size_text(sweep.request.kind, x);
        return text == "0 Ω" ? "0" : text;
    }
    void paragraph(const std::string& words, int first = 2, int rest = 4) {
        out += wrapped(words, columns, first, rest) + '\n';
    }
    void table();
    void thresholds();
    void band(std::string_view what, const CurrentBand& band);
    void misleading();
    void doubles(const std::vector<Condition>& conditions);
};

void Text::table() {
    Table t;
    t.columns = {{"size", true, false, 0},     {"running", true, false, 0}, {"rotor held", true, false, 0},
                 {"speed", true, false, 2},    {"at load", true, false, 3}, {"lost", true, false, 1},
                 {"in fault", true, false, 4}, {"", false, false, 0}};
    for (const SweepRow& r : sweep.rows) {
        if (!r.solved) {
            t.add({size(r.size), "?", "", "", "", "", "", "no working point"});
            continue;
        }
        const bool over = r.lost > sweep.limit;
        const bool misled = sweep.misleads && r.size >= sweep.misleads->from &&
                            (r.size < sweep.misleads->to || sweep.misleads->beyond);
        t.add({size(r.size), amperes(r.run_current), r.stall_current ? amperes(*r.stall_current) : "",
               r.speed ? show(std::abs(si(*r.speed)) < 0.05 ? Speed<>{} : *r.speed, 3) : "", volts(r.across),
               volts(r.lost), r.power_in_fault ? show(*r.power_in_fault, 2) : "",
               misled ? alarm("misleads")
               : over ? alarm("over")
                      : ""});
    }
    out += draw(t, columns);
}

void Text::band(std::string_view what, const CurrentBand& b) {
    const std::string healthy =
        fmt::format("A healthy one of this drawing may {} {} (its parts' tolerances and "
                    "the clamp together)",
                    what, span_text(Measurand::current, b.low, b.high));
    if (!b.left_at) return paragraph(healthy + ": so does this one over the whole range.");
    if (*b.left_at <= sweep.request.low) return paragraph(healthy + ": this one is outside from the start.");
    paragraph(fmt::format("{}: this one is outside from {} on.", healthy, size(*b.left_at)));
}

void Text::thresholds() {
    const std::string load = stand.part(stand.load).name;
    if (!sweep.limit_at)
        paragraph(fmt::format("Within this range {} never loses more than its limit of {}.", load,
                              volts(sweep.limit)));
    else if (*sweep.limit_at <= sweep.request.low)
        paragraph(
            fmt::format("{} loses more than its limit of {} from the start.", load, volts(sweep.limit)));
    else
        paragraph(fmt::format("From {} on {} loses more than its limit of {}.", size(*sweep.limit_at), load,
                              volts(sweep.limit)));
    if (sweep.slow_at && *sweep.slow_at > sweep.request.low)
        paragraph(
            fmt::format("From {} on it is more than a tenth slower than when sound.", size(*sweep.slow_at)));
    band("draw", sweep.run);
    if (sweep.stall) band("draw, with its rotor held,", *sweep.stall);
}

void Text::misleading() {
    if (!sweep.misleads) {
        if (sweep.matters_at()) paragraph("The running current tells as soon as the fault matters.");
        return;
    }
    const Sweep::Stretch& m = *sweep.misleads;
    std::string words = m.beyond ? fmt::format("From {} to the end of the range", size(m.from))
                                 : fmt::format("Between {} and {}", size(m.from), size(m.to));
    words = strong("Here the current misleads. ") + words +
            ": the fault is there, and the clamp shows what a healthy one may draw.";
    const std::string only = "only the volts at the load and the drops on its way show it.";
    if (sweep.stall && sweep.stall->left_at && *sweep.stall->left_at <= m.from)
        words += " The stall current gives it away all along.";
    else if (sweep.stall && sweep.stall->left_at && *sweep.stall->left_at < m.to)
        words += fmt::format(" The stall current gives it away from {} on; until then {}",
                             size(*sweep.stall->left_at), only);
    else
        words += (sweep.stall ? " The stall current does not tell either: " : " There ") + only;
    paragraph(words);
}

void Text::doubles(const std::vector<Condition>& conditions) {
    for (std::size_t k = 0; k < sweep.doubles.size();) {
        const SameCurrent& first = sweep.doubles[k];
        std::string names;
        for (; k < sweep.doubles.size() && size(sweep.doubles[k].size) == size(first.size); ++k)
            names += fmt::format("{}\"{}\"", names.empty() ? "" : " or ",
                                 conditions[static_cast<std::size_t>(sweep.doubles[k].condition)].name);
        paragraph(fmt::format("At {} it draws {}, as with {}: by the clamp alone nobody tells which.",
                              size(first.size), amperes(from_si<Current<>>(first.amps)), names));
    }
}

} // namespace

std::string sweep_text(const Stand& stand, const Sweep& sweep, const std::vector<Condition>& conditions,
                       int columns) {
    Text text{stand, sweep, columns};
    const std::string what =
        fmt::format("{}, {} {} to {}", said(stand.part(sweep.request.part)), name_of(sweep.request.kind),
                    text.size(sweep.request.low), text.size(sweep.request.high));
    text.out = strong(wrapped(what, columns, 0, 2)) + '\n';
    text.table();
    text.out += '\n';
    text.thresholds();
    text.misleading();
    text.doubles(conditions);
    return text.out;
}

} // namespace lostvolts

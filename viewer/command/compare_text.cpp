#include "viewer/command/compare_text.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "solver/lesson/looks.h"
#include "solver/lesson/why.h"
#include "solver/units/text.h"
#include "viewer/command/style.h"
#include "viewer/command/table.h"
#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

constexpr int narrowest_cell = 11; // columns of one condition in the table: "1 234 mN m", "tank connector,"
constexpr int label = 16;

template <class Q> std::string shown(const std::optional<Q>& q) { return q ? show(*q, 3) : "—"; }

struct Text {
    const Comparison& c;
    int columns;
    std::string out{};

    const Circuit& circuit() const { return *c.stand.circuit; }
    const Signature& healthy() const { return c.signatures.front(); }
    const Signature& at(std::size_t k) const { return c.signatures[k]; }
    const std::string& state(int s) const { return circuit().states[static_cast<std::size_t>(s)].name; }
    void paragraph(const std::string& words, int first = 0, int rest = 0) {
        out += wrapped(words, columns, first, rest) + '\n';
    }

    void heading();
    void legend();
    void tables();
    void block(const std::vector<std::size_t>& shown);
    std::string apart_text(const Telling& t) const;
    void closer(std::size_t k);
};

void Text::heading() {
    out += strong(circuit().name.empty() ? circuit().file : circuit().name) + '\n';
    std::string words =
        fmt::format("{} in state \"{}\"", said(c.stand.part(c.stand.load)), state(c.stand.run));
    if (c.stand.turns()) words += fmt::format(", and with its rotor held (\"{}\")", state(c.stand.stall));
    paragraph(words);
    if (c.typical)
        paragraph(
            "The circuit names no conditions, so these are typical faults of its loop, one of each kind.");
}

void Text::legend() {
    out += '\n';
    for (std::size_t k = 0; k < c.signatures.size(); ++k) {
        const std::string faults = told(circuit(), at(k).faults);
        std::string words = letter_of(k) + "  " + at(k).name;
        if (!faults.empty() && faults != at(k).name) words += " (" + faults + ")";
        paragraph(words, 2, 5);
    }
}

/// The rows of the table: a name, and what stands there for one signature.
struct Row {
    std::string name;
    std::string (*cell)(const Stand&, const Signature& healthy, const Signature&);
};

const std::vector<Row>& rows() {
    static const std::vector<Row> all{
        {"stall current",
         [](const Stand&, const Signature&, const Signature& s) {
             return s.stall_current ? amperes(*s.stall_current) : "";
         }},
        {"run current",
         [](const Stand&, const Signature&, const Signature& s) { return amperes(s.run_current); }},
        {"speed",
         [](const Stand&, const Signature&, const Signature& s) {
             return s.speed ? show(std::abs(si(*s.speed)) < 0.05 ? Speed<>{} : *s.speed, 3) : "";
         }},
        {"torque", [](const Stand&, const Signature&,
                      const Signature& s) { return s.torque ? show(*s.torque, 3) : ""; }},
        {"work done",
         [](const Stand&, const Signature& h, const Signature& s) -> std::string {
             if (!s.work || !(si(*h.work) > 0)) return "";
             return fmt::format("{:.0f} %", 100 * si(*s.work) / si(*h.work));
         }},
        {"volts at load", [](const Stand&, const Signature&, const Signature& s) { return volts(s.across); }},
        {"volts lost", [](const Stand&, const Signature&, const Signature& s) { return volts(s.lost); }},
        {"sag at source", [](const Stand&, const Signature&, const Signature& s) { return drop(s.sag); }},
        {"largest drop",
         [](const Stand&, const Signature&, const Signature& s) {
             return s.largest == none ? std::string("—") : drop(s.largest_drop);
         }},
        {"… across",
         [](const Stand& stand, const Signature&, const Signature& s) -> std::string {
             if (s.largest == none) return "";
             return stand.part(s.largest).name + (s.largest_open ? " (open)" : "");
         }},
        {"lost in fault", [](const Stand&, const Signature&, const Signature& s) {
             return s.faults.empty() ? "" : s.power_in_fault ? show(*s.power_in_fault, 2) : "—";
         }}};
    return all;
}

void Text::block(const std::vector<std::size_t>& shown) {
    Table table;
    table.columns = {{"", false, false, 0}};
    for (const std::size_t k : shown) table.columns.push_back({letter_of(k), true, true, 0});
    for (const Row& row : rows()) {
        std::vector<std::string> cells{row.name};
        bool any = false;
        for (const std::size_t k : shown) {
            cells.push_back(at(k).trouble ? "?" : row.cell(c.stand, healthy(), at(k)));
            any = any || (!cells.back().empty() && !at(k).trouble);
        }
        if (any) table.add(std::move(cells));
    }
    out += '\n' + draw(table, columns);
}

/// As many conditions side by side as there is room for, the healthy one in each block.
void Text::tables() {
    const std::size_t faulty = c.signatures.size() - 1;
    const int room = std::max(columns - 2 - label - (narrowest_cell + 2), narrowest_cell + 2);
    const auto most = static_cast<std::size_t>(std::max(room / (narrowest_cell + 2), 1));
    const std::size_t blocks = std::max<std::size_t>((faulty + most - 1) / most, 1);
    for (std::size_t b = 0; b < blocks; ++b) {
        std::vector<std::size_t> shown{0};
        for (std::size_t k = 1 + b * faulty / blocks; k < 1 + (b + 1) * faulty / blocks; ++k)
            shown.push_back(k);
        block(shown);
    }
}

std::string Text::apart_text(const Telling& t) const {
    std::string all;
    for (std::size_t k = 0; k < t.others.size(); ++k)
        all += (k == 0                     ? ""
                : k + 1 == t.others.size() ? " and "
                                           : ", ") +
               letter_of(static_cast<std::size_t>(t.others[k]));
    std::string words =
        t.alike ? "By eye, ear and clamp the same as " + all + ". " : "Most like " + all + ". ";
    if (!t.reading) return words + "No single reading at hand tells it apart.";
    const NextReading& r = *t.reading;
    std::vector<double> there = t.there;
    std::sort(there.begin(), there.end());
    return words + fmt::format("One reading tells: {}: {}: {} here, {} there.", state(r.state),
                               what_is_read(circuit(), r.quantity, r.red, r.black, r.through),
                               value_text(r.quantity, t.here),
                               span_text(r.quantity, there.front(), there.back()));
}

void Text::closer(std::size_t k) {
    out += '\n' + strong(wrapped(letter_of(k) + "  " + at(k).name, columns, 0, 3)) + '\n';
    if (at(k).trouble) return paragraph(at(k).trouble->what, 3, 3);
    paragraph("Looks: " + looks(c.stand, healthy(), at(k)) + ".", 3, 5);
    if (!c.tellings[k].others.empty()) paragraph(apart_text(c.tellings[k]), 3, 5);
    std::string sentences;
    for (const std::string& s : why(c.stand, healthy(), at(k))) sentences += ' ' + s;
    if (!sentences.empty()) paragraph("Why:" + sentences, 3, 5);
}

} // namespace

std::string letter_of(std::size_t index) {
    std::string letter(1, static_cast<char>('A' + index % 26));
    return index < 26 ? letter : letter_of(index / 26 - 1) + letter;
}

std::string compare_text(const Comparison& c, int columns, bool table_only) {
    Text text{c, columns};
    text.heading();
    text.legend();
    text.tables();
    if (!table_only)
        for (std::size_t k = 0; k < c.signatures.size(); ++k) text.closer(k);
    return text.out;
}

} // namespace lostvolts

#include "viewer/command/report_page.h"

#include <algorithm>
#include <cmath>
#include <memory>
#include <set>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "solver/units/text.h"
#include "viewer/command/circuit_picture.h"
#include "viewer/command/locate_text.h"
#include "viewer/command/ruled_out.h"
#include "viewer/command/verdict_text.h"
#include "viewer/figures/cautions.h"
#include "viewer/figures/suspects.h"
#include "viewer/figures/traces.h"
#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

constexpr double worth_a_row = 0.01; // of probability
constexpr std::size_t most_rows = 8;

/// How sure a probability is, in a word for somebody who doesn't think in per cent. Own choice of words.
std::string_view how_sure(double p) {
    return p >= 0.99   ? "as good as certain"
           : p >= 0.9  ? "very likely"
           : p >= 0.6  ? "likely"
           : p >= 0.3  ? "possible"
           : p >= 0.05 ? "unlikely"
                       : "very unlikely";
}

class Page {
  public:
    explicit Page(const Report& report)
        : r_(report), circuit_(std::make_shared<const Circuit>(report.readings.circuit)) {}

    Document document() {
        out_.title = title();
        head();
        verdict();
        told();
        drawings();
        readings();
        suspects();
        cleared();
        captures();
        next();
        repair();
        cautions_of_it();
        foot();
        return std::move(out_);
    }

  private:
    std::string title() const {
        if (!r_.words.title.empty()) return r_.words.title;
        return circuit_->name.empty() ? circuit_->file : circuit_->name;
    }
    const std::string& state_name(int s) const { return circuit_->states[static_cast<std::size_t>(s)].name; }
    const Reading& reading(int k) const { return r_.readings.readings[static_cast<std::size_t>(k)]; }
    std::string where(const Reading& m) const {
        return fmt::format("{}: {}", state_name(m.state),
                           what_is_read(*circuit_, m.quantity, m.red, m.black, m.through));
    }
    void add(DocumentBlock block) { out_.blocks.push_back(std::move(block)); }
    void paragraph(std::string text, ProseStyle style = ProseStyle::plain) {
        add(Prose{std::move(text), style});
    }
    void heading(std::string text) { add(SectionHeading{std::move(text)}); }

    void head();
    void verdict();
    void told();
    void drawings();
    void readings();
    void suspects();
    void cleared();
    void captures();
    void next();
    void repair();
    void cautions_of_it();
    void foot();

    const Report& r_;
    std::shared_ptr<const Circuit> circuit_;
    Document out_;
};

void Page::head() {
    std::vector<std::string> facts;
    if (!r_.words.machine.empty()) facts.push_back("Machine: " + r_.words.machine);
    if (title() != circuit_->name && !circuit_->name.empty()) facts.push_back("Circuit: " + circuit_->name);
    if (!r_.words.date.empty()) facts.push_back("Measured on " + r_.words.date);
    if (!r_.words.labels.empty())
        facts.push_back(fmt::format("Labels: {}", fmt::join(r_.words.labels, ", ")));
    if (!facts.empty()) paragraph(fmt::format("{}", fmt::join(facts, ". ")), ProseStyle::aside);
}

void Page::verdict() { paragraph(verdict_text(r_.readings, r_.location), ProseStyle::verdict); }

void Page::told() {
    if (!r_.words.complaint.empty())
        heading("The complaint"), paragraph(r_.words.complaint, ProseStyle::written);
    if (!r_.words.finding.empty())
        heading("What it was and what was done"), paragraph(r_.words.finding, ProseStyle::written);
    if (r_.notes.empty()) return;
    heading("Notes");
    for (const std::string& note : r_.notes) paragraph(note, ProseStyle::written);
}

void Page::drawings() {
    heading("The circuit, and where the volts go");
    CircuitPicture drawing{circuit_, &r_.readings, &r_.location};
    if (!r_.readings.readings.empty()) drawing.state = r_.readings.readings.front().state;
    if (!r_.location.suspects.empty()) drawing.faults = faults_of(r_.location.suspects.front());
    drawing.heading = fmt::format("state \"{}\"", state_name(drawing.state));
    const auto loop = loop_of(drawing);
    if (!loop)
        return paragraph("It has no working point with this fault, so there is nothing to draw.",
                         ProseStyle::aside);
    add(*loop);
    if (const auto stairs = staircase_of(drawing); stairs && *stairs) add(**stairs);
}

void Page::readings() {
    if (r_.location.readings.empty()) return;
    heading("What was read, beside what it should be");
    paragraph("\"Expected\" is what the circuit reads with the leading suspect's fault in it; \"sound\", "
              "without any fault.",
              ProseStyle::aside);
    DocumentTable table{
        {"", "reading", "measured", "expected", "sound", ""}, {true, false, true, true, true, false}, {}, {}};
    std::string notes;
    for (const ReadingCheck& check : r_.location.readings) {
        const Reading& m = reading(check.index);
        std::string word(fit_word(check));
        if (check.suspect_reading) {
            word = "looks wrong" + (check.likely.empty() ? "" : ": " + check.likely);
            table.marked.push_back(static_cast<int>(table.rows.size()));
        }
        std::string what = where(m);
        if (!m.note.empty()) what += " — " + m.note;
        table.rows.push_back({std::to_string(check.index + 1), what, as_read(m), expected_text(m, check),
                              repaired_text(m, check), word});
    }
    add(std::move(table));
}

void Page::suspects() {
    heading("Suspects");
    DocumentTable table{{"", "what", "how sure", "", "size", "90 % between"},
                        {true, false, false, true, true, false},
                        {},
                        {}};
    double rest = 0;
    std::set<FaultKind> kinds;
    for (std::size_t k = 0; k < r_.location.suspects.size(); ++k) {
        const Suspect& s = r_.location.suspects[k];
        if (k >= most_rows || (k > 0 && s.probability < worth_a_row)) {
            rest += s.probability;
            continue;
        }
        std::string size, between;
        if (s.faults.size() == 1) {
            const FoundFault& f = s.faults[0];
            size = size_text(f.kind, f.value);
            if (!size.empty()) between = size_text(f.kind, f.low) + " and " + size_text(f.kind, f.high);
        }
        for (const FoundFault& f : s.faults) kinds.insert(f.kind);
        if (k == 0) table.marked.push_back(0);
        table.rows.push_back({std::to_string(k + 1), suspect_name(*circuit_, s),
                              std::string(how_sure(s.probability)), percent(s.probability), size, between});
    }
    add(std::move(table));
    if (rest > 0) paragraph(fmt::format("All others together: {}.", percent(rest)), ProseStyle::aside);
    std::vector<std::string> explained;
    explained.reserve(kinds.size());
    for (const FaultKind kind : kinds)
        explained.push_back(fmt::format("{}: {}.", name_of(kind), explanation(kind)));
    if (!explained.empty()) add(Bullets{explained});
    if (r_.location.suspects.size() > 1 && r_.location.suspects[1].probability >= worth_a_row)
        add(suspects_figure(*circuit_, r_.location));
}

void Page::cleared() {
    const std::vector<RuledOut> all = ruled_out(r_.readings, r_.location);
    if (all.empty()) return;
    heading("What was ruled out, and by which reading");
    paragraph(
        "The readings in the order they were taken; each part is named where its fault alone fell below "
        "1 % and stayed there.",
        ProseStyle::aside);
    DocumentTable table{{"", "reading", "cleared"}, {true, false, false}, {}, {}};
    for (const RuledOut& one : all) {
        std::vector<std::string> names;
        for (const PartId p : one.parts) names.push_back(circuit_->parts[static_cast<std::size_t>(p)].name);
        table.rows.push_back({std::to_string(one.reading + 1), where(reading(one.reading)),
                              fmt::format("{}", fmt::join(names, "; "))});
    }
    add(std::move(table));
}

void Page::captures() {
    for (const ReportedCapture& c : r_.captures) {
        const Waveform& w = c.waveform;
        heading(
            fmt::format("The start, recorded in {}", c.capture.file.substr(c.capture.file.rfind('/') + 1)));
        add(traces_figure(traces_of(c.capture, w)));
        DocumentTable table{{"", ""}, {false, true}, {}, {}};
        const auto row = [&](const char* what, bool known, const std::string& text) {
            if (known) table.rows.push_back({what, text});
        };
        row("peak current", w.peak_current.has_value(), w.peak_current ? show(*w.peak_current) : "");
        row("stall current, from the fit", w.stall_current.has_value(),
            w.stall_current ? show(w.stall_current->value) : "");
        row("run current", w.run_current.has_value(), w.run_current ? show(*w.run_current) : "");
        row("resting volts", w.resting_voltage.has_value(),
            w.resting_voltage ? volts(*w.resting_voltage) : "");
        row("sag", w.sag.has_value(), w.sag ? show(*w.sag) : "");
        row("speed", w.speed.has_value(), w.speed ? show(*w.speed, 4) : "");
        row("source to probe", w.upstream.has_value(), w.upstream ? show(w.upstream->value) : "");
        row("probe through motor", w.downstream.has_value(), w.downstream ? show(w.downstream->value) : "");
        row("contact opened again", !w.bounces.empty(), fmt::format("{} times", w.bounces.size()));
        row("uneven commutator bars", !w.uneven_bars.empty(), std::to_string(w.uneven_bars.size()));
        if (!table.rows.empty()) add(std::move(table));
        if (!w.cautions.empty()) add(Bullets{w.cautions});
    }
}

void Page::next() {
    if (r_.location.verdict == Verdict::located || r_.location.verdict == Verdict::healthy ||
        r_.location.next.empty())
        return;
    heading("What to measure next");
    std::vector<std::string> items;
    for (std::size_t k = 0; k < std::min<std::size_t>(r_.location.next.size(), 3); ++k) {
        const NextReading& n = r_.location.next[k];
        std::string text = fmt::format("State {}: {}. About {:.0f} min.", state_name(n.state),
                                       what_to_read(r_.readings, n), std::max(n.minutes, 1.0));
        for (std::size_t o = 0; o < std::min<std::size_t>(n.outcomes.size(), 4); ++o)
            text += fmt::format(
                "{} {} if {}", o == 0 ? (words_of(n.quantity).empty() ? " It reads" : " Expected:") : ",",
                expect_text(n.quantity, n.outcomes[o]),
                suspect_name(*circuit_,
                             r_.location.suspects[static_cast<std::size_t>(n.outcomes[o].suspect)]));
        items.push_back(text + (n.outcomes.empty() ? "" : "."));
    }
    add(Bullets{items});
}

void Page::repair() {
    if (r_.location.verdict == Verdict::healthy) return;
    heading("The repair, and what to measure again after it");
    const Suspect* first = r_.location.suspects.empty() ? nullptr : &r_.location.suspects.front();
    if (r_.location.verdict == Verdict::located && first && !first->faults.empty())
        for (const FoundFault& f : first->faults)
            paragraph(fmt::format("Mend the {}. Then take these readings again; if they are not as below, "
                                  "something else is wrong as well.",
                                  said(circuit_->parts[static_cast<std::size_t>(f.part)])));
    else
        paragraph("What is bad is not settled: mend nothing on this report alone. Once it is mended, the "
                  "circuit should read:");
    DocumentTable table{{"", "reading", "was", "should be"}, {true, false, true, true}, {}, {}};
    for (const ReadingCheck& check : r_.location.readings) {
        const Reading& m = reading(check.index);
        table.rows.push_back(
            {std::to_string(check.index + 1), where(m), as_read(m), repaired_text(m, check)});
    }
    if (!table.rows.empty()) add(std::move(table));
}

void Page::cautions_of_it() {
    heading("Before you touch the machine");
    add(Bullets{cautions(*circuit_)});
}

void Page::foot() {
    const auto name = [](const std::string& file) { return file.substr(file.rfind('/') + 1); };
    add(Imprint{
        fmt::format(
            "Written by lostvolts {} on {}. The same files give the same figures:  lostvolts locate {}",
            r_.version, r_.written_on, name(r_.readings.file)),
        {{name(circuit_->file) + ": SHA-256", r_.circuit_sha256},
         {name(r_.readings.file) + ": SHA-256", r_.readings_sha256}}});
}

} // namespace

Document report_document(const Report& report) { return Page(report).document(); }

} // namespace lostvolts

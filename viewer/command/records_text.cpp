#include "viewer/command/records_text.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "viewer/command/style.h"
#include "viewer/command/table.h"
#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

constexpr std::size_t longest_cell = 120; // code points of a finding in the table of find

/// On one line, whatever a person wrote.
std::string one_line(std::string text) {
    std::replace_if(
        text.begin(), text.end(), [](char c) { return c == '\n' || c == '\r' || c == '\t'; }, ' ');
    return text;
}

std::string shortened(std::string text) {
    if (width_of(text) <= static_cast<int>(longest_cell)) return text;
    std::size_t cut = 0;
    for (std::size_t points = 0; cut < text.size(); ++cut)
        if ((text[cut] & '\xC0') != '\x80' && ++points > longest_cell) break;
    return text.substr(0, cut) + " …";
}

std::string plural(std::size_t n, std::string_view one) {
    return fmt::format("{} {}{}", n, one, n == 1 ? "" : "s");
}

std::string bytes_text(std::uintmax_t bytes) {
    const double n = static_cast<double>(bytes);
    if (bytes < 1000) return fmt::format("{} B", bytes);
    return bytes < 1'000'000 ? fmt::format("{:.1f} kB", n / 1e3) : fmt::format("{:.1f} MB", n / 1e6);
}

/// What it was: the person's own word before the program's.
std::string outcome(const JobRow& row) {
    if (row.state != JobState::whole)
        return alarm(fmt::format("{}: {}", row.state == JobState::missing ? "gone" : "damaged", row.trouble));
    if (!row.words.finding.empty()) return shortened(one_line(row.words.finding));
    return verdict_line(row.verdict);
}

void line(std::string& out, const std::string& words, int columns) {
    out += wrapped(words, columns, 2, 4) + '\n';
}

/// A paragraph of a person's, its line ends kept.
void paragraphs(std::string& out, const std::string& text, int columns) {
    for (std::size_t at = 0; at <= text.size();) {
        const std::size_t end = std::min(text.find('\n', at), text.size());
        out += wrapped(one_line(text.substr(at, end - at)), columns, 2, 2) + '\n';
        at = end + 1;
    }
}

std::string range_text(const Usual& u) {
    if (u.low == u.high) return "";
    return show_figure(u.what, u.low) + " to " + show_figure(u.what, u.high);
}

std::string judgement_word(const Judged& j) {
    switch (j.judgement) {
    case Judgement::usual:
        return "as usual";
    case Judgement::low:
        return alarm("low");
    case Judgement::high:
        return alarm("high");
    case Judgement::unknown:
        return "too few to judge";
    }
    return {};
}

} // namespace

std::string verdict_line(const KeptVerdict& v) {
    if (v.verdict.empty()) return {};
    if (v.verdict == "healthy") return fmt::format("nothing wrong, {}", percent(v.probability));
    if (v.verdict == "contradictory") return "the readings contradict one another";
    if (v.part.empty())
        return v.fault.empty() ? fmt::format("no fault seen, {}", percent(v.probability)) : v.fault;
    const std::string what = v.size.empty() ? fmt::format("{}: {}", v.part, v.fault)
                                            : fmt::format("{}: {}, {}", v.part, v.fault, v.size);
    return v.verdict == "narrowed" ? fmt::format("perhaps {} ({})", what, percent(v.probability))
                                   : fmt::format("{} ({})", what, percent(v.probability));
}

std::string found_text(const JobsFound& found, const JobQuery& query, int columns) {
    const bool asked =
        !query.words.empty() || !query.machine.empty() || !query.part.empty() || !query.fault.empty();
    if (found.all == 0) {
        if (found.jobs == 0) return "No job is kept here yet.\n";
        return wrapped(fmt::format("None of {} fits.", plural(found.jobs, "kept job")), columns) + '\n';
    }
    std::string out = strong(fmt::format("{} of {}, {}", found.all, plural(found.jobs, "kept job"),
                                         asked ? "the best first" : "the newest first")) +
                      '\n';
    Table table;
    table.columns = {{"job", false, false, 0},  {"date", false, false, 0}, {"machine", false, true, 1},
                     {"title", false, true, 0}, {"found", false, true, 0}, {"known", false, false, 2},
                     {"labels", false, true, 3}};
    for (const JobRow& r : found.rows)
        table.add({r.id, r.words.date, one_line(r.words.machine), one_line(r.words.title), outcome(r),
                   std::string(name_of(r.words.known)), fmt::format("{}", fmt::join(r.words.labels, ", "))});
    out += draw(table, columns);
    if (found.rows.size() < found.all)
        line(out, fmt::format("and {} more; --most N shows more of them", found.all - found.rows.size()),
             columns);
    return out;
}

std::string shown_text(const JobShown& s, int columns) {
    const JobWords& w = s.row.words;
    std::string out = strong(one_line(w.title)) + '\n';
    std::string about = fmt::format("job {}, {}", s.row.id, w.date);
    if (!w.machine.empty()) about += ", machine: " + one_line(w.machine);
    if (w.known != Known::unsaid) about += fmt::format(", known {}", name_of(w.known));
    if (!w.labels.empty()) about += fmt::format("; labels: {}", fmt::join(w.labels, ", "));
    line(out, about, columns);
    if (!s.row.circuit.empty()) line(out, "circuit: " + one_line(s.row.circuit), columns);
    const auto section = [&](std::string_view heading) { out += '\n' + strong(heading) + '\n'; };
    if (!w.complaint.empty()) section("Complaint"), paragraphs(out, w.complaint, columns);
    if (!w.finding.empty()) section("What it was"), paragraphs(out, w.finding, columns);
    if (!s.job.verdicts.empty()) {
        section("Located on the day it was kept");
        for (const KeptVerdict& v : s.job.verdicts)
            line(out, fmt::format("{}: {}", v.readings, verdict_line(v)), columns);
    }
    if (!s.job.figures.empty()) {
        section("Measured");
        Table table;
        table.columns = {
            {"", false, false, 0}, {"", false, true, 0}, {"", true, false, 0}, {"", false, true, 1}};
        for (const KeptFigure& f : s.job.figures)
            table.add({f.what, f.where, show_figure(f.what, f.value), f.source});
        out += draw(table, columns);
    }
    section("Files");
    line(out, s.folder.string(), columns);
    Table files;
    files.columns = {{"", false, false, 0}, {"", false, true, 0}, {"", true, false, 0}};
    std::string readings;
    for (const KeptFile& f : s.job.files) {
        files.add({std::string(name_of(f.role)), f.name, bytes_text(f.bytes)});
        if (f.role == FileRole::readings && readings.empty()) readings = f.name;
    }
    out += draw(files, columns);
    if (!readings.empty())
        out += fmt::format("\nlostvolts locate \"{}\"\n", one_line((s.folder / readings).string()));
    return out;
}

std::string baseline_text(const Baseline& b, const std::vector<Judged>& judged, const std::string& circuit,
                          int columns) {
    std::string out = strong(circuit) + '\n';
    if (b.good_jobs == 0) {
        line(out,
             "No good job on this circuit is kept. One is kept with  lostvolts records add FILE... --known "
             "good; "
             "a kept one is called good with  lostvolts records label JOB --known good",
             columns);
        return out;
    }
    line(out,
         fmt::format("{}; 99 of 100 further good ones lie in the usual range",
                     plural(b.good_jobs, "good job") + " on this circuit"),
         columns);
    if (b.good_jobs < fewest_good_jobs)
        line(out, fmt::format("With fewer than {} good jobs there is no range yet.", fewest_good_jobs),
             columns);
    out += '\n';
    Table table;
    table.columns = {{"", false, false, 0},
                     {"", false, true, 0},
                     {"middle", true, false, 0},
                     {"spread", true, false, 2},
                     {"usual range", false, false, 0},
                     {"jobs", true, false, 1},
                     {"this one", true, false, 0},
                     {"", false, true, 0}};
    std::size_t unusual = 0, known = 0, news = 0;
    if (judged.empty())
        for (const Usual& u : b.usual)
            table.add({u.what, u.where, show_figure(u.what, u.middle), show_figure(u.what, u.spread),
                       range_text(u), std::to_string(u.jobs)});
    for (const Judged& j : judged) {
        const bool off = j.judgement == Judgement::low || j.judgement == Judgement::high;
        unusual += off;
        known += j.judgement != Judgement::unknown;
        const Usual* u = j.usual;
        news += !u;
        if (!u) continue;
        table.add({j.figure.what, j.figure.where, show_figure(u->what, u->middle),
                   show_figure(u->what, u->spread), range_text(*u), std::to_string(u->jobs),
                   show_figure(j.figure.what, j.figure.value), judgement_word(j)});
    }
    out += draw(table, columns);
    if (!judged.empty()) {
        out += '\n';
        if (known == 0)
            line(out, "None of it can be judged yet.", columns);
        else if (unusual == 0)
            line(out, fmt::format("All {} that can be judged are as usual.", plural(known, "figure")),
                 columns);
        else
            line(out,
                 alarm(fmt::format("{} of {} {} not as usual.", unusual, plural(known, "figure"),
                                   unusual == 1 ? "is" : "are")),
                 columns);
        if (news > 0)
            line(out, fmt::format("{} more, which no good job has measured.", plural(news, "figure")),
                 columns);
    }
    bool headed = false;
    for (const Usual& u : b.usual)
        for (const FigureOfJob& odd : u.odd) {
            if (!headed) out += '\n' + strong("Called good, and far from the others") + '\n';
            headed = true;
            line(out,
                 fmt::format("job {}: {}, {}: {}; usual is {}", odd.job, u.what, u.where,
                             show_figure(u.what, odd.figure.value), show_figure(u.what, u.middle)),
                 columns);
        }
    if (headed)
        line(out,
             "They move the middle little. If one was no good machine:  lostvolts records label JOB --known "
             "bad",
             columns);
    return out;
}

} // namespace lostvolts

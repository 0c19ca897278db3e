// Kept jobs for programs: JSON and comma-separated values.

#include <algorithm>
#include <numbers>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "viewer/command/records_text.h"

namespace lostvolts {
namespace {

Json text_or_null(const std::string& text) { return text.empty() ? Json() : Json(text); }

std::string_view name_of(JobState state) {
    return state == JobState::whole ? "whole" : state == JobState::damaged ? "damaged" : "missing";
}

Json verdict_json(const KeptVerdict& v) {
    return {{"readings", v.readings},         {"verdict", v.verdict},         {"part", text_or_null(v.part)},
            {"fault", text_or_null(v.fault)}, {"size", text_or_null(v.size)}, {"probability", v.probability}};
}

std::string_view unit_of_figure(const std::string& what) {
    return what == "speed" ? "rad/s" : what == "sag" || what == "volts" ? "V" : "A";
}

Json figure_json(const KeptFigure& f) {
    return {{"what", f.what},
            {"where", f.where},
            {"value", f.value},
            {"unit", unit_of_figure(f.what)},
            {"source", f.source}};
}

Json figures_json(const std::vector<KeptFigure>& figures) {
    Json all = Json::array();
    for (const KeptFigure& f : figures) all.push_back(figure_json(f));
    return all;
}

Json usual_json(const Usual& u) {
    Json odd = Json::array();
    for (const FigureOfJob& o : u.odd) odd.push_back({{"job", o.job}, {"value", o.figure.value}});
    const bool range = u.low != u.high;
    return {{"what", u.what},
            {"where", u.where},
            {"unit", unit_of_figure(u.what)},
            {"jobs", u.jobs},
            {"middle", u.middle},
            {"spread", u.spread},
            {"least", u.least},
            {"most", u.most},
            {"low", range ? Json(u.low) : Json()},
            {"high", range ? Json(u.high) : Json()},
            {"odd", std::move(odd)}};
}

std::string csv_text(const std::string& text) {
    // A cell that begins so is a formula to a spreadsheet; after white space too.
    const std::size_t first = text.find_first_not_of(" \t\r\n");
    const bool formula =
        first != std::string::npos && std::string_view("=+-@").find(text[first]) != std::string_view::npos;
    std::string cell = formula ? "'" : "";
    for (const char c : text) {
        if (c == '"') cell += '"';
        if (c != '\0') cell += c;
    }
    return cell.find_first_of(",\"\r\n") == std::string::npos ? cell : '"' + cell + '"';
}

/// The first motor's own figure of a sort, in its usual state.
std::string figure_cell(const JobWithFigures& job, std::string_view what, double per_unit) {
    const auto at = std::find_if(job.figures.begin(), job.figures.end(), [&](const KeptFigure& f) {
        return f.what == what && f.where.find(": ") == std::string::npos;
    });
    return at == job.figures.end() ? "" : fmt::format("{:.6g}", at->value * per_unit);
}

} // namespace

Json json_of(const JobRow& r) {
    return {{"id", r.id},
            {"folder", r.folder},
            {"title", r.words.title},
            {"machine", r.words.machine},
            {"date", r.words.date},
            {"labels", r.words.labels},
            {"known", text_or_null(std::string(lostvolts::name_of(r.words.known)))},
            {"complaint", r.words.complaint},
            {"finding", r.words.finding},
            {"circuit", r.circuit},
            {"located", r.verdict.verdict.empty() ? Json() : verdict_json(r.verdict)},
            {"state", name_of(r.state)},
            {"trouble", text_or_null(r.trouble)}};
}

Json json_of(const JobShown& s) {
    Json json = json_of(s.row);
    json["path"] = s.folder.string();
    Json files = Json::array(), verdicts = Json::array();
    for (const KeptFile& f : s.job.files)
        files.push_back({{"role", lostvolts::name_of(f.role)},
                         {"name", f.name},
                         {"bytes", f.bytes},
                         {"sha256", f.sha256}});
    for (const KeptVerdict& v : s.job.verdicts) verdicts.push_back(verdict_json(v));
    json["files"] = std::move(files);
    json["verdicts"] = std::move(verdicts);
    json["measured"] = figures_json(s.job.figures);
    json["content"] = s.job.content;
    json["drawing"] = text_or_null(s.job.drawing);
    json["remarks"] = json_of(s.remarks);
    return json;
}

Json json_of(const JobWithFigures& job) {
    Json json = json_of(job.row);
    json["measured"] = figures_json(job.figures);
    return json;
}

Json json_of(const Baseline& b, const std::vector<Judged>& judged) {
    Json usual = Json::array(), these = Json::array();
    for (const Usual& u : b.usual) usual.push_back(usual_json(u));
    for (const Judged& j : judged) {
        Json one = figure_json(j.figure);
        one["judgement"] = j.judgement == Judgement::unknown ? Json()
                           : j.judgement == Judgement::usual
                               ? Json("usual")
                               : Json(j.judgement == Judgement::low ? "low" : "high");
        one["middle"] = j.usual ? Json(j.usual->middle) : Json();
        these.push_back(std::move(one));
    }
    return {{"good_jobs", b.good_jobs},
            {"usual", std::move(usual)},
            {"judged", std::move(these)},
            {"remarks", json_of(b.remarks)}};
}

std::string jobs_csv(const std::vector<JobWithFigures>& jobs) {
    std::string out =
        "id,date,machine,title,labels,known,complaint,finding,circuit,verdict,part,fault,size,probability,"
        "stall_current_A,run_current_A,speed_rpm,sag_V,ripple_A,state,folder\n";
    for (const JobWithFigures& job : jobs) {
        const JobRow& r = job.row;
        const KeptVerdict& v = r.verdict;
        const std::vector<std::string> texts{r.id,
                                             r.words.date,
                                             r.words.machine,
                                             r.words.title,
                                             fmt::format("{}", fmt::join(r.words.labels, ", ")),
                                             std::string(lostvolts::name_of(r.words.known)),
                                             r.words.complaint,
                                             r.words.finding,
                                             r.circuit,
                                             v.verdict,
                                             v.part,
                                             v.fault,
                                             v.size};
        for (const std::string& text : texts) out += csv_text(text) + ',';
        out += v.verdict.empty() ? "," : fmt::format("{:.4f},", v.probability);
        out += figure_cell(job, "stall current", 1) + ',' + figure_cell(job, "run current", 1) + ',';
        out += figure_cell(job, "speed", rpm_per_si) + ',';
        out += figure_cell(job, "sag", 1) + ',' + figure_cell(job, "ripple", 1) + ',';
        out += fmt::format("{},{}\n", name_of(r.state), csv_text(r.folder));
    }
    return out;
}

} // namespace lostvolts

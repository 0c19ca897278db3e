// lostvolts report READINGS -o FILE: the job on paper, as HTML or PDF.

#include <filesystem>
#include <memory>

#include <fmt/format.h>

#include "solver/circuit/read.h"
#include "solver/circuit/toml_file.h"
#include "solver/records/sha256.h"
#include "viewer/command/capture_options.h"
#include "viewer/command/commands.h"
#include "viewer/command/files.h"
#include "viewer/command/options.h"
#include "viewer/command/problems.h"
#include "viewer/command/report_page.h"
#include "viewer/command/style.h"
#include "viewer/command/today.h"
#include "viewer/command/waveform_circuit.h"
#include "viewer/paper/html.h"
#include "viewer/paper/pages.h"

namespace lostvolts {
namespace {

namespace fs = std::filesystem;

struct Options {
    std::string file, to, note, motor;
    JobWords words;
    std::vector<std::string> captures;
    CaptureOptions reading;
    bool json = false;
};

/// Readings that lie in a kept job's folder bring its words, notes and captures with them.
void take_from_job(Options& o, Report& report) {
    const fs::path folder = fs::path(o.file).parent_path();
    const auto text = read_text_file(folder / job_file);
    const auto job = text ? read_job(*text, (folder / job_file).string()) : Result<Job>(text.problems());
    if (!job) return;
    const auto lacking = [](std::string& word, const std::string& other) {
        if (word.empty()) word = other;
    };
    JobWords& w = o.words;
    lacking(w.title, job->words.title);
    lacking(w.machine, job->words.machine);
    lacking(w.date, job->words.date);
    lacking(w.complaint, job->words.complaint);
    lacking(w.finding, job->words.finding);
    w.labels = job->words.labels;
    const bool own_captures = !o.captures.empty();
    for (const KeptFile& file : job->files) {
        if (file.role == FileRole::capture && !own_captures)
            o.captures.push_back((folder / file.name).string());
        if (file.role != FileRole::notes) continue;
        if (const auto note = read_text_file(folder / file.name)) report.notes.push_back(*note);
    }
    if (own_captures) return;
    for (const auto& [name, value] : job->capture_options)
        if (name == "motor") lacking(o.motor, value);
    take_kept_options(job->capture_options, o.reading);
}

Problems add_captures(const Options& o, Report& report) {
    Problems problems;
    if (o.captures.empty()) return problems;
    WaveformOptions options;
    const auto place = find_place(report.readings.circuit, {o.motor, "", "", ""});
    if (!place) return place.problems();
    const Part& motor = report.readings.circuit.parts[static_cast<std::size_t>(place->motor)];
    if (const int bars = std::get<Motor<>>(motor.law).settings.bars; bars > 0) options.bars = bars;
    for (const std::string& file : o.captures) {
        auto capture = read_capture(file, o.reading);
        auto waveform = capture ? analyse(*capture, options) : Result<Waveform>(capture.problems());
        if (waveform)
            report.captures.push_back({*std::move(capture), *std::move(waveform)});
        else
            problems.insert(problems.end(), waveform.problems().begin(), waveform.problems().end());
    }
    return problems;
}

std::string ending_of(const std::string& file) {
    std::string ending = fs::path(file).extension().string();
    for (char& c : ending)
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    return ending;
}

Answer report(Options o, const Screen& screen) {
    const std::string ending = ending_of(o.to);
    if (ending != ".html" && ending != ".htm" && ending != ".pdf")
        return refuse(exit_bad_input,
                      {{o.to,
                        {},
                        "a report is written as .html or .pdf",
                        "end its name in .html to read it in a browser, or .pdf to print it",
                        ""}},
                      o.json);
    const auto readings_text = read_text_file(o.file);
    if (!readings_text) return refuse(exit_bad_input, readings_text.problems(), o.json);
    auto readings = readings_in(*readings_text, o.file, "report");
    if (!readings) return refuse(exit_bad_input, readings.problems(), o.json);
    Report page;
    page.readings = *std::move(readings);
    if (const Problems errors = review(page.readings.circuit).errors; !errors.empty())
        return refuse(exit_bad_input, errors, o.json);
    take_from_job(o, page);
    if (!o.note.empty()) page.notes.push_back(o.note);
    if (const Problems problems = add_captures(o, page); !problems.empty())
        return refuse(exit_bad_input, problems, o.json);
    auto location = locate(page.readings);
    if (!location) return refuse(exit_no_solution, location.problems(), o.json);
    page.location = *std::move(location);
    page.words = o.words;
    page.version = LOSTVOLTS_VERSION;
    page.written_on = today();
    const auto circuit_text = read_text_file(page.readings.circuit.file);
    if (circuit_text) page.circuit_sha256 = sha256(*circuit_text);
    page.readings_sha256 = sha256(*readings_text);

    const Document document = report_document(page);
    const auto bytes = ending == ".pdf" ? document_pdf(document) : html_document(document);
    if (!bytes) return refuse(exit_bad_input, bytes.problems(), o.json);
    if (const auto saved = replace_text_file(o.to, *bytes); !saved)
        return refuse(exit_bad_input, saved.problems(), o.json);
    Answer answer;
    if (o.json)
        answer.out = written({{"file", o.to},
                              {"bytes", bytes->size()},
                              {"circuit_sha256", page.circuit_sha256},
                              {"readings_sha256", page.readings_sha256}});
    else
        answer.out =
            wrapped("The report is in " + o.to +
                        (ending == ".pdf" ? "." : ". It opens in any browser, which also prints it."),
                    screen.columns) +
            '\n';
    return answer;
}

} // namespace

Command add_report(CLI::App& program) {
    auto o = std::make_shared<Options>();
    CLI::App& app = add_command(
        program, "report", "the job on paper: a page with pictures that opens without a network, or a PDF");
    add_file(app, "READINGS", o->file, FileUse::read,
             "the file of readings; of a kept job it brings complaint, notes and captures", "", Needed::yes);
    add_file(app, "-o,--output", o->to, FileUse::replaced, "write it here; ends in .html or .pdf", "FILE",
             Needed::yes);
    add_option(app, "--title", o->words.title, "without it, the circuit's name", "TEXT");
    add_option(app, "--machine", o->words.machine, "which machine", "TEXT");
    add_option(app, "--date", o->words.date, "when it was measured", "DATE");
    add_option(app, "--complaint", o->words.complaint, "what the driver or customer said", "TEXT");
    add_option(app, "--finding", o->words.finding, "what it was and what was done", "TEXT");
    add_option(app, "--note", o->note, "anything else worth paper", "TEXT");
    add_file(app, "--capture", o->captures, FileUse::read, "a recorded start (may be given again)", "FILE");
    add_option(app, "--motor", o->motor, "the motor that the capture is of, when the circuit has several",
               "NAME");
    add_capture_options(app, o->reading);
    add_flag(app, "--json", o->json, "answer as JSON");
    add_footer(app,
               "Example: lostvolts report readings.toml --capture start.csv --complaint \"jet falls short\" "
               "-o report.pdf");
    return {&app, [o](const Screen& screen) { return report(*o, screen); }};
}

} // namespace lostvolts

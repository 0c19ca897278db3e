#include "viewer/command/records_baseline.h"
#include "viewer/command/options.h"

#include <algorithm>
#include <filesystem>
#include <memory>

#include <fmt/format.h>

#include "solver/circuit/read.h"
#include "solver/circuit/toml_file.h"
#include "solver/records/drawing.h"
#include "solver/records/kept_figures.h"
#include "viewer/command/capture_options.h"
#include "viewer/command/files.h"
#include "viewer/command/picture.h"
#include "viewer/command/problems.h"
#include "viewer/command/records_options.h"
#include "viewer/command/records_overlay.h"
#include "viewer/command/records_text.h"
#include "viewer/command/waveform_circuit.h"

namespace lostvolts {
namespace {

namespace fs = std::filesystem;

struct Options : StoreOptions {
    std::string what, capture, motor;
    CaptureOptions reading;
    PictureOptions picture;
};

/// What is held against the baseline.
struct Subject {
    std::string name, drawing, leave_out;
    std::vector<KeptFigure> figures;
    std::optional<StartSource> start; ///< its capture, the first of several
};

WaveformOptions with_bars_of(const Part& motor) {
    WaveformOptions options;
    if (const int bars = std::get<Motor<>>(motor.law).settings.bars; bars > 0) options.bars = bars;
    return options;
}

/// The first capture that a kept job's figures were taken from.
std::optional<StartSource> start_of(const JobShown& shown) {
    for (const KeptFile& file : shown.job.files) {
        if (file.role != FileRole::capture) continue;
        const auto figure = std::find_if(shown.job.figures.begin(), shown.job.figures.end(),
                                         [&](const KeptFigure& f) { return f.source == file.name; });
        if (figure == shown.job.figures.end()) continue;
        StartSource start{(shown.folder / file.name).string(), figure->where, {}, {}};
        take_kept_options(shown.job.capture_options, start.how);
        for (const KeptFile& drawn : shown.job.files) {
            if (drawn.role != FileRole::circuit) continue;
            const auto circuit = read_circuit((shown.folder / drawn.name).string());
            if (!circuit) continue;
            if (const PartId motor = find_part(*circuit, start.motor); motor != none)
                if (const Part& part = circuit->parts[static_cast<std::size_t>(motor)];
                    std::holds_alternative<Motor<>>(part.law))
                    start.options = with_bars_of(part);
        }
        return start;
    }
    return std::nullopt;
}

Result<Subject> subject_of_job(const Options& o, const fs::path& store) {
    const auto shown = show_job(store, o.what);
    if (!shown) return shown.problems();
    if (shown->job.drawing.empty())
        return Problem{shown->folder.string(), {}, "this job has no circuit to compare by", "", ""};
    return Subject{fmt::format("{} (job {})", shown->row.circuit, shown->row.id), shown->job.drawing,
                   shown->row.id, shown->job.figures, start_of(*shown)};
}

Result<Subject> subject_of_file(const Options& o) {
    const auto text = read_text_file(o.what);
    if (!text) return text.problems();
    Subject subject;
    Result<Circuit> circuit = Problem{};
    if (kind_of_text(*text) == FileKind::readings) {
        auto readings = readings_in(*text, o.what, "records baseline");
        if (!readings) return readings.problems();
        subject.figures = figures_of(*readings, fs::path(o.what).filename().string());
        circuit = std::move(readings->circuit);
    } else {
        circuit = circuit_in(*text, o.what, "records baseline");
        if (!circuit) return circuit.problems();
    }
    const auto drawn = kind_of_text(*text) == FileKind::circuit ? text : read_text_file(circuit->file);
    if (!drawn) return drawn.problems();
    subject.name = circuit->name.empty() ? circuit->file : circuit->name;
    subject.drawing = drawing_of(*drawn).digest;
    if (o.capture.empty()) return subject;

    const auto place = find_place(*circuit, {o.motor, "", "", ""});
    if (!place) return place.problems();
    const Part& motor = circuit->parts[static_cast<std::size_t>(place->motor)];
    subject.start = StartSource{o.capture, motor.name, o.reading, with_bars_of(motor)};
    const auto seen = see_start(*subject.start);
    if (!seen) return seen.problems();
    for (KeptFigure& f : figures_of(seen->waveform, motor.name, fs::path(o.capture).filename().string()))
        subject.figures.push_back(std::move(f));
    return subject;
}

Result<bool> draw_over(const Options& o, const fs::path& store, const Subject& subject,
                       const std::vector<Judged>& judged, Problems& remarks) {
    const auto seen = see_start(*subject.start);
    if (!seen) return seen.problems();
    const std::vector<SeenStart> good =
        good_starts(store, subject.drawing, subject.leave_out, *subject.start, remarks);
    return save(traces_figure(over_good_starts(*seen, good, judged)), o.picture);
}

Answer baseline(const Options& o, const Screen& screen) {
    if (const Problems wrong = check_picture(o.picture); !wrong.empty())
        return refuse(exit_bad_input, wrong, o.json);
    const auto store = o.store_of(screen);
    if (!store) return refuse(exit_bad_input, store.problems(), o.json);
    std::error_code ignored;
    const auto subject =
        fs::is_regular_file(o.what, ignored) ? subject_of_file(o) : subject_of_job(o, *store);
    if (!subject) return refuse(exit_bad_input, subject.problems(), o.json);
    if (o.picture.wanted() && !subject->start)
        return refuse(exit_bad_input,
                      {{"", {}, "there is no recorded start to draw", "add  --capture start.csv", ""}},
                      o.json);
    auto found = baseline_of(*store, subject->drawing, subject->leave_out);
    if (!found) return refuse(exit_bad_input, found.problems(), o.json);
    const std::vector<Judged> judged = judge(subject->figures, *found);
    if (o.picture.wanted())
        if (const auto saved = draw_over(o, *store, *subject, judged, found->remarks); !saved)
            return refuse(exit_bad_input, saved.problems(), o.json);

    Answer answer;
    if (o.json) {
        Json json = json_of(*found, judged);
        json["circuit"] = subject->name;
        answer.out = written(json);
    } else {
        answer.out = baseline_text(*found, judged, subject->name, screen.columns);
        if (o.picture.wanted()) answer.out += "\nThe picture is in " + o.picture.file + ".\n";
        if (!found->remarks.empty()) answer.err = report_problems(found->remarks);
    }
    const bool off = std::any_of(judged.begin(), judged.end(), [](const Judged& j) {
        return j.judgement == Judgement::low || j.judgement == Judgement::high;
    });
    if (o.strict && off) answer.code = exit_finding;
    return answer;
}

} // namespace

Command add_records_baseline(CLI::App& records) {
    auto o = std::make_shared<Options>();
    CLI::App& app = add_command(
        records, "baseline",
        "what good jobs on a circuit measured, and whether new readings or a capture are like them");
    add_file(app, "WHAT", o->what, FileUse::read, "a circuit, readings taken on it, or a kept job", "",
             Needed::yes);
    add_file(app, "--capture", o->capture, FileUse::read, "a recorded start to hold against it", "FILE");
    add_option(app, "--motor", o->motor, "the motor that the capture is of, when the circuit has several",
               "NAME");
    add_capture_options(app, o->reading);
    add_picture_options(app, o->picture);
    add_store_options(app, *o, "exit with 1 when something is not as usual");
    add_footer(app,
               "Example: lostvolts records baseline circuit.toml --capture start.csv --picture start.png");
    return {&app, [o](const Screen& screen) { return baseline(*o, screen); }};
}

} // namespace lostvolts

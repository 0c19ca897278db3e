// lostvolts waveform CAPTURE: what a recorded start tells; beside a circuit, and as readings for locate.

#include <algorithm>
#include <filesystem>
#include <memory>

#include <fmt/format.h>

#include "solver/circuit/folder_lock.h"
#include "solver/circuit/read.h"
#include "solver/circuit/toml_file.h"
#include "viewer/command/capture_options.h"
#include "viewer/command/commands.h"
#include "viewer/command/files.h"
#include "viewer/command/options.h"
#include "viewer/command/picture.h"
#include "viewer/command/problems.h"
#include "viewer/command/style.h"
#include "viewer/command/waveform_circuit.h"
#include "viewer/command/waveform_picture.h"

namespace lostvolts {
namespace {

namespace fs = std::filesystem;

struct Options {
    std::string file;
    CaptureOptions capture;
    int start = 1;
    int bars = 0;
    std::string circuit, readings;
    CapturePlaceNames place;
    std::vector<std::string> beside;
    PictureOptions picture;
    bool json = false, strict = false;
};

Problem complaint(std::string what, std::string write) {
    return {"", {}, std::move(what), std::move(write), ""};
}

/// Appends to the file, or begins it.
std::optional<Problems> save_readings(const Options& o, const Circuit& circuit, const CapturePlace& place,
                                      const Waveform& w) {
    const auto held = keep_for_edit(o.readings);
    if (!held) return held.problems();
    auto text = readings_to_add_to(o.readings, "give --readings a file of readings, or a new name");
    if (!text) return text.problems();
    const auto name = circuit_seen_from(o.readings, o.circuit);
    if (!name) return name.problems();
    std::string capture = finish(fs::path(o.file).filename().string(), false);
    std::replace(capture.begin(), capture.end(), '\n', ' ');
    const auto saved = replace_text_file(fs::path(o.readings),
                                         with_readings(*std::move(text), *name, circuit, place, w, capture));
    if (!saved) return saved.problems();
    return std::nullopt;
}

Answer waveform(const Options& o, const Screen& screen) {
    if (o.circuit.empty() && (!o.readings.empty() || !o.place.motor.empty() || !o.place.red.empty() ||
                              !o.place.black.empty() || !o.place.state.empty()))
        return refuse(
            exit_bad_input,
            {complaint(
                "--readings, --motor, --state, --red and --black speak of a circuit, and none is given",
                "add  --circuit circuit.toml")},
            o.json);
    if (const Problems wrong = check_picture(o.picture); !wrong.empty())
        return refuse(exit_bad_input, wrong, o.json);
    std::shared_ptr<const Circuit> circuit;
    CapturePlace place;
    if (!o.circuit.empty()) {
        auto read = open_circuit(o.circuit, "waveform --circuit");
        if (!read) return refuse(exit_bad_input, read.problems(), o.json);
        circuit = std::make_shared<const Circuit>(*std::move(read));
        if (const Problems errors = review(*circuit).errors; !errors.empty())
            return refuse(exit_bad_input, errors, o.json);
        auto found = find_place(*circuit, o.place);
        if (!found) return refuse(exit_bad_input, found.problems(), o.json);
        place = *found;
    }
    const auto capture = read_capture(o.file, o.capture);
    if (!capture) return refuse(exit_bad_input, capture.problems(), o.json);
    WaveformOptions options{.start = o.start, .bars = std::nullopt};
    if (o.bars > 0)
        options.bars = o.bars;
    else if (circuit)
        if (const int bars =
                std::get<Motor<>>(circuit->parts[static_cast<std::size_t>(place.motor)].law).settings.bars;
            bars > 0)
            options.bars = bars;
    const auto w = analyse(*capture, options);
    if (!w) return refuse(exit_bad_input, w.problems(), o.json);

    Answer answer;
    std::vector<Compared> compared;
    if (circuit) {
        auto both = compare(circuit, place, *w);
        if (!both) return refuse(exit_no_solution, both.problems(), o.json);
        compared = *std::move(both);
    }
    if (o.picture.wanted()) {
        TracesView view = traces_of(*capture, *w);
        for (const std::string& file : o.beside) {
            if (const Problems wrong = add_beside(view, file, o.capture, options); !wrong.empty())
                return refuse(exit_bad_input, wrong, o.json);
        }
        if (circuit) add_foretold(view, circuit, place);
        if (const auto saved = save(traces_figure(view), o.picture); !saved)
            return refuse(exit_bad_input, saved.problems(), o.json);
    }
    if (!o.readings.empty())
        if (const auto problems = save_readings(o, *circuit, place, *w))
            return refuse(exit_bad_input, *problems, o.json);
    if (o.json) {
        Json json = json_of(*capture, *w);
        if (circuit) json["compared"] = json_of(compared);
        answer.out = written(json);
    } else {
        answer.out = waveform_text(*capture, *w, screen.columns);
        if (circuit)
            answer.out +=
                '\n' + strong("Beside the circuit") + '\n' + compared_text(compared, screen.columns);
        if (o.picture.wanted()) answer.out += "\nThe picture is in " + o.picture.file + ".\n";
        if (!o.readings.empty())
            answer.out += '\n' +
                          wrapped(fmt::format("Readings are in {}; lostvolts locate {} goes on from there.",
                                              o.readings, o.readings),
                                  screen.columns) +
                          '\n';
    }
    const bool differs =
        std::any_of(compared.begin(), compared.end(), [](const Compared& c) { return c.differs; });
    if (o.strict && (differs || !w->bounces.empty() || !w->uneven_bars.empty())) answer.code = exit_finding;
    return answer;
}

} // namespace

Command add_waveform(CLI::App& program) {
    auto options = std::make_shared<Options>();
    CLI::App& app = add_command(program, "waveform",
                                "what a recorded start tells: stall and run current, "
                                "sag, speed, resistance before and behind the probe, "
                                "motor");
    add_file(app, "CAPTURE", options->file, FileUse::read,
             "a CSV with a header: time, and volts or amperes or both", "", Needed::yes);
    add_capture_options(app, options->capture);
    add_option(app, "--start", options->start, "which of several starts in the file, from 1", "N");
    add_option(app, "--bars", options->bars, "commutator bars of the motor, when known", "N",
               Between{3, 500});
    add_file(app, "--circuit", options->circuit, FileUse::read, "the circuit it was taken on: compares",
             "FILE");
    add_option(app, "--motor", options->place.motor, "the motor, when the circuit has several", "NAME");
    add_option(app, "--state", options->place.state, "the circuit's state while the motor ran", "NAME");
    add_option(app, "--red", options->place.red, "the point where the volts' red lead was", "POINT");
    add_option(app, "--black", options->place.black, "the point where the volts' black lead was", "POINT");
    add_file(app, "--readings", options->readings, FileUse::edited,
             "makes readings of it, or adds them to a file of readings; needs --circuit", "OUT");
    add_file(app, "--beside", options->beside, FileUse::read,
             "another capture in the same picture, aligned on its start (may be given again)", "CAPTURE");
    add_picture_options(app, options->picture);
    add_flag(app, "--json", options->json, "answer as JSON");
    add_flag(app, "--strict", options->strict,
             "exit with 1 when the contact bounces, a bar is uneven, or the circuit says otherwise");
    add_footer(app,
               "Example: lostvolts waveform start.csv --clamp \"10 mV/A\" --circuit circuit.toml --readings "
               "readings.toml");
    return {&app, [options](const Screen& screen) { return waveform(*options, screen); }};
}

} // namespace lostvolts

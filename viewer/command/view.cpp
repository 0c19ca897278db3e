// lostvolts view FILE: the circuit drawn, the voltage staircase, the suspects; to a file with --picture, else
// in the window, which main opens.

#include <algorithm>
#include <array>
#include <filesystem>
#include <memory>

#include <fmt/format.h>

#include "solver/circuit/names.h"
#include "solver/circuit/read.h"
#include "solver/circuit/toml_file.h"
#include "viewer/command/cautions_text.h"
#include "viewer/command/circuit_picture.h"
#include "viewer/command/files.h"
#include "viewer/command/options.h"
#include "viewer/command/picture.h"
#include "viewer/command/problems.h"
#include "viewer/figures/suspects.h"

namespace lostvolts {
namespace {

struct Options {
    std::string file, what = "loop", state, condition, load;
    PictureOptions picture;
};

/// What there is to draw: a circuit in a state, and what readings said of it.
struct Subject {
    std::shared_ptr<const Circuit> circuit;
    std::optional<Readings> readings;
    std::optional<Location> location;
    int state = 0;
    PartId load = none;
    std::vector<Fault> faults;
    std::string heading;
};

Result<Subject> open(const Options& o) {
    Subject s;
    const auto text = read_text_file(std::filesystem::path(o.file));
    if (!text) return text.problems();
    if (kind_of_text(*text) == FileKind::readings) {
        auto read = readings_in(*text, o.file, "view");
        if (!read) return read.problems();
        s.readings = *std::move(read);
        s.circuit = std::make_shared<const Circuit>(s.readings->circuit);
    } else {
        auto read = circuit_in(*text, o.file, "view");
        if (!read) return read.problems();
        s.circuit = std::make_shared<const Circuit>(*std::move(read));
    }
    if (const Problems errors = review(*s.circuit).errors; !errors.empty()) return errors;

    const Circuit& c = *s.circuit;
    Problems problems;
    if (!o.state.empty() && (s.state = find_state(c, o.state)) == none)
        problems.push_back(unknown_name("state", o.state, names_of(c.states), c.file));
    if (!o.load.empty() && (s.load = find_part(c, o.load)) == none)
        problems.push_back(unknown_name("part", o.load, names_of(c.parts), c.file));
    if (!o.condition.empty()) {
        const int k = find_condition(c, o.condition);
        if (k == none)
            problems.push_back(unknown_name("condition", o.condition, names_of(c.conditions), c.file));
        else
            s.faults = c.conditions[static_cast<std::size_t>(k)].faults;
    }
    if (!problems.empty()) return problems;
    return s;
}

/// Readings decide which faults are shown, and in which state when none is asked for.
std::optional<Problems> weigh(Subject& s, const Options& o) {
    auto found = locate(*s.readings);
    if (!found) return found.problems();
    s.location = *std::move(found);
    if (o.condition.empty() && !s.location->suspects.empty())
        s.faults = faults_of(s.location->suspects.front());
    if (o.state.empty()) {
        if (o.what == "loop" && !s.location->next.empty())
            s.state = s.location->next.front().state;
        else if (!s.readings->readings.empty())
            s.state = s.readings->readings.front().state;
    }
    return std::nullopt;
}

Result<Figure> drawn(const Subject& s, const Options& o) {
    if (o.what == "suspects") return suspects_figure(*s.circuit, *s.location);
    const CircuitPicture drawing{s.circuit,
                                 s.readings ? &*s.readings : nullptr,
                                 s.location ? &*s.location : nullptr,
                                 s.state,
                                 s.load,
                                 s.faults,
                                 !o.condition.empty(),
                                 s.heading};
    if (o.what == "loop") return loop_of(drawing);
    auto stairs = staircase_of(drawing);
    if (!stairs) return stairs.problems();
    if (!*stairs)
        return Problem{o.file,
                       {},
                       "no load of it lies between the source's posts, so there is no staircase",
                       "choose one with --load",
                       ""};
    return **std::move(stairs);
}

/// What is shown to somebody who names no file, as from a menu of programs.
std::string first_file(const Screen& screen) {
    const auto file = std::filesystem::path(screen.bundled) / "circuits/orchard_sprayer/readings.toml";
    std::error_code unreadable;
    return !screen.bundled.empty() && std::filesystem::exists(file, unreadable) ? file.string() : "";
}

Answer view(Options o, const Screen& screen) {
    if (o.file.empty()) o.file = first_file(screen);
    if (o.file.empty())
        return refuse(exit_bad_input,
                      {Problem{"",
                               {},
                               "view needs FILE: a circuit, or readings taken on one",
                               "Example: lostvolts view readings.toml",
                               ""}},
                      false);
    if (const Problems wrong = check_picture(o.picture); !wrong.empty())
        return refuse(exit_bad_input, wrong, false);
    auto subject = open(o);
    if (!subject) return refuse(exit_bad_input, subject.problems(), false);
    if (o.what == "suspects" && !subject->readings)
        return refuse(exit_bad_input,
                      {Problem{o.file,
                               {},
                               "is a circuit; suspects come from readings taken on it",
                               "give view a file of readings",
                               ""}},
                      false);
    if (!o.picture.wanted()) {
        Answer answer;
        answer.window = WindowWanted{o.file, o.state, o.condition, o.picture.dark, o.picture.scale};
        return answer;
    }
    if (subject->readings)
        if (const auto problems = weigh(*subject, o)) return refuse(exit_no_solution, *problems, false);
    subject->heading =
        fmt::format("state \"{}\"", subject->circuit->states[static_cast<std::size_t>(subject->state)].name);
    if (!o.condition.empty()) subject->heading += ", with " + o.condition;
    const auto figure = drawn(*subject, o);
    if (!figure) return refuse(exit_no_solution, figure.problems(), false);
    if (const auto saved = save(*figure, o.picture); !saved)
        return refuse(exit_bad_input, saved.problems(), false);
    Answer answer; // the cautions first: where the picture is stands at the end
    if (subject->readings) answer.out = cautions_text(*subject->circuit, screen.columns) + '\n';
    answer.out += fmt::format("{} is in {}.\n", figure->title, o.picture.file);
    return answer;
}

} // namespace

Command add_view(CLI::App& program) {
    auto o = std::make_shared<Options>();
    CLI::App& app =
        add_command(program, "view", "the circuit drawn, with its volts; the window, or a picture");
    add_file(app, "FILE", o->file, FileUse::read,
             "a circuit, or readings taken on one; without it, a bundled job", "", Needed::no);
    add_option(app, "--what", o->what, "loop, staircase or suspects; loop", "PICTURE",
               {"loop", "staircase", "suspects"});
    add_option(app, "--state", o->state, "in this state; without it the first, or where the readings point",
               "STATE");
    add_option(app, "--condition", o->condition, "with the faults of this condition of the circuit",
               "CONDITION");
    add_option(app, "--load", o->load, "the staircase through this load", "PART");
    add_picture_options(app, o->picture);
    add_footer(app, "Example: lostvolts view readings.toml --what staircase --picture staircase.png");
    return {&app, [o](const Screen& screen) { return view(*o, screen); }};
}

} // namespace lostvolts

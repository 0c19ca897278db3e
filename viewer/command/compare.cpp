// lostvolts compare CIRCUIT: healthy and every condition side by side, what tells them apart and why; and one
// fault growing, with the stretch in which the ammeter misleads.

#include <algorithm>
#include <filesystem>
#include <memory>

#include <fmt/format.h>

#include "solver/circuit/names.h"
#include "solver/circuit/read.h"
#include "solver/circuit/toml_file.h"
#include "viewer/command/cautions_text.h"
#include "viewer/command/commands.h"
#include "viewer/command/compare_picture.h"
#include "viewer/command/compare_text.h"
#include "viewer/command/files.h"
#include "viewer/command/options.h"
#include "viewer/command/picture.h"
#include "viewer/command/problems.h"
#include "viewer/command/style.h"
#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

struct Options {
    std::string file, load, state, sweep, csv;
    std::vector<std::string> conditions;
    int steps = 20;
    bool table = false;
    bool json = false;
    PictureOptions picture;
};

/// What was asked for, in the circuit's own indices.
struct Question {
    StandWish wish;
    std::vector<Condition> conditions;
    std::optional<SweepRequest> sweep;
};

Result<Question> understand(const Circuit& circuit, const Options& o) {
    Question q;
    Problems problems;
    const auto named = [&](std::string_view sort, const std::string& name, int found, const auto& all) {
        if (found == none) problems.push_back(unknown_name(sort, name, names_of(all), circuit.file));
        return found;
    };
    if (!o.load.empty()) q.wish.load = named("part", o.load, find_part(circuit, o.load), circuit.parts);
    if (!o.state.empty())
        q.wish.state = named("state", o.state, find_state(circuit, o.state), circuit.states);
    for (const std::string& name : o.conditions)
        if (const int c = named("condition", name, find_condition(circuit, name), circuit.conditions);
            c != none)
            q.conditions.push_back(circuit.conditions[static_cast<std::size_t>(c)]);
    if (o.conditions.empty()) q.conditions = circuit.conditions;
    if (!o.sweep.empty()) {
        auto sweep = read_sweep(circuit, o.sweep);
        if (sweep) {
            q.sweep = *std::move(sweep);
            q.sweep->steps = o.steps;
        } else {
            problems.insert(problems.end(), sweep.problems().begin(), sweep.problems().end());
        }
    }
    const Problems picture = check_picture(o.picture);
    problems.insert(problems.end(), picture.begin(), picture.end());
    if (!problems.empty()) return problems;
    return q;
}

Answer compare(const Options& o, const Screen& screen) {
    auto read = open_circuit(o.file, "compare");
    if (!read) return refuse(exit_bad_input, read.problems(), o.json);
    if (const Problems errors = review(*read).errors; !errors.empty())
        return refuse(exit_bad_input, errors, o.json);
    auto question = understand(*read, o);
    if (!question) return refuse(exit_bad_input, question.problems(), o.json);
    const auto stand = put_on_stand(*read, question->wish);
    if (!stand) return refuse(exit_no_solution, stand.problems(), o.json);
    const bool typical = question->conditions.empty();
    if (typical) question->conditions = typical_faults(*stand);

    std::optional<Sweep> swept;
    if (question->sweep) {
        auto result = sweep(*stand, *question->sweep, question->conditions);
        if (!result) return refuse(exit_no_solution, result.problems(), o.json);
        swept = *std::move(result);
    }
    const std::vector<Signature> all = signatures(*stand, question->conditions);
    const std::vector<Telling> apart = tellings(*stand, all);
    const Comparison comparison{*stand, all, apart, typical};
    if (!o.csv.empty())
        if (const auto saved = replace_text_file(std::filesystem::path(o.csv),
                                                 swept ? sweep_csv(*swept) : compare_csv(comparison));
            !saved)
            return refuse(exit_bad_input, saved.problems(), o.json);
    if (o.picture.wanted())
        if (const auto saved =
                save(swept ? sweep_picture(*stand, *swept) : compare_picture(comparison), o.picture);
            !saved)
            return refuse(exit_bad_input, saved.problems(), o.json);

    Answer answer;
    if (o.json) {
        Json json = json_of(comparison);
        json["sweep"] = swept ? json_of(*stand, *swept, question->conditions) : Json();
        json["cautions"] = cautions(*read);
        answer.out = written(json);
        return answer;
    }
    answer.out = compare_text(comparison, screen.columns, o.table || swept);
    if (swept) answer.out += '\n' + sweep_text(*stand, *swept, question->conditions, screen.columns);
    if (!o.csv.empty())
        answer.out += fmt::format("\n{}: {}\n", swept ? "the sweep as CSV" : "the table as CSV", o.csv);
    if (o.picture.wanted()) answer.out += fmt::format("\nthe picture: {}\n", o.picture.file);
    if (!o.table) answer.out += cautions_text(*read, screen.columns);
    return answer;
}

} // namespace

Command add_compare(CLI::App& program) {
    auto o = std::make_shared<Options>();
    CLI::App& app = add_command(
        program, "compare", "every condition side by side, what tells them apart and why; one fault growing");
    add_file(app, "CIRCUIT", o->file, FileUse::read, "the circuit's file", "", Needed::yes);
    add_option(app, "--load", o->load, "the load to look at; without it, the one the conditions are about",
               "PART");
    add_option(app, "--state", o->state, "in which it runs; without it, the first in which it does", "STATE");
    add_option(app, "--condition", o->conditions,
               "this condition beside the healthy circuit (may be given again); without it, all",
               "CONDITION");
    add_option(app, "--sweep", o->sweep, "let one fault grow: \"pump ground: 0 to 500 mohm\"", "RANGE");
    add_option(app, "--steps", o->steps, "rows of the sweep, less one; 20", "N", Between{1, 10000});
    add_file(app, "--csv", o->csv, FileUse::replaced, "write the sweep, or without one the table, as CSV",
             "FILE");
    add_flag(app, "--table", o->table, "only the table, for the wall");
    add_picture_options(app, o->picture);
    add_flag(app, "--json", o->json, "answer as JSON");
    add_footer(app, "Example: lostvolts compare circuit.toml --sweep \"pump ground: 0 to 500 mohm\"");
    return {&app, [o](const Screen& screen) { return compare(*o, screen); }};
}

} // namespace lostvolts

// lostvolts draft WALK: a circuit file from a walk along the wires, a line a part. The file is new: nothing
// that somebody has written is replaced.

#include <filesystem>
#include <memory>

#include <fmt/format.h>

#include "solver/circuit/names.h"
#include "solver/circuit/read.h"
#include "solver/circuit/toml_file.h"
#include "solver/circuit/walk.h"
#include "viewer/command/commands.h"
#include "viewer/command/options.h"
#include "viewer/command/problems.h"
#include "viewer/command/style.h"
#include "viewer/command/table.h"

namespace lostvolts {
namespace {

struct Options {
    std::string walk, circuit;
    bool json = false;
};

/// The parts with their ends, for holding against the machine.
std::string parts_table(const Circuit& c, int columns) {
    Table table;
    table.columns = {{"part", false, true}, {"kind"}, {"from", false, true}, {"to", false, true}};
    for (const Part& part : c.parts)
        table.add(
            {part.name, std::string(kind_of(part.law)), point_name(c, part.from), point_name(c, part.to)});
    return draw(table, columns);
}

std::string heading(std::string_view words) { return fmt::format("\n{}\n", strong(words)); }
std::string item(const std::string& words, int columns) { return wrapped(words, columns, 2, 4) + '\n'; }

std::string said(const WalkedCircuit& walked, const std::string& file, int columns) {
    const Circuit& c = walked.circuit;
    std::string text = wrapped(
        fmt::format("{}: {}, {} parts between {} points", file, c.name, c.parts.size(), c.points.size()),
        columns, 0, 2);
    text.append("\n\n").append(parts_table(c, columns));
    text += heading("States");
    for (const State& state : c.states) text += item(state.name, columns);
    if (!walked.guesses.empty()) text += heading("Not told, so guessed: look, and mend it in the file");
    for (const std::string& guess : walked.guesses) text += item(fmt::format("- {}", guess), columns);
    for (const Problem& remark : review(c).remarks)
        text += fmt::format("\n{}{}\n", strong("worth knowing: "), describe(remark));
    text += heading("Next");
    text += item(fmt::format("lostvolts predict {}", file), columns);
    text += item(fmt::format("lostvolts view {}, to note readings at the machine", file), columns);
    return text;
}

Json json_of(const WalkedCircuit& walked, const std::string& file) {
    return {{"file", file.empty() ? Json() : Json(file)},
            {"circuit", walked.circuit.name},
            {"toml", walked.toml},
            {"parts", walked.circuit.parts.size()},
            {"points", walked.circuit.points.size()},
            {"states", names_of(walked.circuit.states)},
            {"guesses", walked.guesses}};
}

Answer draft(const Options& o, const Screen& screen) {
    const auto walk = read_text_file(std::filesystem::path(o.walk));
    if (!walk) return refuse(exit_bad_input, walk.problems(), o.json);
    const bool piped = o.walk == "-";
    const std::string title = piped ? "Circuit" : std::filesystem::path(o.walk).stem().string();
    const auto walked = circuit_of_walk(*walk, piped ? "standard input" : o.walk, title);
    if (!walked) return refuse(exit_bad_input, walked.problems(), o.json);
    if (!o.circuit.empty())
        if (const auto saved = replace_text_file(std::filesystem::path(o.circuit), walked->toml); !saved)
            return refuse(exit_bad_input, saved.problems(), o.json);
    if (o.json) return {exit_done, written(json_of(*walked, o.circuit)), {}};
    return {exit_done, o.circuit.empty() ? walked->toml : said(*walked, o.circuit, screen.columns), {}};
}

} // namespace

Command add_draft(CLI::App& program) {
    auto o = std::make_shared<Options>();
    CLI::App& app =
        add_command(program, "draft", "a circuit file from a walk along the wires, a line a part");
    add_file(
        app, "WALK", o->walk, FileUse::read,
        "a text, a line a part in the order in which the current meets them: kind, name, values, and the "
        "point that it leads to, such as  fuse 4 25 A to fuse box",
        "", Needed::yes);
    add_file(app, "-o,--output", o->circuit, FileUse::made,
             "write the circuit to this new file; otherwise it is shown", "CIRCUIT");
    add_flag(app, "--json", o->json, "answer as JSON");
    add_footer(app, "Example: lostvolts draft walk.txt -o circuit.toml");
    return {&app, [o](const Screen& screen) { return draft(*o, screen); }};
}

} // namespace lostvolts

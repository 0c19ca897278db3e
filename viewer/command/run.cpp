#include <algorithm>
#include <exception>
#include <memory>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "solver/units/result.h"
#include "viewer/command/command.h"
#include "viewer/command/commands.h"
#include "viewer/command/spared_files.h"
#include "viewer/command/style.h"
#include "viewer/command/usage.h"

namespace lostvolts {
namespace {

constexpr int narrowest = 40;
constexpr int widest = 120; // longer lines of prose are hard to read

struct Program {
    CLI::App app{"Finds where a low-voltage DC circuit loses its volts."};
    std::vector<Command> commands;

    Program() {
        app.name("lostvolts");
        app.set_help_flag("--help,-h", "this text");
        app.set_version_flag("--version", "lostvolts " LOSTVOLTS_VERSION);
        app.require_subcommand(0, 1);
        for (const auto add :
             {add_check, add_draft, add_predict, add_note, add_locate, add_inrush, add_waveform, add_compare,
              add_practice, add_size, add_study, add_records, add_view, add_report})
            commands.push_back(add(app));
    }

    bool knows(const std::string& name) const {
        return std::any_of(commands.begin(), commands.end(),
                           [&](const Command& c) { return c.app->get_name() == name; });
    }
    /// The command that the words chose, or null.
    const Command* chosen() const {
        const auto it =
            std::find_if(commands.begin(), commands.end(), [](const Command& c) { return c.app->parsed(); });
        return it == commands.end() ? nullptr : &*it;
    }
};

/// The command, or of a command with commands of its own the one that the words chose.
const CLI::App& innermost(const CLI::App& app) {
    const auto chosen = app.get_subcommands();
    return chosen.empty() ? app : innermost(*chosen.front());
}

/// "locate", "records find"; the program itself is "lostvolts".
std::string name_in_messages(const CLI::App& app) {
    const std::string whole = full_name(app);
    return app.get_parent() ? whole.substr(whole.find(' ') + 1) : whole;
}

Problem unknown_command(const CLI::App& app, const std::string& word) {
    std::vector<std::string> names;
    for (const CLI::App* c : app.get_subcommands(nullptr)) names.push_back(c->get_name());
    Problem problem;
    problem.what = app.get_parent() ? fmt::format("{} has no command \"{}\"", app.get_name(), word)
                                    : fmt::format("there is no command \"{}\"", word);
    const auto near = nearest(word, names);
    problem.write = near ? fmt::format("did you mean \"{}\"?", *near)
                         : fmt::format("{} --help lists the commands", full_name(app));
    return problem;
}

std::vector<std::string> option_names(const CLI::App& app) {
    std::vector<std::string> names;
    for (const CLI::Option* option : app.get_options())
        if (!option->get_positional()) names.push_back(option->get_name());
    return names;
}

/// What is wrong with the words after the command's name.
Problem wrong_words(const CLI::App& app, const CLI::ParseError& error) {
    const std::string name = name_in_messages(app);
    Problem problem;
    problem.write = app.get_footer();
    if (dynamic_cast<const CLI::ExtrasError*>(&error)) {
        const std::vector<std::string> left = app.remaining(true);
        const std::string word = left.empty() ? "" : left.front();
        if (!word.starts_with('-') && !app.get_subcommands(nullptr).empty())
            return unknown_command(app, word);
        if (!word.starts_with('-')) {
            problem.what = fmt::format("{} has no use for \"{}\"", name, word);
            return problem;
        }
        const std::string option = word.substr(0, word.find('='));
        problem.what = fmt::format("{} has no option \"{}\"", name, option);
        if (const auto near = nearest(option, option_names(app)))
            problem.write = fmt::format("did you mean \"{}\"?", *near);
    } else if (dynamic_cast<const CLI::RequiredError*>(&error)) {
        problem.what = name + " needs a file";
        for (const CLI::Option* option : app.get_options())
            if (option->get_required() && option->count() == 0)
                problem.what =
                    fmt::format("{} needs {}: {}", name, option->get_name(true), option->get_description());
    } else if (dynamic_cast<const CLI::ArgumentMismatch*>(&error)) {
        const std::string_view what = error.what(); // "--state: 1 required STATE missing"
        problem.what = fmt::format("{}: {} needs a value after it", name, what.substr(0, what.find(':')));
    } else {
        problem.what = fmt::format("{}: {}", name, error.what());
    }
    return problem;
}

Answer refuse_words(const Problem& problem) { return {exit_bad_input, {}, describe(problem) + '\n'}; }

/// lostvolts --manual [COMMAND]: the page that the manual has of it.
Answer manual(const Program& program, const std::vector<std::string>& words) {
    if (words.size() < 2) return {exit_done, manual_page(program.app), {}};
    if (!program.knows(words[1])) return refuse_words(unknown_command(program.app, words[1]));
    return {exit_done, manual_page(*program.app.get_subcommand(words[1])), {}};
}

Answer answer_to(const std::vector<std::string>& words, const Screen& screen) {
    Program program;
    if (!words.empty() && words[0] == "--manual") return manual(program, words);
    if (!words.empty() && words[0] == "--complete")
        return {exit_done, completion(program.app, {words.begin() + 1, words.end()}), {}};
    if (words.empty()) return {exit_done, help_text(program.app, screen.columns), {}};
    if (!words[0].starts_with('-') && !program.knows(words[0]))
        return refuse_words(unknown_command(program.app, words[0]));
    try {
        std::vector<std::string> reversed(words.rbegin(), words.rend());
        program.app.parse(reversed);
    } catch (const CLI::CallForHelp&) {
        return {exit_done, help_text(innermost(program.app), screen.columns), {}};
    } catch (const CLI::CallForVersion& version) {
        return {exit_done, std::string(version.what()) + '\n', {}};
    } catch (const CLI::ParseError& error) {
        return refuse_words(wrong_words(innermost(program.app), error));
    }
    const Command* command = program.chosen();
    if (!command) return {exit_done, help_text(program.app, screen.columns), {}};
    const CLI::App& called = innermost(*command->app);
    if (const auto careless = careless_files(called.get_name(), named_files(called)))
        return refuse_words(*careless);
    return command->action(screen);
}

} // namespace

Answer run(const std::vector<std::string>& words, const Screen& asked) {
    Screen screen = asked;
    screen.columns = std::clamp(asked.columns, narrowest, widest);
    Answer answer;
    try {
        answer = answer_to(words, screen);
    } catch (const std::bad_alloc&) {
        answer = {exit_no_solution, {}, "lostvolts: there is not enough memory for this circuit\n"};
    } catch (const std::exception& slip) {
        answer = {
            exit_no_solution, {}, fmt::format("lostvolts: a slip of the program's own: {}\n", slip.what())};
    }
    answer.out = finish(answer.out, screen.colour);
    answer.err = finish(answer.err, false);
    return answer;
}

} // namespace lostvolts

// The help of the program and of each command, from what CLI11 knows of them.

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "viewer/command/commands.h"
#include "viewer/command/style.h"
#include "viewer/command/table.h"
#include "viewer/command/usage.h"

namespace lostvolts {
namespace {

std::string command_table(const CLI::App& app, int columns) {
    Table commands;
    commands.columns = {{"", false, false, 0}, {"", false, true, 0}};
    for (const CLI::App* command : app.get_subcommands(nullptr))
        commands.add({command->get_name(), command->get_description()});
    return strong("Commands") + '\n' + draw(commands, columns);
}

std::string usage_of_group(const CLI::App& app) {
    return strong("Usage") + "\n  " + full_name(app) + " COMMAND ...\n\n";
}

std::string program_help(const CLI::App& app, int columns) {
    std::string text = wrapped(app.get_description(), columns) + "\n\n" + usage_of_group(app) +
                       command_table(app, columns) + '\n';
    text += wrapped("lostvolts COMMAND --help tells more of one; lostvolts --version, which version this is.",
                    columns) +
            '\n';
    return text + wrapped(exit_codes_text(), columns) + '\n';
}

/// A command that has commands of its own.
std::string group_help(const CLI::App& app, int columns) {
    return wrapped(app.get_name() + ": " + app.get_description(), columns) + "\n\n" + usage_of_group(app) +
           command_table(app, columns) + '\n' + wrapped(app.get_footer(), columns, 0, 2) + '\n';
}

} // namespace

std::vector<Usage> usages_of(const CLI::App& app) {
    std::vector<Usage> all;
    for (const bool argument : {true, false})
        for (const CLI::Option* option : app.get_options()) {
            if (option->get_positional() != argument || option == app.get_help_ptr()) continue;
            Usage u;
            u.argument = argument;
            u.name = option->get_name(argument);
            u.value = argument ? "" : option->get_option_text();
            u.meaning = option->get_description();
            const std::string whole = u.value.empty() ? u.name : u.name + ' ' + u.value;
            if (argument)
                u.brief = option->get_expected_max() > 1 ? u.name + "..." : u.name;
            else
                u.brief = fmt::format("[{}]", whole);
            all.push_back(std::move(u));
        }
    return all;
}

std::string exit_codes_text() {
    return "It exits with 0 when done, 1 on a finding that --strict asks for, 2 on bad input, 3 when there "
           "is "
           "no solution.";
}

std::string full_name(const CLI::App& app) {
    return app.get_parent() ? full_name(*app.get_parent()) + ' ' + app.get_name() : app.get_name();
}

std::string help_text(const CLI::App& app, int columns) {
    if (!app.get_parent()) return program_help(app, columns);
    if (!app.get_subcommands(nullptr).empty()) return group_help(app, columns);
    std::string usage = full_name(app);
    Table options;
    options.columns = {{"", false, false, 0}, {"", false, true, 0}};
    for (const Usage& u : usages_of(app)) {
        usage += fmt::format(" {}", u.brief);
        options.add({u.value.empty() ? u.name : u.name + " " + u.value, u.meaning});
    }
    std::string text = wrapped(app.get_name() + ": " + app.get_description(), columns) + "\n\n" +
                       strong("Usage") + '\n' + wrapped(usage, columns, 2, 6) + "\n\n" +
                       draw(options, columns) + '\n' + wrapped(app.get_footer(), columns, 0, 2) + '\n';
    return text;
}

} // namespace lostvolts

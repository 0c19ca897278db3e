// The help of the program and of each command, from what CLI11 knows of them.

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "viewer/command/commands.h"
#include "viewer/command/style.h"
#include "viewer/command/table.h"

namespace lostvolts {
namespace {

/// FILE..., [--state STATE], READINGS: an option as the usage line has it.
std::string usage_of(const CLI::Option& option) {
    if (option.get_positional()) {
        const std::string name = option.get_name(true);
        return option.get_expected_max() > 1 ? name + "..." : name;
    }
    const std::string value = option.get_option_text();
    return "[" + option.get_name() + (value.empty() ? "" : " " + value) + "]";
}

bool is_help(const CLI::App& app, const CLI::Option& option) { return &option == app.get_help_ptr(); }

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
    text +=
        wrapped("It exits with 0 when done, 1 on a finding that --strict asks for, 2 on bad input, 3 when "
                "there is no solution.",
                columns) +
        '\n';
    return text;
}

/// A command that has commands of its own.
std::string group_help(const CLI::App& app, int columns) {
    return wrapped(app.get_name() + ": " + app.get_description(), columns) + "\n\n" + usage_of_group(app) +
           command_table(app, columns) + '\n' + wrapped(app.get_footer(), columns, 0, 2) + '\n';
}

} // namespace

std::string full_name(const CLI::App& app) {
    return app.get_parent() ? full_name(*app.get_parent()) + ' ' + app.get_name() : app.get_name();
}

std::string help_text(const CLI::App& app, int columns) {
    if (!app.get_parent()) return program_help(app, columns);
    if (!app.get_subcommands(nullptr).empty()) return group_help(app, columns);
    std::string usage = full_name(app);
    Table options;
    options.columns = {{"", false, false, 0}, {"", false, true, 0}};
    const auto list = [&](bool positional) {
        for (const CLI::Option* option : app.get_options()) {
            if (option->get_positional() != positional || is_help(app, *option)) continue;
            usage += ' ' + usage_of(*option);
            const std::string value = option->get_option_text();
            options.add({positional      ? option->get_name(true)
                         : value.empty() ? option->get_name()
                                         : option->get_name() + " " + value,
                         option->get_description()});
        }
    };
    list(true);
    list(false);
    std::string text = wrapped(app.get_name() + ": " + app.get_description(), columns) + "\n\n" +
                       strong("Usage") + '\n' + wrapped(usage, columns, 2, 6) + "\n\n" +
                       draw(options, columns) + '\n' + wrapped(app.get_footer(), columns, 0, 2) + '\n';
    return text;
}

} // namespace lostvolts

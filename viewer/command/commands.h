// The commands that the program knows. To add one: write its file with its add_ function, declare it here,
// and call it in run.cpp.
#pragma once

#include <functional>

#include "viewer/command/command.h"

namespace CLI {
class App;
}

namespace lostvolts {

/// What a command does once CLI11 has filled in its options.
using Action = std::function<Answer(const Screen&)>;

struct Command {
    CLI::App* app; ///< owned by the program
    Action action;
};

/// Each adds its subcommand, with its options, to the program.
Command add_check(CLI::App& program);
Command add_draft(CLI::App& program);
Command add_predict(CLI::App& program);
Command add_note(CLI::App& program);
Command add_locate(CLI::App& program);
Command add_inrush(CLI::App& program);
Command add_waveform(CLI::App& program);
Command add_size(CLI::App& program);
Command add_compare(CLI::App& program);
Command add_practice(CLI::App& program);
Command add_records(CLI::App& program); ///< has commands of its own: add, find, show …
Command add_view(CLI::App& program);
Command add_report(CLI::App& program);
Command add_study(CLI::App& program);

/// "lostvolts records find": a command as it is called.
std::string full_name(const CLI::App& app);
/// The help of the program or of one command, wrapped to the screen.
std::string help_text(const CLI::App& app, int columns);

} // namespace lostvolts

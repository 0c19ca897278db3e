// lostvolts locate READINGS: which part is bad, how sure, what to measure next, what it will read once
// repaired.

#include <memory>

#include "solver/circuit/read.h"
#include "viewer/command/commands.h"
#include "viewer/command/files.h"
#include "viewer/command/locate_text.h"
#include "viewer/command/options.h"
#include "viewer/command/problems.h"

namespace lostvolts {
namespace {

struct Options {
    std::string file;
    bool json = false;
    bool strict = false;
};

Answer locate(const Options& options, const Screen& screen) {
    const auto readings = open_readings(options.file, "locate");
    if (!readings) return refuse(exit_bad_input, readings.problems(), options.json);
    if (const Problems errors = review(readings->circuit).errors; !errors.empty())
        return refuse(exit_bad_input, errors, options.json);
    const auto location = lostvolts::locate(*readings);
    if (!location) return refuse(exit_no_solution, location.problems(), options.json);

    Answer answer;
    answer.out = options.json ? written(json_of(*readings, *location))
                              : locate_text(*readings, *location, screen.columns);
    if (options.strict && location->verdict != Verdict::healthy) answer.code = exit_finding;
    return answer;
}

} // namespace

Command add_locate(CLI::App& program) {
    auto options = std::make_shared<Options>();
    CLI::App& app =
        add_command(program, "locate",
                    "which part is bad, how sure, what to measure next, what it will read once repaired");
    add_file(app, "READINGS", options->file, FileUse::read, "the file of readings; it names its circuit", "",
             Needed::yes);
    add_flag(app, "--json", options->json, "answer as JSON");
    add_flag(app, "--strict", options->strict, "exit with 1 unless the verdict is healthy");
    add_footer(app, "Example: lostvolts locate readings.toml");
    return {&app, [options](const Screen& screen) { return locate(*options, screen); }};
}

} // namespace lostvolts

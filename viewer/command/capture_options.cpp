#include "viewer/command/capture_options.h"

#include <CLI/CLI.hpp>

namespace lostvolts {

void add_capture_options(CLI::App& app, CaptureOptions& c) {
    app.add_option("--time-column", c.time_column, "the column of time, by its name or number")
        ->option_text("COLUMN");
    app.add_option("--volts-column", c.volts_column, "the column of volts")->option_text("COLUMN");
    app.add_option("--amps-column", c.amps_column, "the column of current")->option_text("COLUMN");
    app.add_option("--time-unit", c.time_unit, "s, ms, us or ns, when the header doesn't say")
        ->option_text("UNIT");
    app.add_option("--volts-unit", c.volts_unit, "V or mV, when the header doesn't say")->option_text("UNIT");
    app.add_option("--amps-unit", c.amps_unit, "A or mA; of a clamp's output V or mV")->option_text("UNIT");
    app.add_option("--clamp", c.clamp,
                   "what an ampere is in the clamp's or shunt's volts, such as \"10 mV/A\"")
        ->option_text("SCALE");
}

} // namespace lostvolts

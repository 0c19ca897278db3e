#include "viewer/command/capture_options.h"
#include "viewer/command/options.h"

namespace lostvolts {

void add_capture_options(CLI::App& app, CaptureOptions& c) {
    add_option(app, "--time-column", c.time_column, "the column of time, by its name or number", "COLUMN");
    add_option(app, "--volts-column", c.volts_column, "the column of volts", "COLUMN");
    add_option(app, "--amps-column", c.amps_column, "the column of current", "COLUMN");
    add_option(app, "--time-unit", c.time_unit, "s, ms, us or ns, when the header doesn't say", "UNIT");
    add_option(app, "--volts-unit", c.volts_unit, "V or mV, when the header doesn't say", "UNIT");
    add_option(app, "--amps-unit", c.amps_unit, "A or mA; of a clamp's output V or mV", "UNIT");
    add_option(app, "--clamp", c.clamp,
               "what an ampere is in the clamp's or shunt's volts, such as \"10 mV/A\"", "SCALE");
}

void take_kept_options(const std::vector<std::pair<std::string, std::string>>& kept, CaptureOptions& o) {
    const std::pair<const char*, std::string*> all[] = {{"clamp", &o.clamp},
                                                        {"time_column", &o.time_column},
                                                        {"volts_column", &o.volts_column},
                                                        {"amps_column", &o.amps_column},
                                                        {"time_unit", &o.time_unit},
                                                        {"volts_unit", &o.volts_unit},
                                                        {"amps_unit", &o.amps_unit}};
    for (const auto& [name, value] : kept)
        for (const auto& [known, word] : all)
            if (name == known && word->empty()) *word = value;
}

} // namespace lostvolts

// What a person may have to tell of a capture whose header doesn't, as options of every command that reads
// one.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "solver/waveform/capture.h"

namespace CLI {
class App;
}

namespace lostvolts {

/// --time-column, --volts-unit, --clamp and the like. The options are filled in when the words are read.
void add_capture_options(CLI::App& app, CaptureOptions& options);

/// Those that were kept with a job, where nothing else was said: see Job::capture_options.
void take_kept_options(const std::vector<std::pair<std::string, std::string>>& kept, CaptureOptions& options);

} // namespace lostvolts

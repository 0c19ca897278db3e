// A start drawn over those that good jobs on the same circuit kept, all aligned on the instant of switching
// on, with what is not as usual named where it was read.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "solver/records/baseline.h"
#include "solver/waveform/waveform.h"
#include "viewer/figures/traces.h"

namespace lostvolts {

/// A capture of one motor, and how to read it.
struct StartSource {
    std::string file, motor;
    CaptureOptions how;
    WaveformOptions options;
};

struct SeenStart {
    std::string job; ///< that keeps it; empty: of none
    Capture capture;
    Waveform waveform;
};
Result<SeenStart> see_start(const StartSource& source);

/// Captures of that motor that good jobs on the drawing keep, the newest first. One that can't be read any
/// more is left out, and told in `remarks`.
std::vector<SeenStart> good_starts(const std::filesystem::path& store, const std::string& drawing,
                                   const std::string& leave_out, const StartSource& like, Problems& remarks);

TracesView over_good_starts(const SeenStart& seen, const std::vector<SeenStart>& good,
                            const std::vector<Judged>& judged);

} // namespace lostvolts

// A capture's report for a person, and as JSON.
#pragma once

#include <string>
#include <vector>

#include "solver/waveform/waveform.h"
#include "viewer/command/json.h"

namespace lostvolts {

/// One number of the capture beside what the circuit's description foretells.
struct Compared {
    std::string what; ///< "run current"
    std::string key;  ///< "run_current_A"
    double measured = 0, predicted = 0;
    std::string measured_text, predicted_text;
    bool differs = false; ///< by more than both could be off
};

/// DESIGN's keys, and more: stall current, source emf, noise, clipping, reasons.
Json json_of(const Capture& capture, const Waveform& waveform);
Json json_of(const std::vector<Compared>& compared);

std::string waveform_text(const Capture& capture, const Waveform& waveform, int columns);
std::string compared_text(const std::vector<Compared>& compared, int columns);

} // namespace lostvolts

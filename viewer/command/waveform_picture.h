// Start-ups as pictures: captures beside one another and beside what the circuit foretells.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "viewer/command/inrush_text.h"
#include "viewer/command/waveform_circuit.h"
#include "viewer/figures/traces.h"

namespace lostvolts {

/// Reads and analyses another capture by the same options, and adds it. Problems: those of reading it.
Problems add_beside(TracesView& view, const std::string& file, const CaptureOptions& capture,
                    const WaveformOptions& options);

/// The start that the sound circuit foretells, where the capture was taken; left out when it can't be found.
void add_foretold(TracesView& view, const std::shared_ptr<const Circuit>& circuit, const CapturePlace& place);

/// A predicted start, a panel for each unit; beside it the sound circuit's, when one is given.
TracesView traces_of(const SpinUp& run, const std::vector<InrushColumn>& columns, Time<> closing,
                     const SpinUp* sound);

} // namespace lostvolts

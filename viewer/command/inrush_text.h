// A start-up in words, as a capture and as JSON.
#pragma once

#include <string>
#include <vector>

#include "solver/spinup/spinup.h"
#include "viewer/command/json.h"

namespace lostvolts {

/// A column of the capture: `amps, rinse pump` in A, `volts, pump + to pump -` in V, `speed, rinse pump` in
/// rpm.
struct InrushColumn {
    Probe probe;
    std::string name;
    std::string_view unit;
};

/// A probe in plain words: "A: rinse pump" is the current through a part, "V: pump + / pump -" the voltage
/// from the red lead to the black, "V: pump +" that against ground, "rpm: rinse pump" a motor's speed.
Result<InrushColumn> read_probe(const Circuit& circuit, std::string_view words);
/// Without any: volts of the first battery, and the current of each motor; of other loads where there is no
/// motor. With one motor that is what `waveform` reads without being told which column is which.
std::vector<InrushColumn> usual_probes(const Circuit& circuit);

/// A header, a row of units, a row per sample.
std::string inrush_csv(const SpinUp& run, const std::vector<InrushColumn>& columns);
std::string inrush_text(const Circuit& circuit, const SpinUp& run, int columns);
Json json_of(const Circuit& circuit, const SpinUp& run);

/// Times that a contact opened again after it had closed.
int bounces_of(const SpinUp& run);
/// A fuse of the quickest kind would have opened.
bool fuse_may_open(const SpinUp& run);

} // namespace lostvolts

// What a job's readings and captures tell that can be held against another job's.
#pragma once

#include <vector>

#include "solver/locate/readings.h"
#include "solver/records/job.h"
#include "solver/waveform/waveform.h"

namespace lostvolts {

/// Currents, speeds and volts as read, repeated ones as their median. A motor's current and speed in its
/// usual state ("run", or the first that doesn't hold it) are told by the motor's name alone, those in others
/// by "bridged: rinse pump".
std::vector<KeptFigure> figures_of(const Readings& readings, const std::string& source);

/// Stall and run current, speed, sag and ripple, as far as the capture tells them.
std::vector<KeptFigure> figures_of(const Waveform& waveform, const std::string& motor,
                                   const std::string& source);

double median_of_values(std::vector<double> values);

} // namespace lostvolts

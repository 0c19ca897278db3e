// A capture held against the circuit that it was taken on: the numbers side by side, and readings made of it.
#pragma once

#include <memory>

#include "solver/network/predict.h"
#include "solver/waveform/waveform.h"
#include "viewer/command/waveform_text.h"

namespace lostvolts {

/// Where in the circuit the capture was taken.
struct CapturePlace {
    PartId motor = none;
    int run = none;   ///< state in which the motor turns
    int stall = none; ///< state in which it is held; none: the circuit has no such
    PointId red = none, black = none;
};

struct CapturePlaceNames {
    std::string motor, state, red, black;
};

/// Errors: a name that the circuit doesn't have; more than one motor and none named; one lead of two.
Result<CapturePlace> find_place(const Circuit& circuit, const CapturePlaceNames& names);

/// What both know.
Result<std::vector<Compared>> compare(const std::shared_ptr<const Circuit>& circuit,
                                      const CapturePlace& place, const Waveform& waveform);

/// The text of a readings file with the capture's readings at its end. `text` is the file as it is, or empty;
/// `circuit_name` is how the file is to name its circuit.
std::string with_readings(std::string text, const std::string& circuit_name, const Circuit& circuit,
                          const CapturePlace& place, const Waveform& waveform,
                          const std::string& capture_name);

} // namespace lostvolts

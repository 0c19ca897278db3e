// What a recorded start tells: when, how much current, how far the volts fell, how fast the motor turns and
// how evenly, what stands before the probe and what behind it. What a capture can't tell is nothing, with a
// reason.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "solver/waveform/capture.h"

namespace lostvolts {

/// A value with its 90 % interval.
template <class Q> struct Estimate { Q value{}, low{}, high{}; };

/// The contact opened again after it had closed.
struct RecordedBounce {
    Time<> at;   ///< on the file's clock
    Time<> open; ///< how long
};

/// A commutator bar that draws unlike the others, each revolution.
struct UnevenBar {
    int bar = 0;        ///< counted from 1 in the order they pass; 1 is the one furthest off
    Current<> off;      ///< from the middle of all bars; in a capture without amperes nothing is given
    double share = 0;   ///< the same as a share of the run current, or of the run volts
    Time<> in_the_turn; ///< since the revolution's first bar
};

struct Clipped {
    bool amps = true;   ///< false: volts
    bool at_top = true; ///< false: at the bottom
    double level = 0;   ///< A or V as recorded, before any correction
    Time<> first;       ///< on the file's clock
    Time<> longest;     ///< of one stay at the level
};

struct Hum {
    double hertz = 0;
    std::optional<Current<>> amps; ///< amplitude; nothing: none above the noise
    std::optional<Voltage<>> volts;
};

/// The motor's own numbers, from the probe on: winding, brushes and what stands between (brush drop folded
/// in).
struct MotorFit {
    std::optional<Resistance<>> resistance;
    std::optional<MotorConstant<>> constant;
    std::optional<Inductance<>> inductance;
    std::optional<Inertia<>> inertia;
    std::optional<Time<>> time_constant; ///< R·J/k²; without volts the wiring's resistance is in it
    bool with_wiring = false;            ///< no volts: time constant is that of motor and wiring together
};

struct Clamp {
    bool reversed = false;
    std::optional<Current<>> zero; ///< what it shows of no current
};

/// A key of DESIGN's JSON that is null, and why.
struct Unknown {
    std::string key;
    std::string reason;
};

struct Waveform {
    std::size_t samples = 0;
    Time<> step{}, duration{};
    std::vector<Time<>> starts; ///< all of the file
    int chosen = 0;             ///< of `starts`, from 0

    std::optional<Time<>> start, peak_at;
    std::optional<Current<>> peak_current, run_current;
    std::optional<Voltage<>> resting_voltage, lowest_voltage, run_voltage, sag;

    std::optional<Time<>> revolution, ripple_period;
    std::optional<Speed<>> speed;
    std::optional<int> bars; ///< as counted by their ripples
    std::vector<UnevenBar> uneven_bars;
    std::vector<RecordedBounce> bounces;

    std::optional<Estimate<Resistance<>>> upstream, downstream;
    std::optional<Estimate<Current<>>> stall_current; ///< with the rotor held, through this wiring
    std::optional<Estimate<Voltage<>>> emf;           ///< of the source, behind the upstream resistance
    MotorFit motor;

    Clamp clamp;
    std::vector<Clipped> clipped;
    std::optional<Hum> hum;
    std::optional<Current<>> amps_noise; ///< standard deviation of one sample
    std::optional<Voltage<>> volts_noise;
    std::vector<Unknown> unknown;
    std::vector<std::string> cautions; ///< sentences, with the capture's repairs first
};

struct WaveformOptions {
    int start = 1; ///< which of several in the file, from 1
    std::optional<int>
        bars; ///< commutator bars when known: gives the speed of a motor whose bars are all alike
};

/// Analyses one start. Errors: a start that the file doesn't have.
Result<Waveform> analyse(const Capture& capture, const WaveformOptions& options = {});

} // namespace lostvolts

// Readings as a person took them: which state, what was read, where the leads were, with which meter.
#pragma once

#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "solver/circuit/circuit.h"

namespace lostvolts {

enum class Measurand { voltage, current, speed, resistance, lamp, sound };
std::string_view name_of(Measurand quantity);
/// Whether a reading of this quantity is taken between two points; else it is of a part.
bool between_two_points(Measurand quantity);
/// The words that a lamp or a sound is told by, in the order of Reading::value; empty for the others.
std::span<const std::string_view> words_of(Measurand quantity);

/// What is written of a resistance beyond the meter's range.
inline constexpr std::string_view no_path = "open";

struct Meter {
    std::string name;
    Accuracy accuracy{0.005, 2};                      ///< common practice for a hand-held multimeter
    double resolution = 0;                            ///< SI; 0: the last digit written in the reading
    std::optional<Measurand> resolves;                ///< the quantity its resolution is of
    Resistance<> input = from_si<Resistance<>>(10e6); ///< loads the circuit while reading volts
    Resistance<> leads = from_si<Resistance<>>(0.2);  ///< adds to a resistance reading
    // A test lamp or load tester:
    Voltage<> rated{};           ///< 0: the circuit's nominal volts
    Current<> draws{};           ///< at its rated volts; 0: that of a 5 W lamp
    bool shows_polarity = false; ///< LEDs on a load: a plain resistance, and it can say "reversed"
    bool lights = false;         ///< its light, rated volts or draw was told: it is a lamp or a tester
};

struct Reading {
    int state = 0;
    Measurand quantity = Measurand::voltage;
    PointId red = none; ///< voltage, resistance, lamp: the lead on the higher side
    PointId black = none;
    PartId through = none; ///< current, speed, sound: the part
    double value = 0;      ///< SI: V, A, rad/s, ohm; lamp and sound: index into their words
    bool open = false;     ///< resistance: the meter showed no path, written "open"
    double resolution =
        0;            ///< SI: one count of the last digit, from the meter or from how the value was written
    int meter = none; ///< index into Readings::meters; none: the usual one for the quantity
    std::string note;
    PartId disturbed = none; ///< the part that was wiggled or warmed meanwhile
    Place place;
    std::string text; ///< the value as written
};

struct Readings {
    std::string file;
    Circuit circuit;
    std::vector<Meter> meters;
    std::vector<Reading> readings;
};

/// Reads the file and the circuit that it names (relative to its own folder): every mistake in both, in one
/// pass. Errors of sense among them: a point, part, state or meter that does not exist (the nearest is
/// named), a current through a part that is removed in that state, a voltage at a point that only removed
/// parts touch.
Result<Readings> read_readings(const std::filesystem::path& path);
/// The same with the text given, the circuit's name taken from `folder`; `file` is what messages call it.
Result<Readings> read_readings_beside(std::string_view text, std::string file,
                                      const std::filesystem::path& folder);
/// The same with the circuit already read.
Result<Readings> read_readings_text(std::string_view text, std::string file, Circuit circuit);

} // namespace lostvolts

// What a study is to work through, as somebody ordered it in a file: which circuits, which of their values go
// through which others, and what is asked of each variant. Every mistake is told with its place, before
// anything is worked out.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "solver/circuit/circuit.h"
#include "solver/locate/readings.h"
#include "solver/waveform/capture.h"

namespace lostvolts {

enum class StudyKind {
    tolerances, ///< how far the lost volts of each variant stray
    faults,     ///< whether `locate` finds each condition of each variant, on machines that stray
    captures,   ///< what each recorded start of a folder tells
};
std::string_view name_of(StudyKind kind);

/// One value of the circuits that goes through others.
struct Vary {
    std::string part; ///< empty: a key of the circuit's own, such as temperature
    std::string key;
    std::vector<std::string> values; ///< of a stretch its two ends
    bool even = false;               ///< a stretch: evenly between its ends, a draw for each variant
};

struct StudiedCircuit {
    std::string file; ///< as the order names it
    std::string text;
    Circuit circuit;             ///< as drawn
    std::vector<int> conditions; ///< faults: which are looked for; `none` is the sound machine
    std::optional<Readings> readings;
    std::string readings_text; ///< where readings are taken, with which meters
};

struct StudyOrder {
    std::string file;
    StudyKind kind = StudyKind::tolerances;
    std::filesystem::path output;
    std::uint64_t seed = 1;
    std::vector<StudiedCircuit> circuits;
    std::vector<Vary> vary;
    long variants = 1;  ///< of each circuit
    bool drawn = false; ///< variants are draws, not every combination

    long samples = 1000;     ///< tolerances: of each variant
    std::string state, load; ///< tolerances; empty: the first that runs, the load that loses most
    std::optional<Voltage<>> limit;
    Temperature<> coldest = celsius(-10), warmest = celsius(50);

    long machines = 1; ///< faults: of each condition

    std::vector<std::string> captures; ///< files, in the order of their names
    CaptureOptions reading;
    std::optional<int> bars;

    std::string fingerprint; ///< SHA-256 of all that the rows depend on
};

/// Reads the order and every file that it names. `output` is the table's file when the order is not to say
/// it.
Result<StudyOrder> read_order(const std::filesystem::path& file, const std::filesystem::path& output = {});
/// The same with the text given, for who has read a pipe.
Result<StudyOrder> read_order_text(std::string_view text, const std::filesystem::path& file,
                                   const std::filesystem::path& output = {});
/// Whether a file is meant as an order: it says `study =` before its first table.
bool is_order(std::string_view text);

inline constexpr long most_cases = 100'000'000;

} // namespace lostvolts

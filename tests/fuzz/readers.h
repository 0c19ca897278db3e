// Every door through which bytes from outside come in. Each function feeds one door with any bytes at all and
// aborts when something that must hold does not: a sanitizer sees the rest. libFuzzer drives them
// (fuzzer.cpp, tests/fuzz/run), and replay_test.cpp feeds them what was found once.
#pragma once

#include <array>
#include <string>
#include <string_view>
#include <vector>

namespace lostvolts::fuzz {

void feed_values(std::string_view bytes);   ///< a value with its unit, of every kind of quantity
void feed_circuit(std::string_view bytes);  ///< circuit.toml, read and solved in all its states
void feed_walk(std::string_view bytes);     ///< a walk, and the circuit that is made of it
void feed_readings(std::string_view bytes); ///< readings.toml on a bundled circuit
void feed_capture(std::string_view bytes);  ///< a capture, read and analysed
void feed_kept_job(std::string_view bytes); ///< job.toml, and an index rebuilt over its folder
void feed_words(std::string_view bytes);    ///< a command line, a word a line, in a folder of its own
void feed_locate(std::string_view bytes);   ///< a circuit, a line "%%", readings on it: the whole of `locate`

struct Reader {
    std::string_view name;
    void (*feed)(std::string_view bytes);
};
inline constexpr std::array readers{
    Reader{"values", feed_values},     Reader{"circuit", feed_circuit}, Reader{"walk", feed_walk},
    Reader{"readings", feed_readings}, Reader{"capture", feed_capture}, Reader{"kept_job", feed_kept_job},
    Reader{"words", feed_words},       Reader{"locate", feed_locate},
};

/// A winch on a loop of five parts, and readings on it: the bundled circuits have so many parts that under a
/// sanitizer their pairs take minutes.
std::string small_circuit();
std::string small_readings();

/// What a door is first fed with: the bundled scenarios, cut as that door takes them.
std::vector<std::string> seeds(std::string_view reader);

/// Stops the program with a message: what must hold does not.
void must(bool holds, std::string_view what);

} // namespace lostvolts::fuzz

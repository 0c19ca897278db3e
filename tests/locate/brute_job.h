// Inside tests/locate only: a small circuit written as a person would, and compared with brute force.
#pragma once

#include <string>
#include <vector>

#include "tests/locate/brute_force.h"

namespace lostvolts::testing {

inline constexpr unsigned long brute_seed = 20261125;

// 0.01 of probability is the target; three times VEGAS' own error is allowed for beside it.
inline constexpr double allowed = 0.01;
// With a load three of its standard deviations from nominal its current bends away from its slope there: at
// −16 % the true curve asks 3.7 standard deviations of a heater's resistance, the slope at nominal 3.2, so
// that healthy parts are believed too readily. Measured: 0.011, 0.016 and 0.025; a known limit in
// DEVELOPERS.md.
inline constexpr double allowed_far_out = 0.03;

/// Charge to volts at 25 °C, 6 cells: the table of [BAT1] (11.89 … 12.65 V by quarters at 26.7 °C), 0.2 mV a
/// kelvin and cell.
double rest_volts(double charge);

BruteSuspect sized(std::string part, std::string kind, double odds, double low, double high, bool ohms,
                   std::function<void(Numbers&, double)> put);
BruteSuspect there_or_not(std::string part, std::string kind, double odds, std::function<void(Numbers&)> put);

/// What puts a fault's size, or an open circuit, in place of one of the numbers.
std::function<void(Numbers&, double)> set(std::size_t which);
std::function<void(Numbers&)> open(std::size_t which, double ohms);

/// One part as a person writes it.
struct WrittenPart {
    std::string name, kind, from, to, resistance;
    std::string more{}; ///< further keys
};
/// A circuit's text: a battery from its ground, b-, to b+, and these parts.
std::string circuit_text(const std::string& emf, const std::string& inside,
                         const std::vector<WrittenPart>& parts);

/// One reading as a person writes it, and its meter.
struct Written {
    std::string state, quantity, where; ///< keys between quantity and value
    double value;
    int decimals;
    std::string unit;
    double share, counts; ///< the meter's accuracy
};
std::string between(const char* red, const char* black);
std::string through(const char* part);

/// `most` is the largest the healthy circuit has of the quantity: supply volts, or the part's amperes.
BruteReading brute(const Written& w, double most);

/// `locate` on the files' text, and brute force: every probability within so much, and VEGAS' error.
void compare(const std::string& text, const std::vector<Written>& written, const BruteCircuit& brute_circuit,
             double within);

} // namespace lostvolts::testing

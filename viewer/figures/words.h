// Circuits, faults and readings in words that can be read aloud to somebody with a meter in each hand.
#pragma once

#include <string>

#include "solver/locate/locate.h"

namespace lostvolts {

/// 1.490 V: so many decimals, and never a minus before nothing.
std::string fixed(double value, int decimals, std::string_view unit);
std::string volts(Voltage<> v);   ///< at a point, as a meter shows it: 12.42 V
std::string drop(Voltage<> v);    ///< across a part: 0.025 V
std::string amperes(Current<> i); ///< 8.92 A; 28 mA when small

std::string percent(double probability); ///< 97 %, <1 %, >99 %

/// 180 mΩ, 40 %; empty where the kind has no size.
std::string size_text(FaultKind kind, double size);
/// 180 mΩ (160 to 205 mΩ): the middle and the 90 % interval.
std::string size_with_interval(const FoundFault& fault);

/// pump ground: high resistance
std::string fault_name(const Circuit& circuit, const FoundFault& fault);
/// The same for a whole suspect; "nothing wrong" and "something not in this drawing" among them.
std::string suspect_name(const Circuit& circuit, const Suspect& suspect);
/// A sentence: The ground "pump ground" is bad: about 180 mΩ extra (90 % between 160 mΩ and 205 mΩ).
std::string finding(const Circuit& circuit, const FoundFault& fault);
/// What a kind of fault is, for somebody who meets the word for the first time.
std::string_view explanation(FaultKind kind);

/// A reading's number with its unit; the word for a lamp or a sound.
std::string value_text(Measurand quantity, double value);
/// The same with as many decimals as a meter of this resolution (SI) shows.
std::string value_text(Measurand quantity, double value, double resolution);
/// What the person wrote, or the value as text.
std::string as_read(const Reading& reading);
/// How far off a reading is, in a word: the number of its own standard deviations needs no statistics to
/// read.
std::string_view fit_word(const ReadingCheck& check);
/// What the leading suspect expects of a reading, and what a sound circuit reads: a number as its meter shows
/// it, or the likeliest word.
std::string expected_text(const Reading& reading, const ReadingCheck& check);
std::string repaired_text(const Reading& reading, const ReadingCheck& check);
/// low to high with the unit once where both have the same: 1.5 to 1.8 V. With a resolution: as such a meter
/// shows them.
std::string span_text(Measurand quantity, double low, double high, double resolution = 0);
/// voltage, red on "battery +", black on "pump +"; current through "rinse pump".
std::string what_is_read(const Circuit& circuit, Measurand quantity, PointId red, PointId black,
                         PartId through);
/// The same of a reading that is proposed, with the lamp or tester that it takes: test lamp "tester", red on
/// …
std::string what_to_read(const Readings& readings, const NextReading& next);

/// "dim or dark"; of a resistance "open".
std::string words_text(Measurand quantity, const std::vector<int>& words);
/// What a suspect foretells: a number, or its likeliest word.
std::string expect_text(Measurand quantity, const Outcome& outcome);
/// The same with what else it may well be: the 90 % interval, or the other likely words.
std::string likely_text(Measurand quantity, const Outcome& outcome);

} // namespace lostvolts

// Readings told in words: a test lamp lit or dark, a motor that runs or is silent, a relay that clicks, an
// ohmmeter that shows no path.
//
// Each word is what an eye or an ear makes of a number that the circuit has: volts across the lamp, the
// motor's speed. Where one word gives way to the next differs from person to person, so the number is blurred
// before it is held against the border: P(word) = Φ((number − border)/√(blur² + variance)), with the variance
// that the healthy parts' tolerances give the number. Borders and blurs are common practice, no source.
#pragma once

#include <array>
#include <span>

namespace lostvolts {

enum class Sense {
    lamp,       ///< volts across it over its rated ones: lit, dim, dark
    polar_lamp, ///< the same, and reversed when the volts are the other way round
    turning,    ///< a motor's speed over its usual one: runs, silent
    click,      ///< 1 when a coil pulls a contact in, else 0: clicks, silent
    no_path,    ///< ln of ohms: 0 for "open", 1 for a number shown
};

/// In how many words the sense speaks.
int words_of(Sense sense);
inline constexpr std::size_t most_words = 4;
/// Whether the word with this index is one of the sense's: a relay doesn't say "runs".
bool is_word_of(Sense sense, int word);
/// The chance of each word.
using Chances = std::array<double, most_words>;
/// What they leave for a number to be shown instead.
double chance_of_number(const Chances& says);

/// Probability that the person says the word with this index (lit, dim, dark, reversed; runs, silent, clicks;
/// open) when the number has this mean and variance.
double chance_of(Sense sense, int word, double mean, double variance);

/// The likeliest word.
int likeliest_word(Sense sense, double mean, double variance);

/// Of a lamp: shares of its rated volts at which one word gives way to the next, the brightest first.
std::span<const double> lamp_borders();

} // namespace lostvolts

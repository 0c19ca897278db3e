// Readings told in words: a test lamp lit or dark, a motor that runs or is silent, a relay that clicks, an
// ohmmeter that shows no path.
//
// Each word is what an eye or an ear makes of a number that the circuit has: volts across the lamp, the
// motor's speed. Where one word gives way to the next differs from person to person, so the number is blurred
// before it is held against the border: P(word) = Φ((number − border)/√(blur² + variance)), with the variance
// that the healthy parts' tolerances give the number. Borders and blurs are common practice, no source.
#pragma once

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

/// Probability that the person says the word with this index (lit, dim, dark, reversed; runs, silent, clicks;
/// open) when the number has this mean and variance.
double chance_of(Sense sense, int word, double mean, double variance);

/// The likeliest word.
int likeliest_word(Sense sense, double mean, double variance);

} // namespace lostvolts

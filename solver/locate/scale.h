// A reading's scale, cut into stretches, and how likely each possible machine shows in each of them: what
// turns a continuous reading into outcomes that can be counted, told and planned on. Words are stretches of
// their own, behind those of the numbers.
#pragma once

#include <span>
#include <vector>

#include "solver/locate/told.h"

namespace lostvolts {

inline constexpr std::size_t most_stretches = 16;

struct Scale {
    std::vector<double> cuts;  ///< rising; one fewer than stretches of numbers
    std::size_t numbers = 1;   ///< stretches of numbers; 0 where only words are said
    std::size_t words = 0;     ///< stretches behind them, one a word
    std::vector<double> share; ///< machine by machine: probability of each stretch, summing to 1

    std::size_t stretches() const { return numbers + words; }
    std::span<const double> of(std::size_t machine) const {
        return std::span(share).subspan(machine * stretches(), stretches());
    }
};

/// From what each machine shows, and how blurred (an infinite sigma: it can't be said). Cuts lie where the
/// machines stand apart, by their own blur.
Scale scale_of(std::span<const double> value, std::span<const double> sigma);

/// The same with the chances of each machine's words, what they leave being the number's.
Scale scale_of(std::span<const double> value, std::span<const double> sigma, std::span<const Chances> says);

/// Neighbouring stretches told as one: first and one past the last.
struct Band {
    std::size_t first = 0, last = 0;
};

/// Joins neighbours as long as that costs next to no information, and on until at most `most` bands are left.
/// `table` is class by stretch: probability of both. The first stretch of words, if any, is never joined to
/// the numbers before it: nobody reads "between 2 and 4 ohm, or open".
std::vector<Band> bands_of(std::span<const double> table, std::size_t classes, std::size_t most,
                           std::size_t first_word = 0);

/// What stays unknown of the class once the stretch is known: its expected entropy, bits.
double entropy_left(std::span<const double> table, std::size_t classes);

} // namespace lostvolts

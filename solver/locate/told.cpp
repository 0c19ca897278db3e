#include "solver/locate/told.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace lostvolts {
namespace {

// A filament shows from about a quarter of its volts and looks full from four fifths on (half its light).
constexpr double glow = 0.25, glow_blur = 0.06;
constexpr double full = 0.80, full_blur = 0.08;
// An ear hears a motor turn from about a sixth of its speed.
constexpr double heard = 0.15, heard_blur = 0.05;
// A click goes unheard, or something else is taken for it, once in twenty times.
constexpr double missed = 0.05;
// A hand-held meter shows no path from some megohms on.
const double out_of_range = std::log(5e6);
constexpr double range_blur = 0.8;

enum LampWord { lit, dim, dark, reversed };
enum SoundWord { runs, silent, clicks };

double above(double number, double border, double blur, double variance) {
    return 0.5 * std::erfc((border - number) / std::sqrt(2 * (blur * blur + variance)));
}

double lamp_chance(int word, double share, double variance) {
    const double bright = above(share, full, full_blur, variance);
    const double shows = std::max(above(share, glow, glow_blur, variance), bright);
    return word == lit ? bright : word == dim ? shows - bright : word == dark ? 1 - shows : 0;
}

double polar_chance(int word, double share, double variance) {
    const double backwards = above(-share, glow, glow_blur, variance);
    if (word == reversed) return backwards;
    if (word == dark) return std::max(lamp_chance(dark, share, variance) - backwards, 0.0);
    return lamp_chance(word, share, variance);
}

} // namespace

std::span<const double> lamp_borders() {
    static constexpr std::array borders{full, glow};
    return borders;
}

int words_of(Sense sense) {
    switch (sense) {
    case Sense::lamp:
        return 3;
    case Sense::polar_lamp:
        return 4;
    case Sense::turning:
    case Sense::click:
    case Sense::no_path:
        return 2;
    }
    return 1;
}

double chance_of_number(const Chances& says) {
    double left = 1;
    for (const double p : says) left -= p;
    return left > 1e-9 ? left : 0; // less is rounding
}

bool is_word_of(Sense sense, int word) {
    const int first = sense == Sense::click ? silent : 0;
    return word >= first && word < first + words_of(sense);
}

double chance_of(Sense sense, int word, double mean, double variance) {
    switch (sense) {
    case Sense::lamp:
        return lamp_chance(word, std::abs(mean), variance);
    case Sense::polar_lamp:
        return polar_chance(word, mean, variance);
    case Sense::turning: {
        const double turns = above(std::abs(mean), heard, heard_blur, variance);
        return word == runs ? turns : word == silent ? 1 - turns : 0;
    }
    case Sense::click: {
        const double heard_it = mean > 0.5 ? 1 - missed : missed;
        return word == clicks ? heard_it : word == silent ? 1 - heard_it : 0;
    }
    case Sense::no_path: {
        const double open = above(mean, out_of_range, range_blur, variance);
        return word == 0 ? open : word == 1 ? 1 - open : 0;
    }
    }
    return 0;
}

int likeliest_word(Sense sense, double mean, double variance) {
    int best = 0;
    for (int word = 1; word < 4; ++word)
        if (chance_of(sense, word, mean, variance) > chance_of(sense, best, mean, variance)) best = word;
    return best;
}

} // namespace lostvolts

#include "solver/waveform/channel.h"

#include <algorithm>
#include <cmath>

namespace lostvolts {
namespace {

constexpr std::size_t most_looked_at = 400'000;
constexpr double least_hum = 1e-4; // of all that the channel does

} // namespace

double Channel::clean(double sample, double place) const {
    for (const HumLine& line : hum) sample -= line.at(place * step);
    return direction * (sample - zero);
}

Window Channel::window(std::size_t first, std::size_t last, std::size_t most) const {
    Window w = window_of(samples, first, last, most);
    for (std::size_t k = 0; k < w.values.size(); ++k) w.values[k] = clean(w.values[k], w.place(k));
    return w;
}

bool Channel::at_rail(double sample) const {
    return (top && sample >= top->level) || (bottom && sample <= bottom->level);
}

void study(Channel& c, bool current, std::size_t first, std::size_t last, std::size_t end) {
    if (!c.there()) return;
    const std::size_t cap = std::min(c.samples.size(), std::max(last, first) + 2 * most_looked_at);
    const auto whole = c.samples.subspan(first, std::min(end, cap) - first);
    if (whole.empty()) return;
    const auto [low, high] = std::minmax_element(whole.begin(), whole.end());
    if (last > first + 3) {
        const std::size_t from = last - first > most_looked_at ? last - most_looked_at : first;
        const auto quiet = c.samples.subspan(from, last - from);
        c.hum = find_hum(quiet, static_cast<double>(from) * c.step, c.step, least_hum * (*high - *low));
        double sum = 0;
        for (std::size_t k = 0; k < quiet.size(); ++k) {
            double v = quiet[k];
            for (const HumLine& line : c.hum) v -= line.at(static_cast<double>(from + k) * c.step);
            sum += v;
        }
        const double level = sum / static_cast<double>(quiet.size());
        c.noise = noise_of(quiet);
        c.zero_known = current;
        c.zero = current ? level : 0;
        c.rest = current ? 0 : level;
        c.rest_over = quiet.size();
    } else {
        c.noise = noise_of(whole);
    }
    if (!(*high > *low)) return;
    c.top = find_rail(whole, true, *high, *high - *low);
    c.bottom = find_rail(whole, false, *low, *high - *low);
    for (std::optional<Rail>* rail : {&c.top, &c.bottom}) {
        if (!*rail) continue;
        (*rail)->first += first;
        // The level of a channel at rest is no rail, however still it stands.
        const double away = std::abs((*rail)->level - (current ? c.zero : c.rest));
        if (last > first + 3 && away < 0.1 * (*high - *low)) rail->reset();
    }
}

} // namespace lostvolts

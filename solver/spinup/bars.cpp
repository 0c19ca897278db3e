#include <algorithm>
#include <cmath>

#include "solver/spinup/run_state.h"

namespace lostvolts {

double Run::bar_ohms(int p, int sector) {
    const auto& c = std::get<Commutating>(port(p).law);
    const int bars = c.motor.settings.bars, in_turn = ((sector % c.ripples) + c.ripples) % c.ripples;
    const int bar = in_turn * bars / c.ripples;
    double ohms = 0;
    for (const BadBarOf& bad : request.bad_bars)
        if (bad.motor == model.part_of_port[static_cast<std::size_t>(p)] && bad.bar.bar % bars == bar)
            ohms += si(bad.bar.added);
    return ohms;
}

Run::Aim Run::aim() {
    Aim best;
    for (std::size_t i = 0; i < turning.size(); ++i) {
        const int p = turning[i];
        const auto& c = std::get<Commutating>(port(p).law);
        const auto first = static_cast<std::size_t>(port(p).first);
        const double angle = at.own[first + 2], w = at.own[first + 1];
        const TimeSlopes& s = stepper.slopes[static_cast<std::size_t>(p)];
        const double pull = s.value.row[1] / s.stores[1];
        const double jerk = t > last_t && last_pull[i] != 0 ? (pull - last_pull[i]) / (t - last_t) : 0;
        const double edge = (c.sector + (w >= 0 ? 1 : 0)) * c.pitch(), way = edge - angle;
        if (way * w < 0) return {static_cast<int>(i), edge, 0}; // it has passed unforeseen
        if (w == 0 || std::abs(way) > 50 * std::abs(w) * h + 0.5 * std::abs(pull) * h * h) continue;
        double when = way / w;
        for (int k = 0; k < 6; ++k) {
            const double speed = w + when * (pull + 0.5 * when * jerk);
            if (speed * w <= 0) break;
            when -= (when * (w + when * (0.5 * pull + when * jerk / 6)) - way) / speed;
        }
        if (!(when > 0) || when >= best.h) continue;
        best = {static_cast<int>(i), edge, when};
    }
    return best;
}

double Run::share_to_edge(const Aim& aimed) {
    const int k = port(turning[static_cast<std::size_t>(aimed.which)]).first + 2;
    const auto K = static_cast<std::size_t>(k);
    const double way = stepper.end.own[K] - at.own[K];
    double s = 1;
    for (int turn = 0; turn < 4; ++turn) s -= (stepper.own_at(at, k, s) - aimed.edge) / way;
    return s;
}

void Run::note_pulls() {
    for (std::size_t i = 0; i < turning.size(); ++i) {
        const TimeSlopes& s = stepper.slopes[static_cast<std::size_t>(turning[i])];
        last_pull[i] = s.value.row[1] / s.stores[1];
    }
    last_t = t;
}

void Run::pass_edge(const Aim& aimed) {
    const int p = turning[static_cast<std::size_t>(aimed.which)];
    auto& c = std::get<Commutating>(port(p).law);
    c.sector += at.own[static_cast<std::size_t>(port(p).first + 1)] >= 0 ? 1 : -1;
    c.added = from_si<Resistance<>>(bar_ohms(p, c.sector));
    ++count.bars;
    step_of_bar = 0;
}

} // namespace lostvolts

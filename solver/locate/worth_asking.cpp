#include "solver/locate/worth_asking.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <set>
#include <utility>

#include "solver/locate/reading_checks.h"

namespace lostvolts {
namespace {

constexpr std::size_t quickest = 8, most_telling = 4;
constexpr double least_nats = 0.007; // a hundredth of a bit

struct Judged {
    Prospect prospect;
    double nats = 0, minutes = 0;
    std::uint64_t look = 0; ///< the same for two pairs that show the same of every machine
};

void mix(std::uint64_t& look, std::uint64_t more) { look = (look ^ more) * 0x100000001b3; } // FNV-1a

/// The best by nats a minute and the best by nats, of each look one.
std::vector<Prospect> best_of(std::vector<Judged> all) {
    std::vector<Prospect> chosen;
    std::set<std::uint64_t> looks;
    const auto choose = [&](std::size_t wanted, auto worth) {
        std::stable_sort(all.begin(), all.end(), [&](const Judged& a, const Judged& b) {
            return std::pair(worth(b), a.minutes) < std::pair(worth(a), b.minutes);
        });
        const std::size_t full = chosen.size() + wanted;
        for (auto k = all.begin(); k != all.end() && chosen.size() < full; ++k)
            if (looks.insert(k->look).second) chosen.push_back(k->prospect);
    };
    choose(quickest, [](const Judged& j) { return j.nats / j.minutes; });
    choose(most_telling, [](const Judged& j) { return j.nats; });
    return chosen;
}

/// Which words a lamp turns to, and from which volts without it on: the border's own and what the lamp draws
/// there, through the ohms behind.
struct Borders {
    std::array<double, 2> volts{}, amps{};
    bool polar = false;

    explicit Borders(const Hookup& lamp) : polar(lamp.sense == Sense::polar_lamp) {
        for (std::size_t k = 0; k < volts.size(); ++k) {
            volts[k] = lamp_borders()[k] / lamp.scaling.scale;
            amps[k] = amps_drawn(lamp.probe, volts[k]);
        }
    }
    /// 0 dark, 1 dim, 2 lit, 3 reversed.
    std::size_t word(const Behind& b) const {
        const double across = polar ? b.volts : std::abs(b.volts);
        if (across > volts[0] + b.ohms * amps[0]) return 2;
        if (across > volts[1] + b.ohms * amps[1]) return 1;
        return -across > volts[1] + b.ohms * amps[1] ? 3 : 0;
    }
};

/// Red on the higher side, by the volts that are expected; nothing where none can be read.
std::optional<Judged> judge_lamp(const Outlook& o, const Borders& borders, Prospect p) {
    std::vector<std::array<double, most_words>> both(o.rivals.size());
    double volts = 0, weight = 0;
    std::uint64_t look = 0;
    const auto judge = [&](bool turned) {
        for (auto& row : both) row.fill(0);
        volts = weight = 0, look = 0;
        for (std::size_t r = 0; r < o.rivals.size(); ++r)
            for (const Scene& scene : o.scenes[r]) {
                auto b = behind(o.reach, scene, p.state, p.red, p.black);
                if (!b) continue;
                if (turned) b->volts = -b->volts;
                const double share = o.rivals[r].probability * scene.weight;
                const std::size_t word = borders.word(*b);
                mix(look, word);
                both[r][word] += share;
                volts += share * b->volts, weight += share;
            }
    };
    judge(false);
    if (!(weight > 0)) return std::nullopt;
    if (volts < 0) {
        std::swap(p.red, p.black);
        if (borders.polar) judge(true);
    }
    return Judged{p, nats_shared(both), 0, look};
}

/// A number read to some per cent and tenths of an ohm, on a scale where each is alike.
double ohm_mark(double ohms) {
    constexpr double per_cent = 0.02, ohm = 0.3, most = 5e6; // beyond: open
    return std::log(std::min(ohms, most) * per_cent + ohm) / per_cent;
}

Judged judge_ohms(const Outlook& o, const Prospect& p) {
    const auto a = static_cast<std::size_t>(o.reach.row_of(p.red)),
               b = static_cast<std::size_t>(o.reach.row_of(p.black));
    constexpr double apart = 3; // marks: nearer ones look the same
    Judged j{p};
    std::vector<std::pair<double, double>> marks; // and weight
    double mean = 0, total = 0;
    for (std::size_t r = 0; r < o.rivals.size(); ++r)
        for (const Scene& scene : o.scenes[r]) {
            const OhmsAmong& among = scene.dead[static_cast<std::size_t>(p.state)];
            if (among.points == 0) continue;
            const double mark = ohm_mark(among.between(a, b)), share = o.rivals[r].probability * scene.weight;
            marks.emplace_back(mark, share);
            mix(j.look, static_cast<std::uint64_t>(std::lround(mark / apart)));
            mean += share * mark, total += share;
        }
    if (!(total > 0)) return j;
    mean /= total;
    for (const auto& [mark, share] : marks)
        j.nats += 0.5 * share / total * std::log1p((mark - mean) * (mark - mean));
    return j;
}

} // namespace

std::vector<Prospect> worth_lighting(const Outlook& o) {
    std::vector<Judged> all;
    const Circuit& c = o.job->circuit;
    DanglingPoints dangling(c);
    for (const auto& [meter, lamp] : o.reach.lamps) {
        const Borders borders(lamp);
        for (int s = 0; s < static_cast<int>(c.states.size()); ++s) {
            const std::vector<PointId> points = points_in(o, dangling, s);
            for (std::size_t a = 0; a < points.size(); ++a)
                for (std::size_t b = a + 1; b < points.size(); ++b) {
                    const Prospect p{s, Measurand::lamp, points[a], points[b], none, meter};
                    auto judged = judge_lamp(o, borders, p);
                    if (!judged || judged->nats < least_nats || taken(*o.job, p)) continue;
                    judged->minutes = minutes_to_take(c, o.standing, p);
                    all.push_back(*judged);
                }
        }
    }
    return best_of(std::move(all));
}

std::vector<Prospect> worth_ohms(const Outlook& o) {
    std::vector<Judged> all;
    const Circuit& c = o.job->circuit;
    DanglingPoints dangling(c);
    for (int s = 0; s < static_cast<int>(c.states.size()); ++s) {
        if (!o.reach.is_dead(s)) continue;
        const std::vector<PointId> points = points_in(o, dangling, s);
        for (std::size_t a = 0; a < points.size(); ++a)
            for (std::size_t b = a + 1; b < points.size(); ++b) {
                // The later point first: the first of all is the ground.
                const Prospect p{s, Measurand::resistance, points[b], points[a], none, o.tools.ohmmeter};
                Judged judged = judge_ohms(o, p);
                if (judged.nats < least_nats || taken(*o.job, p)) continue;
                judged.minutes = minutes_to_take(c, o.standing, p);
                all.push_back(judged);
            }
    }
    return best_of(std::move(all));
}

} // namespace lostvolts

#include "solver/locate/outlook.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "solver/locate/reading_checks.h"

namespace lostvolts {
namespace {

constexpr std::uint64_t seed = 20261125;
constexpr std::size_t sizes_when_known = 3,
                      sizes_when_vague = 6; // equal shares of the posterior over the size
constexpr double vague_ratio = 1.5, vague_share = 0.15;
constexpr std::size_t most_scenes = 72, fewest_sizes = 2; // when there are many rivals, each has fewer sizes
// Neighbouring sizes stand a step apart; each is widened by this much of it, so that together they make one
// hill and not a row of spikes.
constexpr double step_blur = 0.5;

std::size_t sizes_of(const Evidence& e, std::size_t rivals) {
    if (e.posterior.empty()) return 1;
    const bool ohms = e.hypothesis.faults.front().logarithmic();
    const auto& [low, middle, high] = e.sizes.front();
    const bool vague = ohms ? high > vague_ratio * low : std::abs(high - low) > vague_share;
    return std::clamp(most_scenes / rivals, fewest_sizes, vague ? sizes_when_vague : sizes_when_known);
}

/// What one scene shows of a prospect.
struct Shown {
    double mean = 0, variance = 0, stray = 0; // of the parts' numbers
    double step = 0;                          // to the neighbouring sizes
    double weight = 0;
    std::optional<Foreseen::Word> word;
    Chances says{};
};

double square(double x) { return x * x; }

/// How far a number goes from size to size about the k-th.
template <class Number> double step_at(const std::vector<Shown>& all, std::size_t k, Number number) {
    const std::size_t before = k > 0 ? k - 1 : 0, after = std::min(k + 1, all.size() - 1);
    return std::abs(number(all[after]) - number(all[before])) / static_cast<double>(after - before);
}

/// The chance of each word, the sizes up to halfway to the neighbouring ones in it: evenly likely, a twelfth
/// of the step's square. An ohmmeter's other word is a number.
Chances says(const Foreseen::Word& word, double step) {
    Chances chances = chances_of(word.sense, word.number, word.variance + square(step) / 12);
    if (word.sense == Sense::no_path) chances[1] = 0;
    return chances;
}

std::vector<Shown> shown_by(const Outlook& o, std::size_t rival, const Prospect& p) {
    std::vector<Shown> all;
    for (const Scene& scene : o.scenes[rival])
        if (const auto f = foresee(o.reach, scene, p))
            all.push_back(
                {f->mean, f->variance, f->stray, 0, o.rivals[rival].probability * scene.weight, f->word, {}});
    for (std::size_t k = 0; k < all.size(); ++k) {
        if (all.size() > 1) all[k].step = step_at(all, k, [](const Shown& s) { return s.mean; });
        if (!all[k].word) continue;
        const double step =
            all.size() > 1 ? step_at(all, k, [](const Shown& s) { return s.word->number; }) : 0;
        all[k].says = says(*all[k].word, step);
    }
    return all;
}

/// The meter's error and the step between sizes.
double blur(const Outlook& o, const Prospect& p, const Shown& s) {
    if (!words_of(p.quantity).empty()) return 0; // told.h has an eye's and an ear's
    return square(tool_sigma(o.tools, p.quantity, s.mean)) + square(step_blur * s.step);
}

} // namespace

bool taken(const Readings& job, const Prospect& p) {
    return std::any_of(job.readings.begin(), job.readings.end(), [&](const Reading& r) {
        return r.state == p.state && r.quantity == p.quantity && r.through == p.through &&
               ((r.red == p.red && r.black == p.black) || (r.red == p.black && r.black == p.red));
    });
}

std::vector<PointId> points_in(const Outlook& o, DanglingPoints& dangling, int state) {
    std::vector<PointId> points;
    for (const PointId p : o.reach.points)
        if (!dangling.dangles(p, state)) points.push_back(p);
    return points;
}

Outlook look_out(Weighing& w, const std::vector<Rival>& rivals) {
    Outlook o;
    o.job = w.job;
    o.rivals = rivals;
    o.tools = toolbox_of(*w.job);
    o.standing = standing_of(*w.job);
    std::vector<PartId> suspected;
    for (const Rival& r : rivals)
        for (const FaultRange& f : r.evidence->hypothesis.faults) suspected.push_back(f.part);
    o.reach = reach_of(w, suspected, o.tools);
    std::mt19937_64 random(seed);
    for (const Rival& r : rivals) {
        std::vector<Scene> scenes;
        const std::size_t sizes = sizes_of(*r.evidence, rivals.size());
        for (std::size_t k = 0; k < sizes; ++k) {
            const double share = (static_cast<double>(k) + 0.5) / static_cast<double>(sizes);
            auto scene = stage(w, o.reach, faults_at(*r.evidence, share), random);
            if (!scene) continue;
            scene->weight = 1.0 / static_cast<double>(sizes);
            scenes.push_back(std::move(*scene));
        }
        o.scenes.push_back(std::move(scenes));
    }
    return o;
}

std::vector<Prospect> prospects(const Outlook& o) {
    const Circuit& c = o.job->circuit;
    DanglingPoints dangling(c);
    std::vector<Prospect> all;
    const auto add = [&](const Prospect& p) {
        if (!taken(*o.job, p)) all.push_back(p);
    };
    for (int s = 0; s < static_cast<int>(c.states.size()); ++s) {
        const State& state = c.states[static_cast<std::size_t>(s)];
        const std::vector<PointId> points = points_in(o, dangling, s);
        for (std::size_t a = 0; a < points.size(); ++a)
            for (std::size_t b = a + 1; b < points.size(); ++b)
                add({s, Measurand::voltage, points[a], points[b], none});
        for (const Reach::OnPart& on : o.reach.on_parts) {
            const bool still = on.quantity != Measurand::current && holds(state.locked, on.part);
            if (!still && !holds(state.removed, on.part)) add({s, on.quantity, none, none, on.part});
        }
    }
    return all;
}

std::vector<Bell> bells_of(const Outlook& o, const Prospect& p) {
    std::vector<Bell> bells;
    for (std::size_t r = 0; r < o.rivals.size(); ++r)
        for (const Shown& s : shown_by(o, r, p))
            bells.push_back({s.mean, s.variance + blur(o, p, s), s.weight, static_cast<int>(r), s.says});
    return bells;
}

std::vector<Possible> possible_machines(const Outlook& o, const std::vector<Prospect>& all) {
    // Three machines a scene: as it stands, and one draw of its parts' numbers to either side. The three
    // spread two thirds of the variance; the last third blurs each.
    std::vector<Possible> machines;
    for (std::size_t r = 0; r < o.rivals.size(); ++r)
        for (const Scene& scene : o.scenes[r])
            for (int k = 0; k < 3; ++k)
                machines.push_back(
                    {static_cast<int>(r), o.rivals[r].probability * scene.weight / 3, {}, {}, {}});
    for (const Prospect& p : all) {
        std::size_t m = 0;
        for (std::size_t r = 0; r < o.rivals.size(); ++r) {
            const std::vector<Shown> shown = shown_by(o, r, p);
            const bool whole = shown.size() == o.scenes[r].size();
            for (std::size_t s = 0; s < o.scenes[r].size(); ++s)
                for (const double side : {0.0, 1.0, -1.0}) {
                    const Shown here = whole ? shown[s] : Shown{};
                    machines[m].value.push_back(here.mean + side * here.stray);
                    machines[m].says.push_back(here.says);
                    machines[m++].sigma.push_back(whole ? std::sqrt(here.variance / 3 + blur(o, p, here))
                                                        : std::numeric_limits<double>::infinity());
                }
        }
    }
    return machines;
}

} // namespace lostvolts

#include "solver/lesson/practice.h"

#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/format.h>

#include "solver/lesson/looks.h"
#include "solver/lesson/machine.h"
#include "solver/lesson/meters.h"

namespace lostvolts {
namespace {

constexpr double settled = 0.90;      // the program names a part that is this probable, as locate's verdict
constexpr int most_own_readings = 16; // the program gives up after these
constexpr std::uint32_t most_draws = 200;
constexpr std::size_t most_complaints = 3;

Problem about(const Circuit& c, std::string what, std::string write) {
    return {c.file, {}, std::move(what), std::move(write), ""};
}

Readings empty_job(const Circuit& c) {
    Readings job;
    job.circuit = c;
    job.meters = class_meters();
    return job;
}

/// Whether two prospects are one reading, lead for lead or turned round.
bool same(const Prospect& a, const Prospect& b) {
    return a.state == b.state && a.quantity == b.quantity && a.through == b.through &&
           ((a.red == b.red && a.black == b.black) || (a.red == b.black && a.black == b.red));
}

/// Probability of each suspect, by what it is.
using Belief = std::map<std::vector<std::pair<PartId, FaultKind>>, double>;
Belief belief_of(const Location& l) {
    Belief b;
    for (const Suspect& s : l.suspects) {
        std::vector<std::pair<PartId, FaultKind>> key;
        if (s.unmodelled) key.emplace_back(none, FaultKind::open);
        for (const FoundFault& f : s.faults) key.emplace_back(f.part, f.kind);
        b[key] += s.probability;
    }
    return b;
}

double divergence_bits(const Location& before, const Location& after) {
    const Belief was = belief_of(before), is = belief_of(after);
    double bits = 0;
    for (const auto& [suspect, p] : is) {
        const auto q = was.find(suspect);
        if (p > 0 && q != was.end() && q->second > 0) bits += p * std::log2(p / q->second);
    }
    return std::max(bits, 0.0);
}

double probability_of(const Location& l, PartId part) {
    double p = 0;
    for (const Suspect& s : l.suspects)
        if (std::any_of(s.faults.begin(), s.faults.end(),
                        [&](const FoundFault& f) { return f.part == part; }))
            p += s.probability;
    return p;
}

/// The likeliest part; none: nothing wrong is likelier than any.
PartId leading_part(const Location& l) {
    PartId best = none;
    double most = 0;
    for (const Suspect& s : l.suspects) {
        const PartId part = s.faults.empty() ? none : s.faults.front().part;
        const double p = part == none ? s.probability : probability_of(l, part);
        if (p > most) most = p, best = part;
    }
    return best;
}

std::optional<Problem> senseless(const Circuit& c, const Prospect& p) {
    const State& state = c.states[static_cast<std::size_t>(p.state)];
    if (between_two_points(p.quantity) && p.red == p.black)
        return about(c, "both leads are on the same point", "name two points");
    if (p.through == none) return std::nullopt;
    const Part& part = c.parts[static_cast<std::size_t>(p.through)];
    if (std::find(state.removed.begin(), state.removed.end(), p.through) != state.removed.end())
        return about(c, fmt::format("the {} is out of the circuit in state \"{}\"", said(part), state.name),
                     "ask for it in another state");
    if (p.quantity == Measurand::speed && !std::holds_alternative<Motor<>>(part.law))
        return about(c, fmt::format("the {} does not turn", said(part)), "ask for the speed of a motor");
    if (p.quantity == Measurand::sound && !std::holds_alternative<Motor<>>(part.law) &&
        !std::holds_alternative<Relay<>>(part.law))
        return about(c, fmt::format("the {} makes no sound to go by", said(part)),
                     "listen to a motor or a relay");
    return std::nullopt;
}

/// Takes one reading in a play. Nothing when the machine has no working point there.
std::optional<Taken> take_in(Play& play, Machine& machine, const Weighing& class_job, const Prospect& p,
                             PartId truth) {
    const auto shown = machine.shown(class_job, p);
    if (!shown) return std::nullopt;
    Taken t;
    t.asked = p;
    if (p.quantity == Measurand::lamp || p.quantity == Measurand::resistance) t.asked.meter = shown->meter;
    t.value = shown->value;
    t.open = shown->open;
    t.minutes = minutes_to_take(play.job.circuit, standing_of(play.job), p);
    t.again =
        std::any_of(play.taken.begin(), play.taken.end(), [&](const Taken& k) { return same(k.asked, p); });
    t.truth_before = t.truth_after = probability_of(play.belief, truth);
    if (!t.again) {
        play.job.readings.push_back(*shown);
        auto belief = locate(play.job);
        if (!belief) return std::nullopt;
        t.bits = divergence_bits(play.belief, *belief);
        t.truth_after = probability_of(*belief, truth);
        play.belief = *std::move(belief);
    }
    play.minutes += t.minutes;
    play.taken.push_back(t);
    return t;
}

/// Follows locate's own advice to the end; gives the part that it names.
PartId play_out(Play& play, Machine& machine, const Weighing& class_job, PartId truth) {
    while (play.taken.size() < most_own_readings) {
        const PartId leader = leading_part(play.belief);
        if ((leader != none && probability_of(play.belief, leader) >= settled) || play.belief.next.empty())
            return leader;
        const NextReading& n = play.belief.next.front();
        const auto taken = take_in(play, machine, class_job,
                                   {n.state, n.quantity, n.red, n.black, n.through, n.meter}, truth);
        if (!taken || taken->again) return leader;
    }
    return leading_part(play.belief);
}

bool is_ordinary(const State& s) { return s.locked.empty() && s.bridged.empty() && s.removed.empty(); }

/// What would be noticed of a fault in the states in which the machine is simply used.
std::vector<Complaint> complaints_of(const Network& n, const std::vector<StatePrediction>& healthy,
                                     const Fault& fault, Workspace& work) {
    const Circuit& c = *n.circuit;
    std::vector<Complaint> all;
    const bool any = std::any_of(c.states.begin(), c.states.end(), is_ordinary);
    for (const StatePrediction& sound : healthy) {
        const State& state = c.states[static_cast<std::size_t>(sound.state)];
        if (any ? !is_ordinary(state) : !state.locked.empty()) continue;
        const auto now = predict_state(n, sound.state, {fault}, work);
        if (!now) return {}; // a machine that chatters is another lesson
        for (const PartId p : now->overloaded_fuses) all.push_back({sound.state, p, "opens"});
        for (const PartResult& r : now->parts) {
            if (!is_load(c.parts[static_cast<std::size_t>(r.part)].law)) continue;
            const Look look = load_look(c, sound, *now, r.part);
            if (look.changed) all.push_back({sound.state, r.part, look.words});
        }
        if (all.size() >= most_complaints) break;
    }
    if (all.size() > most_complaints) all.resize(most_complaints);
    return all;
}

/// The number-th fault of a seed: by the odds, and evenly over its range.
std::optional<Fault> drawn_fault(const std::vector<Hypothesis>& all, std::uint64_t seed,
                                 std::uint32_t number) {
    double odds = 0;
    for (const Hypothesis& h : all)
        if (!h.faults.empty()) odds += h.faults.front().odds;
    double at = odds * even_draw(seed, Chance::fault, {number});
    for (const Hypothesis& h : all) {
        if (h.faults.size() != 1) continue;
        const FaultRange& f = h.faults.front();
        if ((at -= f.odds) >= 0) continue;
        return Fault{f.part, f.kind, f.size_at(even_draw(seed, Chance::size, {number}))};
    }
    return std::nullopt;
}

} // namespace

Result<Game> start_game(const Circuit& circuit, std::uint64_t seed) {
    Game game;
    game.circuit = std::make_shared<const Circuit>(circuit);
    game.network = analyse(game.circuit);
    game.seed = seed;
    const auto healthy = predict(game.network);
    if (!healthy) return healthy.problems();

    game.student.job = empty_job(circuit);
    auto before = locate(game.student.job);
    if (!before) return before.problems();
    game.student.belief = *std::move(before);
    const auto weighing = prepare(game.network, game.student.job);
    if (!weighing) return weighing.problems();
    const std::vector<Hypothesis> all =
        single_faults(game.network, weighing->typical_amps, weighing->typical_volts);

    Workspace work;
    for (std::uint32_t number = 0; number < most_draws; ++number) {
        const auto fault = drawn_fault(all, seed, number);
        if (!fault) break;
        game.complaints = complaints_of(game.network, *healthy, *fault, work);
        if (game.complaints.empty()) continue;
        game.hidden = *fault;
        game.own = game.student;
        Machine machine(game.network, seed, game.hidden);
        game.own_part = play_out(game.own, machine, *weighing, game.hidden.part);
        if (game.own_part == game.hidden.part) return game;
    }
    return about(circuit, "no fault of this circuit would be noticed and could be found",
                 "give the parts of its loop, and a [[state]] in which it runs");
}

Result<Taken> ask(Game& game, const Prospect& prospect) {
    if (auto problem = senseless(*game.circuit, prospect)) return *problem;
    Machine machine(game.network, game.seed, game.hidden);
    const Readings class_job = empty_job(*game.circuit);
    const auto weighing = prepare(game.network, class_job);
    if (!weighing) return weighing.problems();
    const auto taken = take_in(game.student, machine, *weighing, prospect, game.hidden.part);
    if (!taken)
        return about(*game.circuit, "the machine does not come to rest in that state",
                     "ask in another state");
    return *taken;
}

Score score(const Game& game, const Named& named) {
    Score s;
    s.named = named;
    s.right_part = named.part == game.hidden.part;
    s.right_kind = !named.kind || *named.kind == game.hidden.kind;
    s.found = !s.right_part ? 0 : s.right_kind ? 1 : 0.5;
    s.economy = game.student.minutes > game.own.minutes ? game.own.minutes / game.student.minutes : 1;
    s.marks = s.found * s.economy;
    s.sure = named.part == none ? 0 : probability_of(game.student.belief, named.part);
    return s;
}

} // namespace lostvolts

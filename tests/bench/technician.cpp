#include "tests/bench/technician.h"

#include <algorithm>
#include <cmath>
#include <deque>
#include <set>
#include <stdexcept>

#include "solver/locate/effort.h"
#include "solver/locate/toolbox.h"
#include "solver/locate/weighing.h"

namespace lostvolts::testing {
namespace {

constexpr double enough = 0.95;
constexpr int most_readings = 30;
constexpr double rival = 0.003; // suspects below this are no members of a group

std::vector<Meter> usual_meters() {
    std::vector<Meter> meters(3);
    meters[0].name = "multimeter";
    meters[0].accuracy = {0.005, 2};
    meters[0].resolution = 0.01;
    meters[1].name = "clamp";
    meters[1].accuracy = {0.02, 5};
    meters[1].resolution = 0.1;
    meters[2].name = "test lamp";
    meters[2].lights = true;
    return meters;
}

/// What an eye, an ear or an ohmmeter makes of the machine: a word by its chance, or ohms with the leads'
/// own.
std::optional<Reading> take_word(Machine& machine, const Weighing& drawn, Reading r, Random& random) {
    const bool ohmmeter = r.quantity == Measurand::resistance;
    r.open = ohmmeter; // it may be: the hookup is asked for that word
    const Hookup hookup = hookup_of(drawn, r);
    const auto number =
        ohmmeter ? machine.show_ohms(r.state, {r.red, r.black}) : machine.show(r.state, hookup.probe);
    if (!number) return std::nullopt;
    double share = uniform(random, 0, 1);
    int word = 0;
    for (int k = 0; k < static_cast<int>(most_words) && share >= 0; ++k) {
        const double chance = chance_of(*hookup.sense, k, hookup.scaling(*number), 0);
        if (chance > 0) word = k;
        share -= chance;
    }
    r.value = word;
    r.open = ohmmeter && word == 0;
    if (!ohmmeter || r.open) return r;
    const Toolbox tools = toolbox_of(*drawn.job);
    const double ohms = *number + hookup.scaling.added * uniform(random, 0.7, 1.3);
    r.resolution = tool_resolution(tools, r.quantity, ohms);
    const Accuracy accuracy = usual_accuracy(r.quantity);
    const double half = accuracy.share * ohms + accuracy.counts * r.resolution;
    r.value = std::max(std::round((ohms + uniform(random, -half, half)) / r.resolution) * r.resolution, 0.0);
    return r;
}

Reading reading_of(const Readings& job, int state, Measurand quantity, PointId red, PointId black,
                   PartId through) {
    Reading r;
    r.state = state;
    r.quantity = quantity;
    r.red = red;
    r.black = black;
    r.through = through;
    r.meter = quantity == Measurand::current ? 1 : 0;
    r.resolution = job.meters[static_cast<std::size_t>(r.meter)].resolution;
    return r;
}

bool taken(const Readings& job, const Reading& r) {
    return std::any_of(job.readings.begin(), job.readings.end(),
                       [&](const Reading& o) { return same_place(o, r); });
}

bool removed_in(const Circuit& c, int state, PartId part) {
    const auto& out = c.states[static_cast<std::size_t>(state)].removed;
    return std::find(out.begin(), out.end(), part) != out.end();
}

/// Volts across every part and amperes through it, state after state, with a suspect's fault in at the size
/// found; empty when a state has no working point.
std::vector<double> signature(const Network& n, const Suspect& s, Workspace& work) {
    const std::vector<Fault> faults = faults_of(s);
    std::vector<double> all;
    Operating at;
    for (int state = 0; state < static_cast<int>(n.circuit->states.size()); ++state) {
        Setup setup = set_up(n, state, faults);
        if (operate(n, setup, work, at)) return {};
        for (const Branch& b : n.branches) all.push_back(at.across(b));
        for (std::size_t p = 0; p < n.circuit->parts.size(); ++p)
            all.push_back(is_load(n.circuit->parts[p].law) ? at.branch_amps[p] : 0);
    }
    return all;
}

/// No drop and no load's current differs by more than the meter's accuracy, in any state.
bool alike(const std::vector<double>& a, const std::vector<double>& b) {
    if (a.empty() || a.size() != b.size()) return false;
    for (std::size_t k = 0; k < a.size(); ++k)
        if (std::abs(a[k] - b[k]) > 0.02 + 0.005 * std::max(std::abs(a[k]), std::abs(b[k]))) return false;
    return true;
}

/// The first suspect and those that no reading could tell from it.
std::vector<const Suspect*> group_of(const Network& n, const Location& found, Workspace& work) {
    std::vector<const Suspect*> group;
    const Suspect& first = found.suspects.front();
    if (first.unmodelled) return group;
    const std::vector<double> like = signature(n, first, work);
    for (const Suspect& s : found.suspects) {
        if (s.unmodelled || s.probability < rival) continue;
        if (&s == &first || alike(like, signature(n, s, work))) group.push_back(&s);
    }
    return group;
}

/// The points from the battery's plus through the load to its minus, by the fewest conducting parts.
std::vector<PointId> path_through(const Circuit& c, PartId load) {
    const auto walk = [&](PointId from, PointId to) {
        std::vector<PointId> before(c.points.size(), none);
        std::deque<PointId> reached{from};
        before[static_cast<std::size_t>(from)] = from;
        while (!reached.empty()) {
            const PointId at = reached.front();
            reached.pop_front();
            for (const Part& p : c.parts) {
                if (is_load(p.law) || is_source(p.law) || (p.from != at && p.to != at)) continue;
                const PointId next = p.from == at ? p.to : p.from;
                if (before[static_cast<std::size_t>(next)] != none) continue;
                before[static_cast<std::size_t>(next)] = at;
                reached.push_back(next);
            }
        }
        std::vector<PointId> path{to};
        while (path.back() != from) path.push_back(before[static_cast<std::size_t>(path.back())]);
        std::reverse(path.begin(), path.end());
        return path;
    };
    const Part& l = c.parts[static_cast<std::size_t>(load)];
    PointId plus = none;
    for (const Part& p : c.parts)
        if (std::holds_alternative<Battery<>>(p.law)) plus = p.to;
    std::vector<PointId> path = walk(plus, l.from);
    const std::vector<PointId> back = walk(l.to, c.ground);
    path.insert(path.end(), back.begin(), back.end());
    return path;
}

/// Halves the path, each time keeping the half that is the more suspect. Once one part is left: its drop, the
/// load's current, then drops in the order of suspicion, state by state.
class HalfSplit {
  public:
    HalfSplit(const Circuit& circuit, PartId load)
        : load_(load), path_(path_through(circuit, load)), high_(static_cast<int>(path_.size()) - 1) {}

    std::optional<Reading> next(const Readings& job, const Location& found) {
        const Circuit& c = job.circuit;
        const auto volts = [&](PointId red, PointId black) {
            return reading_of(job, 0, Measurand::voltage, red, black, none);
        };
        while (high_ - low_ > 1) {
            if (middle_ != none) {
                const double before = suspicion(c, found, low_, middle_),
                             after = suspicion(c, found, middle_, high_);
                (before > after ? high_ : low_) = middle_;
                middle_ = none;
                continue;
            }
            middle_ = (low_ + high_) / 2;
            const PointId point = path_[static_cast<std::size_t>(middle_)];
            if (point == c.ground) continue;
            const Reading r = volts(point, c.ground);
            if (!taken(job, r)) return r;
        }
        const Reading across =
            volts(path_[static_cast<std::size_t>(low_)], path_[static_cast<std::size_t>(high_)]);
        if (!taken(job, across)) return across;
        for (int state = 0; state < static_cast<int>(c.states.size()); ++state) {
            if (!removed_in(c, state, load_)) {
                const Reading amps = reading_of(job, state, Measurand::current, none, none, load_);
                if (!taken(job, amps)) return amps;
            }
            std::set<PartId> done;
            for (const Suspect& s : found.suspects) {
                if (s.faults.empty() || s.probability < rival || !done.insert(s.faults.front().part).second)
                    continue;
                const PartId p = s.faults.front().part;
                if (removed_in(c, state, p)) continue;
                const Part& part = c.parts[static_cast<std::size_t>(p)];
                const Reading drop = reading_of(job, state, Measurand::voltage, part.from, part.to, none);
                if (!taken(job, drop)) return drop;
                if (part.coil_from == none) continue;
                const Reading coil =
                    reading_of(job, state, Measurand::voltage, part.coil_from, part.coil_to, none);
                if (!taken(job, coil)) return coil;
            }
        }
        return std::nullopt;
    }

  private:
    /// Of the parts between two places of the path.
    double suspicion(const Circuit& c, const Location& found, int from, int to) const {
        const auto place = [&](PointId p) {
            const auto at = std::find(path_.begin(), path_.end(), p);
            return at == path_.end() ? none : static_cast<int>(at - path_.begin());
        };
        double sum = 0;
        for (const Suspect& s : found.suspects) {
            if (s.faults.empty()) continue;
            const Part& part = c.parts[static_cast<std::size_t>(s.faults.front().part)];
            const int a = place(part.from), b = place(part.to);
            if (a != none && b != none && std::min(a, b) >= from && std::max(a, b) <= to)
                sum += s.probability;
        }
        return sum;
    }

    PartId load_;
    std::vector<PointId> path_;
    int low_ = 0, high_, middle_ = none;
};

std::optional<Reading> advised(const Readings& job, const Location& found, bool numbers_only) {
    for (const NextReading& n : found.next) {
        Reading r = reading_of(job, n.state, n.quantity, n.red, n.black, n.through);
        if (n.quantity != Measurand::voltage && n.quantity != Measurand::current) {
            if (numbers_only) continue;
            r.meter = n.meter;
            r.resolution = 0;
        }
        return r;
    }
    return std::nullopt;
}

bool is_advice(Probing p) { return p == Probing::advice || p == Probing::volts_and_amperes; }

std::optional<Reading> any(const Readings& job, Random& r) {
    const Circuit& c = job.circuit;
    for (int tries = 0; tries < 200; ++tries) {
        const int state = below(r, static_cast<int>(c.states.size()));
        const auto p = below(r, static_cast<int>(c.parts.size()));
        const Part& part = c.parts[static_cast<std::size_t>(p)];
        if (removed_in(c, state, p)) continue;
        const int what = below(r, 3);
        if (what == 0 && !is_load(part.law)) continue;
        const Reading chosen = what == 0 ? reading_of(job, state, Measurand::current, none, none, p)
                               : what == 1
                                   ? reading_of(job, state, Measurand::voltage, part.from, part.to, none)
                                   : reading_of(job, state, Measurand::voltage,
                                                part.from == c.ground ? part.to : part.from, c.ground, none);
        if (!taken(job, chosen)) return chosen;
    }
    return std::nullopt;
}

} // namespace

Complaint random_complaint(Random& random, Family family, int size) {
    for (;;) {
        Complaint out;
        out.circuit = random_harness(random, family, size);
        out.fault = random_fault(random, out.circuit);
        out.numbers = random();
        Random same(out.numbers), again(out.numbers);
        Machine sound(out.circuit, {}, false, same);
        Machine faulty(out.circuit, {{out.fault.range.part, out.fault.range.kind, out.fault.size}}, false,
                       again);
        double most = 0.1;
        for (PartId p = 0; p < static_cast<PartId>(out.circuit.parts.size()); ++p) {
            const Part& part = out.circuit.parts[static_cast<std::size_t>(p)];
            if (!is_load(part.law)) continue;
            const auto watts = [&](Machine& m) {
                const auto volts = m.show(0, {ProbeKind::voltage, part.from, part.to, none, 10e6});
                const auto amps = m.show(0, {ProbeKind::current, none, none, p, 10e6});
                return volts && amps ? *volts * *amps : std::nan("");
            };
            const double should = watts(sound), is = watts(faulty);
            const double off = std::abs(is - should) / std::abs(should);
            if (off > most) most = off, out.load = p;
        }
        bool works = true;
        for (int s = 0; s < static_cast<int>(out.circuit.states.size()); ++s)
            works = works && faulty.show(s, {ProbeKind::voltage, 1, 0, none, 10e6}).has_value();
        if (out.load != none && works) return out;
    }
}

Search search(const Complaint& complaint, Probing probing, std::uint64_t seed) {
    Random numbers(complaint.numbers), random(seed);
    const DrawnFault& fault = complaint.fault;
    Machine machine(complaint.circuit, {{fault.range.part, fault.range.kind, fault.size}}, false, numbers);
    Readings job;
    job.circuit = complaint.circuit;
    job.meters = usual_meters();
    const Network drawn = analyse(std::make_shared<const Circuit>(complaint.circuit));
    const Readings nothing_read = job;
    const auto weighing = prepare(drawn, nothing_read);
    if (!weighing) throw std::logic_error(describe(weighing.problems().front()));
    Workspace work;
    HalfSplit half(job.circuit, complaint.load);

    Search out;
    const Part& load = job.circuit.parts[static_cast<std::size_t>(complaint.load)];
    std::optional<Reading> next = reading_of(job, 0, Measurand::voltage, load.from, load.to, none);
    while (next && out.readings < most_readings) {
        const bool number = next->quantity == Measurand::voltage || next->quantity == Measurand::current;
        const auto shown =
            number ? take(machine, job, *next, random) : take_word(machine, *weighing, *next, random);
        if (!shown) break;
        const double minutes = minutes_to_take(
            job.circuit, standing_of(job),
            {next->state, next->quantity, next->red, next->black, next->through, next->meter});
        out.minutes += minutes;
        if (out.readings > 0) out.chosen_minutes += minutes;
        job.readings.push_back(*shown);
        ++out.readings;
        const auto found = locate(job, AtMost::two, is_advice(probing) ? Advising::yes : Advising::no);
        if (!found) break;
        double together = 0;
        bool right = false;
        for (const Suspect* s : group_of(drawn, *found, work)) {
            together += s->probability;
            right |= s->faults.size() == 1 && s->faults.front().part == fault.range.part &&
                     s->faults.front().kind == fault.range.kind;
        }
        if (together >= enough) {
            out.settled = true;
            out.right = right;
            break;
        }
        next = is_advice(probing)               ? advised(job, *found, probing == Probing::volts_and_amperes)
               : probing == Probing::half_split ? half.next(job, *found)
                                                : any(job, random);
    }
    return out;
}

} // namespace lostvolts::testing

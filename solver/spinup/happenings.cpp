#include <algorithm>
#include <cmath>

#include "solver/spinup/run_state.h"

namespace lostvolts {
namespace {

/// The least share of a step, up to `most`, at which the test has come true; it is true at `most`.
template <class Test> double first_share(const Test& test, double most) {
    double low = 0, high = most;
    for (int k = 0; k < 60 && high - low > 1e-13; ++k) {
        const double mid = 0.5 * (low + high);
        (test(mid) ? high : low) = mid;
    }
    return high;
}

} // namespace

int Run::region_at(int p, double share) {
    const Port& q = port(p);
    InTime own{};
    for (int k = 0; k < q.count; ++k)
        own[static_cast<std::size_t>(k)] = stepper.own_at(at, q.first + k, share);
    return region_of(q.law, stepper.volts_at(at, q.a, share) - stepper.volts_at(at, q.b, share), own.data());
}

int Run::region_of_moment(int p, const Moment& m) {
    const Port& q = port(p);
    const auto volts = [&](std::int32_t n) { return n < 0 ? 0 : m.volts[static_cast<std::size_t>(n)]; };
    return region_of(q.law, volts(q.a) - volts(q.b), m.own.data() + q.first);
}

void Run::take_regions() {
    for (std::size_t i = 0; i < bent.size(); ++i) regions[i] = region_of_moment(bent[i], at);
}

void Run::move(int m, bool closed, Happening what) {
    Mover& mover = model.movers[static_cast<std::size_t>(m)];
    std::get<Contact>(port(mover.port).law).closed = closed;
    events.push_back({from_si<Time<>>(t), mover.part, what});
}

void Run::turn_corner(const Due& due) {
    const Course& course = request.courses[static_cast<std::size_t>(due.index)];
    const auto k = static_cast<std::size_t>(due.corner);
    const int p = model.port_of_part[static_cast<std::size_t>(course.battery)];
    if (p == none) return;
    std::get<Supply>(port(p).law).emf = course.emf[k];
    const bool last = k + 1 == course.at.size();
    port(p).emf_rate = last ? 0 : si(course.emf[k + 1] - course.emf[k]) / si(course.at[k + 1] - course.at[k]);
}

void Run::break_part(const Due& due) {
    const Fault& fault = request.changes[static_cast<std::size_t>(due.index)].fault;
    events.push_back({from_si<Time<>>(t), fault.part, Happening::breaks});
    const int p = model.port_of_part[static_cast<std::size_t>(fault.part)];
    if (p == none) return;
    TimeLaw& law = port(p).law;
    if (auto* contact = std::get_if<Contact>(&law)) {
        if (fault.kind == FaultKind::open) contact->closed = false;
        if (fault.kind == FaultKind::high_resistance)
            contact->closed_resistance += from_si<Resistance<>>(fault.size);
    } else if (auto* motor = std::get_if<Motor<>>(&law)) {
        apply(*motor, fault.kind, fault.size);
    } else if (auto* turning_motor = std::get_if<Commutating>(&law)) {
        apply(turning_motor->motor, fault.kind, fault.size);
    } else if (auto* fuse = std::get_if<Fuse<>>(&law)) {
        apply(*fuse, fault.kind, fault.size);
    } else if (auto* supply = std::get_if<Supply>(&law)) {
        auto battery = std::get<Battery<>>(network.circuit->parts[static_cast<std::size_t>(fault.part)].law);
        apply(battery, fault.kind, fault.size);
        supply->resistance += battery.added;
        if (fault.kind == FaultKind::low_charge) supply->emf = battery.emf;
    }
}

std::optional<Problem> Run::take_due() {
    while (timeline.next() <= t) {
        const Due due = timeline.take();
        switch (due.what) {
        case Due::What::close:
            move(due.mover, true, Happening::closes);
            break;
        case Due::What::open:
            move(due.mover, false, Happening::opens);
            break;
        case Due::What::change:
            break_part(due);
            break;
        case Due::What::corner:
            turn_corner(due);
            break;
        case Due::What::sources_on:
            events.push_back({from_si<Time<>>(t), none, Happening::sources_on});
            break;
        }
    }
    return restart();
}

double Run::coil_amps(const Mover& m, double share) {
    return std::abs(stepper.own_at(at, port(m.coil_port).first, share));
}

bool Run::asks(const Mover& m, double amps) {
    return m.pulled ? amps < m.drop_out_amps : amps >= m.pull_in_amps;
}

bool Run::relay_asks() {
    return std::any_of(model.movers.begin(), model.movers.end(), [&](const Mover& m) {
        return m.coil_port != none &&
               asks(m, std::abs(stepper.end.own[static_cast<std::size_t>(port(m.coil_port).first)]));
    });
}

bool Run::bends() {
    for (std::size_t i = 0; i < bent.size(); ++i)
        if (region_of_moment(bent[i], stepper.end) != regions[i]) return true;
    return false;
}

double Run::share_to_happening() {
    double least = 1;
    for (std::size_t i = 0; i < bent.size(); ++i) {
        const auto changed = [&](double s) { return region_at(bent[i], s) != regions[i]; };
        if (region_of_moment(bent[i], stepper.end) != regions[i] || (least < 1 && changed(least)))
            least = std::min(least, first_share(changed, least));
    }
    for (const Mover& m : model.movers) {
        if (m.coil_port == none) continue;
        const auto asked = [&](double s) { return asks(m, coil_amps(m, s)); };
        if (asked(least)) least = std::min(least, first_share(asked, least));
    }
    return least;
}

bool Run::sharpen(double& length) {
    for (const Mover& m : model.movers) {
        if (m.coil_port == none) continue;
        const double mark = m.pulled ? m.drop_out_amps : m.pull_in_amps;
        const double end = coil_amps(m, 1), before = coil_amps(m, 1 - 1e-3);
        const double slope = (end - before) / 1e-3, off = (mark - end) / slope;
        if (!(std::abs(off) < 0.05) || (m.pulled ? slope > 0 : slope < 0)) continue;
        if (off > -4 * past_kink && off < -0.1 * past_kink) return false; // just past it
        length *= 1 + off + past_kink;
        return true;
    }
    return false;
}

} // namespace lostvolts

#include "solver/spinup/digest.h"

#include <algorithm>
#include <cmath>

#include "solver/reference/tables.h"

namespace lostvolts {
namespace {

// Gauss–Legendre, three points, on 0 … 1.
constexpr double gauss_at[] = {0.1127016653792583, 0.5, 0.8872983346207417};
constexpr double gauss_weight[] = {5.0 / 18, 8.0 / 18, 5.0 / 18};
constexpr int looks = 8; // for peaks, within a step

double port_volts(const Step& step, const Port& p, double s) {
    return step.stepper.volts_at(step.at, p.a, s) - step.stepper.volts_at(step.at, p.b, s);
}
InTime port_own(const Step& step, const Port& p, double s) {
    InTime own{};
    for (int k = 0; k < p.count; ++k)
        own[static_cast<std::size_t>(k)] = step.stepper.own_at(step.at, p.first + k, s);
    return own;
}

} // namespace

double read(const Reader& r, const Model& model, const Step& step, double s) {
    if (r.own != none) return step.stepper.own_at(step.at, r.own, s);
    if (r.port != none) {
        const Port& p = model.system.ports[static_cast<std::size_t>(r.port)];
        TimeValue value;
        look(p.law, port_volts(step, p, s), port_own(step, p, s).data(), value);
        return value.amps;
    }
    double sum = r.constant;
    for (const auto& [node, weight] : r.weights) sum += weight * step.stepper.volts_at(step.at, node, s);
    return sum;
}

Digest::Digest(const Network& network, const Setup& setup, const SpinUpRequest& request, const Model& model)
    : request_(request), model_(model) {
    const auto parts = static_cast<PartId>(setup.parts.size());
    source_.assign(setup.parts.size(), 0);
    for (PartId p = 0; p < parts; ++p) {
        const AnyPart& part = setup.parts[static_cast<std::size_t>(p)];
        const int port = model.port_of_part[static_cast<std::size_t>(p)];
        if (std::holds_alternative<Battery<>>(part) || std::holds_alternative<Charger<>>(part)) {
            source_[static_cast<std::size_t>(p)] = 1;
            if (setup.link[static_cast<std::size_t>(p)] != Link::out)
                supplies_.push_back({{p, from_si<Voltage<>>(1e300), {}}, across_part(network, model, p)});
        }
        if (port == none) continue;
        const Port& at = model.system.ports[static_cast<std::size_t>(port)];
        if (std::holds_alternative<Motor<>>(part))
            motors_.push_back({p, at.first, std::holds_alternative<Commutating>(at.law), {}, {}, {}, {}});
        const auto* fuse = std::get_if<Fuse<>>(&part);
        if (fuse && si(fuse->settings.rating) > 0) {
            Reader amps;
            amps.own = at.first;
            FuseHeat heat;
            heat.part = p;
            fuses_.push_back({heat, amps, si(fuse->settings.rating)});
        }
    }
    stored_first_ = stored(model.start);
}

double Digest::stored(const Moment& at) const {
    double joules = 0;
    for (const Port& p : model_.system.ports) joules += stored_energy(p.law, at.own.data() + p.first);
    return joules;
}

void Digest::add_energy(const Step& step, double share, double seconds) {
    for (std::size_t p = 0; p < model_.system.ports.size(); ++p) {
        const Port& port = model_.system.ports[p];
        const InTime own = port_own(step, port, share);
        const PowerSplit power = power_of(port.law, port_volts(step, port, share), own.data());
        const bool coil = std::holds_alternative<RelayCoil>(port.law);
        if (!coil && source_[static_cast<std::size_t>(model_.part_of_port[p])]) {
            given_ -= power.in * seconds;
            continue;
        }
        heat_ += (power.in - power.storing - power.work) * seconds;
        work_ += power.work * seconds;
    }
    for (const Straight& s : model_.straights) {
        const double volts = read(s.volts, model_, step, share);
        const double watts = volts * (s.siemens * volts + s.amps) * seconds;
        if (source_[static_cast<std::size_t>(s.part)])
            given_ -= watts;
        else
            heat_ += watts;
    }
    for (FuseTrace& f : fuses_) {
        const double amps = std::abs(read(f.reader, model_, step, share));
        const OperatingTime time = blade_fuse_operating_time(amps / f.rating);
        f.heat.shortest_share += seconds / si(time.shortest);
        f.heat.longest_share += seconds / si(time.longest);
        const auto now = from_si<Time<>>(step.from + share * step.length);
        if (f.heat.shortest_share >= 1 && !f.heat.opens_earliest) f.heat.opens_earliest = now;
        if (f.heat.longest_share >= 1 && !f.heat.opens_latest) f.heat.opens_latest = now;
    }
}

void Digest::take(const Step& step) {
    for (int g = 0; g < 3; ++g)
        add_energy(step, gauss_at[g] * step.share, gauss_weight[g] * step.share * step.length);
    for (int k = 1; k <= looks; ++k) {
        const double s = step.share * k / looks, seconds = step.from + s * step.length;
        for (MotorTrace& m : motors_) {
            m.seconds.push_back(seconds);
            m.amps.push_back(step.stepper.own_at(step.at, m.first, s));
            m.speed.push_back(step.stepper.own_at(step.at, m.first + 1, s));
            if (m.turns) m.angle.push_back(step.stepper.own_at(step.at, m.first + 2, s));
        }
        for (FuseTrace& f : fuses_)
            f.heat.peak =
                std::max(f.heat.peak, from_si<Current<>>(std::abs(read(f.reader, model_, step, s))));
        for (SupplyTrace& supply : supplies_) {
            const double volts = -read(supply.reader, model_, step, s); // `from` is the negative post
            if (volts >= si(supply.dip.lowest)) continue;
            supply.dip.lowest = from_si<Voltage<>>(volts);
            supply.dip.at = from_si<Time<>>(seconds);
        }
    }
    if (step.from + step.share * step.length < si(request_.duration) * (1 - 1e-9)) return;
    Moment last = step.at;
    for (std::size_t k = 0; k < last.own.size(); ++k)
        last.own[k] = step.stepper.own_at(step.at, static_cast<int>(k), step.share);
    stored_last_ = stored(last);
}

void Digest::finish(SpinUp& out) const {
    for (const FuseTrace& f : fuses_) out.fuses.push_back(f.heat);
    for (const SupplyTrace& s : supplies_) out.supplies.push_back(s.dip);
    for (const MotorTrace& m : motors_) {
        if (m.seconds.empty()) continue;
        MotorStart start;
        start.part = m.part;
        const auto peak = std::max_element(m.amps.begin(), m.amps.end(),
                                           [](double a, double b) { return std::abs(a) < std::abs(b); });
        start.peak = from_si<Current<>>(*peak);
        start.peak_at = from_si<Time<>>(m.seconds[static_cast<std::size_t>(peak - m.amps.begin())]);
        start.speed = from_si<Speed<>>(m.speed.back());
        double run = m.amps.back();
        if (m.turns) {
            double area = 0, time = 0;
            for (std::size_t k = m.seconds.size() - 1; k > 0; --k) {
                const double dt = m.seconds[k] - m.seconds[k - 1];
                area += 0.5 * (m.amps[k] + m.amps[k - 1]) * dt;
                time += dt;
                if (std::abs(m.angle.back() - m.angle[k - 1]) >= 2 * std::numbers::pi) break;
            }
            if (time > 0) run = area / time;
        }
        start.run = from_si<Current<>>(run);
        const double goal = 0.95 * m.speed.back();
        if (std::abs(goal) > 1e-3)
            for (std::size_t k = 1; k < m.speed.size(); ++k) {
                const double before = m.speed[k - 1] - goal, after = m.speed[k] - goal;
                if (before * goal >= 0 || after * goal < 0) continue;
                const double at =
                    m.seconds[k - 1] + (m.seconds[k] - m.seconds[k - 1]) * before / (before - after);
                start.to_95_percent = from_si<Time<>>(at) - request_.closing;
                break;
            }
        out.motors.push_back(start);
    }
    const auto joules = [](double value) { return from_si<Energy<>>(value); };
    const double gained = stored_last_ - stored_first_;
    out.energy = {joules(given_), joules(heat_), joules(work_), joules(gained),
                  joules(given_ - heat_ - work_ - gained)};
}

} // namespace lostvolts

#include "tests/network/random_harness.h"

#include <algorithm>

namespace lostvolts::testing {
namespace {

/// A harness in the making: chains of parts from point to point, loads at their ends.
class Maker {
  public:
    Maker(Random& random, Family family, int size)
        : r_(random), family_(family), size_(size), volts_(below(random, 4) == 0 ? 24 : 12) {
        b_.circuit.name = "random harness";
        const double inside = log_uniform(r_, 5e-3, 30e-3);
        b_.add(battery(uniform(r_, 0.99, 1.06) * volts_, inside), minus, "battery +", "battery");
    }

    Circuit make() {
        if (family_ == Family::series)
            one_loop();
        else
            branches();
        add_states();
        set_access();
        return std::move(b_.circuit);
    }

  private:
    static constexpr std::string_view minus = "battery -"; // reads 0 V
    static constexpr int longest_loop = 24;

    struct Load {
        AnyPart law;
        double amps;
    };

    int parts() const { return static_cast<int>(b_.circuit.parts.size()); }
    std::string numbered(std::string_view word) {
        return std::string(word) + " " + std::to_string(parts() + 1);
    }

    Load load() {
        const int kind = below(r_, 4);
        if (kind == 0) {
            const Lamp<> lamp = random_lamp(r_, volts_);
            return {lamp, volts_ / si(lamp.resistance)};
        }
        if (kind == 1) {
            const double watts = log_uniform(r_, 20, 200);
            return {conductor<Heater<>>(volts_ * volts_ / watts), watts / volts_};
        }
        const Motor<> motor = random_motor(r_, volts_);
        return {motor, si(motor.settings.run_current)};
    }

    /// A conductor that drops so much at its current when healthy.
    double ohms_for(double amps, double least, double most) {
        return log_uniform(r_, least, most) / std::max(amps, 0.5);
    }

    AnyPart sized_wire(double amps) { return wire(std::clamp(ohms_for(amps, 0.01, 0.15), 1e-3, 0.3)); }

    AnyPart joint(double amps) {
        const double ohms = std::clamp(ohms_for(amps, 0.005, 0.05), 1e-3, 10e-3);
        if (below(r_, 3) == 0) return conductor<Splice<>>(ohms);
        return conductor<Connector<>>(ohms);
    }

    AnyPart feed_part(double amps) {
        const int kind = below(r_, 10);
        if (kind < 4) return sized_wire(amps);
        if (kind < 7) return joint(amps);
        if (kind == 7) return conductor<Switch<>>(std::clamp(ohms_for(amps, 0.02, 0.1), 2e-3, 20e-3));
        Fuse<> fuse;
        const double rating = std::max(1.6 * amps, 3.0);
        fuse.settings.rating = from_si<Current<>>(rating);
        fuse.cold = from_si<Resistance<>>(uniform(r_, 0.05, 0.08) / rating);
        fuse.settings.heating = uniform(r_, 0.2, 0.6);
        return fuse;
    }

    AnyPart return_part(double amps) { return below(r_, 2) ? sized_wire(amps) : joint(amps); }

    /// The relay's contact from a point to a new one, its coil on a circuit of its own from the battery.
    void relay(const std::string& from, const std::string& to, double amps) {
        Relay<> law;
        law.contact = from_si<Resistance<>>(std::clamp(ohms_for(amps, 0.02, 0.06), 2e-3, 10e-3));
        law.coil = from_si<Resistance<>>(uniform(r_, 75, 100) * volts_ * volts_ / 144);
        law.settings.pull_in = from_si<Voltage<>>(0.6 * volts_);
        law.settings.drop_out = from_si<Voltage<>>(0.1 * volts_);
        b_.add(conductor<Switch<>>(uniform(r_, 5e-3, 20e-3)), "battery +", "coil switch", "coil switch");
        b_.add(wire(uniform(r_, 0.01, 0.2)), "coil switch", "coil +", "coil wire");
        relay_ = b_.add_relay(law, from, to, "coil +", "coil -", "relay");
        b_.add(conductor<Ground<>>(3e-3), "coil -", minus, "coil ground");
    }

    /// `count` parts from a point; gives the point at their end.
    std::string feed(std::string at, int count, double amps, bool with_relay) {
        const int relay_at = with_relay ? below(r_, std::max(count, 1)) : -1;
        for (int k = 0; k < count; ++k) {
            std::string next = numbered("feed");
            if (k == relay_at)
                relay(at, next, amps);
            else
                b_.add(feed_part(amps), at, next);
            at = std::move(next);
        }
        return at;
    }

    /// `count` parts from a point to the battery's minus, the last of them a ground.
    void go_back(std::string at, int count, double amps) {
        for (int k = 1; k < count; ++k) {
            std::string next = numbered("return");
            b_.add(return_part(amps), at, next);
            at = std::move(next);
        }
        b_.add(conductor<Ground<>>(std::clamp(ohms_for(amps, 0.005, 0.03), 0.5e-3, 5e-3)), at, minus);
    }

    PartId add_load(const Load& load, const std::string& from, const std::string& to) {
        return b_.add(load.law, from, to, numbered("load"));
    }

    void one_loop() {
        const Load load = this->load();
        const bool with_relay = below(r_, 2) == 0;
        const int chain =
            std::clamp(std::min(size_, longest_loop) - 2 - (with_relay ? 3 : 0), 3, longest_loop);
        const int back = std::max(1, chain / 3);
        const std::string at = feed("battery +", chain - back, load.amps, with_relay);
        const std::string after = numbered("return");
        add_load(load, at, after);
        go_back(after, back, load.amps);
    }

    void branches() {
        const bool with_relay = below(r_, 3) == 0;
        const bool shared = family_ == Family::shared_ground;
        const int trunk = 1 + below(r_, 3), common = shared ? 1 + below(r_, 3) : 0;
        const int left = size_ - 1 - trunk - common - (with_relay ? 3 : 0);
        const int per_branch = 4 + below(r_, 4);
        const int count = std::max(2, left / per_branch);
        std::vector<Load> loads;
        double amps = 0;
        for (int k = 0; k < count; ++k) {
            loads.push_back(load());
            amps += loads.back().amps;
        }
        const std::string bus = feed("battery +", trunk, amps, with_relay);
        const std::string common_point = shared ? numbered("common") : "";
        for (const Load& load : loads) {
            const int back = shared ? below(r_, 2) : 1 + below(r_, 2);
            const int length = std::max(1, left / count - 1 - back);
            const std::string at = feed(bus, length, load.amps, false);
            std::string after = shared && back == 0 ? common_point : numbered("return");
            add_load(load, at, after);
            if (!shared) go_back(after, back, load.amps);
            if (shared && back > 0) b_.add(return_part(load.amps), after, common_point);
        }
        if (shared) go_back(common_point, common, amps);
    }

    State& new_state(std::string name) {
        State s = b_.circuit.states.front();
        s.name = std::move(name);
        b_.circuit.states.push_back(std::move(s));
        return b_.circuit.states.back();
    }

    void add_states() {
        const Circuit& c = b_.circuit;
        int held = 0;
        std::vector<PartId> loads;
        for (PartId p = 0; p < parts(); ++p)
            if (is_load(c.parts[static_cast<std::size_t>(p)].law)) loads.push_back(p);
        for (const PartId p : loads) {
            if (!std::holds_alternative<Motor<>>(c.parts[static_cast<std::size_t>(p)].law) || held == 2)
                continue;
            ++held;
            new_state("held " + std::to_string(held)).locked.push_back(p);
        }
        new_state("unplugged")
            .removed.push_back(loads[static_cast<std::size_t>(below(r_, static_cast<int>(loads.size())))]);
        if (relay_ != none) new_state("bridged").bridged.push_back(relay_);
        const std::vector<PartId> closed = c.states.front().closed; // switches, the coil's among them
        if (closed.size() > 1) {
            State& s = new_state("one switch off");
            s.closed.erase(s.closed.begin() + below(r_, static_cast<int>(closed.size())));
        }
    }

    void set_access() {
        for (Point& p : b_.circuit.points) {
            const double share = uniform(r_, 0, 1);
            const double minutes = share < 0.6 ? 1 : share < 0.85 ? 5 : uniform(r_, 10, 25);
            p.access = from_si<Time<>>(60 * (p.name.starts_with("battery") ? 1 : minutes));
        }
    }

    Random& r_;
    Family family_;
    int size_;
    double volts_;
    Builder b_;
    PartId relay_ = none;
};

} // namespace

std::string_view name_of(Family family) {
    switch (family) {
    case Family::series:
        return "series";
    case Family::branched:
        return "branched";
    case Family::shared_ground:
        return "shared ground";
    }
    return "";
}

Circuit random_harness(Random& random, Family family, int size) { return Maker(random, family, size).make(); }

} // namespace lostvolts::testing

#include "tests/network/random_circuit.h"

namespace lostvolts::testing {
namespace {

AnyPart feed_part(Random& r) {
    switch (below(r, 6)) {
    case 0:
        return conductor<Connector<>>(log_uniform(r, 1e-3, 20e-3));
    case 1:
        return conductor<Splice<>>(log_uniform(r, 0.5e-3, 5e-3));
    case 2: {
        Fuse<> f = {};
        f.cold = from_si<Resistance<>>(log_uniform(r, 2e-3, 20e-3));
        f.settings.rating = from_si<Current<>>(uniform(r, 10, 40));
        f.settings.heating = uniform(r, 0, 0.6);
        return f;
    }
    case 3:
        return conductor<Switch<>>(log_uniform(r, 5e-3, 30e-3));
    default:
        return wire(log_uniform(r, 1e-3, 200e-3));
    }
}

AnyPart return_part(Random& r) {
    switch (below(r, 4)) {
    case 0:
        return conductor<Ground<>>(log_uniform(r, 1e-3, 10e-3));
    case 1:
        return conductor<Connector<>>(log_uniform(r, 1e-3, 20e-3));
    default:
        return wire(log_uniform(r, 1e-3, 100e-3));
    }
}

AnyPart load_part(Random& r, double volts) {
    switch (below(r, 8)) {
    case 0:
        return random_lamp(r, volts);
    case 1:
        return conductor<Heater<>>(log_uniform(r, 1, 20));
    case 2:
        return conductor<Solenoid<>>(log_uniform(r, 3, 30));
    case 3: {
        Electronic<> e;
        e.power = from_si<Power<>>(log_uniform(r, 1, 30));
        e.settings.cut_out = from_si<Voltage<>>(0.5 * volts);
        e.settings.knee = from_si<Voltage<>>(0.7 * volts);
        return e;
    }
    case 4:
        return resistor(log_uniform(r, 2, 500));
    default:
        return random_motor(r, volts);
    }
}

} // namespace

Lamp<> random_lamp(Random& r, double volts) {
    Lamp<> lamp;
    const double watts = log_uniform(r, 3, 60);
    lamp.settings.rated = from_si<Voltage<>>(volts);
    lamp.resistance = from_si<Resistance<>>(volts * volts / watts);
    return lamp;
}

Motor<> random_motor(Random& r, double volts) {
    const double run = log_uniform(r, 1, 15);
    const auto load = static_cast<LoadLaw>(below(r, 3));
    const double rpm = uniform(r, 800, 6000), stall = run * uniform(r, 2, 6);
    Motor<> m = nameplate_motor(volts, run, stall, rpm, load);
    if (below(r, 3) == 0) {
        m.brush_drop = from_si<Voltage<>>(uniform(r, 0.2, 1));
        m.settings.brush_knee = std::min(m.brush_drop / m.winding, 0.5 * m.settings.run_current);
    }
    if (below(r, 3) == 0) m.friction = m.load_torque * uniform(r, 0.05, 0.3);
    return m;
}

RandomCircuit random_circuit(Random& r, int size, bool with_relays) {
    Builder b;
    const double volts = below(r, 3) == 0 ? 24 : 12;
    const double inside = log_uniform(r, 3e-3, 40e-3);
    b.add(battery(uniform(r, 0.95, 1.06) * volts, inside), "ground", "feed 0");
    if (below(r, 6) == 0) {
        Charger<> c;
        c.regulated = from_si<Voltage<>>(1.18 * volts);
        c.limit = from_si<Current<>>(uniform(r, 5, 60));
        c.droop = from_si<Resistance<>>(5e-3);
        b.add(c, "ground", "feed 0");
    }
    int feeds = 1, returns = 0;
    const auto feed = [&](int k) { return std::string("feed ") += std::to_string(k); };
    const auto back = [&](int k) {
        return k == 0 ? std::string("ground") : std::string("return ") += std::to_string(k);
    };
    while (static_cast<int>(b.circuit.parts.size()) < size) {
        const int what = below(r, 12);
        if (what < 5 || feeds < 2) {
            const std::string from = feed(below(r, feeds));
            b.add(feed_part(r), from, feed(feeds));
            ++feeds;
        } else if (what < 8) {
            const std::string to = back(below(r, returns + 1));
            b.add(return_part(r), back(returns + 1), to);
            ++returns;
        } else if (what == 8 && with_relays) {
            Relay<> relay;
            relay.contact = from_si<Resistance<>>(log_uniform(r, 2e-3, 20e-3));
            relay.coil = from_si<Resistance<>>(uniform(r, 70, 110) * volts / 12);
            relay.settings.pull_in = from_si<Voltage<>>(0.6 * volts);
            relay.settings.drop_out = from_si<Voltage<>>(0.1 * volts);
            const std::string coil = feed(below(r, feeds)),
                              from = feed(below(r, feeds)); // never fed by itself
            b.add_relay(relay, from, feed(feeds), coil, back(below(r, returns + 1)));
            ++feeds;
        } else if (what == 9) {
            const std::string to = feed(below(r, feeds)), from = feed(below(r, feeds));
            b.add(wire(log_uniform(r, 5e-3, 1)), from, to);
        } else {
            const std::string to = back(below(r, returns + 1)), from = feed(1 + below(r, feeds - 1));
            b.add(load_part(r, volts), from, to);
        }
    }
    // A part from a point to itself is not something the reader lets through.
    std::erase_if(b.circuit.parts, [](const Part& p) { return p.from == p.to; });
    b.circuit.states.front().closed.clear();
    RandomCircuit out{b.circuit, {}};
    for (std::size_t p = 0; p < out.circuit.parts.size(); ++p) {
        const AnyPart& law = out.circuit.parts[p].law;
        if (std::holds_alternative<Switch<>>(law) && below(r, 8) != 0)
            out.circuit.states.front().closed.push_back(static_cast<PartId>(p));
        if (std::holds_alternative<Motor<>>(law) && below(r, 6) == 0)
            out.circuit.states.front().locked.push_back(static_cast<PartId>(p));
    }
    if (below(r, 2) == 0) {
        const int p = below(r, static_cast<int>(out.circuit.parts.size()));
        const auto modes = faults_of(out.circuit.parts[static_cast<std::size_t>(p)].law);
        if (!modes.empty()) {
            const FaultMode& m = modes[static_cast<std::size_t>(below(r, static_cast<int>(modes.size())))];
            const bool ohms = size_of(m.kind) == FaultSize::ohms;
            out.faults.push_back({p, m.kind, ohms ? log_uniform(r, 10e-3, 10) : uniform(r, m.low, m.high)});
        }
    }
    return out;
}

} // namespace lostvolts::testing

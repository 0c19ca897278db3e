#include "tests/command/sample.h"

namespace lostvolts::command_tests {

const std::string_view heater_circuit = R"(format = 1
name = "Cab heater"
ground = "battery -"

[[part]]
name = "battery"
kind = "battery"
from = "battery -"
to = "battery +"
emf = "12 V"
resistance = "0.1 ohm"

[[part]]
name = "feed"
kind = "wire"
from = "battery +"
to = "heater +"
resistance = "0.1 ohm"

[[part]]
name = "heater"
kind = "heater"
from = "heater +"
to = "heater -"
resistance = "3.7 ohm"

[[part]]
name = "return"
kind = "wire"
from = "heater -"
to = "battery -"
resistance = "0.1 ohm"
)";

const std::string_view pump_circuit = R"(format = 1
name = "Workboat, bilge pump"
ground = "battery -"

[[part]]
name = "battery"
kind = "battery"
from = "battery -"
to = "battery +"
emf = "12.6 V"
resistance = "9 mohm"

[[part]]
name = "feed"
kind = "wire"
from = "battery +"
to = "fuse in"
resistance = "10 mohm"

[[part]]
name = "fuse 4"
kind = "fuse"
from = "fuse in"
to = "switch in"
rating = "25 A"
resistance = "4 mohm"

[[part]]
name = "pump switch"
kind = "switch"
from = "switch in"
to = "pump +"
resistance = "5 mohm"

[[part]]
name = "bilge pump"
kind = "motor"
from = "pump +"
to = "pump -"
rated = "12 V"
run_current = "9 A"
stall_current = "24 A"
run_speed = "3400 rpm"
load = "quadratic"

[[part]]
name = "pump ground"
kind = "ground"
from = "pump -"
to = "battery -"
resistance = "2 mohm"

[[state]]
name = "run"
closed = ["pump switch"]

[[state]]
name = "off"

[[condition]]
name = "corroded ground"
fault = [{ part = "pump ground", kind = "high resistance", value = "180 mohm" }]
)";

const std::string_view pump_readings = R"(circuit = "circuit.toml"

[[reading]]
state = "run"
quantity = "voltage"
red = "battery +"
black = "pump +"
value = "0.15 V"

[[reading]]
state = "run"
quantity = "voltage"
red = "pump -"
black = "battery -"
value = "1.46 V"
)";

Circuit sample_circuit() {
    Circuit c;
    c.file = "circuit.toml";
    c.name = "Workboat, bilge pump";
    for (const char* name : {"battery -", "battery +", "pump +", "pump -"}) {
        Point point;
        point.name = name;
        c.points.push_back(point);
    }
    c.ground = 0;
    const auto part = [&](const char* name, AnyPart law, PointId from, PointId to) {
        Part p;
        p.name = name;
        p.law = law;
        p.from = from;
        p.to = to;
        c.parts.push_back(p);
    };
    part("battery", Battery<>{}, 0, 1);
    part("feed", Wire<>{}, 1, 2);
    part("bilge pump", Motor<>{}, 2, 3);
    part("pump ground", Ground<>{}, 3, 0);
    for (const char* name : {"run", "stall"}) {
        State state;
        state.name = name;
        c.states.push_back(state);
    }
    c.states[1].locked = {2};
    return c;
}

Readings sample_readings() {
    Readings r;
    r.file = "readings.toml";
    r.circuit = sample_circuit();
    Reading volts;
    volts.quantity = Measurand::voltage;
    volts.red = 3;
    volts.black = 0;
    volts.value = 1.46;
    volts.text = "1.46 V";
    Reading amperes;
    amperes.quantity = Measurand::current;
    amperes.through = 2;
    amperes.value = 8.1;
    amperes.text = "8.1 A";
    r.readings = {volts, amperes};
    return r;
}

Location sample_location() {
    Location l;
    l.verdict = Verdict::located;
    Suspect ground, feed, healthy, other;
    ground.probability = 0.97;
    ground.faults = {{3, FaultKind::high_resistance, 0.18, 0.16, 0.205}};
    ground.misfit = 0.4;
    feed.probability = 0.02;
    feed.faults = {{1, FaultKind::high_resistance, 0.17, 0.15, 0.19}};
    feed.misfit = 9;
    healthy.probability = 0.006;
    other.probability = 0.004;
    other.unmodelled = true;
    l.suspects = {ground, feed, healthy, other};
    l.readings = {{0, 1.45, 1.46, 0.02, 0.5, false, false, ""}, {1, 8.12, 8.1, 0.2, -0.1, false, false, ""}};
    NextReading next;
    next.state = 0;
    next.red = 1;
    next.black = 2;
    next.bits = 0.1;
    next.minutes = 26;
    next.outcomes = {{0, 0.09, 0.05, 0.13}, {1, 1.6, 1.5, 1.8}};
    l.next = {next};
    StatePrediction run;
    run.state = 0;
    for (const double v : {0.0, 12.5, 12.4, 0.02}) run.points.emplace_back(from_si<Voltage<>>(v));
    for (PartId p = 0; p < 4; ++p) {
        PartResult r;
        r.part = p;
        r.current = from_si<Current<>>(9.0);
        run.parts.push_back(r);
    }
    run.motors = {{2, from_si<Speed<>>(356.0), from_si<Torque<>>(0.2), from_si<Voltage<>>(7.5),
                   from_si<Current<>>(9.0)}};
    l.repaired = {run};
    l.group = {0};
    return l;
}

} // namespace lostvolts::command_tests

// Every kind of reading has its say: ohms on a dead circuit, a test lamp, an ear, a wiggle; and slips are
// named.
#include <doctest/doctest.h>

#include <cmath>

#include <fmt/format.h>

#include "solver/circuit/read.h"
#include "solver/locate/locate.h"

using namespace lostvolts;

namespace {

// A wiper pump on a relay: 12.6 V behind 10 mohm; the coil is fed through its own switch.
constexpr std::string_view washer = R"(format = 1
name = "Lorry screen washer"
ground = "battery -"
[[part]]
name = "battery"
kind = "battery"
from = "battery -"
to = "battery +"
emf = "12.6 V"
resistance = "10 mohm"
[[part]]
name = "fuse 2"
kind = "fuse"
from = "battery +"
to = "relay 30"
rating = "15 A"
resistance = "6 mohm"
[[part]]
name = "washer relay"
kind = "relay"
from = "relay 30"
to = "relay 87"
contact = "4 mohm"
coil_from = "relay 86"
coil_to = "battery -"
coil = "85 ohm"
[[part]]
name = "stalk switch"
kind = "switch"
from = "battery +"
to = "relay 86"
resistance = "20 mohm"
[[part]]
name = "feed wire"
kind = "wire"
from = "relay 87"
to = "motor +"
resistance = "30 mohm"
[[part]]
name = "washer motor"
kind = "motor"
from = "motor +"
to = "motor -"
rated = "12 V"
run_current = "4 A"
stall_current = "16 A"
run_speed = "3000 rpm"
[[part]]
name = "washer ground"
kind = "ground"
from = "motor -"
to = "battery -"
resistance = "5 mohm"
[[state]]
name = "run"
closed = ["stalk switch"]
[[state]]
name = "off"
[[state]]
name = "stall"
closed = ["stalk switch"]
locked = ["washer motor"]
)";

constexpr std::string_view instruments = R"(
[[meter]]
name = "meter"
accuracy = "0.5 % + 2 counts"
leads = "0.2 ohm"
[[meter]]
name = "lamp"
[[meter]]
name = "tester"
light = "LED"
draws = "0.3 A"
)";

Location weigh(std::string_view readings) {
    auto circuit = read_circuit_text(washer, "washer.toml");
    if (!circuit)
        for (const Problem& p : circuit.problems()) MESSAGE(describe(p));
    REQUIRE(circuit);
    const std::string text = fmt::format("circuit = \"washer.toml\"\n{}{}", instruments, readings);
    const auto job = read_readings_text(text, "readings.toml", *std::move(circuit));
    if (!job)
        for (const Problem& p : job.problems()) MESSAGE(describe(p));
    REQUIRE(job);
    auto found = locate(*job);
    REQUIRE(found);
    return *std::move(found);
}

std::string between(std::string_view quantity, std::string_view state, std::string_view red,
                    std::string_view black, std::string_view value, std::string_view meter = "meter",
                    std::string_view more = "") {
    return fmt::format(
        "[[reading]]\nstate = \"{}\"\nquantity = \"{}\"\nred = \"{}\"\nblack = \"{}\"\nvalue = "
        "\"{}\"\nmeter = \"{}\"\n{}\n",
        state, quantity, red, black, value, meter, more);
}

std::string on_part(std::string_view quantity, std::string_view state, std::string_view part,
                    std::string_view value) {
    return fmt::format("[[reading]]\nstate = \"{}\"\nquantity = \"{}\"\nthrough = \"{}\"\nvalue = \"{}\"\n",
                       state, quantity, part, value);
}

enum { battery, fuse, relay, stalk, feed, motor, ground };

double probability(const Location& l, PartId part, std::optional<FaultKind> kind = std::nullopt) {
    double sum = 0;
    for (const Suspect& s : l.suspects)
        for (const FoundFault& f : s.faults)
            if (f.part == part && (!kind || f.kind == *kind)) sum += s.probability;
    return sum;
}

} // namespace

TEST_CASE("ohms through a dead circuit find a broken ground") {
    // Expected, by hand: no path from the motor's minus to the battery; nothing else reads open there.
    // Read from both ends of the motor, so that one slip of a lead doesn't explain it. An unmodelled circuit
    // keeps a seventh: two words of two are a quarter by chance.
    const Location l = weigh(between("resistance", "off", "motor -", "battery -", "open") +
                             between("resistance", "off", "motor +", "battery -", "open"));
    CHECK(probability(l, ground) > 0.8);
    CHECK(l.readings[0].repaired_word == 1);
    CHECK(l.readings[0].repaired == doctest::Approx(0.205));
}

TEST_CASE("an ohmmeter can't see fifty milliohms that a drop under load shows") {
    // Expected, by hand: 0.255 ohm with 0.2 ohm of leads that may be 0.14 or 0.26 says nothing of 50 mohm; at
    // 4 A that same joint loses 0.2 V.
    const Location ohms = weigh(between("resistance", "off", "motor -", "battery -", "0.26 ohm"));
    const Location drop = weigh(between("voltage", "run", "motor -", "battery -", "0.220 V"));
    CHECK(probability(ohms, ground, FaultKind::high_resistance) < 0.5);
    CHECK(probability(drop, ground, FaultKind::high_resistance) > 0.9);
}

TEST_CASE("ohms read across a part clear it of being open") {
    // Expected, by hand: 0.2 ohm of leads and a few milliohms; where there is no path no number is shown, but
    // for a blunder in fifty. A gigohm less 0.3 ohm, in units of a tenth of one, squared, once kept no digit
    // of that.
    const Location l = weigh(between("resistance", "off", "motor -", "battery -", "0.3 ohm"));
    CHECK(probability(l, ground, FaultKind::open) < 1e-3);
    CHECK_FALSE(l.readings[0].suspect_reading);
    const Location twice = weigh(between("resistance", "off", "motor -", "battery -", "0.3 ohm") +
                                 between("resistance", "off", "relay 87", "motor +", "0.2 ohm"));
    CHECK(probability(twice, ground, FaultKind::open) < 1e-3);
    CHECK(probability(twice, feed, FaultKind::open) < 1e-3);
}

TEST_CASE("a coil read on the bench is open") {
    // Expected, by hand: 85 ohm if sound. Read twice, and the relay stays silent.
    const std::string open = between("resistance", "off", "relay 86", "battery -", "open");
    const Location l = weigh(open + open + on_part("sound", "run", "washer relay", "silent"));
    CHECK(probability(l, relay, FaultKind::open_coil) > 0.8);
    const Location sound = weigh(between("resistance", "off", "relay 86", "battery -", "86.1 ohm"));
    CHECK(probability(sound, relay, FaultKind::open_coil) < 0.001);
}

TEST_CASE("a test lamp tells a corroded feed that an unloaded voltmeter calls good") {
    // Expected, by hand: 200 ohm in the feed leave a 10 Mohm meter 12.6 V, and a 5 W lamp next to nothing.
    // What is left to the others is mostly that one of the words is a blunder (share 0.02).
    const std::string silent = on_part("sound", "run", "washer motor", "silent");
    const Location lamp = weigh(silent + between("lamp", "run", "motor +", "motor -", "dark", "lamp") +
                                between("lamp", "run", "relay 87", "motor -", "lit", "lamp"));
    CHECK(probability(lamp, feed) > 0.75);
    REQUIRE(lamp.readings.size() == 3);
    CHECK(lamp.readings[1].told == 2);
    CHECK_FALSE(lamp.readings[1].suspect_reading);
}

TEST_CASE("a tester that shows polarity counts backwards leads against nothing") {
    // Expected, by hand: red on the lower side reads reversed in a sound circuit.
    const Location l = weigh(between("lamp", "run", "motor -", "motor +", "reversed", "tester") +
                             on_part("sound", "run", "washer motor", "runs") +
                             on_part("current", "run", "washer motor", "4.0 A"));
    REQUIRE(l.readings.size() == 3);
    CHECK(l.readings[0].expected_word == 3);
    CHECK_FALSE(l.readings[0].suspect_reading);
    CHECK(l.suspects[0].faults.empty());
}

TEST_CASE(
    "a relay that clicks has its coil and a motor that then stays silent lacks its feed, ground or itself") {
    // Expected, by hand: a click clears the coil circuit (fuse, stalk switch, coil).
    const Location l = weigh(on_part("sound", "run", "washer relay", "clicks") +
                             on_part("sound", "run", "washer motor", "silent"));
    CHECK(probability(l, stalk) < 0.03);
    CHECK(probability(l, relay, FaultKind::open_coil) < 0.01);
    CHECK(probability(l, ground) + probability(l, feed) + probability(l, motor) + probability(l, fuse) +
              probability(l, relay, FaultKind::open) >
          0.7);
    const Location mute = weigh(on_part("sound", "run", "washer relay", "silent") +
                                on_part("sound", "run", "washer motor", "silent"));
    CHECK(probability(mute, relay, FaultKind::open_coil) > 10 * probability(l, relay, FaultKind::open_coil));
}

TEST_CASE("a wiggle that changes the reading raises the part that was wiggled") {
    // Expected, by hand: sound at rest, 3 V lost while the ground is moved: only a fault in the ground, which
    // may then be anything, gives both.
    const std::string at_rest = between("voltage", "run", "motor +", "motor -", "12.35 V");
    const std::string moved =
        between("voltage", "run", "motor +", "motor -", "9.1 V", "meter", "disturbed = \"washer ground\"");
    const Location l = weigh(at_rest + moved);
    CHECK(probability(l, ground) > 0.8);
    const Location same = weigh(at_rest + between("voltage", "run", "motor +", "motor -", "12.35 V", "meter",
                                                  "disturbed = \"washer ground\""));
    CHECK(probability(same, ground) < probability(l, ground) / 4);
}

TEST_CASE("a reading from the wrong state is named") {
    // Expected: what predict says of the stall state, with a small meter error; two other readings fit
    // running.
    const Location l = weigh(on_part("current", "run", "washer motor", "15.6 A") +
                             between("voltage", "run", "motor +", "motor -", "12.35 V") +
                             on_part("speed", "run", "washer motor", "3100 rpm") +
                             between("voltage", "run", "battery +", "battery -", "12.56 V"));
    REQUIRE(l.readings.size() == 4);
    CHECK(l.readings[0].suspect_reading);
    CHECK(l.readings[0].likely == "taken in state \"stall\"");
}

TEST_CASE("a unit a thousand times too small is named") {
    // Expected, by hand: 12.35 V written as 12.35 mV.
    const Location l = weigh(between("voltage", "run", "motor +", "motor -", "12.35 mV") +
                             on_part("current", "run", "washer motor", "4.1 A") +
                             on_part("speed", "run", "washer motor", "3100 rpm"));
    CHECK(l.readings[0].suspect_reading);
    CHECK(l.readings[0].likely == "a unit a thousand times too small");
}

TEST_CASE("a clamp whose zero was forgotten is named and its readings still count") {
    // Expected, by hand: 1.5 A on every current, stall and off among them; volts are sound.
    const Location l = weigh(on_part("current", "off", "washer motor", "1.51 A") +
                             on_part("current", "run", "washer motor", "5.62 A") +
                             on_part("current", "stall", "washer motor", "16.95 A") +
                             between("voltage", "run", "motor +", "motor -", "12.35 V"));
    CHECK(l.zero_amps == doctest::Approx(1.5).epsilon(0.12));
    for (const ReadingCheck& c : l.readings) CHECK_FALSE(c.suspect_reading);
}

// Circuits that were walked, at work.
#include <doctest/doctest.h>

#include "solver/circuit/read.h"
#include "solver/circuit/toml_file.h"
#include "solver/circuit/walk.h"
#include "solver/network/predict.h"

using namespace lostvolts;

namespace {

StatePrediction predicted(Circuit circuit, std::string_view state) {
    const Network network = analyse(std::make_shared<const Circuit>(std::move(circuit)));
    Workspace work;
    for (int k = 0; k < static_cast<int>(network.circuit->states.size()); ++k)
        if (network.circuit->states[static_cast<std::size_t>(k)].name == state) {
            auto at = predict_state(network, k, {}, work);
            REQUIRE(at);
            return *std::move(at);
        }
    FAIL("no state ", state);
    return {};
}

} // namespace

TEST_CASE("a walk round one loop carries the current of Ohm's law") {
    // Expected, by hand: 12 V over 0.1 + 1 + 4.9 ohm is 2 A, and the 4.9 ohm drop 9.8 V.
    auto walked =
        circuit_of_walk("battery 12 V 100 mohm\nresistor a 1 ohm\nresistor b 4.9 ohm\n", "walk.txt", "loop");
    REQUIRE(walked);
    const StatePrediction at = predicted(std::move(walked->circuit), "run");
    CHECK(si(at.parts[2].current) == doctest::Approx(2).epsilon(1e-12));
    CHECK(si(at.parts[2].drop) == doctest::Approx(9.8).epsilon(1e-12));
}

TEST_CASE("the sprayer as it was walked runs and stalls as the sprayer that was drawn") {
    // Expected: predict on circuit.toml. The walk's relay coil hangs on "relay 30", not on a fuse and wire of
    // its own: its 0.15 A go through fuse 4 as well, whose slope is 3 to 4 mohm. That is under 1 mV, and over
    // the 0.5 ohm of the stalled motor under 2 mA.
    const std::filesystem::path folder = std::filesystem::path(LOSTVOLTS_SOURCE) / "circuits/orchard_sprayer";
    auto drawn = read_circuit(folder / "circuit.toml");
    const auto text = read_text_file(folder / "walk.txt");
    REQUIRE(drawn);
    REQUIRE(text);
    auto walked = circuit_of_walk(*text, "walk.txt", "");
    REQUIRE(walked);
    CHECK(walked->circuit.name == drawn->name);
    for (const char* state : {"run", "stall"}) {
        const StatePrediction a = predicted(*drawn, state), b = predicted(walked->circuit, state);
        REQUIRE(a.motors.size() == 1);
        REQUIRE(b.motors.size() == 1);
        CHECK(std::abs(si(a.motors[0].current) - si(b.motors[0].current)) < 2e-3);
    }
}

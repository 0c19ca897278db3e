// A file of readings that several change at once.
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include <sys/wait.h>

#include "solver/circuit/folder_lock.h"
#include "solver/locate/readings.h"
#include "tests/world/yard.h"

using namespace lostvolts::world_tests;

namespace {

std::size_t readings_in(const Yard& yard, const char* name) {
    const auto read = lostvolts::read_readings(yard.path(name));
    REQUIRE(read);
    return read->readings.size();
}

int end_of(int process) {
    int status = 0;
    ::waitpid(process, &status, 0);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

} // namespace

TEST_CASE("readings that many note at the same instant are all in the file in the end") {
    // Expected: each adds one, whoever was first; nine processes wait for the file until the test lets it go.
    const Yard yard;
    record_start(yard);
    const std::size_t had = readings_in(yard, "readings.toml");
    std::vector<int> all;
    {
        const auto held = lostvolts::keep_for_edit(yard.path("readings.toml"));
        REQUIRE(held);
        for (int k = 1; k <= 8; ++k)
            all.push_back(
                yard.start({"note", "readings.toml", "12." + std::to_string(k) + " V", "battery +"}));
        all.push_back(yard.start(
            {"waveform", "start.csv", "--circuit", "circuit.toml", "--readings", "readings.toml"}));
        CHECK(yard.read("readings.toml") == readings_text());
    }
    for (const int process : all) CHECK(end_of(process) == 0);
    const std::string text = yard.read("readings.toml");
    CHECK(text.find(readings_text()) == 0);
    for (int k = 1; k <= 8; ++k) {
        CAPTURE(k);
        CHECK(text.find("value = \"12." + std::to_string(k) + " V\"") != std::string::npos);
    }
    CHECK(readings_in(yard, "readings.toml") > had + 8);
}

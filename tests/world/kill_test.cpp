// The plug pulled while a command saves.
#include <algorithm>
#include <chrono>
#include <csignal>
#include <random>
#include <thread>

#include <doctest/doctest.h>

#include <sys/wait.h>

#include "tests/world/yard.h"

using namespace lostvolts::world_tests;

TEST_CASE("killed at any instant a command leaves the old file or the new one, never half of one") {
    // Expected: the old bytes or those of a run that nobody disturbs. The instants are spread over such a
    // run's time; how many come before, while and after the saving is left open, as no machine's times are
    // known here.
    const unsigned seed = std::random_device{}();
    MESSAGE("seed ", seed);
    std::mt19937 random(seed);
    const Yard yard;
    const std::vector<Writer> all{{{"inrush", "circuit.toml", "--duration", "50 ms", "--csv"}, ".csv"},
                                  {{"size", "circuit.toml", "--no-starts", "--write"}, ".toml"},
                                  {{"view", "circuit.toml", "--picture"}, ".png"},
                                  {{"report", "readings.toml", "--date", "2026-11-26", "-o"}, ".html"}};
    int before = 0, after = 0;
    for (const Writer& writer : all) {
        const std::string file = "file" + writer.ending, old = "what was there before\n";
        const auto begun = std::chrono::steady_clock::now();
        REQUIRE(yard.run(writer.to("file")).code == 0);
        const std::chrono::duration<double> whole = std::chrono::steady_clock::now() - begun;
        const std::string whole_file = yard.read(file);
        std::uniform_real_distribution<double> instant(0.3 * whole.count(), 1.1 * whole.count());
        for (int k = 0; k < 15; ++k) {
            yard.write(file, old);
            const int process = yard.start(writer.to("file"));
            std::this_thread::sleep_for(std::chrono::duration<double>(instant(random)));
            ::kill(process, SIGKILL);
            int status = 0;
            ::waitpid(process, &status, 0);
            const std::string now = yard.read(file);
            CAPTURE(writer.words.front());
            CHECK((now == old || now == whole_file));
            ++(now == old ? before : after);
        }
    }
    MESSAGE(before, " times the old file, ", after, " times the new one");
}

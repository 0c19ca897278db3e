// What the window remembers, and the worker that keeps it alive.
#include <doctest/doctest.h>

#include <cstdlib>

#include "tests/window/job.h"
#include "viewer/window/settings.h"
#include "viewer/window/worker.h"

using namespace lostvolts;
using namespace lostvolts::window_tests;

TEST_CASE("settings read back as they were written") {
    // Expected: property.
    const command_tests::Folder folder;
    const std::string file = folder.path("deep/below/window.toml");
    write_settings(file, {40, 30, 1500, 900, 1.75, true, 2});
    const Settings s = read_settings(file);
    CHECK(s.x == 40);
    CHECK(s.y == 30);
    CHECK(s.width == 1500);
    CHECK(s.height == 900);
    CHECK(s.scale == doctest::Approx(1.75));
    CHECK(s.dark);
    CHECK(s.place == 2);
}

TEST_CASE("settings that are missing or spoilt or out of range are taken as usual") {
    // Expected, by hand.
    const command_tests::Folder folder;
    CHECK(read_settings(folder.path("none.toml")).width == 1280);
    CHECK(read_settings(folder.write("spoilt.toml", "width = = 3\nscale")).scale == 1.0);
    const Settings s =
        read_settings(folder.write("odd.toml", "width = 3\nscale = 99.0\nlook = 7\nx = \"a\"\n"));
    CHECK(s.width == least_width);
    CHECK(s.scale == most_scale);
    CHECK_FALSE(s.dark);
    write_settings("/proc/no/such/window.toml", s); // says nothing, stops nothing
}

TEST_CASE("the latest question is the one answered") {
    // Expected: what waits is replaced; what runs learns that nobody waits.
    Worker worker;
    std::atomic<bool> going = false, saw_stop = false;
    int answer = 0;
    worker.ask([&](Watch& watch) -> Worker::Deliver {
        going = true;
        while (!watch.stopped()) std::this_thread::yield();
        saw_stop = true;
        return [&] { answer = 1; };
    });
    while (!going) std::this_thread::yield();
    worker.ask([&](Watch&) -> Worker::Deliver { return [&] { answer = 2; }; });
    worker.ask([&](Watch&) -> Worker::Deliver { return [&] { answer = 3; }; });
    worker.finish();
    CHECK(worker.collect());
    CHECK(answer == 3);
    CHECK(saw_stop);
    CHECK_FALSE(worker.busy());
}

TEST_CASE("work that is given up delivers nothing and a slip in it stops nobody") {
    // Expected, by hand.
    Worker worker;
    std::atomic<bool> going = false;
    bool delivered = false;
    worker.ask([&](Watch& watch) -> Worker::Deliver {
        going = true;
        while (!watch.stopped()) std::this_thread::yield();
        return [&] { delivered = true; };
    });
    while (!going) std::this_thread::yield();
    worker.cancel();
    worker.finish();
    CHECK_FALSE(worker.collect());
    worker.ask([](Watch&) -> Worker::Deliver { throw std::runtime_error("slip"); });
    worker.finish();
    worker.ask([&](Watch&) -> Worker::Deliver { return [&] { delivered = true; }; });
    worker.finish();
    CHECK(worker.collect());
    CHECK(delivered);
}

// Many files, few open at once; and clocks that were set back.
#include <algorithm>
#include <chrono>

#include <doctest/doctest.h>

#include <sys/resource.h>

#include "tests/world/yard.h"

using namespace lostvolts::world_tests;

namespace fs = std::filesystem;

namespace {

void few_files() {
    const rlimit few{12, 12};
    ::setrlimit(RLIMIT_NOFILE, &few);
}

/// As if the clock had been set back by ten years since.
void put_ahead(const fs::path& path) {
    fs::last_write_time(path, fs::file_time_type::clock::now() + std::chrono::hours(24 * 3650));
}

} // namespace

TEST_CASE("a folder of many captures is studied with few files open, in threads") {
    // Expected: a line each, and those of the same capture alike.
    const Yard yard;
    REQUIRE(
        yard.run({"inrush", "circuit.toml", "--duration", "60 ms", "--every", "0.5 ms", "--csv", "start.csv"})
            .code == 0);
    fs::create_directory(yard.path("starts"));
    constexpr int many = 300;
    const std::string start = yard.read("start.csv");
    for (int k = 0; k < many; ++k) yard.write("starts/" + std::to_string(k) + ".csv", start);
    yard.write(
        "starts.toml",
        "format = 1\nname = \"many\"\nstudy = \"captures\"\nfolder = \"starts\"\noutput = \"many.csv\"\n");
    const Ended ended = yard.run({"study", "starts.toml", "--threads", "4"}, {.first = few_files});
    CAPTURE(ended.err);
    CHECK(ended.code == 0);
    const std::string table = yard.read("many.csv");
    CHECK(std::count(table.begin(), table.end(), '\n') == many + 1);
    const auto after_name = [&](std::size_t line) {
        std::size_t at = 0;
        for (; line > 0; --line) at = table.find('\n', at) + 1;
        at = table.find(',', table.find(',', at) + 1);
        return table.substr(at, table.find('\n', at) - at);
    };
    CHECK(after_name(1) == after_name(many));
    CHECK(after_name(1).size() > 20);
}

TEST_CASE("jobs kept before the clock was set back are found, and those kept after it too") {
    // Expected: what is in the folders, whatever their times say.
    const Yard yard;
    const auto kept = [&](const char* title) {
        return yard.run({"records", "add", "readings.toml", "--title", title, "--again", "--store", "store"})
                   .code == 0;
    };
    const auto found = [&] { return yard.run({"records", "find", "--store", "store"}).out; };
    REQUIRE(kept("before"));
    for (const char* name : {"store", "store/jobs", "store/adding", "store/index.sqlite"})
        put_ahead(yard.path(name));
    for (const auto& job : fs::directory_iterator(yard.path("store/jobs"))) {
        for (const auto& file : fs::directory_iterator(job.path())) put_ahead(file.path());
        put_ahead(job.path());
    }
    CHECK(found().find("1 of 1 kept job") == 0);
    REQUIRE(kept("after"));
    CHECK(found().find("2 of 2 kept jobs") == 0);
    // A job put in by hand while the folder's time stays as it was.
    const fs::path first = fs::directory_iterator(yard.path("store/jobs"))->path();
    fs::copy(first, yard.path("store/jobs/by hand"));
    put_ahead(yard.path("store/jobs"));
    CHECK(found().find("3 of 3 kept jobs") == 0);
    CHECK(yard.run({"records", "rebuild", "--store", "store"}).code == 0);
}

TEST_CASE("a study goes on where it was though its files are younger than now") {
    // Expected: what was done is known by the order's content..
    const Yard yard;
    put_ahead(yard.path("order.toml"));
    put_ahead(yard.path("circuit.toml"));
    REQUIRE(yard.run({"study", "order.toml"}).code == 0);
    const std::string table = yard.read("table.csv");
    REQUIRE(yard.run({"study", "order.toml"}).code == 0);
    CHECK(yard.read("table.csv") == table);
    put_ahead(yard.path("table.csv"));
    REQUIRE(yard.run({"study", "order.toml"}).code == 0);
    CHECK(yard.read("table.csv") == table);
}

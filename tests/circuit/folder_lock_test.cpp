// Who changes a file holds it, and the next waits.
#include <atomic>
#include <chrono>
#include <thread>

#include <doctest/doctest.h>

#include "solver/circuit/folder_lock.h"
#include "tests/command/folder.h"

using namespace lostvolts;
using command_tests::Folder;
using Kind = FolderLock::Kind;
namespace fs = std::filesystem;

TEST_CASE("a folder is held alone or by several who share it, and let go of at the end") {
    const Folder folder;
    const fs::path here = folder.path("");
    {
        const auto one = FolderLock::now(here, Kind::shared), two = FolderLock::now(here, Kind::shared);
        CHECK((one && two));
        CHECK(!FolderLock::now(here, Kind::alone));
    }
    auto alone = FolderLock::now(here, Kind::alone);
    REQUIRE(alone);
    CHECK(!FolderLock::now(here, Kind::shared));
    {
        const FolderLock moved = *std::move(alone);
        CHECK(!FolderLock::now(here, Kind::alone));
    }
    CHECK(FolderLock::now(here, Kind::alone));
    CHECK(!FolderLock::now(here / "nowhere", Kind::shared));
}

TEST_CASE("a file is held for its change under any of its names, there or not, until the change is done") {
    // Expected: the second gets it only after the first has let go, though it comes by a link from elsewhere.
    const Folder folder, elsewhere;
    const fs::path file = folder.path("readings.toml"), link = elsewhere.path("link.toml");
    fs::create_symlink(file, link);
    std::atomic<bool> done = false;
    std::thread second;
    {
        const auto first = keep_for_edit(file);
        REQUIRE(first);
        second = std::thread([&] {
            const auto held = keep_for_edit(link);
            CHECK(held);
            CHECK(done);
        });
        std::this_thread::sleep_for(std::chrono::milliseconds(50));
        done = true;
    }
    second.join();
}

TEST_CASE("what is no place for a file is said, and a folder that is not there is left to the saving") {
    const Folder folder;
    const auto device = keep_for_edit("/dev/null");
    REQUIRE(!device);
    CHECK(device.problems().front().what == "is not a plain file, so it is not replaced");
    CHECK(!keep_for_edit(folder.path("")));
    CHECK(keep_for_edit(folder.path("nowhere/readings.toml")));
}

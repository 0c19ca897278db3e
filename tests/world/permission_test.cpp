// Files and folders that may not be read or written. Root may do anything, so the program is run as nobody.
#include <doctest/doctest.h>

#include "tests/world/yard.h"

using namespace lostvolts::world_tests;

namespace fs = std::filesystem;

namespace {

bool skipped() {
    if (nobody_can_run()) return false;
    MESSAGE("SKIPPED: no other user than root can run the program here");
    return true;
}

const Surroundings as_nobody{.as_nobody = true};

} // namespace

TEST_CASE("a folder that may not be written is told, and nothing is left in it") {
    // Expected: DESIGN, exit 2 and what to do instead.
    if (skipped()) return;
    const Yard yard;
    record_start(yard);
    fs::create_directory(yard.path("locked"));
    fs::permissions(yard.path("locked"), fs::perms(0555));
    for (const Writer& writer : writers()) {
        const Ended ended = yard.run(writer.to("locked/new"), as_nobody);
        CAPTURE(writer.words.front());
        CAPTURE(ended.err);
        CHECK(ended.code == 2);
        CHECK(ended.err.find("locked/new" + writer.ending) == 0);
        CHECK(ended.err.find("may not ") != std::string::npos);
    }
    CHECK(fs::is_empty(yard.path("locked")));
    const Ended store = yard.run({"records", "add", "readings.toml", "--store", "locked/store"}, as_nobody);
    CHECK(store.code == 2);
    CHECK(store.err.find("locked/store: no job can be kept here: you may not write there\n") == 0);
}

TEST_CASE("a write-protected file is not replaced in a folder that may be written") {
    // Expected: who protects a file doesn't want it replaced, though the system would let it be.
    if (skipped()) return;
    const Yard yard;
    record_start(yard);
    for (const Writer& writer : writers()) {
        const std::string name = "old" + writer.ending,
                          old = writer.ending == ".toml" ? readings_text() : "old";
        yard.write(name, old);
        fs::permissions(yard.path(name), fs::perms(0444));
        const Ended ended = yard.run(writer.to("old"), as_nobody);
        CAPTURE(writer.words.front());
        CHECK(ended.code == 2);
        CHECK(ended.err == name + ": can't be saved: the file there is write-protected for you\n"
                                  "  save to another name, or change its permissions; it is untouched\n");
        CHECK(yard.read(name) == old);
        fs::remove(yard.path(name));
    }
}

TEST_CASE("a file that may not be read is told by whoever was to read it") {
    // Expected: one line, exit 2; a circuit behind a locked door is told where it is named.
    if (skipped()) return;
    const Yard yard;
    record_start(yard);
    for (const char* name : {"circuit.toml", "readings.toml", "order.toml", "start.csv"})
        fs::permissions(yard.path(name), fs::perms::none);
    using Words = std::vector<std::string>;
    for (const Words& words : {Words{"check", "circuit.toml"}, Words{"predict", "circuit.toml"},
                               Words{"locate", "readings.toml"}, Words{"waveform", "start.csv"},
                               Words{"study", "order.toml"}, Words{"report", "readings.toml", "-o", "r.html"},
                               Words{"records", "add", "start.csv", "--store", "store"}}) {
        const Ended ended = yard.run(words, as_nobody);
        CAPTURE(words.front());
        CAPTURE(ended.err);
        CHECK(ended.code == 2);
        CHECK(ended.err.find(": may not be read by you\n  check the file's permissions\n") !=
              std::string::npos);
    }
    fs::create_directory(yard.path("locked"));
    yard.write("locked/circuit.toml", circuit_text());
    fs::permissions(yard.path("locked"), fs::perms(0700));
    yard.write("far.toml", "circuit = \"locked/circuit.toml\"\n");
    const Ended far = yard.run({"locate", "far.toml"}, as_nobody);
    CHECK(far.code == 2);
    CHECK(far.err.find("circuit \"locked/circuit.toml\": may not be read by you") != std::string::npos);
}

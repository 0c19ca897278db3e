// A disk that is full, and files that can't be written.
#include <csignal>

#include <doctest/doctest.h>

#include <fcntl.h>
#include <sys/resource.h>
#include <unistd.h>

#include "tests/world/yard.h"

using namespace lostvolts::world_tests;

namespace {

/// No file may grow beyond a hundred bytes: what the system says of that is handled as a full disk is.
void disk_full() {
    std::signal(SIGXFSZ, SIG_IGN);
    const rlimit little{100, 100};
    ::setrlimit(RLIMIT_FSIZE, &little);
}

} // namespace

TEST_CASE("on a full disk every command says so and the old file stays") {
    // Expected: DESIGN, exit 2, nothing the user had is lost.
    const Yard yard;
    record_start(yard);
    for (const Writer& writer : writers()) {
        const std::string name = "old" + writer.ending,
                          old = writer.ending == ".toml" ? readings_text() : "what was there";
        yard.write(name, old);
        const Ended ended = yard.run(writer.to("old"), {.first = disk_full});
        CAPTURE(writer.words.front());
        CAPTURE(ended.err);
        CHECK(ended.code == 2);
        CHECK(ended.err.find("the disk is full\n") != std::string::npos);
        CHECK(ended.err.find("  make room") != std::string::npos);
        CHECK(ended.out.empty());
        CHECK(yard.read(name) == old);
        for (const std::string& left : yard.names()) CHECK(left.find('.') != 0);
    }
}

TEST_CASE("a reading noted on a full disk is refused, and those before it stay") {
    const Yard yard;
    const Ended ended = yard.run({"note", "readings.toml", "12.1 V battery +"}, {.first = disk_full});
    CHECK(ended.code == 2);
    CHECK(ended.err.find("the disk is full\n") != std::string::npos);
    CHECK(yard.read("readings.toml") == readings_text());
}

TEST_CASE("a store on a full disk is read, and says that nothing more can be kept") {
    // Expected: the job that was kept is found whether the index is there or not, from the folders.
    const Yard yard;
    REQUIRE(yard.run({"records", "add", "readings.toml", "--store", "store"}).code == 0);
    for (const char* how : {"with its index", "without one"}) {
        CAPTURE(how);
        const Ended found =
            yard.run({"records", "find", "sprayer", "--store", "store"}, {.first = disk_full});
        CAPTURE(found.err);
        CHECK(found.code == 0);
        CHECK(found.out.find("1 of 1 kept job") == 0);
        std::filesystem::remove(yard.path("store/index.sqlite"));
    }
    const Ended refused =
        yard.run({"records", "add", "circuit.toml", "--store", "store", "--again"}, {.first = disk_full});
    CHECK(refused.code == 2);
    CHECK(refused.err == "store: the job was not kept: the disk is full\n"
                         "  make room and do it again; jobs that are kept already are untouched\n");
    CHECK(yard.run({"records", "find", "--store", "store"}).out.find("1 of 1 kept job") == 0);
}

TEST_CASE("an answer that finds no room is told by every command") {
    // Expected: /dev/full answers every write with ENOSPC.
    const Yard yard;
    record_start(yard);
    using Words = std::vector<std::string>;
    for (const Words& words :
         {Words{"check", "circuit.toml"}, Words{"predict", "circuit.toml", "--json"},
          Words{"locate", "readings.toml"}, Words{"waveform", "start.csv"}, Words{"compare", "circuit.toml"},
          Words{"size", "circuit.toml"}, Words{"practice", "circuit.toml"}, Words{"--help"}}) {
        const Ended ended =
            yard.run(words, {.first = [] { ::dup2(::open("/dev/full", O_WRONLY), STDOUT_FILENO); }});
        CAPTURE(words.front());
        CHECK(ended.code == 2);
        CHECK(ended.err == "lostvolts: the answer could not be written: No space left on device\n");
    }
}

TEST_CASE("what is read by head is no trouble, and a closed stream takes no file's place") {
    // Expected: a broken pipe is quiet with the command's own exit code; an answer without a stream is exit
    // 2, and never goes into the file that was just written.
    const Yard yard;
    const Ended gone = yard.run({"compare", "circuit.toml"}, {.first = [] {
                                    int ends[2];
                                    if (::pipe(ends) != 0) ::_exit(1);
                                    ::close(ends[0]);
                                    ::dup2(ends[1], STDOUT_FILENO);
                                }});
    CHECK(gone.code == 0);
    CHECK(gone.err.empty());

    REQUIRE(yard.run({"size", "circuit.toml", "--write", "right.toml"}).code == 0);
    const auto all_closed = [] {
        for (int stream = 0; stream < 3; ++stream) ::close(stream);
    };
    const Ended closed = yard.run({"size", "circuit.toml", "--write", "sized.toml"}, {.first = all_closed});
    CHECK(closed.code == 2);
    CHECK(yard.read("sized.toml") == yard.read("right.toml"));
    CHECK(yard.run({"predict", "-"}, {.first = all_closed}).code == 2);
}

// Where an output goes: over its own input, through a link, onto a folder, under no name at all.
#include <doctest/doctest.h>

#include "tests/world/yard.h"

using namespace lostvolts::world_tests;

namespace fs = std::filesystem;

TEST_CASE("a slip of the fingers doesn't replace what a command reads") {
    // Expected: refused before anything is reckoned, exit 2, every file as it was.
    const Yard yard;
    record_start(yard);
    fs::create_directory(yard.path("sub"));
    fs::create_symlink("../circuit.toml", yard.path("sub/link"));
    using Words = std::vector<std::string>;
    const std::vector<std::pair<Words, std::string>> slips{
        {{"inrush", "circuit.toml", "--csv", "circuit.toml"}, "inrush: --csv circuit.toml is what it reads"},
        {{"inrush", "circuit.toml", "--csv", "./sub/../circuit.toml"},
         "inrush: --csv ./sub/../circuit.toml is what"},
        {{"inrush", "circuit.toml", "--csv", "sub/link"}, "inrush: --csv sub/link is what it reads"},
        {{"inrush", "circuit.toml", "--csv", "readings.toml"},
         "inrush: --csv readings.toml is there already"},
        {{"compare", "circuit.toml", "--csv", "order.toml"}, "compare: --csv order.toml is there already"},
        {{"size", "circuit.toml", "--bill", "circuit.toml"}, "size: --bill circuit.toml is what it reads"},
        {{"size", "circuit.toml", "--bill", "new", "--write", "new"},
         "size: --bill and --write are the same file, new"},
        {{"study", "order.toml", "-o", "order.toml"}, "study: --output order.toml is what it reads"},
        {{"study", "order.toml", "-o", "circuit.toml"}, "study: --output circuit.toml is there already"},
        {{"waveform", "start.csv", "--circuit", "circuit.toml", "--readings", "start.csv"},
         "waveform: --readings start.csv is what it reads"},
        {{"practice", "circuit.toml", "--student", "me", "--results", "circuit.toml"},
         "practice: --results circuit.toml is what it reads"},
        {{"practice", "circuit.toml", "--student", "me", "--results", "readings.toml"},
         "practice: --results readings.toml is there already"},
    };
    const auto before = yard.names();
    for (const auto& slip : slips) {
        const auto& [words, said] = slip;
        const Ended ended = yard.run(words);
        CAPTURE(slip.second); // clang 14 takes no binding here
        CAPTURE(ended.err);
        CHECK(ended.code == 2);
        CHECK(ended.err.find(said) == 0);
        CHECK(ended.err.find("  ") != std::string::npos);
    }
    CHECK(yard.names() == before);
    CHECK(yard.read("circuit.toml") == circuit_text());
    CHECK(yard.read("readings.toml") == readings_text());
    // Meant so: a circuit's sizes put into itself, readings added to readings.
    CHECK(yard.run({"size", "circuit.toml", "--write", "circuit.toml"}).code == 0);
    CHECK(yard.run({"check", "circuit.toml", "readings.toml"}).code == 0);
}

TEST_CASE("a name that a shell's variable left empty is told, not passed over") {
    // Expected: `--csv "$OUT"` without OUT wrote nothing and ended well; a store so named was the usual one.
    const Yard yard;
    for (const auto& words :
         std::vector<std::vector<std::string>>{{"inrush", "circuit.toml", "--csv", ""},
                                               {"study", "order.toml", "-o", ""},
                                               {"size", "circuit.toml", "--write", ""},
                                               {"records", "add", "readings.toml", "--store", ""}}) {
        const Ended ended = yard.run(words, {.set = {"HOME=" + yard.path("home").string()}});
        CAPTURE(ended.err);
        CHECK(ended.code == 2);
        CHECK(ended.err.find(" needs a name after it\n") != std::string::npos);
    }
    CHECK(!yard.has("home"));
    CHECK(!yard.has("table.csv"));
}

TEST_CASE("a link stays a link and the file that it names is written, there or not") {
    // Expected: who keeps a link to a file elsewhere wants it written there. The file keeps its permissions.
    const Yard yard;
    record_start(yard);
    fs::create_directory(yard.path("real"));
    for (const Writer& writer : writers()) {
        const std::string end = writer.ending;
        if (end != ".toml") yard.write("real/old" + end, "old");
        if (end != ".toml") fs::permissions(yard.path("real/old" + end), fs::perms(0600));
        for (const char* name : {"old", "new"}) {
            fs::create_symlink("real/" + (name + end), yard.path(name + end));
            const Ended ended = yard.run(writer.to(name));
            CAPTURE(writer.words.front());
            CAPTURE(name);
            CAPTURE(ended.err);
            CHECK(ended.code == 0);
            CHECK(fs::is_symlink(yard.path(name + end)));
            CHECK(fs::file_size(yard.path("real/" + (name + end))) > 30);
            fs::remove(yard.path(name + end));
        }
        if (end != ".toml")
            CHECK((fs::status(yard.path("real/old" + end)).permissions() & fs::perms::mask) ==
                  fs::perms(0600));
        fs::remove_all(yard.path("real"));
        fs::create_directory(yard.path("real"));
    }
}

TEST_CASE("a folder, a missing one and a link that goes in circles are told by every command") {
    // Expected: exit 2 before a study of hours is worked through; nothing is made.
    const Yard yard;
    record_start(yard);
    for (const Writer& writer : writers()) {
        const std::string end = writer.ending;
        fs::create_directory(yard.path("folder" + end));
        fs::create_symlink("round" + end, yard.path("round" + end));
        for (const auto& wrong :
             std::vector<std::pair<std::string, std::string>>{{"folder", "is a folder, not a file"},
                                                              {"gone/new", "there is no "},
                                                              {"round", "symbolic links"}}) {
            const auto& [name, said] = wrong;
            const Ended ended = yard.run(writer.to(name));
            CAPTURE(writer.words.front());
            CAPTURE(wrong.first);
            CAPTURE(ended.err);
            CHECK(ended.code == 2);
            CHECK(ended.err.find(said) != std::string::npos);
            CHECK(ended.out.empty());
        }
        CHECK(fs::is_empty(yard.path("folder" + end)));
        fs::remove(yard.path("folder" + end));
        fs::remove(yard.path("round" + end));
    }
    CHECK(yard.names() ==
          std::vector<std::string>{"circuit.toml", "order.toml", "readings.toml", "start.csv"});
}

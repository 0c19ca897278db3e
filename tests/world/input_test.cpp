// Input through a pipe, and files with nothing of use in them.
#include <doctest/doctest.h>

#include "tests/world/yard.h"

using namespace lostvolts::world_tests;

namespace fs = std::filesystem;

TEST_CASE("every reader takes a pipe under the names - and /dev/stdin") {
    // Expected: the answer that the file itself gives; names in it are taken from where the person is.
    const Yard yard;
    record_start(yard);
    const std::string order = yard.read("order.toml"), start = yard.read("start.csv");
    using Words = std::vector<std::string>;
    const std::vector<std::tuple<Words, std::string, std::string>> readers{
        {{"check"}, "circuit.toml", circuit_text()},
        {{"check"}, "readings.toml", readings_text()},
        {{"check"}, "order.toml", order},
        {{"predict"}, "circuit.toml", circuit_text()},
        {{"locate"}, "readings.toml", readings_text()},
        {{"compare"}, "circuit.toml", circuit_text()},
        {{"size", "--no-starts"}, "circuit.toml", circuit_text()},
        {{"study", "--look"}, "order.toml", order},
        {{"waveform"}, "start.csv", start},
        {{"waveform", "start.csv", "--circuit"}, "circuit.toml", circuit_text()},
        {{"view", "--picture", "p.svg"}, "readings.toml", readings_text()},
        {{"report", "-o", "r.html"}, "readings.toml", readings_text()},
    };
    for (const auto& [words, file, text] : readers) {
        Words from_file = words;
        from_file.push_back(file);
        const Ended whole = yard.run(from_file);
        REQUIRE(whole.code == 0);
        for (const char* pipe : {"-", "/dev/stdin"}) {
            Words from_pipe = words;
            from_pipe.push_back(pipe);
            const Ended ended = yard.run(from_pipe, {.input = text});
            CAPTURE(from_pipe.front());
            CAPTURE(pipe);
            CAPTURE(ended.err);
            CHECK(ended.code == 0);
            CHECK(ended.out.size() + 60 > whole.out.size()); // but for the name
        }
    }
    const Ended kept = yard.run({"records", "add", "-", "--store", "store"}, {.input = readings_text()});
    CHECK(kept.code == 2);
    CHECK(kept.err == "standard input: can't be kept: a job is made of files\n"
                      "  save it to a file and give its name\n");
    const Ended wrong = yard.run({"locate", "-"}, {.input = circuit_text()});
    CHECK(wrong.code == 2);
    CHECK(wrong.err == "standard input: this is a circuit; locate takes readings taken on one\n"
                       "  write a file of readings that begins with  circuit = \"circuit.toml\"\n");
}

TEST_CASE("an empty file, a folder and an order are called what they are") {
    // Expected: not what all an empty circuit lacks.
    const Yard yard;
    yard.write("empty.toml", "");
    fs::create_directory(yard.path("folder"));
    for (const char* command : {"predict", "locate", "compare", "practice", "size", "inrush"}) {
        CAPTURE(command);
        const Ended empty = yard.run({command, "empty.toml"}), folder = yard.run({command, "folder"}),
                    order = yard.run({command, "order.toml"});
        CHECK(empty.code == 2);
        CHECK(empty.err ==
              "empty.toml: is empty\n  check that this is the right file, and that it was saved\n");
        CHECK(folder.code == 2);
        CHECK(folder.err ==
              "folder: is a folder, not a file\n  give the file in it, for example circuit.toml\n");
        CHECK(order.code == 2);
        CHECK(order.err == "order.toml: this is an order for a study, no circuit and no readings\n"
                           "  write  lostvolts study order.toml\n");
    }
}

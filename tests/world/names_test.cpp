// File names that nobody would choose and everybody meets.
#include <doctest/doctest.h>

#include "solver/circuit/toml_file.h"
#include "tests/world/yard.h"

using namespace lostvolts;
using namespace lostvolts::world_tests;

namespace {

bool is_text(const std::string& bytes) { return !not_text(bytes, ""); }

} // namespace

TEST_CASE("a file may be called anything that the system lets it be called") {
    // Expected: every command works; what it prints and writes is UTF-8 without control characters.
    const Yard yard;
    record_start(yard);
    for (const std::string name :
         {"a b", "new\nline tab\there", "qu'ote\"s, back\\slash;", "-dash", "$(touch pwned) %s%n{} #[[part]]",
          "lat\xefn \xff\xfe", "esc\x1b[31mred", "\xE2\x80\xAEright to left \xCE\xA9 \xE9\x9B\xBB"}) {
        const auto file = [&](const char* ending) { return "./" + name + ending; };
        yard.write(name + ".toml", circuit_text());
        yard.write(name + ".csv", yard.read("start.csv"));
        CAPTURE(name);
        using Words = std::vector<std::string>;
        for (const Words& words :
             {Words{"check", file(".toml")}, Words{"predict", file(".toml"), "--json"},
              Words{"waveform", file(".csv")},
              Words{"inrush", file(".toml"), "--duration", "20 ms", "--csv", file(".out.csv")},
              Words{"size", file(".toml"), "--no-starts", "--bill", file(".bill"), "--write",
                    file(".sized.toml")},
              Words{"view", file(".toml"), "--picture", file(".svg")},
              Words{"waveform", file(".csv"), "--circuit", "circuit.toml", "--readings", file(".read.toml")},
              Words{"check", file(".read.toml")},
              Words{"records", "add", file(".csv"), "--store", "store", "--again"},
              Words{"records", "find", "--store", "store", "--json"},
              Words{"study", "order.toml", "-o", file(".table.csv")}}) {
            const Ended ended = yard.run(words);
            CAPTURE(words[0]);
            CAPTURE(ended.err);
            CHECK(ended.code == 0);
            CHECK(is_text(ended.out));
            CHECK(is_text(ended.err));
            CHECK(ended.out.find('\x1b') == std::string::npos);
        }
        CHECK(is_text(yard.read(name + ".read.toml")));
        CHECK(!yard.has("pwned"));
        const Ended gone = yard.run({"predict", "./gone " + name});
        CHECK(gone.code == 2);
        CHECK(is_text(gone.err));
        CHECK(gone.err.find('\x1b') == std::string::npos);
    }
}

TEST_CASE("a circuit whose name is no UTF-8 can't be named by readings, and that is said") {
    // Expected: TOML is UTF-8; readings with such a name in them could not be read again.
    const Yard yard;
    record_start(yard);
    yard.write("lat\xefn.toml", circuit_text());
    const Ended ended =
        yard.run({"waveform", "start.csv", "--circuit", "lat\xefn.toml", "--readings", "made.toml"});
    CHECK(ended.code == 2);
    CHECK(ended.err.find("is not UTF-8 text") != std::string::npos);
    CHECK(!yard.has("made.toml"));
}

TEST_CASE("names as long as the system allows are read and written") {
    // Expected: NAME_MAX is 255 bytes; the file beside it, while it is written, must not need more.
    const Yard yard;
    const std::string name(251, 'x');
    yard.write(name, circuit_text());
    CHECK(yard.run({"predict", name}).code == 0);
    CHECK(yard.run({"size", name, "--no-starts", "--bill", std::string(251, 'y') + ".csv"}).code == 0);
    const Ended longer = yard.run({"size", name, "--no-starts", "--bill", std::string(300, 'y')});
    CHECK(longer.code == 2);
    CHECK(longer.err.find("can't be saved: File name too long\n") != std::string::npos);
}

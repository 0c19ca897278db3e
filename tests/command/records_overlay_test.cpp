// lostvolts records baseline --picture: a start over the kept good ones, with what is not as usual named.
#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>

#include <fmt/format.h>

#include "tests/command/folder.h"
#include "tests/records/sample.h"
#include "viewer/command/command.h"
#include "viewer/command/records_overlay.h"

using namespace lostvolts;
using namespace lostvolts::command_tests;

namespace {

bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

std::string content(const std::string& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

/// A spreader's starts, simulated with a ground of so many milliohms and a battery of so many volts.
struct Depot {
    Folder folder;
    std::string store = folder.path("store");
    std::string circuit = folder.write("circuit.toml", records_tests::circuit_text);

    std::string start(const std::string& name, double ground_milliohms, double emf) const {
        std::string text = records_tests::circuit_text;
        const auto put = [&](const std::string& old, const std::string& now) {
            text.replace(text.find(old), old.size(), now);
        };
        put("\"3 mohm\"", fmt::format("\"{} mohm\"", ground_milliohms));
        put("\"12.6 V\"", fmt::format("\"{} V\"", emf));
        const std::string csv = folder.path(name);
        const Answer a = run({"inrush", folder.write("variant.toml", text), "--state", "run", "--csv", csv});
        REQUIRE_MESSAGE(a.code == exit_done, a.err);
        return csv;
    }
    std::string keep(const std::string& csv, const std::string& known) const {
        const Answer a = run({"records", "add", circuit, csv, "--store", store, "--known", known});
        REQUIRE_MESSAGE(a.code == exit_done, a.err);
        return a.out;
    }
    Answer baseline(std::vector<std::string> words) const {
        words.insert(words.begin(), {"records", "baseline"});
        words.insert(words.end(), {"--store", store});
        return run(words);
    }
};

} // namespace

TEST_CASE("a start is drawn over the kept good ones and what is not as usual is named") {
    // Expected, by hand: six good starts within half a per cent; 150 milliohms more in the ground lower the
    // stall current by a third or so. A start that was not called good is not drawn.
    const Depot depot;
    for (int k = 0; k < 6; ++k)
        depot.keep(depot.start(fmt::format("good{}.csv", k), 3, 12.55 + 0.02 * k), "good");
    depot.keep(depot.start("other.csv", 80, 12.6), "unsaid");
    const std::string weak = depot.start("weak.csv", 153, 12.6), svg = depot.folder.path("over.svg");
    const Answer a = depot.baseline({depot.circuit, "--capture", weak, "--picture", svg});
    REQUIRE_MESSAGE(a.code == exit_done, a.err);
    CHECK(has(a.out, "The picture is in " + svg));
    const std::string drawn = content(svg);
    CHECK_MESSAGE(has(drawn, "<title>weak.csv over 6 good starts kept in jobs "), drawn.substr(0, 600));
    CHECK(has(drawn, "<desc>Not as usual: stall current "));
    CHECK(has(drawn, " A is low (usual "));
    // Of a kept job, its own capture, and not over itself.
    const Answer kept = depot.baseline({"good3", "--picture", svg});
    CHECK(kept.code == exit_bad_input); // no job has that name
    const Answer alike =
        depot.baseline({depot.circuit, "--capture", depot.folder.path("good2.csv"), "--picture", svg});
    REQUIRE(alike.code == exit_done);
    CHECK_MESSAGE(has(content(svg), "<desc>As usual in all "), content(svg).substr(0, 600));
}

TEST_CASE("without a capture or without good ones the picture says so") {
    // Expected, by hand: messages word for word.
    const Depot depot;
    const std::string csv = depot.start("start.csv", 3, 12.6), svg = depot.folder.path("over.svg");
    depot.keep(csv, "unsaid");
    CHECK(depot.baseline({depot.circuit, "--picture", svg}).err ==
          "there is no recorded start to draw\n  add  --capture start.csv\n");
    CHECK(has(depot.baseline({depot.circuit, "--picture", "x.odt"}).err, "is not the name of a picture"));
    REQUIRE(depot.baseline({depot.circuit, "--capture", csv, "--picture", svg}).code == exit_done);
    CHECK(has(content(svg), "<title>start.csv, beside no kept good start</title>"));
    CHECK(has(content(svg), "<desc>Too few good jobs to judge by: "));
}

#include <filesystem>
#include <fstream>

#include <doctest/doctest.h>

#include "viewer/command/command.h"

using namespace lostvolts;
namespace fs = std::filesystem;

namespace {

const std::string sprayer = std::string(LOSTVOLTS_SOURCE) + "/circuits/orchard_sprayer/";

std::string head_of(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    std::string bytes(4, ' ');
    in.read(bytes.data(), 4);
    return bytes;
}

fs::path fresh(const char* name) {
    const fs::path file = fs::temp_directory_path() / name;
    fs::remove(file);
    return file;
}

} // namespace

TEST_CASE("view draws each picture to a file of the kind that its name says") {
    // Expected: the first bytes of PNG, SVG and PDF files; what is drawn is tested in tests/figures.
    const fs::path file = fresh("lostvolts_view.png");
    for (const char* what : {"loop", "staircase", "suspects"}) {
        CAPTURE(what);
        const Answer a = run({"view", sprayer + "readings.toml", "--what", what, "--picture", file.string()});
        CHECK(a.code == exit_done);
        CHECK(a.err == "");
        CHECK(a.out.ends_with(" is in " + file.string() + ".\n"));
        CHECK(head_of(file) == "\x89PNG");
        fs::remove(file);
    }
    const fs::path svg = fresh("lostvolts_view.svg"), pdf = fresh("lostvolts_view.pdf");
    CHECK(run({"view", sprayer + "circuit.toml", "--condition", "flat battery", "--state", "stall", "--dark",
               "--picture", svg.string()})
              .code == exit_done);
    CHECK(head_of(svg) == "<?xm");
    CHECK(run({"size", sprayer + "circuit.toml", "--picture", pdf.string()}).code == exit_done);
    CHECK(head_of(pdf) == "%PDF");
    fs::remove(svg);
    fs::remove(pdf);
}

TEST_CASE("view without a picture asks main for the window") {
    // Expected: the command library opens none itself.
    const Answer a = run({"view", sprayer + "circuit.toml", "--state", "stall", "--dark"});
    CHECK(a.code == exit_done);
    REQUIRE(a.window);
    CHECK(a.window->file == sprayer + "circuit.toml");
    CHECK(a.window->state == "stall");
    CHECK(a.window->dark);
}

TEST_CASE("what view can't draw is refused before anything is worked out") {
    // Expected: the messages, word for word.
    CHECK(run({"view"}).err == "view needs FILE: a circuit, or readings taken on one\n"
                               "  Example: lostvolts view readings.toml\n");
    CHECK(run({"view", sprayer + "circuit.toml", "--picture", "x.jpg"}).err ==
          "x.jpg: is not the name of a picture\n  end it in .png, .svg or .pdf\n");
    const Answer suspects =
        run({"view", sprayer + "circuit.toml", "--what", "suspects", "--picture", "x.png"});
    CHECK(suspects.code == exit_bad_input);
    CHECK(suspects.err == sprayer + "circuit.toml: is a circuit; suspects come from readings taken on it\n"
                                    "  give view a file of readings\n");
    CHECK(run({"view", sprayer + "circuit.toml", "--state", "rnu", "--picture", "x.png"}).code ==
          exit_bad_input);
    CHECK(!fs::exists("x.png"));
}

TEST_CASE("a start is drawn beside the sound one and a capture beside another") {
    // Expected: inrush writes capture and picture in one go; waveform reads that capture again.
    const fs::path csv = fresh("lostvolts_start.csv"), png = fresh("lostvolts_start.png");
    const Answer start = run({"inrush", sprayer + "circuit.toml", "--state", "run", "--condition",
                              "corroded pump ground", "--csv", csv.string(), "--picture", png.string()});
    CHECK(start.code == exit_done);
    CHECK(start.out.find("The picture is in " + png.string()) != std::string::npos);
    CHECK(head_of(png) == "\x89PNG");
    fs::remove(png);
    const Answer read = run({"waveform", csv.string(), "--beside", csv.string(), "--circuit",
                             sprayer + "circuit.toml", "--state", "run", "--picture", png.string()});
    CHECK(read.code == exit_done);
    CHECK(head_of(png) == "\x89PNG");
    fs::remove(png);
    fs::remove(csv);
}

// lostvolts report -o FILE.pdf: read back with poppler's pdftotext and pdfinfo, which share nothing with what
// wrote it.
#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>
#include <regex>

#include <fmt/format.h>

#include "tests/command/folder.h"
#include "tests/command/outside.h"
#include "viewer/command/command.h"

using namespace lostvolts;
using namespace lostvolts::command_tests;

namespace {

const std::string job = LOSTVOLTS_SOURCE "/circuits/orchard_sprayer/";

bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

/// The words of a report's PDF with single spaces, or what the command complained of.
std::string words_of(std::vector<std::string> words, const Folder& folder) {
    const std::string file = folder.path("report.pdf");
    words.insert(words.begin(), "report");
    words.insert(words.end(), {"-o", file});
    const Answer a = run(words);
    if (a.code != exit_done) return a.err;
    return std::regex_replace(output_of("pdftotext -layout '" + file + "' -"), std::regex("[ \n\f]+"), " ");
}
int pages(const Folder& folder) {
    const std::string info = output_of("pdfinfo '" + folder.path("report.pdf") + "'");
    std::smatch found;
    return std::regex_search(info, found, std::regex("Pages: +(\\d+)")) ? std::stoi(found[1]) : 0;
}

} // namespace

TEST_CASE("a report's PDF says what its page of HTML says") {
    // Expected: circuits/orchard_sprayer/README.md; the parts of the HTML's own test.
    const Folder folder;
    const std::string text =
        words_of({job + "readings.toml", "--complaint", "jet falls short", "--machine", "sprayer 7"}, folder);
    for (const char* part :
         {"The ground \"pump ground\" is bad", "The complaint", "jet falls short", "sprayer 7",
          "as good as certain", "What was read, beside what it should be", "17.04 A", "Suspects",
          "What was ruled out, and by which reading", "Mend the ground \"pump ground\"", "should be",
          "9.14 A", "Before you touch the machine", "SHA-256", "lostvolts locate readings.toml",
          "wiggling the loom", "page 1 of "})
        CHECK_MESSAGE(has(text, part), part);
    CHECK(has(output_of("pdfinfo '" + folder.path("report.pdf") + "'"), "Orchard sprayer, rinse pump"));
    CHECK(has(output_of("pdfinfo '" + folder.path("report.pdf") + "'"), "(A4)"));
    CHECK(pages(folder) >= 2);
    CHECK(pages(folder) <= 6);
    // Its pictures are drawn with lines, not with pixels.
    CHECK(!has(output_of("pdfimages -list '" + folder.path("report.pdf") + "'"), "image"));
}

TEST_CASE("hostile and endless notes are only words in a PDF") {
    // Expected, by hand.
    const Folder folder;
    const std::string evil = "</p><script>alert(1)</script> (\\) endobj %%EOF \xFF\x1b[31m\u202E";
    std::string endless;
    for (int k = 0; k < 5000; ++k) endless += fmt::format("note{} ", k);
    endless += std::string(3000, 'x');
    const std::string text =
        words_of({job + "readings.toml", "--title", evil, "--complaint", evil, "--finding", evil, "--machine",
                  evil, "--date", evil, "--note", endless},
                 folder);
    CHECK(has(text, "</p><script>alert(1)</script> (\\) endobj %%EOF"));
    CHECK(has(text, "note0 "));
    CHECK(has(text, "note4999"));
    CHECK(pages(folder) > 8);
    CHECK(has(output_of("pdftoppm -r 20 -f 1 -l 1 -png '" + folder.path("report.pdf") + "' '" +
                        folder.path("p") + "' 2>&1; ls '" + folder.path("") + "'"),
              ".png"));
    CHECK(output_of("pdftoppm -r 20 '" + folder.path("report.pdf") + "' /dev/null 2>&1 >/dev/null") == "");
}

TEST_CASE("a harness of sixty parts fits on pages") {
    // Expected, by hand: every reading's note is there, and no page is missing its number.
    const Folder folder;
    std::string circuit = "format = 1\nname = \"Ladder\"\nground = \"battery -\"\n"
                          "[[part]]\nname = \"battery\"\nkind = \"battery\"\nfrom = \"battery -\"\nto = "
                          "\"battery +\"\nemf = \"12.6 V\"\nresistance = \"9 mohm\"\n";
    std::string readings = "circuit = \"circuit.toml\"\n";
    std::string from = "battery +";
    for (int k = 1; k <= 30; ++k) {
        const std::string to = fmt::format("tap {}", k);
        circuit +=
            fmt::format("[[part]]\nname = \"run {0}\"\nkind = \"wire\"\nfrom = \"{1}\"\nto = \"{2}\"\n"
                        "resistance = \"4 mohm\"\n[[part]]\nname = \"lamp {0}\"\nkind = \"lamp\"\nfrom = "
                        "\"{2}\"\nto = \"battery -\"\nrated = \"12 V\"\npower = \"5 W\"\n",
                        k, from, to);
        if (k % 3 == 0)
            readings += fmt::format("[[reading]]\nstate = \"on\"\nquantity = \"voltage\"\nred = \"{}\"\n"
                                    "black = \"battery -\"\nvalue = \"12.{} V\"\nnote = \"remark {}\"\n",
                                    to, 5 - k / 6, k);
        from = to;
    }
    circuit += "[[state]]\nname = \"on\"\n";
    folder.write("circuit.toml", circuit);
    const std::string text = words_of({folder.write("readings.toml", readings)}, folder);
    REQUIRE_MESSAGE(has(text, "Ladder"), text);
    for (int k = 3; k <= 30; k += 3) CHECK(has(text, fmt::format("remark {}", k)));
    for (int k = 1; k <= pages(folder); ++k) CHECK(has(text, fmt::format("page {} of {}", k, pages(folder))));
}

TEST_CASE("a capture's picture and figures are in the PDF") {
    // Expected: inrush's own answer for the sound pump, 9.14 A.
    const Folder folder;
    const std::string csv = folder.path("start.csv");
    REQUIRE(run({"inrush", job + "circuit.toml", "--state", "run", "--csv", csv}).code == exit_done);
    const std::string text = words_of({job + "readings.toml", "--capture", csv}, folder);
    CHECK_MESSAGE(has(text, "The start, recorded in start.csv"), text.substr(0, 400));
    CHECK(has(text, "stall current, from the fit"));
    CHECK(has(text, "run current"));
}

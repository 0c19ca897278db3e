// lostvolts report: what is on the page, and what no note can do to it.
#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>

#include <nlohmann/json.hpp>

#include "tests/command/folder.h"
#include "viewer/command/command.h"

using namespace lostvolts;
using namespace lostvolts::command_tests;
using Json = nlohmann::json;

namespace {

const std::string job = LOSTVOLTS_SOURCE "/circuits/orchard_sprayer/";

bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }
int count(const std::string& text, std::string_view part) {
    int n = 0;
    for (std::size_t at = 0; (at = text.find(part, at)) != std::string::npos; ++at) ++n;
    return n;
}

/// The page of a report, or what the command complained of.
std::string page(std::vector<std::string> words, const Folder& folder) {
    const std::string file = folder.path("report.html");
    words.insert(words.begin(), "report");
    words.insert(words.end(), {"-o", file});
    const Answer a = run(words);
    if (a.code != exit_done) return a.err;
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

} // namespace

TEST_CASE("a report tells the verdict, the readings, the repair and the cautions") {
    // Expected: circuits/orchard_sprayer/README.md: the pump ground, 9.1 A and under 0.05 V after cleaning.
    const Folder folder;
    const std::string html =
        page({job + "readings.toml", "--complaint", "jet falls short", "--machine", "sprayer 7"}, folder);
    for (const char* part :
         {"<!DOCTYPE html>", "The ground &quot;pump ground&quot; is bad", "The complaint", "jet falls short",
          "sprayer 7", "as good as certain", "What was read, beside what it should be", "17.04 A", "Suspects",
          "What was ruled out, and by which reading", "Mend the ground &quot;pump ground&quot;", "should be",
          "9.14 A", "Before you touch the machine", "Airbag", "SHA-256", "lostvolts locate readings.toml",
          "wiggling the loom"})
        CHECK_MESSAGE((has(html, part) || (std::string_view(part) == "Airbag" && has(html, "airbag"))), part);
    CHECK(count(html, "<img src=\"data:image/svg+xml;base64,") >= 2); // the circuit and the staircase
    CHECK(html.ends_with("</html>\n"));
}

TEST_CASE("a report needs nothing from elsewhere and runs nothing") {
    // Expected, by hand: no script, no link, no address but data:.
    const Folder folder;
    const std::string html = page({job + "before_dismantling.toml"}, folder);
    for (const char* part :
         {"<script", "<link", "<iframe", "http://", "https://", "url(", "javascript:", "@import", " onload"})
        CHECK_MESSAGE(!has(html, part), part);
    CHECK(has(html, "default-src 'none'"));
    CHECK(has(html, "What to measure next"));
    CHECK(has(html, "mend nothing on this report alone"));
}

TEST_CASE("hostile notes are only words on the page") {
    // Expected, by hand: the page has as many tags with them as without.
    const Folder folder;
    const std::string evil =
        "</p></body><script>alert(1)</script><img src=x onerror=alert(1)>\"'><!-- ]]> &#60;b\xFF";
    const std::string plain = page({job + "readings.toml", "--complaint", "a", "--finding", "a", "--note",
                                    "a", "--title", "a", "--machine", "a", "--date", "a"},
                                   folder);
    const std::string html = page({job + "readings.toml", "--complaint", evil, "--finding", evil, "--note",
                                   evil, "--title", evil, "--machine", evil, "--date", evil},
                                  folder);
    for (const char* tag : {"<p", "</p>", "<img", "<script", "</body>", "<!--", "<", ">"})
        CHECK_MESSAGE(count(html, tag) == count(plain, tag), tag);
    CHECK(count(html, "&lt;script&gt;alert(1)") >= 5);

    // In the files as well: a reading's note and the circuit's name.
    std::ifstream in(job + "circuit.toml");
    std::string circuit{std::istreambuf_iterator<char>(in), {}};
    circuit.replace(circuit.find("Orchard sprayer"), 15, "<script>x</script>");
    folder.write("circuit.toml", circuit);
    const std::string readings = folder.write(
        "readings.toml",
        "circuit = \"circuit.toml\"\n[[reading]]\nstate = \"run\"\nquantity "
        "= \"current\"\nthrough = \"rinse pump\"\nvalue = \"7.65 A\"\nnote = \"<script>y</script>\"\n");
    const std::string from_files = page({readings}, folder);
    CHECK(has(from_files, "&lt;script&gt;y"));
    CHECK(has(from_files, "&lt;script&gt;x"));
    CHECK(!has(from_files, "<script"));
}

TEST_CASE("a kept job brings its words and notes to its report") {
    // Expected, by hand.
    const Folder folder;
    const Answer added =
        run({"records", "add", job + "readings.toml", "--store", folder.path("store"), "--complaint",
             "sounds tired", "--note", "seen at dusk", "--finding", "rust; cleaned", "--json"});
    REQUIRE_MESSAGE(added.code == exit_done, added.err);
    const std::string html =
        page({Json::parse(added.out)["path"].get<std::string>() + "/readings.toml"}, folder);
    for (const char* part : {"sounds tired", "seen at dusk", "rust; cleaned"})
        CHECK_MESSAGE(has(html, part), part);
}

TEST_CASE("what report can't write is said") {
    // Expected, by hand: messages word for word.
    const Folder folder;
    CHECK(run({"report", job + "readings.toml", "-o", folder.path("r.odt")}).err ==
          folder.path("r.odt") +
              ": a report is written as .html or .pdf\n  end its name in .html to read it in "
              "a browser, or .pdf to print it\n");
    CHECK(run({"report", job + "circuit.toml", "-o", folder.path("r.html")}).code == exit_bad_input);
    CHECK(run({"report", job + "readings.toml"}).code == exit_bad_input);
    CHECK(run({"report", job + "readings.toml", "-o", folder.path("no/r.html")}).code == exit_bad_input);
}

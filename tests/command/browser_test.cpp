// A report's HTML in a browser: it opens without a network, says nothing on the console, asks for nothing
// from elsewhere, and prints. Chromium judges, without a window. Where there is none the test says so and is
// shown as skipped by ctest; .ci/run installs it.
#include <doctest/doctest.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <regex>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "tests/command/folder.h"
#include "tests/command/outside.h"
#include "viewer/command/command.h"

using namespace lostvolts;
using namespace lostvolts::command_tests;
using Json = nlohmann::json;

namespace {

const std::string job = LOSTVOLTS_SOURCE "/circuits/orchard_sprayer/";

bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

std::string content(const std::string& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

struct Browsed {
    std::string console;           ///< lines that the page wrote
    std::vector<std::string> asks; ///< addresses that the page asked for
    std::string printed;           ///< the words of what it prints
};

Browsed browse(const std::string& page, const Folder& folder) {
    const std::string log = folder.path("net.json"), pdf = folder.path("printed.pdf");
    const std::string said = output_of(
        fmt::format("timeout 90 chromium --headless --no-sandbox --disable-gpu --disable-quic --no-first-run "
                    "--disable-background-networking --disable-component-update --disable-sync "
                    "--disable-dev-shm-usage --host-resolver-rules='MAP * ~NOTFOUND' --user-data-dir='{}' "
                    "--enable-logging=stderr --log-net-log='{}' --print-to-pdf='{}' 'file://{}' 2>&1",
                    folder.path("profile"), log, pdf, page));
    Browsed b;
    std::istringstream lines(said);
    for (std::string line; std::getline(lines, line);)
        if (has(line, ":CONSOLE")) b.console += line + '\n';
    const Json net = Json::parse(content(log), nullptr, false);
    REQUIRE_MESSAGE(!net.is_discarded(), said);
    // The browser's own errands (its clock, its updates) come from no page: "not an origin".
    for (const Json& event : net["events"]) {
        const Json params = event.value("params", Json::object());
        if (params.contains("url") && params.contains("initiator") && params["initiator"] != "not an origin")
            b.asks.push_back(params["url"]);
    }
    REQUIRE_MESSAGE(std::filesystem::exists(pdf), said);
    b.printed =
        std::regex_replace(output_of("pdftotext -layout '" + pdf + "' -"), std::regex("[ \n\f]+"), " ");
    return b;
}

bool no_browser() {
    if (std::system("command -v chromium >/dev/null 2>&1") == 0) return false;
    MESSAGE("SKIPPED: no chromium here, so no browser has judged the report; apt-get install chromium");
    return true;
}

} // namespace

TEST_CASE("a browser opens a report without a network, a script or a complaint, and prints it") {
    // Expected, by hand: nothing on the console, no address but the file's own and data:, and in print what
    // the page says. Notes that would call out if they were more than words.
    if (no_browser()) return;
    const Folder folder;
    const std::string page = folder.path("report.html");
    const std::string evil = "<img src=http://example.org/x.png><script src=\"https://example.org/y.js\">"
                             "</script><script>console.error('ran')</script>";
    const Answer a =
        run({"report", job + "readings.toml", "--complaint", "jet falls short", "--note", evil, "-o", page});
    REQUIRE_MESSAGE(a.code == exit_done, a.err);
    const Browsed b = browse(page, folder);
    CHECK(b.console == "");
    for (const std::string& address : b.asks)
        CHECK_MESSAGE((address.starts_with("data:") || address.starts_with("file:")), address);
    for (const char* part : {"The ground \"pump ground\" is bad", "jet falls short", "console.error('ran')",
                             "What was ruled out", "SHA-256"})
        CHECK_MESSAGE(has(b.printed, part), part);
}

TEST_CASE("the browser's test can fail: a page that calls out and complains is caught") {
    // Expected, by hand: one script that writes to the console, one picture from elsewhere.
    if (no_browser()) return;
    const Folder folder;
    const Browsed b = browse(folder.write("bad.html", "<p>x</p><img src=\"http://example.org/x.png\">"
                                                      "<script>console.error('complains')</script>"),
                             folder);
    CHECK(has(b.console, "complains"));
    CHECK(std::find(b.asks.begin(), b.asks.end(), "http://example.org/x.png") != b.asks.end());
}

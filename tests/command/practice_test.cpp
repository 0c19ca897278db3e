#include <doctest/doctest.h>

#include <fstream>
#include <sstream>
#include <thread>

#include "solver/circuit/read.h"
#include "solver/units/csv.h"
#include "tests/command/folder.h"
#include "tests/command/sample.h"
#include "viewer/command/class_results.h"
#include "viewer/command/json.h"

using namespace lostvolts;
using namespace lostvolts::command_tests;

namespace {

const std::string boat = LOSTVOLTS_SOURCE "/circuits/workboat_bilge/circuit.toml";

/// A screen on which somebody answers with these lines; `heard` gets all that was said.
Screen answered(std::vector<std::string> lines, std::string* heard = nullptr) {
    Screen screen;
    auto next = std::make_shared<std::size_t>(0);
    screen.next_line = [lines = std::move(lines), next, heard](const std::string& said) {
        if (heard) *heard += said;
        return *next < lines.size() ? std::optional(lines[(*next)++]) : std::nullopt;
    };
    return screen;
}

std::vector<std::string> lines_of(const std::string& path) {
    std::ifstream in(path);
    std::vector<std::string> lines;
    for (std::string line; std::getline(in, line);) lines.push_back(line);
    return lines;
}

/// The cells of a line of CSV, by RFC 4180.
std::vector<std::string> cells_of(const std::string& line) {
    std::vector<std::string> cells(1);
    bool quoted = false;
    for (std::size_t k = 0; k < line.size(); ++k) {
        const char ch = line[k];
        if (ch == '"' && quoted && k + 1 < line.size() && line[k + 1] == '"')
            cells.back() += line[++k];
        else if (ch == '"')
            quoted = !quoted;
        else if (ch == ',' && !quoted)
            cells.emplace_back();
        else
            cells.back() += ch;
    }
    return cells;
}

} // namespace

TEST_CASE("a game is played in lines and ends with marks and why") {
    // Expected: the program's own plan for the seed, asked line by line, has full marks.
    const Json own = Json::parse(run({"practice", boat, "--seed", "2", "--json"}).out);
    CHECK(own["named"].is_null());
    CHECK(own["marks"] == 0.0);
    std::vector<std::string> lines{"# a class", "help", "points", "volts nowhere"};
    for (const Json& r : own["plan"]["readings"]) {
        const std::string in = " in " + r["state"].get<std::string>();
        const std::string quantity = r["quantity"].get<std::string>(); // each is a word of the game
        lines.push_back(r["red"].is_null() ? quantity + ' ' + r["through"].get<std::string>() + in
                                           : quantity + ' ' + r["red"].get<std::string>() + " to " +
                                                 r["black"].get<std::string>() + in);
    }
    lines.push_back("part " + own["hidden"]["part"].get<std::string>());
    std::string heard;
    Screen screen = answered(lines, &heard);
    screen.columns = 120; // so that no sentence looked for is broken
    const Answer a = run({"practice", boat, "--seed", "2"}, screen);
    CHECK(a.code == exit_done);
    const std::string all = heard + a.out;
    CHECK(all.find("Seed 2.") != std::string::npos);
    CHECK(all.find("there is no point \"nowhere\"") != std::string::npos);
    CHECK(all.find("You named the right part.") != std::string::npos);
    CHECK(all.find("Marks: 100 %") != std::string::npos);
    CHECK(all.find("Why") != std::string::npos);
    CHECK(all.find("Before you touch the machine") != std::string::npos);
    const Json played = Json::parse(run({"practice", boat, "--seed", "2", "--json"}, answered(lines)).out);
    CHECK(played["marks"] == 1.0);
    CHECK(played["readings"] == played["plan"]["readings"]);
    CHECK(played["problems"].size() == 1);
}

TEST_CASE("a student's name with a comma and quotes stays readable in the results") {
    // Expected: RFC 4180; the heading once.
    const Folder folder;
    const std::string file = folder.path("class.csv");
    const std::string name = "O'Hara, \"Bo\"";
    for (int k = 0; k < 2; ++k) {
        const Answer a = run({"practice", boat, "--seed", "3", "--student", name, "--results", file},
                             answered({"part battery"}));
        CHECK(a.code == exit_done);
    }
    const auto lines = lines_of(file);
    REQUIRE(lines.size() == 3);
    CHECK(lines[0] + "\n" == results_heading());
    const auto heading = cells_of(lines[0]), cells = cells_of(lines[1]);
    REQUIRE(cells.size() == heading.size());
    CHECK(cells[0] == name);
    CHECK(cells[3] == "battery");
    CHECK(cells[2] == "3");
}

TEST_CASE("results of a class that ends at once are all kept") {
    // Expected: every line whole, one heading, and what stood there before untouched, though its last line
    // had no end.
    const Folder folder;
    const std::string file = folder.write("class.csv", "kept by hand");
    std::vector<std::thread> class_;
    for (int student = 0; student < 8; ++student)
        class_.emplace_back([&, student] {
            for (int k = 0; k < 25; ++k)
                CHECK(
                    append_result(file, csv_line({"student " + std::to_string(student), std::to_string(k)})));
        });
    for (std::thread& t : class_) t.join();
    const auto lines = lines_of(file);
    REQUIRE(lines.size() == 1 + 8 * 25);
    CHECK(lines[0] == "kept by hand");
    for (std::size_t k = 1; k < lines.size(); ++k) CHECK(cells_of(lines[k]).size() == 2);
}

TEST_CASE("practice says what is wrong with its words") {
    // Expected: the messages word for word.
    const Answer nobody = run({"practice", boat, "--results", "class.csv"});
    CHECK(nobody.code == exit_bad_input);
    CHECK(nobody.err == "--results needs to know whose they are\n  add  --student NAME\n");
    const Answer nowhere = run({"practice", boat, "--student", "A", "--results", "/nowhere/at/all.csv"});
    CHECK(nowhere.code == exit_bad_input);
    CHECK(nowhere.err.find("the result could not be kept: No such file or directory") != std::string::npos);
}

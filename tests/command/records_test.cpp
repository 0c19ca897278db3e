// lostvolts records: what it says, its JSON, its exit codes.
#include <doctest/doctest.h>

#include <csignal>
#include <filesystem>
#include <fstream>
#include <sstream>

#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include "tests/command/folder.h"
#include "tests/command/sample.h"
#include "viewer/command/command.h"
#include "viewer/command/style.h"

using namespace lostvolts;
using namespace lostvolts::command_tests;
using Json = nlohmann::json;

namespace {

bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

/// A bilge pump's circuit and readings, and a store of their own.
struct Boat {
    Folder folder;
    std::string readings = folder.write("readings.toml", pump_readings), store = folder.path("store");

    Boat() { folder.write("circuit.toml", pump_circuit); }

    Answer records(std::vector<std::string> words, int columns = 80) const {
        words.insert(words.begin(), "records");
        return run(words, {.colour = false, .columns = columns, .kept_jobs = store});
    }
    /// Keeps the readings with another number in them and gives the id.
    std::string keep(double volts, std::vector<std::string> words = {}) const {
        std::string text(pump_readings);
        text.replace(text.find("1.46"), 4, fmt::format("{:.4f}", volts));
        words.insert(words.begin(), {"add", folder.write("r.toml", text), "--json", "--date", "2026-11-25"});
        const Answer a = records(words);
        return a.code == exit_done ? Json::parse(a.out)["id"].get<std::string>() : a.err;
    }
};

} // namespace

TEST_CASE("a job is kept, found, shown and told of in plain words") {
    // Expected, by hand; the fault is the sample's condition "corroded ground".
    const Boat boat;
    const Answer added = boat.records({"add", boat.readings, "--machine", "workboat 3", "--complaint",
                                       "bilge stays wet", "--label", "aft", "--date", "2026-11-25"});
    REQUIRE_MESSAGE(added.code == exit_done, added.err);
    CHECK(has(added.out, "Kept as job "));
    CHECK(has(added.out, "located: pump ground: high resistance"));
    const std::string id = added.out.substr(12, 8);
    const Answer found = boat.records({"find", "wet", "--label", "aft"}, 120);
    CHECK(has(found.out, "1 of 1 kept job, the best first\n"));
    CHECK(has(found.out, id));
    CHECK(has(found.out, "workboat 3"));
    const Answer shown = boat.records({"show", id.substr(0, 5)});
    CHECK(has(shown.out,
              "Workboat, bilge pump\n  job " + id + ", 2026-11-25, machine: workboat 3; labels: aft\n"));
    CHECK(has(shown.out, "Complaint\n  bilge stays wet\n"));
    CHECK(has(shown.out, "readings  readings.toml"));
    CHECK(boat.records({"find", "nothing"}).out == "None of 1 kept job fits.\n");
    const Answer again = boat.records({"add", boat.readings, "--title", "another", "--strict"});
    CHECK(again.code == exit_finding);
    CHECK(has(again.out, "The same readings are kept already, as job " + id));
}

TEST_CASE("records answers with keys that others may rely on") {
    // Expected: pinned here; extend them, never rename one.
    const Boat boat;
    const Json added = Json::parse(boat.records({"add", boat.readings, "--json"}).out);
    const Json shown = Json::parse(boat.records({"show", added["id"], "--json"}).out);
    for (const char* key :
         {"id", "folder", "title", "machine", "date", "labels", "known", "complaint", "finding", "circuit",
          "located", "state", "trouble", "path", "files", "verdicts", "measured", "content", "drawing"})
        CHECK_MESSAGE(shown.contains(key), key);
    CHECK(shown["located"]["part"] == "pump ground");
    CHECK(shown["known"].is_null());
    CHECK(shown["state"] == "whole");
    const Json found = Json::parse(boat.records({"find", "--json"}).out);
    CHECK(found["fitting"] == 1);
    CHECK(found["jobs"][0]["id"] == added["id"]);
    CHECK(found["not_whole"].empty());
    CHECK(Json::parse(boat.records({"rebuild", "--json"}).out)["jobs"] == 1);
}

TEST_CASE("a folder is kept with what it holds and its words") {
    // Expected, by hand: a kept job's own folder, given to another store.
    const Boat boat;
    const Json first = Json::parse(
        boat.records({"add", boat.readings, "--title", "Wet bilge", "--known", "bad", "--json"}).out);
    std::filesystem::create_directory(
        boat.folder.path("store/jobs/" + first["folder"].get<std::string>() + "/sub"));
    const std::string other = boat.folder.path("other");
    const Answer moved = boat.records({"add", first["path"], "--store", other});
    REQUIRE_MESSAGE(moved.code == exit_done, moved.err);
    CHECK(has(moved.err, "sub: is left out"));
    const Json found = Json::parse(boat.records({"find", "--store", other, "--json"}).out);
    CHECK(found["jobs"][0]["title"] == "Wet bilge");
    CHECK(found["jobs"][0]["known"] == "bad");
    CHECK(found["jobs"][0]["id"] == first["id"]);
}

TEST_CASE("a damaged or vanished job is named on every search and by the exit code when asked") {
    // Expected, by hand: DESIGN.
    const Boat boat;
    const std::string one = boat.keep(1.46), two = boat.keep(1.47);
    for (const auto& each : std::filesystem::directory_iterator(boat.folder.path("store/jobs")))
        if (has(each.path().string(), two)) std::filesystem::remove_all(each.path());
    const Answer found = boat.records({"find", "unheard", "--strict"});
    CHECK(found.code == exit_finding);
    CHECK(has(found.err, "job " + two + " is gone: its folder is gone\n"));
    CHECK(has(found.err, "put the folder back"));
    CHECK(boat.records({"find", one}).code == exit_done);
    CHECK(boat.records({"show", two}).code == exit_bad_input);
    CHECK(boat.records({"rebuild", "--forget"}).err.empty());
    CHECK(boat.records({"find"}).err.empty());
}

TEST_CASE("good jobs make a baseline and a bad reading stands out against it") {
    // Expected, by hand: six good grounds near 0.02 V, then one at 1.46 V.
    const Boat boat;
    CHECK(has(boat.records({"baseline", boat.readings, "--store", boat.store}).err,
              "there are no kept jobs here"));
    for (int k = 0; k < 6; ++k) boat.keep(0.02 + 0.0002 * k, {"--known", "good"});
    const Answer a = boat.records({"baseline", boat.readings, "--strict"});
    CHECK(a.code == exit_finding);
    CHECK(has(a.out, "6 good jobs on this circuit; 99 of 100 further good ones"));
    CHECK(has(a.out, "high"));
    CHECK(has(a.out, "1 of 2 figures is not as usual."));
    const Json j = Json::parse(boat.records({"baseline", boat.readings, "--json"}).out);
    CHECK(j["good_jobs"] == 6);
    CHECK(j["judged"][0]["judgement"] == "usual");
    CHECK(j["judged"][1]["judgement"] == "high");
    CHECK(boat.records({"baseline", boat.folder.path("circuit.toml")}).code == exit_done);
    const std::string id = boat.keep(0.0205, {"--known", "good"});
    CHECK(has(boat.records({"baseline", id, "--strict"}).out,
              "All 2 figures that can be judged are as usual."));
}

TEST_CASE("labels, words and known are changed and read back") {
    // Expected, by hand.
    const Boat boat;
    const std::string id = boat.keep(1.46, {"--label", "one"});
    const Answer a =
        boat.records({"label", id, "two", "--off", "one", "--finding", "rust; cleaned", "--known", "bad"});
    REQUIRE_MESSAGE(a.code == exit_done, a.err);
    CHECK(has(a.out, "known bad; labels: two"));
    CHECK(has(a.out, "What it was\n  rust; cleaned\n"));
    CHECK(boat.records({"label", id, "--known", "perhaps"}).err ==
          "--known \"perhaps\" is not understood\n  write good, bad or unsaid\n");
    CHECK(boat.records({"label", id, "--date", "yesterday"}).code == exit_bad_input);
}

TEST_CASE("the exported table quotes what has to be and gives a spreadsheet no formula") {
    // Expected: RFC 4180, by hand.
    const Boat boat;
    boat.keep(1.46,
              {"--title", "=1+1", "--machine", "a, \"b\"", "--finding", "two\nlines", "--complaint", " @x"});
    const Answer a = boat.records({"export"});
    REQUIRE(a.code == exit_done);
    CHECK(has(a.out, ",\"a, \"\"b\"\"\",'=1+1,,,' @x,\"two\nlines\","));
    CHECK(has(a.out, ",pump ground,high resistance,"));
    const std::string file = boat.folder.path("jobs.csv");
    CHECK(boat.records({"export", "-o", file}).out == file + ": 1 job\n");
    const Answer json = boat.records({"export", "--json", "-o", file});
    const auto told = nlohmann::json::parse(json.out);
    CHECK(told["file"] == file);
    CHECK(told["jobs"][0]["title"] == "=1+1"); // no formula to a program
    CHECK(!told["jobs"][0]["measured"].empty());
}

TEST_CASE("hostile words and names stay words and names") {
    // Expected, by hand: nothing outside the store's folder is made; answers hold no control characters.
    const Boat boat;
    const std::string evil = "../../../evil\n\x1b[31m\"'; DROP TABLE job; --";
    const std::string bad = boat.folder.write("..; rm -rf \xFF\n'\".txt", "notes of a hostile name");
    const Answer a = boat.records(
        {"add", boat.readings, bad, "--title", evil, "--machine", evil, "--label", evil, "--note", evil});
    REQUIRE_MESSAGE(a.code == exit_done, a.err);
    int made = 0;
    for (const auto& each : std::filesystem::directory_iterator(boat.folder.path("")))
        made += each.path().filename() == "store";
    CHECK(made == 1);
    for (const Answer& answer :
         {a, boat.records({"find", evil}), boat.records({"show", "evil"}), boat.records({"find"})}) {
        CHECK(!has(answer.out, "\x1b"));
        CHECK(!has(answer.err, "\x1b"));
    }
    CHECK(Json::parse(boat.records({"find", "evil", "--json"}).out)["jobs"][0]["title"] == evil);
    CHECK(boat.records({"add", boat.readings, "--again", "--title", "\xFF"}).err ==
          "the title is not UTF-8 text\n  type it again\n");
    CHECK(boat.records({"add", boat.readings, "--again", "--store", "/proc/nowhere"}).code == exit_bad_input);
}

TEST_CASE("words that are other commands' names are only words to search") {
    // Expected, by hand.
    const Boat boat;
    boat.keep(1.46, {"--title", "add locate records"});
    for (const char* word : {"add", "locate", "records", "find"})
        CHECK_MESSAGE(boat.records({"find", word, "--json"}).code == exit_done, word);
    CHECK(has(boat.records({"find", "add", "locate"}).out, "1 of 1"));
}

TEST_CASE("records and each of its commands has help that fits forty columns") {
    // Expected: the narrowest screen that command.h promises.
    const Boat boat;
    for (const std::vector<std::string>& words : {std::vector<std::string>{},
                                                  {"--help"},
                                                  {"add", "-h"},
                                                  {"find", "-h"},
                                                  {"show", "-h"},
                                                  {"label", "-h"},
                                                  {"baseline", "-h"},
                                                  {"export", "-h"},
                                                  {"rebuild", "-h"}}) {
        const Answer a = boat.records(words, 40);
        CHECK(a.code == exit_done);
        std::istringstream lines(a.out);
        for (std::string line; std::getline(lines, line);) CHECK_MESSAGE(width_of(line) <= 40, line);
    }
    CHECK(has(boat.records({"find", "-h"}).out, "lostvolts records find WORD..."));
    CHECK(boat.records({"fnd"}).err == "records has no command \"fnd\"\n  did you mean \"find\"?\n");
    CHECK(has(boat.records({"show"}).err, "records show needs JOB"));
    CHECK(has(boat.records({"find", "--jsn"}).err,
              "records find has no option \"--jsn\"\n  did you mean \"--json\"?"));
    CHECK(run({"records", "find"}).err ==
          "it is not known where jobs are kept\n  say so with  --store FOLDER\n");
}

TEST_CASE("a full disk is said, and jobs kept before are untouched") {
    // Expected, by hand: a limit on a file's size stands in for the disk's end (EFBIG instead of ENOSPC).
    const Boat boat;
    const std::string id = boat.keep(1.46);
    std::string big(200'000, '#');
    const std::string notes = boat.folder.write("big.txt", big);
    const std::string said = boat.folder.path("said");
    const pid_t child = ::fork();
    if (child == 0) {
        std::signal(SIGXFSZ, SIG_IGN);
        const rlimit limit{100'000, 100'000};
        ::setrlimit(RLIMIT_FSIZE, &limit);
        const Answer a = boat.records({"add", boat.readings, notes, "--again"});
        std::ofstream(said) << a.code << '\n' << a.err;
        ::_exit(0);
    }
    ::waitpid(child, nullptr, 0);
    std::ifstream in(said);
    const std::string answer{std::istreambuf_iterator<char>(in), {}};
    CHECK(answer.starts_with("2\n"));
    CHECK(has(answer, ": the job was not kept: the disk is full\n  make room and do it again"));
    CHECK(std::filesystem::is_empty(boat.folder.path("store/adding")));
    CHECK(Json::parse(boat.records({"find", "--json"}).out)["jobs"][0]["id"] == id);
}

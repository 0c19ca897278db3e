// The job on the bench: changes, undo, the file, what the solver makes of it. No window is opened.
#include <chrono>
#include <thread>

#include <doctest/doctest.h>

#include <sys/stat.h>
#include <unistd.h>

#include "tests/window/job.h"
#include "viewer/window/session.h"

using namespace lostvolts;
using namespace lostvolts::window_tests;

namespace {

std::unique_ptr<Session> opened(const std::string& file) {
    auto session = Session::open(file);
    REQUIRE(static_cast<bool>(session));
    return *std::move(session);
}

/// Lets the session look at the disk until it has news or two seconds are over.
std::string news_of(Session& session) {
    for (int k = 0; k < 200; ++k) {
        session.tick();
        if (std::string news = session.news(); !news.empty()) return news;
        std::this_thread::sleep_for(std::chrono::milliseconds(10));
    }
    return {};
}

void change_on_disk(const std::string& file, const std::string& text) {
    std::ofstream(file, std::ios::binary) << text;
    // A second later: the clock of some file systems ticks in whole seconds.
    const auto later = std::filesystem::last_write_time(file) + std::chrono::seconds(2);
    std::filesystem::last_write_time(file, later);
}

const std::string added = "\n[[reading]]\nstate = \"run\"\nquantity = \"voltage\"\nred = \"pump -\"\n"
                          "black = \"battery -\"\nvalue = \"1.46 V\"\n";

} // namespace

TEST_CASE("a reading that is added is in the file and every comment is where it was") {
    // Expected, by hand: the file as it was and the new table at its end.
    const Job job;
    const auto session = opened(job.readings);
    CHECK(session->add(over_the_ground("1.46 V")).empty());
    CHECK_FALSE(session->saved());
    session->finish();
    CHECK(session->saved());
    CHECK(content(job.readings) == std::string(wash_down_readings) + added);
}

TEST_CASE("undo and redo are in the file too") {
    // Expected: each text byte for byte as it was.
    const Job job;
    const auto session = opened(job.readings);
    session->add(over_the_ground("1.46 V"));
    REQUIRE(session->undo());
    session->finish();
    CHECK(content(job.readings) == wash_down_readings);
    CHECK_FALSE(session->undo());
    REQUIRE(session->redo());
    CHECK_FALSE(session->redo());
    session->finish();
    CHECK(content(job.readings) == std::string(wash_down_readings) + added);
    CHECK(session->readings().size() == 2);
}

TEST_CASE("a change after undo forgets what could be redone") {
    // Expected: the usual meaning of redo.
    const Job job;
    const auto session = opened(job.readings);
    session->add(over_the_ground("1.46 V"));
    session->undo();
    session->change(0, "12.40 V");
    CHECK_FALSE(session->can_redo());
    session->finish();
    CHECK(content(job.readings).find("value = \"12.40 V\"") != std::string::npos);
}

TEST_CASE("the findings follow the readings") {
    // Expected: 1.46 V over a ground that should have 0.05 V can only be that ground; without readings of it
    // nothing is located.
    const Job job;
    const auto session = opened(job.readings);
    session->finish();
    REQUIRE(session->findings().location);
    CHECK(session->findings().location->verdict != Verdict::located);
    session->add(over_the_ground("1.46 V"));
    session->finish();
    REQUIRE(session->findings().location);
    const Location& found = *session->findings().location;
    REQUIRE(found.suspects.front().faults.size() == 1);
    CHECK(session->circuit().parts[static_cast<std::size_t>(found.suspects.front().faults[0].part)].name ==
          "pump ground");
    CHECK(session->findings().suspected.size() == session->circuit().states.size());
    session->undo();
    session->finish();
    CHECK(session->findings().location->verdict != Verdict::located);
}

TEST_CASE("a refused reading changes nothing and names its field") {
    // Expected, by hand.
    const Job job;
    const auto session = opened(job.readings);
    WrittenReading wrong = over_the_ground("1.46");
    wrong.red = "pomp -";
    const FieldProblems problems = session->add(wrong);
    REQUIRE(problems.size() == 2);
    CHECK(problems[0].key == "red");
    CHECK(problems[1].key == "value");
    CHECK(session->readings().size() == 1);
    CHECK(session->saved());
    CHECK_FALSE(session->can_undo());
}

TEST_CASE("a circuit opened alone starts a file of readings that no other file has the name of") {
    // Expected, by hand: readings.toml is there already.
    const Job job;
    const auto session = opened(job.circuit);
    CHECK(session->readings().empty());
    session->finish();
    CHECK_FALSE(
        std::filesystem::exists(job.folder.path("readings-2.toml"))); // nothing typed, nothing written
    CHECK(session->add(over_the_ground("1.46 V")).empty());
    session->finish();
    CHECK(content(job.folder.path("readings-2.toml")) == "circuit = \"circuit.toml\"\n" + added);
    CHECK(content(job.readings) == wash_down_readings);
}

TEST_CASE("what another program writes into the file is taken in and ours goes on top") {
    // Expected, by hand: both readings are in the file.
    const Job job;
    const auto session = opened(job.readings);
    const std::string theirs = std::string(wash_down_readings) + "note = \"engine off\"\n";
    change_on_disk(job.readings, theirs);
    session->add(over_the_ground("1.46 V"));
    session->finish();
    CHECK(content(job.readings) == theirs + added);
    CHECK(session->readings().front().note == "engine off");
    CHECK(session->saved());
    CHECK(session->news() == "\"readings.toml\" was changed by another program; it was read again.");
}

TEST_CASE("a change on the disk is noticed without a save") {
    // Expected, by hand.
    const Job job;
    const auto session = opened(job.readings);
    change_on_disk(job.readings, std::string(wash_down_readings) + added);
    CHECK(news_of(*session) == "\"readings.toml\" was changed by another program; it was read again.");
    CHECK(session->readings().size() == 2);
}

TEST_CASE("a file that another program has spoilt is left alone and ours goes beside it") {
    // Expected, by hand: the spoilt file keeps its bytes; the new file has the readings and the new one.
    const Job job;
    const auto session = opened(job.readings);
    change_on_disk(job.readings, "circuit = \"circuit.toml\n[[reading\n");
    CHECK(news_of(*session).find("has mistakes now") != std::string::npos);
    CHECK(session->readings().size() == 1);
    session->add(over_the_ground("1.46 V"));
    session->finish();
    CHECK(content(job.readings) == "circuit = \"circuit.toml\n[[reading\n");
    CHECK(content(job.folder.path("readings-2.toml")) == std::string(wash_down_readings) + added);
    CHECK(session->news().find("readings-2.toml") != std::string::npos);
}

TEST_CASE("a file that vanished is said to be unsaved and written again on asking") {
    // Expected, by hand.
    const Job job;
    const auto session = opened(job.readings);
    std::filesystem::remove(job.readings);
    for (int k = 0; k < 200 && session->saved(); ++k) {
        session->tick();
        std::this_thread::sleep_for(std::chrono::milliseconds(10));
    }
    CHECK(session->save_trouble() == "\"readings.toml\" is no longer on the disk");
    session->save();
    session->finish();
    CHECK(session->saved());
    CHECK(content(job.readings) == wash_down_readings);
}

TEST_CASE("in a folder that may not be written the readings stay and can go elsewhere") {
    // Expected, by hand: a reading is never lost. Root may write anywhere: a folder is put in the file's
    // place.
    const Job job;
    const command_tests::Folder other;
    const auto session = opened(job.circuit);
    std::filesystem::create_directory(session->readings_file());
    CHECK(session->add(over_the_ground("1.46 V")).empty());
    session->finish();
    CHECK_FALSE(session->saved());
    CHECK_FALSE(session->save_trouble().empty());
    CHECK(session->readings().size() == 1);
    session->save_as(other.path("kept.toml"));
    session->finish();
    CHECK(session->saved());
    CHECK(session->save_trouble().empty());
    CHECK(static_cast<bool>(read_readings(other.path("kept.toml")))); // its circuit is found from there
}

TEST_CASE("a full disk is told and loses nothing") {
    // Expected: /dev/full answers every write with "no space left"; as the target it is not a plain file, so
    // nothing may be put in its place. The reading stays in the window.
    const Job job;
    const auto session = opened(job.readings);
    session->save_as("/dev/full");
    CHECK_FALSE(session->save_trouble().empty());
    CHECK(session->add(over_the_ground("1.46 V")).empty());
    session->finish();
    CHECK(session->readings().size() == 2);
}

TEST_CASE("leaving in the middle of a save leaves a whole file") {
    // Expected: the text of before or of after, never part of one; here the last, as leaving waits for it.
    const Job job;
    std::string last;
    {
        const auto session = opened(job.readings);
        for (int k = 0; k < 30; ++k) session->add(over_the_ground("1." + std::to_string(10 + k) + " V"));
        last = session->readings_text();
    }
    CHECK(content(job.readings) == last);
}

TEST_CASE("a circuit changed on the disk is read again unless it is wrong") {
    // Expected, by hand.
    const Job job;
    const auto session = opened(job.readings);
    std::string better(wash_down);
    better.replace(better.find("12 mohm"), 7, "22 mohm");
    change_on_disk(job.circuit, better);
    CHECK(news_of(*session) == "\"circuit.toml\" was changed; it was read again.");
    CHECK(session->circuit_text() == better);
    change_on_disk(job.circuit, "format = 1\n");
    CHECK(news_of(*session).find("The window keeps the circuit as it was.") != std::string::npos);
    CHECK(session->circuit().parts.size() == 5);
}

TEST_CASE("a file that is missing or wrong is refused with its problems") {
    // Expected, by hand.
    const Job job;
    CHECK(Session::open(job.folder.path("nowhere.toml")).problems().front().what == "there is no such file");
    CHECK_FALSE(static_cast<bool>(Session::open(job.folder.write("bad.toml", "circuit = \"gone.toml\"\n"))));
}

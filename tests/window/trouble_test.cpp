// What goes wrong on the disk while somebody works in the window: nothing typed is lost, and the window says
// what is wrong where it can be read.
#include <doctest/doctest.h>

#include <csignal>
#include <filesystem>

#include <sys/resource.h>

#include "tests/window/hand.h"
#include "tests/window/job.h"

using namespace lostvolts;
using namespace lostvolts::window_tests;

namespace {

/// While it lives a file can't grow beyond so many bytes: what a full disk does to a writer, half-way through
/// a file.
class FullDisk {
  public:
    explicit FullDisk(rlim_t bytes) : before_(std::signal(SIGXFSZ, SIG_IGN)) {
        getrlimit(RLIMIT_FSIZE, &limit_);
        const rlimit low{bytes, limit_.rlim_max};
        setrlimit(RLIMIT_FSIZE, &low);
    }
    ~FullDisk() {
        setrlimit(RLIMIT_FSIZE, &limit_);
        std::signal(SIGXFSZ, before_);
    }

  private:
    rlimit limit_{};
    void (*before_)(int);
};

void type_a_reading(Hand& hand) {
    hand.key(sf::Keyboard::N, true);
    hand.type("pump -");
    hand.enter();
    hand.type("battery -");
    hand.enter();
    hand.type("1.46");
    hand.enter();
}

std::ptrdiff_t files_in(const std::string& folder) {
    return std::distance(std::filesystem::directory_iterator(folder), {});
}

} // namespace

TEST_CASE(
    "a disk that is full in the middle of a save leaves the old file whole and the reading in the window") {
    // Expected: write() fails part of the way through the file (EFBIG stands in for ENOSPC); the file is
    // byte for byte the old one, nothing half written lies about, and the next save has the reading.
    const Job job;
    const auto app = opened(job.readings);
    Hand hand(*app);
    const std::ptrdiff_t files = files_in(job.folder.path(""));
    {
        const FullDisk full(100);
        type_a_reading(hand);
        app->settle();
        CHECK_FALSE(app->session().saved());
        CHECK_FALSE(app->session().save_trouble().empty());
        CHECK(app->session().readings().size() == 2);
        CHECK(content(job.readings) == wash_down_readings);
        CHECK(files_in(job.folder.path("")) == files);
    }
    shoot(*app, "disk full");
    hand.key(sf::Keyboard::S, true);
    app->settle();
    CHECK(app->session().saved());
    CHECK(content(job.readings).find("1.46 V") != std::string::npos);
}

TEST_CASE("leaving with readings that can't be saved asks first and goes once they are") {
    // Expected, by hand: a folder stands where the file should go, as root may write anywhere; Ctrl Q asks;
    // with the folder gone and a save, the window closes by itself.
    const Job job;
    const auto app = opened(job.circuit);
    Hand hand(*app);
    std::filesystem::create_directory(app->session().readings_file());
    type_a_reading(hand);
    app->settle();
    REQUIRE_FALSE(app->session().saved());
    hand.key(sf::Keyboard::Escape);
    hand.key(sf::Keyboard::Q, true);
    app->settle();
    REQUIRE(app->frame());
    shoot(*app, "leaving unsaved");
    std::filesystem::remove(app->session().readings_file());
    const std::string file = app->session().readings_file().string();
    hand.key(sf::Keyboard::S, true);
    bool open = true;
    for (int k = 0; k < 500 && open; ++k) open = app->frame();
    CHECK_FALSE(open);
    CHECK(content(file).find("1.46 V") != std::string::npos);
}

TEST_CASE("a file changed by another program under the window is read again and both are kept") {
    // Expected, by hand: their note and our reading are in the file; the window says what happened.
    const Job job;
    const auto app = opened(job.readings);
    Hand hand(*app);
    std::ofstream(job.readings, std::ios::binary)
        << std::string(wash_down_readings) + "note = \"engine off\"\n";
    std::filesystem::last_write_time(job.readings, std::filesystem::last_write_time(job.readings) +
                                                       std::chrono::seconds(2));
    type_a_reading(hand);
    app->settle();
    CHECK(app->session().readings().size() == 2);
    CHECK(app->session().readings().front().note == "engine off");
    CHECK(content(job.readings).find("note = \"engine off\"") != std::string::npos);
    CHECK(content(job.readings).find("1.46 V") != std::string::npos);
    CHECK(app->news() == "\"readings.toml\" was changed by another program; it was read again.");
    shoot(*app, "changed by another program");
}

TEST_CASE("a limit that is no number is told beside its blank in the Harness") {
    // Expected, by hand: the sizes of before stay.
    const auto app = opened(LOSTVOLTS_SOURCE "/circuits/orchard_sprayer/circuit.toml", 800, 480);
    Hand hand(*app);
    hand.key(sf::Keyboard::F4);
    app->settle();
    const Pane& blank = app->harness().limit_blank();
    REQUIRE(blank.width > 0);
    hand.click(blank.x + blank.width / 2, blank.y + blank.height / 2);
    hand.type("lots");
    app->settle();
    REQUIRE(app->harness().problems().size() == 1);
    CHECK(app->harness().problems()[0].key == "limit");
    CHECK(app->harness().fitting().sizing);
    shoot(*app, "wrong limit");
}

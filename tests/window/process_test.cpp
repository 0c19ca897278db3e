// The program itself on a display: `lostvolts view` becomes the window, and a person's keys come by way of X.
#include <doctest/doctest.h>

#include <csignal>
#include <cstdlib>

#include <sys/wait.h>
#include <unistd.h>

#include "tests/paper/compare.h"
#include "tests/window/display.h"
#include "tests/window/hand.h"
#include "tests/window/job.h"

using namespace lostvolts;
using namespace lostvolts::window_tests;
using namespace lostvolts::paper_tests;

namespace {

/// A started program; killed when it outlives the test.
class Process {
  public:
    Process(const std::string& file, const std::string& config, std::vector<std::string> more = {})
        : child_(fork()) {
        if (child_ != 0) return;
        setenv("XDG_CONFIG_HOME", config.c_str(), 1);
        std::vector<std::string> words{LOSTVOLTS_PROGRAM, "view", file};
        words.insert(words.end(), more.begin(), more.end());
        std::vector<char*> arguments;
        for (std::string& word : words) arguments.push_back(word.data());
        arguments.push_back(nullptr);
        execv(LOSTVOLTS_PROGRAM, arguments.data());
        _exit(127);
    }
    ~Process() {
        if (child_ > 0) kill(child_, SIGKILL), waitpid(child_, nullptr, 0);
    }
    /// Its exit code once it has ended by itself; -1 after ten seconds.
    int end() {
        for (int k = 0; k < 500; ++k) {
            int status = 0;
            if (waitpid(child_, &status, WNOHANG) == child_) {
                child_ = -1;
                return WIFEXITED(status) ? WEXITSTATUS(status) : -2;
            }
            usleep(20'000);
        }
        return -1;
    }

  private:
    pid_t child_;
};

bool xdotool(const std::string& words) {
    return std::system(("timeout 20 xdotool " + words + " > /dev/null 2>&1").c_str()) == 0;
}

PixelRows pixels_of(const sf::Image& image) {
    PixelRows rows{static_cast<int>(image.getSize().x), static_cast<int>(image.getSize().y)};
    const sf::Uint8* rgba = image.getPixelsPtr();
    for (std::size_t k = 0; k < std::size_t{image.getSize().x} * image.getSize().y; ++k)
        rows.rgb.insert(rows.rgb.end(), {rgba[4 * k], rgba[4 * k + 1], rgba[4 * k + 2]});
    return rows;
}

/// The Lesson with that condition, as the window itself has it.
PixelRows lesson_with(const std::string& circuit, const std::string& condition, const std::string& state) {
    WindowOptions options;
    options.file = circuit;
    options.condition = condition;
    options.state = state;
    options.dark = true;
    const auto app = opened(options);
    return pixels_of(app->shot());
}

} // namespace

TEST_CASE("a state, a condition and the dark reach the window from the command line") {
    // Expected: the screen of the running program is that of a window opened with the same wishes, pixel by
    // pixel within alike() of tests/paper/compare.h, and not that of one with another condition.
    need_display();
    const std::string circuit = LOSTVOLTS_SOURCE "/circuits/orchard_sprayer/circuit.toml";
    const command_tests::Folder folder;
    const std::string shot = folder.path("shot.png");
    const std::string take =
        "id=$(timeout 5 xdotool search --onlyvisible --name Orchard | head -n 1) && test \"$id\" && "
        "timeout 20 import -window \"$id\" '" +
        shot + "' 2> /dev/null";
    PixelRows seen, before;
    {
        Process program(circuit, folder.path("config"),
                        {"--condition", "corroded pump ground", "--state", "stall", "--dark"});
        REQUIRE(xdotool("search --sync --onlyvisible --name Orchard windowfocus --sync windowmove 0 0"));
        for (int k = 0; k < 40; ++k) { // until nothing changes any more
            usleep(700'000);
            sf::Image image;
            if (std::system(take.c_str()) != 0 || !image.loadFromFile(shot)) continue;
            before = std::exchange(seen, pixels_of(image));
            if (k > 2 && before.rgb == seen.rgb) break;
        }
        REQUIRE(xdotool("key --delay 60 ctrl+q"));
        CHECK(program.end() == 0);
    }
    const Apart apart = compare(seen, lesson_with(circuit, "corroded pump ground", "stall"));
    CAPTURE(seen.width);
    CAPTURE(seen.height);
    CAPTURE(apart.mean);
    CAPTURE(apart.share);
    CHECK(alike(apart));
    CHECK_FALSE(alike(compare(seen, lesson_with(circuit, "worn brushes", "stall"))));
}

TEST_CASE("a reading is typed into the running program and its file has it") {
    // Expected, by hand: as typed; Ctrl Q ends it with 0, and the window's place is remembered.
    need_display();
    const Job job;
    Process program(job.readings, job.folder.path("config"));
    REQUIRE(xdotool("search --sync --onlyvisible --name Workboat windowfocus --sync"));
    usleep(300'000); // the first frames
    REQUIRE(xdotool("key --delay 60 ctrl+n"));
    REQUIRE(xdotool("type --delay 40 'pump -'"));
    REQUIRE(xdotool("key --delay 60 Return"));
    REQUIRE(xdotool("type --delay 40 'battery -'"));
    REQUIRE(xdotool("key --delay 60 Return"));
    REQUIRE(xdotool("type --delay 40 '1.46'"));
    REQUIRE(xdotool("key --delay 60 Return"));
    for (int k = 0; k < 200 && content(job.readings).find("1.46 V") == std::string::npos; ++k) usleep(20'000);
    REQUIRE(xdotool("key --delay 60 ctrl+q"));
    CHECK(program.end() == 0);
    CHECK(content(job.readings).find("red = \"pump -\"\nblack = \"battery -\"\nvalue = \"1.46 V\"") !=
          std::string::npos);
    CHECK(std::filesystem::exists(job.folder.path("config/lostvolts/window.toml")));
}

TEST_CASE("the window opens on a display that has no other program on it") {
    // Expected: it stays until it is killed (137). An X server begins anew when its last client has gone, as
    // Xserver(1), -noreset, says; a window that left and came back was ended by that one time in two, so four
    // times here.
    const Job job;
    const std::string once = "xvfb-run -a -s '-screen 0 1280x800x24' timeout -s KILL 1 " LOSTVOLTS_PROGRAM
                             " view '" +
                             job.readings + "' > /dev/null 2>&1; test $? = 137";
    for (int k = 0; k < 4; ++k) CHECK(std::system(once.c_str()) == 0);
}

TEST_CASE("the program says what is missing where there is no display") {
    // Expected, by hand: 3, as nothing can be shown.
    const Job job;
    unsetenv("DISPLAY");
    Process program(job.readings, job.folder.path("config"));
    CHECK(program.end() == 3);
}

#include "tests/window/display.h"

#include <csignal>
#include <cstdlib>
#include <stdexcept>

#include <sys/prctl.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <sys/wait.h>
#include <unistd.h>

namespace lostvolts::window_tests {
namespace {

class Display {
  public:
    Display() {
        for (int tries = 0; tries < 5; ++tries) {
            const std::string name = start();
            if (!name.empty() && answers(name)) {
                setenv("DISPLAY", (":" + name).c_str(), 1);
                setenv("LIBGL_ALWAYS_SOFTWARE", "1", 1);
                return;
            }
            stop(); // another test took the number at the same moment
        }
        throw std::runtime_error("Xvfb did not start: is the package xvfb installed?");
    }
    ~Display() { stop(); }

  private:
    std::string start() {
        int told[2];
        if (pipe(told) != 0) return {};
        child_ = fork();
        if (child_ == 0) {
            prctl(PR_SET_PDEATHSIG, SIGTERM); // never outlives the test
            close(told[0]);
            const std::string number = std::to_string(told[1]);
            // Without -noreset the server begins anew when answers() hangs up, and drops who comes meanwhile.
            execlp("Xvfb", "Xvfb", "-noreset", "-displayfd", number.c_str(), "-screen", "0", "2560x1440x24",
                   "-nolisten", "tcp", static_cast<char*>(nullptr));
            _exit(127);
        }
        close(told[1]);
        std::string name;
        for (char c; read(told[0], &c, 1) == 1 && c != '\n';) name += c;
        close(told[0]);
        return name;
    }
    void stop() {
        if (child_ <= 0) return;
        kill(child_, SIGTERM);
        waitpid(child_, nullptr, 0);
        child_ = -1;
    }
    static bool answers(const std::string& name) {
        sockaddr_un to{};
        to.sun_family = AF_UNIX;
        const std::string path = "/tmp/.X11-unix/X" + name;
        path.copy(to.sun_path, sizeof to.sun_path - 1);
        for (int tries = 0; tries < 100; ++tries) {
            const int s = socket(AF_UNIX, SOCK_STREAM, 0);
            const bool there = connect(s, reinterpret_cast<const sockaddr*>(&to), sizeof to) == 0;
            close(s);
            if (there) return true;
            usleep(20'000);
        }
        return false;
    }
    pid_t child_ = -1;
};

} // namespace

void need_display() { static const Display display; }

} // namespace lostvolts::window_tests

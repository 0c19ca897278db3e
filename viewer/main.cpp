// The program: words in, the answer out on stdout and stderr. What a terminal is and what the environment
// says are asked here and nowhere else.

#include <cerrno>
#include <charconv>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <iostream>
#include <string>
#include <vector>

#include <fcntl.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include "solver/circuit/descriptor.h"
#include "viewer/command/command.h"

namespace {

/// A stream that was started closed is opened the wrong way round, so that using it still fails, but no file
/// that a command opens can take its number and the answer be written into it.
void occupy_closed_streams() {
    for (const int stream : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO})
        if (fcntl(stream, F_GETFD) < 0 && errno == EBADF)
            (void)!open("/dev/null", stream == STDIN_FILENO ? O_WRONLY : O_RDONLY);
}

/// no-color.org: any non-empty value means no.
bool colour_wanted() {
    const char* no = std::getenv("NO_COLOR");
    const char* term = std::getenv("TERM");
    return !(no && *no) && !(term && std::strcmp(term, "dumb") == 0);
}

lostvolts::Screen screen_of_stdout() {
    lostvolts::Screen screen;
    const bool terminal = isatty(STDOUT_FILENO) == 1;
    screen.typed = isatty(STDIN_FILENO) == 1;
    screen.colour = terminal && colour_wanted();
    winsize size{};
    if (terminal && ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > 0) {
        screen.columns = size.ws_col;
    } else if (const char* columns = std::getenv("COLUMNS")) {
        int told = 0;
        const auto read = std::from_chars(columns, columns + std::strlen(columns), told);
        if (read.ec == std::errc{} && told > 0) screen.columns = told;
    }
    return screen;
}

/// $LOSTVOLTS_RECORDS, else lostvolts in the user's data folder as the XDG Base Directory Specification has
/// it (a relative one doesn't count there).
std::string kept_jobs() {
    const auto value = [](const char* name) {
        const char* text = std::getenv(name);
        return std::string(text ? text : "");
    };
    if (std::string own = value("LOSTVOLTS_RECORDS"); !own.empty()) return own;
    if (const std::string data = value("XDG_DATA_HOME"); data.starts_with('/')) return data + "/lostvolts";
    if (const std::string home = value("HOME"); !home.empty()) return home + "/.local/share/lostvolts";
    return {};
}

/// For a command that talks: what it said goes out, the next line comes in.
std::optional<std::string> talk(const std::string& said) {
    if (lostvolts::write_all(STDOUT_FILENO, said) != 0) return std::nullopt;
    std::string line;
    if (!std::getline(std::cin, line)) return std::nullopt;
    if (!line.empty() && line.back() == '\r') line.pop_back();
    return line;
}

/// The folder that this program lies in.
std::filesystem::path own_folder() {
    std::error_code lost;
    return std::filesystem::read_symlink("/proc/self/exe", lost).parent_path();
}

/// The folder with circuits/ in it: that of an installed program, else the tree that it was built in.
std::string bundled() {
    std::error_code unreadable;
    for (const char* there : {LOSTVOLTS_SHARE, ".."})
        if (const auto folder = (own_folder() / there).lexically_normal();
            std::filesystem::is_directory(folder / "circuits", unreadable))
            return folder.string();
    return {};
}

/// Some programs stand on their own, so that no other command waits for their libraries to be loaded: beside
/// this one where it was built, in the folder for inner programs where it is installed. Comes back only when
/// it can't be started.
int become(const char* name, const char* what, std::vector<const char*> words) {
    std::string program;
    int trouble = 0;
    words.insert(words.begin(), nullptr);
    words.push_back(nullptr);
    for (const char* folder : {".", LOSTVOLTS_LIBEXEC}) {
        program = (own_folder() / folder / name).lexically_normal().string();
        words.front() = program.c_str();
        execv(program.c_str(), const_cast<char* const*>(words.data()));
        trouble = errno;
        if (trouble != ENOENT) break;
    }
    std::fprintf(stderr, "lostvolts: %s can't be started: %s: %s\n", what, program.c_str(),
                 std::strerror(trouble));
    return lostvolts::exit_no_solution;
}

/// window_main.cpp
int become_window(const lostvolts::WindowWanted& wanted) {
    const std::string scale = std::to_string(wanted.scale);
    return become("lostvolts-window", "the window",
                  {wanted.file.c_str(), wanted.dark ? "dark" : "", scale.c_str(), wanted.state.c_str(),
                   wanted.condition.c_str()});
}

/// As Open MPI, MPICH and PMIx tell a process that it is one of several.
bool launched_by_mpi() {
    for (const char* name : {"OMPI_COMM_WORLD_SIZE", "PMI_SIZE", "PMIX_RANK"})
        if (std::getenv(name)) return true;
    return false;
}

} // namespace

int main(int argc, char** argv) {
    occupy_closed_streams();
    std::signal(SIGPIPE, SIG_IGN); // a reader that has seen enough is no trouble: write() says EPIPE
    lostvolts::Screen screen = screen_of_stdout();
    screen.next_line = talk;
    screen.kept_jobs = kept_jobs();
    screen.bundled = bundled();
    screen.launched = launched_by_mpi();
    const lostvolts::Answer answer = lostvolts::run({argv + (argc > 0 ? 1 : 0), argv + argc}, screen);
    if (answer.window) return become_window(*answer.window);
    if (answer.for_a_crew)
        return become("lostvolts-study", "the program for several processes (built where MPI is found)",
                      {argv + 1, argv + argc});
    const int trouble = lostvolts::write_all(STDOUT_FILENO, answer.out);
    lostvolts::write_all(STDERR_FILENO, answer.err);
    if (trouble == 0 || trouble == EPIPE) return answer.code;
    std::fprintf(stderr, "lostvolts: the answer could not be written: %s\n", std::strerror(trouble));
    return lostvolts::exit_bad_input;
}

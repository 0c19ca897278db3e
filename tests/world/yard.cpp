#include "tests/world/yard.h"

#include <algorithm>
#include <array>
#include <csignal>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <stdexcept>

#include <fcntl.h>
#include <poll.h>
#include <sys/wait.h>
#include <unistd.h>

namespace lostvolts::world_tests {
namespace {

namespace fs = std::filesystem;
constexpr unsigned nobody = 65534; // Debian's

std::string text_of(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

const fs::path bundled = fs::path(LOSTVOLTS_SOURCE) / "circuits" / "orchard_sprayer";

[[noreturn]] void become(const fs::path& folder, const std::vector<std::string>& words,
                         const Surroundings& in) {
    if (::chdir(folder.c_str()) != 0) ::_exit(120);
    for (const std::string& name : in.unset) ::unsetenv(name.c_str());
    for (const std::string& pair : in.set) {
        const std::size_t is = pair.find('=');
        ::setenv(pair.substr(0, is).c_str(), pair.substr(is + 1).c_str(), 1);
    }
    if (in.as_nobody && ::geteuid() == 0 && (::setgid(nobody) != 0 || ::setuid(nobody) != 0)) ::_exit(121);
    if (in.first) in.first();
    std::vector<char*> argv{const_cast<char*>("lostvolts")};
    for (const std::string& word : words) argv.push_back(const_cast<char*>(word.c_str()));
    argv.push_back(nullptr);
    ::execv(LOSTVOLTS_PROGRAM, argv.data());
    ::_exit(122);
}

} // namespace

Yard::Yard() {
    std::string name = (fs::temp_directory_path() / "lostvolts-world-XXXXXX").string();
    if (!::mkdtemp(name.data())) throw std::runtime_error("no temporary folder");
    folder_ = name;
    fs::permissions(folder_, fs::perms::all); // whoever runs the program may write here
    write("circuit.toml", circuit_text());
    write("readings.toml", readings_text());
    write("order.toml",
          "format = 1\nname = \"two lengths\"\nstudy = \"tolerances\"\ncircuits = [\"circuit.toml\"]\n"
          "output = \"table.csv\"\nstate = \"run\"\nsamples = 50\n"
          "[[vary]]\npart = \"feed wire\"\nkey = \"length\"\nvalues = [\"4 m\", \"8 m\"]\n");
}

Yard::~Yard() {
    std::error_code ignored;
    fs::remove_all(folder_, ignored);
}

void Yard::write(std::string_view name, std::string_view text) const {
    std::ofstream(path(name), std::ios::binary) << text;
}
std::string Yard::read(std::string_view name) const { return text_of(path(name)); }
bool Yard::has(std::string_view name) const { return fs::exists(fs::symlink_status(path(name))); }

std::vector<std::string> Yard::names() const {
    std::vector<std::string> all;
    for (const auto& entry : fs::directory_iterator(folder_)) all.push_back(entry.path().filename().string());
    std::sort(all.begin(), all.end());
    return all;
}

Ended Yard::run(const std::vector<std::string>& words, const Surroundings& in) const {
    std::array<std::array<int, 2>, 3> pipes{};
    for (auto& pipe : pipes)
        if (::pipe2(pipe.data(), O_CLOEXEC) != 0) throw std::runtime_error("no pipe");
    const pid_t process = ::fork();
    if (process == 0) {
        for (int stream = 0; stream < 3; ++stream)
            ::dup2(pipes[static_cast<std::size_t>(stream)][stream == 0 ? 0 : 1], stream);
        become(folder_, words, in);
    }
    ::close(pipes[0][0]);
    ::close(pipes[1][1]);
    ::close(pipes[2][1]);
    std::signal(SIGPIPE, SIG_IGN); // a program that doesn't read all of its input is no trouble
    // What is given in is less than a pipe holds.
    if (::write(pipes[0][1], in.input.data(), in.input.size()) < 0 && errno != EPIPE)
        throw std::runtime_error("no input could be given");
    ::close(pipes[0][1]);

    Ended ended;
    std::array<pollfd, 2> waiting{{{pipes[1][0], POLLIN, 0}, {pipes[2][0], POLLIN, 0}}};
    for (int open = 2; open > 0;) {
        ::poll(waiting.data(), waiting.size(), -1);
        for (std::size_t k = 0; k < waiting.size(); ++k) {
            if (waiting[k].fd < 0 || waiting[k].revents == 0) continue;
            std::array<char, 1 << 16> piece;
            const ssize_t n = ::read(waiting[k].fd, piece.data(), piece.size());
            if (n > 0) {
                (k == 0 ? ended.out : ended.err).append(piece.data(), static_cast<std::size_t>(n));
            } else {
                ::close(waiting[k].fd);
                waiting[k].fd = -1;
                --open;
            }
        }
    }
    int status = 0;
    ::waitpid(process, &status, 0);
    if (WIFEXITED(status)) ended.code = WEXITSTATUS(status);
    return ended;
}

int Yard::start(const std::vector<std::string>& words) const {
    const pid_t process = ::fork();
    if (process != 0) return process;
    const int nothing = ::open("/dev/null", O_RDWR);
    for (int stream = 0; stream < 3; ++stream) ::dup2(nothing, stream);
    become(folder_, words, {});
}

const std::string& circuit_text() {
    static const std::string text = text_of(bundled / "circuit.toml");
    return text;
}
const std::string& readings_text() {
    static const std::string text = text_of(bundled / "readings.toml");
    return text;
}

bool nobody_can_run() {
    static const bool can = [] {
        const Yard yard;
        return yard.run({"check", "circuit.toml"}, {.as_nobody = true}).code == 0;
    }();
    return can;
}

const std::vector<Writer>& writers() {
    static const std::vector<Writer> all{
        {{"inrush", "circuit.toml", "--duration", "50 ms", "--csv"}, ".csv"},
        {{"inrush", "circuit.toml", "--duration", "50 ms", "--picture"}, ".png"},
        {{"view", "circuit.toml", "--picture"}, ".svg"},
        {{"compare", "circuit.toml", "--csv"}, ".csv"},
        {{"size", "circuit.toml", "--no-starts", "--bill"}, ".csv"},
        {{"size", "circuit.toml", "--no-starts", "--write"}, ".toml"},
        {{"report", "readings.toml", "-o"}, ".html"},
        {{"report", "readings.toml", "-o"}, ".pdf"},
        {{"study", "order.toml", "-o"}, ".csv"},
        {{"waveform", "start.csv", "--circuit", "circuit.toml", "--readings"}, ".toml"},
    };
    return all;
}

void record_start(const Yard& yard) {
    if (yard.run({"inrush", "circuit.toml", "--duration", "0.3 s", "--every", "0.2 ms", "--csv", "start.csv"})
            .code != 0)
        throw std::runtime_error("no start could be recorded");
}

} // namespace lostvolts::world_tests

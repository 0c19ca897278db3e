#include "tests/install/installed.h"

#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <stdexcept>

#include <sys/wait.h>

namespace lostvolts::install_tests {
namespace {

namespace fs = std::filesystem;

struct Tree {
    fs::path top, prefix;
    Tree() {
        std::string name = (fs::temp_directory_path() / "lostvolts-install-XXXXXX").string();
        if (!mkdtemp(name.data())) throw std::runtime_error("no temporary folder");
        top = name;
        // Moved after it was installed: nothing in it may know where it was.
        const ShellEnded done =
            run_shell("cmake --install '" LOSTVOLTS_BUILD "' --prefix '" + name + "/first place' && mv '" +
                      name + "/first place' '" + name + "/moved'");
        if (done.code != 0) throw std::runtime_error("cmake --install failed: " + done.out);
        prefix = top / "moved";
    }
    ~Tree() {
        std::error_code ignored;
        fs::remove_all(top, ignored);
    }
};

} // namespace

ShellEnded run_shell(const std::string& command) {
    ShellEnded ended;
    FILE* pipe = popen(("{ " + command + "\n} 2>&1").c_str(), "r");
    if (!pipe) throw std::runtime_error("no shell");
    char buffer[4096];
    for (std::size_t n; (n = fread(buffer, 1, sizeof buffer, pipe)) > 0;) ended.out.append(buffer, n);
    const int status = pclose(pipe);
    ended.code = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
    return ended;
}

const fs::path& prefix() {
    static const Tree tree;
    return tree.prefix;
}

std::string text_of(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

} // namespace lostvolts::install_tests

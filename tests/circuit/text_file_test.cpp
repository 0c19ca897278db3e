// Files that are none, and saving.
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>

#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include <csignal>

#include <doctest/doctest.h>

#include "solver/circuit/toml_file.h"

using namespace lostvolts;
namespace fs = std::filesystem;

namespace {

/// A folder of its own for each test, gone with it.
struct Folder {
    fs::path path;
    Folder() {
        std::string name = (fs::temp_directory_path() / "lostvolts-text-XXXXXX").string();
        path = mkdtemp(name.data());
    }
    ~Folder() {
        std::error_code ignored;
        fs::permissions(path, fs::perms::owner_all, ignored);
        fs::remove_all(path, ignored);
    }
    fs::path with(const std::string& name, const std::string& text) const {
        std::ofstream(path / name, std::ios::binary) << text;
        return path / name;
    }
};

std::string content(const fs::path& path) {
    std::ifstream in(path, std::ios::binary);
    std::ostringstream text;
    text << in.rdbuf();
    return text.str();
}

std::string message(const fs::path& path) {
    const auto text = read_text_file(path);
    return text ? "" : text.problems().front().what;
}

int files_in(const fs::path& folder) {
    return static_cast<int>(std::distance(fs::directory_iterator(folder), fs::directory_iterator()));
}

} // namespace

TEST_CASE("a path that leads to no text file says what it is instead") {
    // Expected, by hand, for each sort of path.
    const Folder folder;
    CHECK(message(folder.path / "none.toml") == "there is no such file");
    CHECK(message(folder.path) == "is a folder, not a file");
    CHECK(message(folder.with("latin.toml", "name = \"gl\xFChend\"")) == "byte 0xFC is not UTF-8 text");
    CHECK(message(folder.with("wide.toml", "\xFF\xFE"
                                           "f")) == "is UTF-16 text");
    CHECK(message(folder.with("wide2.toml", std::string("f\0o\0r\0m\0", 8))) == "is UTF-16 text");
    CHECK(message(folder.with("nul.toml", std::string("format\0 = 1", 11))) ==
          "has a NUL byte: this is not a text file");
    CHECK(message("/dev/zero") == "is larger than 64 MB, the most that is read");
}

TEST_CASE("a file of 200 MB is refused without reading it") {
    // Expected: the size alone decides. The file is sparse, so the disk is not filled.
    const Folder folder;
    const fs::path file = folder.with("large.toml", "");
    fs::resize_file(file, 200u << 20);
    CHECK(message(file) == "is larger than 64 MB, the most that is read");
}

TEST_CASE("a file is replaced whole and keeps its mode, and a link keeps pointing at it") {
    // Expected: the new bytes, the old mode, nothing left beside.
    const Folder folder;
    const fs::path file = folder.with("circuit.toml", "old");
    ::chmod(file.c_str(), 0640);
    fs::create_symlink("circuit.toml", folder.path / "link.toml");
    REQUIRE(static_cast<bool>(replace_text_file(folder.path / "link.toml", "new\r\n")));
    CHECK(content(file) == "new\r\n");
    CHECK(fs::is_symlink(folder.path / "link.toml"));
    struct stat about {};
    ::stat(file.c_str(), &about);
    CHECK((about.st_mode & 07777) == 0640);
    CHECK(files_in(folder.path) == 2);
    REQUIRE(static_cast<bool>(replace_text_file(folder.path / "fresh.toml", "x")));
    CHECK(content(folder.path / "fresh.toml") == "x");
}

TEST_CASE("when saving fails the old file stays as it was and the reason is told") {
    // Expected, by hand: a file size limit stands in for a full disk (both stop the write itself).
    const Folder folder;
    const fs::path file = folder.with("circuit.toml", "old");
    rlimit before{};
    ::getrlimit(RLIMIT_FSIZE, &before);
    const auto handler = std::signal(SIGXFSZ, SIG_IGN);
    rlimit small = before;
    small.rlim_cur = 1000;
    ::setrlimit(RLIMIT_FSIZE, &small);
    const auto full = replace_text_file(file, std::string(100'000, 'x'));
    ::setrlimit(RLIMIT_FSIZE, &before);
    std::signal(SIGXFSZ, handler);
    REQUIRE_FALSE(static_cast<bool>(full));
    CHECK(full.problems().front().what == "can't be saved: the disk is full");
    CHECK(content(file) == "old");
    CHECK(files_in(folder.path) == 1);

    CHECK_FALSE(static_cast<bool>(replace_text_file(folder.path, "x")));
    CHECK_FALSE(static_cast<bool>(replace_text_file(folder.path / "nowhere" / "c.toml", "x")));
    if (::geteuid() == 0) return; // root may write anywhere: a read-only folder can't be tried
    fs::permissions(folder.path, fs::perms::owner_read | fs::perms::owner_exec);
    const auto locked = replace_text_file(file, "new");
    REQUIRE_FALSE(static_cast<bool>(locked));
    CHECK(locked.problems().front().what == "can't be saved: you may not write in its folder");
    CHECK(content(file) == "old");
}

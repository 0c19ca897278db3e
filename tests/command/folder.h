// A folder of a test's own under the system's temporary one, gone when the test ends.
#pragma once

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <stdexcept>
#include <string>
#include <string_view>

#include <unistd.h>

namespace lostvolts::command_tests {

class Folder {
  public:
    Folder() {
        std::string name = (std::filesystem::temp_directory_path() / "lostvolts-XXXXXX").string();
        if (!mkdtemp(name.data())) throw std::runtime_error("no temporary folder");
        path_ = name;
    }
    ~Folder() {
        std::error_code ignored;
        std::filesystem::remove_all(path_, ignored);
    }
    Folder(const Folder&) = delete;
    Folder& operator=(const Folder&) = delete;

    /// Writes a file and gives its path.
    std::string write(const std::string& name, std::string_view text) const {
        const auto path = path_ / name;
        std::ofstream(path, std::ios::binary) << text;
        return path.string();
    }
    std::string path(const std::string& name) const { return (path_ / name).string(); }

  private:
    std::filesystem::path path_;
};

} // namespace lostvolts::command_tests

// A folder of a test's own with a heater circuit in it, orders written beside it, and the program run on
// them.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>

namespace lostvolts::study_tests {

/// Has heater.toml in it, of which no part strays.
class StudyFolder {
  public:
    StudyFolder();
    ~StudyFolder();
    StudyFolder(const StudyFolder&) = delete;

    std::string path(const std::string& name) const { return (path_ / name).string(); }
    std::string write(const std::string& name, std::string_view text) const;
    std::string read(const std::string& name) const;
    bool has(const std::string& name) const { return std::filesystem::exists(path_ / name); }

  private:
    std::filesystem::path path_;
};

/// 24 variants of the heater: three blocks.
extern const std::string_view heater_order;

/// Exit code of a shell command; what it says goes to `said` when it is wanted.
int shell(const std::string& command, std::string* said = nullptr);

} // namespace lostvolts::study_tests

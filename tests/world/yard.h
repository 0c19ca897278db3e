// A folder of a test's own with a sprayer's circuit, readings and order in it, and the program run there as a
// process, in surroundings that a person may have.
#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

namespace lostvolts::world_tests {

/// What a process left: its exit code (-1 where a signal ended it) and what it said.
struct Ended {
    int code = -1;
    std::string out, err;
};

struct Surroundings {
    std::vector<std::string> set{};   ///< "COLUMNS=40"
    std::vector<std::string> unset{}; ///< names
    std::string input{};              ///< its standard input, through a pipe
    bool as_nobody = false;           ///< as a user who is not root
    std::function<void()> first{};    ///< done in the process before the program is
};

class Yard {
  public:
    Yard();
    ~Yard();
    Yard(const Yard&) = delete;
    Yard& operator=(const Yard&) = delete;

    std::filesystem::path path(std::string_view name) const { return folder_ / name; }
    void write(std::string_view name, std::string_view text) const;
    std::string read(std::string_view name) const;
    bool has(std::string_view name) const;
    /// Names in the folder, those of dot files too.
    std::vector<std::string> names() const;

    /// Runs the program in this folder with these words.
    Ended run(const std::vector<std::string>& words, const Surroundings& in = {}) const;
    /// Starts it without waiting, its output thrown away: the process.
    int start(const std::vector<std::string>& words) const;

  private:
    std::filesystem::path folder_;
};

/// The texts that a Yard begins with, from circuits/orchard_sprayer.
const std::string& circuit_text();
const std::string& readings_text();
/// Whether a user who is not root can be had here, and reach the program and the test's folder.
bool nobody_can_run();

/// Every command that writes a file, without the name of that file at its end, and the ending it has to have.
struct Writer {
    std::vector<std::string> words;
    std::string ending;
    std::vector<std::string> to(const std::string& name) const {
        std::vector<std::string> all = words;
        all.push_back(name + ending);
        return all;
    }
};
/// start.csv has to be there; see Yard::start_csv.
const std::vector<Writer>& writers();
/// A short recorded start as start.csv, for those that read one.
void record_start(const Yard& yard);

} // namespace lostvolts::world_tests

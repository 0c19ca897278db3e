// What CLI11 knows of a command, in pieces: of these are made the help, the manual pages and the completion
// of words, so that the three can't disagree.
#pragma once

#include <string>
#include <vector>

namespace CLI {
class App;
class Option;
} // namespace CLI

namespace lostvolts {

/// One argument or option, as people read it.
struct Usage {
    std::string brief; ///< as the usage line has it: FILE..., [--state STATE]
    std::string name;  ///< "--state", or of an argument "FILE"
    std::string value; ///< what comes after it: "STATE"; empty for a flag or an argument
    std::string meaning;
    bool argument = false;
};

/// Arguments first; --help is left out.
std::vector<Usage> usages_of(const CLI::App& app);
/// The program's exit codes, in a sentence.
std::string exit_codes_text();

/// A command's page of the manual, or the program's own, in the language of man(7). A command with commands
/// of its own has them all on its page.
std::string manual_page(const CLI::App& app);

/// What may stand for the last of `words` (the program's own name left out): the kind on the first line
/// ("words", "files", "files toml", "folders"), then a candidate a line.
std::string completion(const CLI::App& program, const std::vector<std::string>& words);

} // namespace lostvolts

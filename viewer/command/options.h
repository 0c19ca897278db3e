// What a command takes, as CLI11 will fill it in. CLI11's own header costs ten seconds a file under the
// sanitizers, so it is seen in options.cpp and where the words are read, not in every command.
//
// A name is "FILE" for an argument by its place, "--state" or "-o,--output" for an option. What it fills is a
// string, a number, one of these that may be absent, or several strings, and has to outlive the App.
#pragma once

#include <initializer_list>
#include <optional>
#include <string>
#include <vector>

namespace CLI {
class App;
class Option;
} // namespace CLI

namespace lostvolts {

enum class Needed { no, yes };

/// What a number may be; CLI11 tells whoever gives another.
template <class Number> struct Between { Number least, most; };
template <class Number> Between(Number, Number) -> Between<Number>; // clang 14 does not guess

/// The app is owned by the one that it is added to.
CLI::App& add_command(CLI::App& to, const char* name, const char* meaning);
/// One that has commands of its own.
CLI::App& add_group(CLI::App& to, const char* name, const char* meaning);
/// Whether the words named it.
bool is_called(const CLI::App& app);
/// The last line of its help: an example.
void add_footer(CLI::App& app, const char* text);

template <class Value>
void add_argument(CLI::App& app, const char* name, Value& into, const char* meaning, Needed needed);
void add_flag(CLI::App& app, const char* name, bool& into, const char* meaning);
/// `shown` stands for its value in the help. Several strings: one each time that the option is given.
template <class Value>
void add_option(CLI::App& app, const char* name, Value& into, const char* meaning, const char* shown,
                Needed needed = Needed::no);
template <class Number>
void add_option(CLI::App& app, const char* name, Number& into, const char* meaning, const char* shown,
                Between<Number> range);
void add_option(CLI::App& app, const char* name, std::string& into, const char* meaning, const char* shown,
                std::initializer_list<const char*> choices);

/// What becomes of a file that the words name.
enum class FileUse {
    read,
    made,      ///< written new: nothing may stand there yet
    replaced,  ///< written whole: what stood there is gone
    added_to,  ///< a table that gets more lines
    edited,    ///< TOML; all else that stands in it stays
    rewritten, ///< the same, of a file that may be the one that is read
    folder,
};
/// An argument or option whose value is a file's name; an argument has no `shown`.
template <class Value>
void add_file(CLI::App& app, const char* name, Value& into, FileUse use, const char* meaning,
              const char* shown, Needed needed = Needed::no);

/// Nothing where the value is no file's name.
std::optional<FileUse> use_of(const CLI::Option& option);

/// A file that the words named, and by what: "--csv", or of an argument "CIRCUIT".
struct NamedFile {
    std::string by, file;
    FileUse use = FileUse::read;
};
std::vector<NamedFile> named_files(const CLI::App& app);

} // namespace lostvolts

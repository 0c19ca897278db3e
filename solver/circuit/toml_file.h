// A TOML file as Lostvolts reads any: size and nesting bounded before parsing, UTF-8 checked, Windows line
// endings taken as they are, and every table handed on as plain fields with their places. toml++ is seen in
// the .cpp only.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "solver/parts/entry.h"
#include "solver/units/result.h"

namespace lostvolts {

inline constexpr std::size_t largest_file_bytes = 64u << 20; ///< a hundred thousand parts are a quarter of it
inline constexpr std::size_t longest_line_bytes = 1u << 20;
inline constexpr std::size_t most_values = 4'000'000; ///< what a parsed file may hold: bounds the memory
inline constexpr int deepest_nesting = 16;

/// The bytes of a file: an error says what it is when it can't be a circuit (missing, a directory, too large,
/// not UTF-8 with the offending line, UTF-16). "-" is the standard input; an endless one stops at the limit.
Result<std::string> read_text_file(const std::filesystem::path& path);

/// The folder from which the names in a file are taken: its own; of the standard input or another pipe, the
/// one where the person is.
std::filesystem::path folder_beside(const std::filesystem::path& file);

/// Where a file of this name is to be written: itself, or what a link of this name points to. Errors: a
/// folder, a pipe or device, a write-protected file.
Result<std::filesystem::path> place_to_save(const std::filesystem::path& path);

/// Replaces a file's content in one step: written beside it, synced, renamed over it; the old one stays on
/// any error.
Result<bool> replace_text_file(const std::filesystem::path& path, std::string_view text);

/// Not UTF-8, UTF-16 by its first bytes, or with NUL bytes in it: what to do about it.
std::optional<Problem> not_text(std::string_view bytes, const std::string& file);

/// One value of a parsed file. `items` are a list's values (without key) or a table's, in the file's order.
struct TomlValue {
    enum class Kind { text, number, truth, date, list, table };
    std::string key;
    Place key_place;
    Kind kind = Kind::table;
    std::string text;    ///< a text's characters; a number, truth or date as it would be written
    Place place;         ///< its first character; of a text, the one after the quote
    bool header = false; ///< a table that has its own [header]: `place` is that header's
    std::vector<TomlValue> items;

    /// The value of a table's key, or nullptr.
    const TomlValue* find(std::string_view wanted) const;
};

/// A parsed file: the root table, and the syntax errors that could be stepped over to read the rest.
struct TomlFile {
    TomlValue root;
    Problems problems;
    std::vector<int> guessed; ///< lines whose content is a stand-in after a syntax error: no more about them
    bool whole = true;        ///< false: after the last problem the rest of the file could not be read
};
TomlFile parse_toml(std::string_view text, const std::string& file);

/// The syntax errors, and of the later `problems` those that are not about a line that one of them spoils.
Problems with_syntax(const TomlFile& toml, Problems problems);

/// A table's fields as an Entry, for the keys of its kind; lists and tables in it are marked as such.
Entry entry_of(const TomlValue& table, const std::string& file, std::string kind);

/// The [[key]] tables of a file; a problem when something else stands there.
std::vector<const TomlValue*> tables_of(const TomlValue& root, std::string_view key, const std::string& file,
                                        Problems& problems);

/// Puts each problem's line of the text into its excerpt, cuts what is overlong, sorts by place, and keeps
/// the first 200 with a last one that counts the others.
Problems tidy(Problems problems, std::string_view text);

} // namespace lostvolts

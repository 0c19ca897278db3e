// Changes to a circuit or readings file that leave the person's comments, order and spacing as they are: the
// text of one value is replaced, or a table is added at the end. The result is text; replace_text_file()
// saves it.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "solver/units/result.h"

namespace lostvolts {

/// One key of one table of an array such as [[part]], picked by its name: `{"part", "main feed", "size", "16
/// mm2"}`.
struct ValueEdit {
    std::string table;
    std::string name;
    std::string key;
    std::string
        value; ///< written as a TOML string; a key that is not there yet is added after the table's last
    int number = -1; ///< from 0: picks the table by its place in the array, for tables without a name
};
Result<std::string> edit_values(std::string_view text, const std::vector<ValueEdit>& edits,
                                const std::string& file);

/// A new table at the end, for instance a reading; values are written as TOML strings.
struct Field {
    std::string key;
    std::string value;
};
std::string append_table(std::string_view text, std::string_view table, const std::vector<Field>& fields);
/// The text without the n-th table (from 0) of that array: undoes the last reading.
Result<std::string> remove_table(std::string_view text, std::string_view table, int n,
                                 const std::string& file);

} // namespace lostvolts

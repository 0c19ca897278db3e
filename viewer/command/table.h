// Tables for a terminal: columns aligned by code points and made to fit. What is too wide is first wrapped in
// the columns that may wrap; then whole columns are left out, the least important first, and a last line says
// which.
#pragma once

#include <string>
#include <vector>

namespace lostvolts {

struct Column {
    std::string heading;
    bool right = false; ///< numbers
    bool wraps = false; ///< text that may take several lines
    int rank = 0;       ///< columns of the highest rank are left out first; those of rank 0 never
};

struct Table {
    std::vector<Column> columns;
    std::vector<std::vector<std::string>> rows; ///< a cell per column; a missing one is empty

    void add(std::vector<std::string> row) { rows.push_back(std::move(row)); }
};

/// The table's lines, each with its end. A column that is empty in every row is not shown; without rows there
/// is no table. No line is longer than `columns` as long as that leaves each column one code point.
std::string draw(const Table& table, int columns, int indent = 2);

} // namespace lostvolts

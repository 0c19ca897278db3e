// The floors of the house, and what a source file's text says about its place on them. Each check takes text
// and gives what is wrong with it, so that it can be tried on made-up files; house_test.cpp runs them over
// the tree.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace lostvolts::house {

/// An #include of a file of this house: `line` counts from 1, `path` is as written.
struct Include {
    int line = 0;
    std::string path;
};

/// Every `#include "..."`, and every `#include <...>` that reaches into solver/, viewer/ or tests/.
std::vector<Include> own_includes(std::string_view text);

/// Why a file at `from` (relative to the top, "solver/parts/wire.h") may not include `path`; empty when it
/// may. A room includes itself and lower floors; rooms of one floor don't include one another, but locate may
/// use waveform.
std::string include_fault(std::string_view from, std::string_view path);

/// Each own include of `text` that may not be, as "file:line: why".
std::vector<std::string> include_faults(std::string_view from, std::string_view text);

/// What keeps `text` from being a header of this house: a comment paragraph first, then `#pragma once`.
std::string header_fault(std::string_view text);

/// Names of the types that a file defines for everybody: at the start of a line, outside unnamed namespaces.
/// Two files with one name for two types build well and crash once they are linked together.
std::vector<std::string> types_of(std::string_view text);

int line_count(std::string_view text);

} // namespace lostvolts::house

// Faults in a person's file are values. A reader gives a Result: the thing it read, or every Problem it found
// in one pass, each with its place, what is wrong, and what to write instead.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace lostvolts {

/// A place in a text file; lines and columns count from 1, a column counts code points. 0: no place.
struct Place {
    int line = 0;
    int column = 0;
    int width = 1; ///< how many columns to underline
};

struct Problem {
    std::string file;    ///< as the person named it; empty when there is none
    Place place;         ///< where in the file
    std::string what;    ///< what is wrong, in words of the circuit
    std::string write;   ///< what to write instead; empty when nothing helps
    std::string excerpt; ///< the line of the file, for showing with a caret; empty when there is none
};

using Problems = std::vector<Problem>;

/// Holds a T, or at least one Problem.
template <class T> class Result {
  public:
    Result(T value) : value_(std::move(value)) {}
    Result(Problem problem) : problems_{std::move(problem)} {}
    Result(Problems problems) : problems_(std::move(problems)) {}

    explicit operator bool() const { return value_.has_value(); }
    T& operator*() & { return *value_; }
    const T& operator*() const& { return *value_; }
    T&& operator*() && { return std::move(*value_); }
    T* operator->() { return &*value_; }
    const T* operator->() const { return &*value_; }
    const Problems& problems() const { return problems_; }

  private:
    std::optional<T> value_;
    Problems problems_;
};

/// One problem as a person reads it: `file:line:column: what`, the line with a caret, what to write.
std::string describe(const Problem& problem);

/// The known word nearest to `word` (edit distance, at most a third of its length), for "did you mean".
std::optional<std::string> nearest(std::string_view word, const std::vector<std::string>& known);

} // namespace lostvolts

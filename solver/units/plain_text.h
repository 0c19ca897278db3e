// A value's text brought to plain ASCII (Ω to ohm, µ to u, ² to ^2, the true minus to -), each character
// still knowing where it stood; and the number at its start. Inside this room only.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "solver/units/text.h"

namespace lostvolts {

class PlainText {
  public:
    explicit PlainText(std::string_view utf8);

    const std::string& ascii() const { return ascii_; }
    std::size_t size() const { return ascii_.size(); }
    char operator[](std::size_t i) const { return i < ascii_.size() ? ascii_[i] : '\0'; }

    std::size_t origin(std::size_t i) const { return origin_[i]; } ///< code points before character i
    std::string original(std::size_t from, std::size_t to) const;  ///< as the person wrote it, trimmed
    std::size_t past_blanks(std::size_t i) const;
    bool starts(std::size_t i, std::string_view word) const {
        return ascii_.compare(i, word.size(), word) == 0;
    }

  private:
    std::u32string points_;
    std::string ascii_;
    std::vector<std::size_t> origin_;
};

bool is_digit(char c);
bool is_letter(char c); ///< letters, %, and whatever is not plain ASCII

/// A decimal number as written: significand ("-2.5") and power of ten, kept apart so that a unit's prefix can
/// move the decimal point before anything is rounded.
struct Number {
    std::string significand;
    long tens = 0;
    std::size_t end = 0; ///< the first character after it
};

/// The number at character `from`. Errors: none there, a comma in it, nan or inf. `example` goes into the
/// advice.
Parsed<Number> read_number(const PlainText& text, std::size_t from, std::string_view example);

/// The double nearest to number·10^tens, or to number·times/over·10^tens. Errors: out of range.
Parsed<double> value_of(const Number& number, int tens, long double times, long double over, std::size_t at);

} // namespace lostvolts

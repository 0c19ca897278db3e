#include <string>

#include "solver/units/kinds.h"
#include "solver/units/plain_text.h"

namespace lostvolts {
namespace {

constexpr std::string_view example = "0.5 % + 2 counts";

std::string advice() { return "write a share, counts or both, for example \"" + std::string(example) + "\""; }

bool names_counts(std::string_view word) {
    return word == "counts" || word == "count" || word == "digits" || word == "digit" || word == "dgt";
}

/// Past "±", "+-" and "+/-", which a data sheet sets before an accuracy.
std::size_t past_plus_minus(const PlainText& text, std::size_t i) {
    for (const std::string_view sign : {"+-", "+/-"})
        if (text.starts(i, sign)) return text.past_blanks(i + sign.size());
    return i;
}

} // namespace

Parsed<Accuracy> read_accuracy(std::string_view utf8) {
    const PlainText text(utf8);
    std::size_t i = past_plus_minus(text, text.past_blanks(0));
    const bool bracketed = text[i] == '('; // ±(0.5 % + 2 counts)
    if (bracketed) i = text.past_blanks(i + 1);
    if (i == text.size()) return ValueError{text.origin(i), "is empty", advice()};

    Accuracy accuracy;
    bool share_seen = false, counts_seen = false;
    for (bool more = true; more;) {
        const std::size_t from = i;
        if (i == text.size()) return ValueError{text.origin(i), "ends with a +", advice()};
        const Parsed<Number> parsed = read_number(text, i, example);
        if (const auto* error = std::get_if<ValueError>(&parsed)) {
            ValueError told = *error;
            if (told.write.starts_with("write a number and")) told.write = advice();
            return told;
        }
        const Number& number = std::get<Number>(parsed);
        if (number.significand[0] == '-') return ValueError{text.origin(from), "is below zero", advice()};

        i = text.past_blanks(number.end);
        std::size_t end = i;
        while (is_letter(text[end])) ++end;
        const std::string word = text.ascii().substr(i, end - i);
        const bool is_share = word == "%";
        const bool is_counts = names_counts(word) || (word.empty() && share_seen);
        if (word.empty() && !is_counts)
            return ValueError{text.origin(i), "has no % or counts after its number", advice()};
        if (!is_share && !is_counts)
            return ValueError{text.origin(i),
                              "has \"" + text.original(i, end) + "\" where % or counts is wanted", advice()};
        if (is_share ? share_seen : counts_seen)
            return ValueError{text.origin(from), is_share ? "names a share twice" : "names counts twice",
                              advice()};
        (is_share ? share_seen : counts_seen) = true;

        const Parsed<double> value = value_of(number, is_share ? -2 : 0, 1, 1, text.origin(from));
        if (const auto* error = std::get_if<ValueError>(&value)) return *error;
        (is_share ? accuracy.share : accuracy.counts) = std::get<double>(value);

        i = text.past_blanks(end);
        more = text[i] == '+';
        if (more) i = text.past_blanks(i + 1);
    }
    if (bracketed && text[i] == ')') i = text.past_blanks(i + 1);
    if (i < text.size())
        return ValueError{text.origin(i), "goes on with \"" + text.original(i, text.size()) + "\"", advice()};
    return accuracy;
}

} // namespace lostvolts

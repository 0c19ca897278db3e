// One [[part]] table of a circuit file, as the reader of its kind sees it: keys with their text and place.
// Whoever parses the file fills it; a part file asks for its keys by name, in quantities. What is wrong is
// collected, never thrown, and the reading goes on with a stand-in value so that one pass finds every
// mistake.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "solver/units/quantity.h"
#include "solver/units/result.h"
#include "solver/units/text.h"

namespace lostvolts {

inline constexpr std::size_t longest_name = 200; ///< bytes

enum class Range { any, not_negative, positive };

class Entry {
  public:
    struct Field {
        std::string key;
        std::string text;     ///< the value; for a bare number, its text in the file
        bool quoted = true;   ///< false: a bare number
        std::string_view odd; ///< what stands there when it is neither text nor number: "a list", "a date" …
        Place key_place;
        Place value_place;   ///< first character inside the quotes
        std::string excerpt; ///< the line of the file
        bool used = false;
    };

    std::string file;
    std::string kind;
    std::string name;
    Place place;                              ///< of the table's header
    std::string header_excerpt;               ///< its line
    Temperature<> surroundings = celsius(25); ///< the circuit's temperature
    std::vector<Field> fields;
    Problems problems;

    bool has(std::string_view key) const;

    /// The value if the key is there (and right), else nothing.
    template <class Q> std::optional<Q> maybe(std::string_view key, Range range = Range::positive) {
        Field* field = find(key);
        if (!field) return std::nullopt;
        const Parsed<Q> read = read_quantity<Q>(field->text);
        if (const auto* error = std::get_if<ValueError>(&read)) return refuse(*field, *error), std::nullopt;
        const Q q = std::get<Q>(read);
        if (!within(*field, si(q), range)) return std::nullopt;
        return q;
    }

    template <class Q> Q value(std::string_view key, Q otherwise, Range range = Range::positive) {
        return maybe<Q>(key, range).value_or(otherwise);
    }
    /// A key that must be there; `example` is what to write, for instance `length = "1.6 m"`.
    template <class Q>
    Q needed(std::string_view key, std::string_view example, Range range = Range::positive) {
        if (!has(key)) missing(key, example);
        return maybe<Q>(key, range).value_or(from_si<Q>(1.0));
    }
    /// A resistance: like value(), "0 ohm" allowed and taken as least_ohms.
    Resistance<> resistance(std::string_view key, Resistance<> otherwise);
    std::optional<Resistance<>> maybe_resistance(std::string_view key);
    std::optional<WireSize> wire_size(std::string_view key);
    std::string word(std::string_view key, std::span<const std::string_view> known,
                     std::string_view otherwise);
    /// A text as it stands, such as a name. Nothing (and a problem) when it is empty, not in quotes or longer
    /// than `longest_name`.
    std::optional<std::string> text(std::string_view key);
    /// The same for a key that must be there.
    std::optional<std::string> needed_text(std::string_view key, std::string_view example);
    /// A list or table whose content somebody else reads: the key counts as known.
    void taken(std::string_view key);
    /// Where the value of a key stands; the table's own place when it is not there.
    Place place_of(std::string_view key) const;
    /// A whole number without a unit, such as bars = 8.
    int count(std::string_view key, int low, int high, int otherwise);
    /// The `tolerance` key, half-width of 95 % as a share, if given.
    std::optional<double> tolerance();

    void missing(std::string_view key, std::string_view example);
    /// A problem with the value of `key` (or with the table when the key is not there).
    void wrong(std::string_view key, std::string what, std::string write);
    /// A problem for each key that nobody asked for, with the nearest that somebody did.
    void unknown_keys();

    /// How messages name this table: `wire "main feed"`, or just the kind where it has no name.
    std::string subject() const;

  private:
    Field* find(std::string_view key);
    void refuse(const Field& field, const ValueError& error);
    bool within(const Field& field, double value, Range range);
    std::vector<std::string> asked_;
};

} // namespace lostvolts

#include "solver/circuit/walk_line.h"

#include <algorithm>
#include <cctype>
#include <span>
#include <tuple>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "solver/circuit/walk_kinds.h"
#include "solver/parts/all.h"
#include "solver/units/code_points.h"
#include "solver/units/lines.h"
#include "solver/units/mistyped.h"
#include "solver/units/plain_text.h"

namespace lostvolts {
namespace {

struct Word {
    std::string text;
    std::size_t at = 0;  ///< its first byte
    std::size_t end = 0; ///< past its last
    bool quoted = false;
    bool comma = false; ///< stood behind it
};

bool is_bare_number(const std::string& text) {
    return !text.empty() && text.find_first_not_of("0123456789.,") == std::string::npos;
}

struct Value {
    std::size_t slot = 0; ///< the first that takes its sort
    double size = 0;
    std::string text;
};

constexpr std::string_view blanks = " \t\r";

/// Past a word that begins at i: at a blank, a comment, or a comma that is no decimal one.
std::size_t end_of_word(std::string_view line, std::size_t i) {
    const auto digit = [&](std::size_t k) { return k < line.size() && is_digit(line[k]); };
    std::size_t end = i;
    while ((end = std::min(line.find_first_of(" \t\r#,", end), line.size())) > i && digit(end - 1) &&
           line.substr(end, 1) == "," && digit(end + 1))
        ++end;
    return end;
}

/// Up to a comment; what stands in quotes is one word. Commas between words are a matter of taste.
std::vector<Word> words_of(std::string_view line) {
    std::vector<Word> words;
    for (std::size_t i = 0; (i = line.find_first_not_of(blanks, i)) != std::string_view::npos;) {
        if (line[i] == '#') break;
        if (line[i] == ',') {
            if (!words.empty()) words.back().comma = true;
            ++i;
            continue;
        }
        const std::size_t quote = line[i] == '"' ? line.find('"', i + 1) : std::string_view::npos;
        if (quote != std::string_view::npos) {
            words.push_back({std::string(line.substr(i + 1, quote - i - 1)), i, quote + 1, true});
            i = quote + 1;
            continue;
        }
        const std::size_t end = end_of_word(line, i);
        words.push_back({std::string(line.substr(i, end - i)), i, end, false});
        i = end;
    }
    return words;
}

std::string joined(std::span<const Word> words) {
    std::string text;
    for (std::size_t k = 0; k < words.size(); ++k)
        text.append(k == 0 ? "" : words[k - 1].comma ? ", " : " ").append(words[k].text);
    return text;
}

/// How many words from the first make a value of the sort: "2.5 sq mm" three, "25 A" two, "25A" one, none 0.
std::size_t words_in(std::span<const Word> words, SizeOf size) {
    for (std::size_t n = std::min<std::size_t>(3, words.size()); n > 0; --n)
        if (size(joined(words.first(n)))) return n;
    return 0;
}

/// A value of any sort, whether or not the part takes it.
std::size_t words_in_any(std::span<const Word> words) {
    std::size_t most = 0;
    for (const SizeOf sort : all_sorts()) most = std::max(most, words_in(words, sort));
    return most;
}

/// As words_in_any(), of a number with a decimal comma.
std::size_t words_with_comma(std::span<const Word> words) {
    std::vector<Word> pointed(words.begin(), words.begin() + std::min<std::ptrdiff_t>(2, std::ssize(words)));
    const std::size_t comma = pointed.empty() ? std::string::npos : pointed[0].text.find(',');
    if (comma == std::string::npos || pointed[0].quoted) return 0;
    pointed[0].text[comma] = '.';
    return words_in_any(pointed);
}

/// The value that was meant where a unit's letters changed places.
std::optional<std::string> meant_by(std::span<const Word> words) {
    for (std::size_t n = std::min<std::size_t>(2, words.size()); n > 0; --n)
        if (auto meant = words[n - 1].quoted ? std::nullopt : value_mistyped(joined(words.first(n))))
            return meant;
    return std::nullopt;
}

/// A value of some sort, or what was meant for one.
bool is_like_a_value(std::span<const Word> words) {
    return words_in_any(words) > 0 || words_with_comma(words) > 0 || meant_by(words);
}

class LineReader {
  public:
    LineReader(std::string_view line, int number, const std::string& file, Problems& problems)
        : line_(line), words_(words_of(line)), file_(file), problems_(problems) {
        said_.number = number;
    }

    std::optional<WalkLine> read() {
        if (words_.empty()) return std::nullopt;
        const Word& first = words_.front();
        said_.place = place(first.at, first.end);
        if (first.text == "name" || first.text == "from") return directive();
        const WalkedKind* kind = find_walked_kind(first.text);
        if (!kind) return unknown_kind(), std::nullopt;
        said_.kind = first.text;
        const auto to = std::find_if(words_.begin() + 1, words_.end(),
                                     [](const Word& w) { return w.text == "to" && !w.quoted; });
        const std::span<const Word> before(words_.begin() + 1, to);
        const std::size_t problems = problems_.size();
        if (to != words_.end()) far_end(*to);
        name_and_values(*kind, before);
        if (problems_.size() > problems) return std::nullopt;
        return std::move(said_);
    }

  private:
    Place place(std::size_t from, std::size_t to) const {
        const auto columns = [&](std::size_t a, std::size_t b) {
            return static_cast<int>(code_points(line_.substr(a, b - a)).size());
        };
        return {said_.number, 1 + columns(0, from), std::max(1, columns(from, to))};
    }
    void wrong(Place where, std::string what, std::string write) {
        problems_.push_back({file_, where, std::move(what), std::move(write), ""});
    }

    std::optional<WalkLine> directive() {
        const bool from = words_[0].text == "from";
        said_.says = from ? WalkLine::Says::from : WalkLine::Says::name;
        said_.name = joined(std::span(words_).subspan(1));
        if (!said_.name.empty()) {
            said_.place = place(words_[1].at, words_.back().end);
            return std::move(said_);
        }
        wrong(said_.place, from ? "from which point?" : "what is the circuit's name?",
              from ? "the name of a point of the walk so far:  from fuse box"
                   : "name Orchard sprayer, rinse pump");
        return std::nullopt;
    }

    void unknown_kind() {
        const std::string& word = words_[0].text;
        std::string write;
        if (const WalkedKind* meant = kind_meant(word)) {
            write = fmt::format("it is a {}, and may be named so:  {}", meant->kind, meant->example);
        } else if (const auto near = nearest(word, part_kinds())) {
            write = fmt::format("did you mean \"{}\"?", *near);
        } else {
            write = fmt::format("a line begins with a kind of part ({}), or with name or from",
                                fmt::join(part_kinds(), ", "));
        }
        wrong(said_.place, fmt::format("there is no kind of part \"{}\"", word), std::move(write));
    }

    /// "to winch plug +, 15 min, behind the tail board"
    void far_end(const Word& to) {
        std::size_t from = to.end;
        const std::size_t end = words_.back().end;
        for (int piece = 0; from <= end; ++piece) {
            const std::size_t comma = std::min(line_.find(',', from), end);
            std::string_view text = trimmed(line_.substr(from, comma - from));
            if (text.size() > 1 && text.starts_with('"') && text.ends_with('"'))
                text = text.substr(1, text.size() - 2);
            from = comma + 1;
            if (text.empty()) continue;
            const bool minutes = is_time(text);
            std::string& into = piece == 0 ? said_.point : minutes ? said_.access : said_.note;
            into.append(into.empty() ? "" : ", ").append(text);
        }
        if (said_.point.empty())
            wrong(place(to.at, to.end), "to which point?",
                  "to, then the point's name; what it takes to reach it may follow:  to tail plug +, 15 min");
    }

    void name_and_values(const WalkedKind& kind, std::span<const Word> words) {
        std::size_t i = 0; // the name goes up to the first value
        while (i < words.size() && (words[i].quoted || !is_like_a_value(words.subspan(i)))) ++i;
        name(words.first(i));
        std::vector<Value> values;
        while (i < words.size()) {
            const std::span<const Word> rest = words.subspan(i);
            std::size_t n = 0;
            for (std::size_t k = 0; k < kind.slots.size() && n == 0; ++k)
                if ((n = words_in(rest, kind.slots[k].size)) > 0)
                    values.push_back({k, *kind.slots[k].size(joined(rest.first(n))), joined(rest.first(n))});
            i += n > 0 ? n : no_value(kind, rest);
        }
        place_values(kind, std::move(values));
    }

    /// Tells of words that are no value of this kind, and how many they are.
    std::size_t no_value(const WalkedKind& kind, std::span<const Word> rest) {
        if (const std::size_t n = words_with_comma(rest)) {
            std::string text = joined(rest.first(n));
            const std::string what =
                fmt::format("{}: \"{}\" has a comma for its decimal point", subject(), text);
            std::replace(text.begin(), text.end(), ',', '.');
            wrong(place(rest[0].at, rest[n - 1].end), what, fmt::format("write {}", text));
            return n;
        }
        const std::size_t of_another = words_in_any(rest);
        // A number takes the next word with it, unless that is a value of its own.
        const bool with_next = is_bare_number(rest[0].text) && rest.size() > 1 && !rest[1].quoted &&
                               !is_bare_number(rest[1].text) && !is_like_a_value(rest.subspan(1));
        const std::size_t n = std::max<std::size_t>(with_next ? 2 : 1, of_another);
        const std::string text = joined(rest.first(n));
        if (is_bare_number(text)) {
            wrong(place(rest[0].at, rest[0].end), fmt::format("{}: \"{}\" has no unit", subject(), text),
                  fmt::format("write the unit after it, as in:  {}", kind.example));
            return n;
        }
        const auto meant = of_another > 0 ? std::nullopt : meant_by(rest);
        wrong(place(rest[0].at, rest[n - 1].end),
              of_another > 0 ? fmt::format("{} has no use for \"{}\"", subject(), text)
                             : fmt::format("{}: \"{}\" is no value", subject(), text),
              meant
                  ? fmt::format("did you mean \"{}\"?", *meant)
                  : fmt::format("its name comes first, then its values with their units:  {}", kind.example));
        return n;
    }

    void name(std::span<const Word> words) {
        said_.name = joined(words);
        if (words.empty()) return;
        said_.place = place(words.front().at, words.back().end);
        // "fuse 4" is called so, not "4".
        if (said_.name.find_first_of("0123456789") == 0 &&
            std::none_of(said_.name.begin(), said_.name.end(),
                         [](unsigned char c) { return std::isalpha(c); }))
            said_.name = fmt::format("{} {}", said_.kind, said_.name);
    }

    void place_values(const WalkedKind& kind, std::vector<Value> values) {
        std::sort(values.begin(), values.end(), [](const Value& a, const Value& b) {
            return std::tie(a.slot, a.size) < std::tie(b.slot, b.size);
        });
        for (Value& value : values) {
            const SizeOf size = kind.slots[value.slot].size;
            const auto free = std::find_if(kind.slots.begin(), kind.slots.end(), [&](const Slot& slot) {
                return slot.size == size && !said_.value(slot.key);
            });
            if (free == kind.slots.end())
                wrong(said_.place,
                      fmt::format("{}: \"{}\" is one value too many of its sort", subject(), value.text),
                      fmt::format("{}:  {}",
                                  is_length(size) ? "a cross-section is written in mm2" : "for example",
                                  kind.example));
            else
                said_.values.push_back({std::string(free->key), std::move(value.text)});
        }
        // One resistance of a relay is its coil's, unless no coil is that low.
        if (said_.kind == "relay" && !said_.value("coil"))
            for (Field& field : said_.values)
                if (field.key == "contact" && *kind.slots[0].size(field.value) >= 1) field.key = "coil";
    }

    std::string subject() const {
        return said_.name.empty() ? fmt::format("the {}", said_.kind)
                                  : fmt::format("{} \"{}\"", said_.kind, said_.name);
    }

    std::string_view line_;
    std::vector<Word> words_;
    const std::string& file_;
    Problems& problems_;
    WalkLine said_;
};

} // namespace

const std::string* WalkLine::value(std::string_view key) const {
    for (const Field& field : values)
        if (field.key == key) return &field.value;
    return nullptr;
}

std::optional<WalkLine> read_walk_line(std::string_view line, int number, const std::string& file,
                                       Problems& problems) {
    return LineReader(line, number, file, problems).read();
}

} // namespace lostvolts

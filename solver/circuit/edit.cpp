#include "solver/circuit/edit.h"

#include <algorithm>
#include <optional>

#include <fmt/format.h>

#include "solver/circuit/toml_file.h"
#include "solver/circuit/toml_text.h"

namespace lostvolts {
namespace {

using Kind = TomlValue::Kind;

/// Byte offsets of a text's lines, for turning a place into one.
class Offsets {
  public:
    explicit Offsets(std::string_view text) : text_(text), starts_{0} {
        for (std::size_t i = 0; i < text.size(); ++i)
            if (text[i] == '\n') starts_.push_back(i + 1);
    }
    std::size_t of(const Place& place) const {
        const auto line = static_cast<std::size_t>(place.line - 1);
        std::size_t i = line < starts_.size() ? starts_[line] : text_.size();
        if (i == 0 && text_.starts_with("\xEF\xBB\xBF")) i = 3; // a byte order mark is no column
        for (int column = 1; column < place.column && i < text_.size(); ++column) do
                ++i;
            while (i < text_.size() && (text_[i] & '\xC0') == '\x80');
        return i;
    }

  private:
    std::string_view text_;
    std::vector<std::size_t> starts_;
};

struct Span {
    std::size_t from = 0, to = 0;
};

std::size_t past_string(std::string_view text, std::size_t i) {
    const char quote = text[i];
    const std::string three(3, quote);
    const bool triple = text.substr(i, 3) == three;
    i += triple ? 3 : 1;
    for (; i < text.size(); ++i) {
        if (text[i] == '\\' && quote == '"') {
            ++i;
        } else if (triple && text.substr(i, 3) == three) {
            i += 3;
            while (i < text.size() && text[i] == quote) ++i; // quotes of its own just before the end
            return i;
        } else if (!triple && text[i] == quote) {
            return i + 1;
        }
    }
    return text.size();
}

/// Where the value that begins at `i` ends. The text has been parsed: brackets and quotes match.
std::size_t past_value(std::string_view text, std::size_t i) {
    constexpr std::string_view ends_bare = " \t\r\n,]}#";
    if (i >= text.size()) return i;
    if (text[i] == '"' || text[i] == '\'') return past_string(text, i);
    if (text[i] != '[' && text[i] != '{') return std::min(text.find_first_of(ends_bare, i), text.size());
    int depth = 0;
    while (i < text.size()) {
        const char c = text[i];
        if (c == '"' || c == '\'') {
            i = past_string(text, i);
            continue;
        }
        if (c == '#') i = std::min(text.find('\n', i), text.size() - 1);
        if (c == '[' || c == '{') ++depth;
        if ((c == ']' || c == '}') && --depth == 0) return i + 1;
        ++i;
    }
    return text.size();
}

/// The bytes of a value, its quotes included.
Span span_of(std::string_view text, const Offsets& offsets, const TomlValue& value) {
    std::size_t from = offsets.of(value.place);
    if (value.kind == Kind::text) {
        const char quote = from > 0 ? text[from - 1] : '"';
        const bool triple = from >= 3 && text.substr(from - 3, 3) == std::string(3, quote) &&
                            past_string(text, from - 1) != from + 1;
        from -= std::min<std::size_t>(from, triple ? 3 : 1);
    }
    return {from, past_value(text, from)};
}

std::string_view line_end(std::string_view text) {
    const std::size_t first = text.find('\n');
    return first != std::string_view::npos && first > 0 && text[first - 1] == '\r' ? "\r\n" : "\n";
}

std::size_t past_line(std::string_view text, std::size_t i) {
    const std::size_t end = text.find('\n', i);
    return end == std::string_view::npos ? text.size() : end + 1;
}

std::size_t line_start(std::string_view text, std::size_t i) {
    const std::size_t before = i == 0 ? std::string_view::npos : text.rfind('\n', i - 1);
    return before == std::string_view::npos ? 0 : before + 1;
}

bool named(const TomlValue& table, std::string_view name) {
    const TomlValue* value = table.find("name");
    return value && value->kind == Kind::text && value->text == name;
}

const TomlValue* find_table(const TomlValue& root, const ValueEdit& edit) {
    if (edit.table.empty()) return &root;
    const TomlValue* found = root.find(edit.table);
    if (!found || found->kind == Kind::table) return found;
    if (edit.number >= 0) {
        const auto at = static_cast<std::size_t>(edit.number);
        return at < found->items.size() && found->items[at].kind == Kind::table ? &found->items[at] : nullptr;
    }
    for (const TomlValue& item : found->items)
        if (item.kind == Kind::table && named(item, edit.name)) return &item;
    return nullptr;
}

struct Change {
    Span span;
    std::string text;
};

bool is_header_table(const TomlValue& v) {
    return v.header || (v.kind == Kind::list && !v.items.empty() && v.items.front().header);
}

/// A key that is not there yet: a line of its own after the table's last, or inside the braces of { … }.
Change added_key(std::string_view text, const Offsets& offsets, const TomlValue& table,
                 const ValueEdit& edit) {
    const std::string pair = fmt::format("{} = {}", toml_key(edit.key), toml_string(edit.value));
    const TomlValue* last = nullptr;
    for (const TomlValue& item : table.items)
        if (!is_header_table(item)) last = &item;
    const std::string_view nl = line_end(text);
    if (!last) {
        const bool root = edit.table.empty();
        const std::size_t at = root ? 0 : past_line(text, offsets.of(table.place));
        const bool open_end = !root && at == text.size() && !text.ends_with('\n');
        return {{at, at}, fmt::format("{}{}{}", open_end ? nl : "", pair, nl)};
    }
    const std::size_t end = span_of(text, offsets, *last).to;
    if (!table.header) return {{end, end}, ", " + pair};
    const std::size_t start = line_start(text, offsets.of(last->key_place));
    const auto indent = text.substr(start, std::min(text.find_first_not_of(" \t", start), end) - start);
    const std::size_t at = past_line(text, end);
    const bool open_end = !text.substr(0, at).ends_with('\n');
    return {{at, at},
            open_end ? fmt::format("{}{}{}", nl, indent, pair) : fmt::format("{}{}{}", indent, pair, nl)};
}

/// The end of the last value in a table and in what hangs on it.
std::size_t end_of(std::string_view text, const Offsets& offsets, const TomlValue& value) {
    if (!is_header_table(value)) return span_of(text, offsets, value).to;
    std::size_t end = value.kind == Kind::table ? offsets.of(value.place) : 0;
    for (const TomlValue& item : value.items) end = std::max(end, end_of(text, offsets, item));
    return end;
}

Problem trouble(const std::string& file, std::string what, std::string write) {
    return {file, {}, std::move(what), std::move(write), ""};
}

} // namespace

Result<std::string> edit_values(std::string_view text, const std::vector<ValueEdit>& edits,
                                const std::string& file) {
    const TomlFile toml = parse_toml(text, file);
    if (!toml.problems.empty()) return tidy(toml.problems, text);
    const Offsets offsets(text);
    std::vector<Change> changes;
    Problems problems;
    for (const ValueEdit& edit : edits) {
        const TomlValue* table = find_table(toml.root, edit);
        if (!table) {
            const std::string which = edit.number < 0 ? fmt::format("\"{}\"", edit.name)
                                                      : fmt::format("number {}", edit.number + 1);
            problems.push_back(trouble(file, fmt::format("there is no {} {} to change", edit.table, which),
                                       edit.number < 0 ? "check its name" : "check its number"));
            continue;
        }
        const TomlValue* value = table->find(edit.key);
        if (value && is_header_table(*value))
            problems.push_back(trouble(file, fmt::format("{} is a table, not a value", edit.key), ""));
        else if (value)
            changes.push_back({span_of(text, offsets, *value), toml_string(edit.value)});
        else
            changes.push_back(added_key(text, offsets, *table, edit));
    }
    if (!problems.empty()) return problems;

    // In the order of the file; of two for one value the later holds.
    std::stable_sort(changes.begin(), changes.end(),
                     [](const Change& a, const Change& b) { return a.span.from < b.span.from; });
    std::string edited;
    std::size_t done = 0;
    for (std::size_t k = 0; k < changes.size(); ++k) {
        const bool replaced_again = k + 1 < changes.size() && changes[k].span.to > changes[k].span.from &&
                                    changes[k + 1].span.from == changes[k].span.from;
        if (replaced_again) continue;
        edited.append(text.substr(done, changes[k].span.from - done)).append(changes[k].text);
        done = changes[k].span.to;
    }
    edited.append(text.substr(done));
    const TomlFile check = parse_toml(edited, file);
    if (!check.problems.empty())
        return trouble(file, "these changes can't be made without spoiling the file", "edit it by hand");
    return edited;
}

std::string append_table(std::string_view text, std::string_view table, const std::vector<Field>& fields) {
    const std::string_view nl = line_end(text);
    std::string out(text);
    if (!out.empty() && !out.ends_with('\n')) out += nl;
    if (!out.empty()) out += nl;
    out += fmt::format("[[{}]]{}", toml_key(table), nl);
    for (const Field& field : fields)
        out += fmt::format("{} = {}{}", toml_key(field.key), toml_string(field.value), nl);
    return out;
}

Result<std::string> remove_table(std::string_view text, std::string_view table, int n,
                                 const std::string& file) {
    const TomlFile toml = parse_toml(text, file);
    if (!toml.problems.empty()) return tidy(toml.problems, text);
    const TomlValue* list = toml.root.find(table);
    const bool there = list && list->kind == Kind::list && n >= 0 && n < static_cast<int>(list->items.size());
    if (!there)
        return trouble(file, fmt::format("there is no {} number {} to remove", table, n + 1),
                       "check its number");
    const TomlValue& item = list->items[static_cast<std::size_t>(n)];
    if (!item.header)
        return trouble(
            file, fmt::format("{} number {} is not written below a [[{}]] of its own", table, n + 1, table),
            "edit the file by hand");
    const Offsets offsets(text);
    std::size_t from = line_start(text, offsets.of(item.place));
    const std::size_t to = past_line(text, end_of(text, offsets, item));
    if (from > 0) { // the blank line that set it apart goes with it
        const std::size_t above = line_start(text, from - 1);
        const std::string_view line = text.substr(above, from - above);
        if (line.find_first_not_of(" \t\r\n") == std::string_view::npos) from = above;
    }
    return std::string(text.substr(0, from)).append(text.substr(to));
}

} // namespace lostvolts

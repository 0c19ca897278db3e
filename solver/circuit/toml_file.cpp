#include "solver/circuit/toml_file.h"

#include <algorithm>

#include <fmt/format.h>
#include <toml++/toml.h>

#include "solver/circuit/toml_guard.h"
#include "solver/circuit/toml_syntax.h"

namespace lostvolts {
namespace {

constexpr int most_steps_over = 20;                  // syntax errors stepped over in one file
constexpr std::size_t most_parsed_again = 32u << 20; // bytes parsed again for that
constexpr std::size_t most_problems = 200;
constexpr std::size_t longest_message = 600, longest_excerpt = 240;

using Kind = TomlValue::Kind;

Place place_of(const toml::source_position& at) {
    return {static_cast<int>(at.line), static_cast<int>(at.column), 1};
}

std::string number_text(const toml::node& node) {
    if (const auto* whole = node.as_integer()) return fmt::format("{}", whole->get());
    return fmt::format("{}", node.as_floating_point()->get());
}

int code_points_in(std::string_view text) {
    return static_cast<int>(
        std::count_if(text.begin(), text.end(), [](char c) { return (c & '\xC0') != '\x80'; }));
}

TomlValue converted(const toml::node& node);

void convert_items(const toml::table& table, TomlValue& into) {
    std::vector<std::pair<const toml::key*, const toml::node*>> fields;
    fields.reserve(table.size());
    for (const auto& [key, value] : table) fields.emplace_back(&key, &value);
    const auto place = [](const toml::key* key) {
        return std::pair(key->source().begin.line, key->source().begin.column);
    };
    std::sort(fields.begin(), fields.end(),
              [&](const auto& a, const auto& b) { return place(a.first) < place(b.first); });
    into.items.reserve(fields.size());
    for (const auto& [key, value] : fields) {
        TomlValue& item = into.items.emplace_back(converted(*value));
        item.key = key->str();
        item.key_place = place_of(key->source().begin);
        item.key_place.width = static_cast<int>(key->source().end.column - key->source().begin.column);
    }
}

TomlValue converted(const toml::node& node) {
    TomlValue value;
    const toml::source_region& where = node.source();
    value.place = place_of(where.begin);
    if (const auto* text = node.as_string()) {
        value.kind = Kind::text;
        value.text = text->get();
        const int shown = code_points_in(value.text);
        const int columns = static_cast<int>(where.end.column) - static_cast<int>(where.begin.column);
        const bool triple = where.begin.line != where.end.line || columns >= shown + 6;
        value.place.column += triple && value.text.find('\\') == std::string::npos ? 3 : 1;
        value.place.width = std::max(1, shown);
    } else if (const auto* table = node.as_table()) {
        value.kind = Kind::table;
        value.header = !table->is_inline();
        convert_items(*table, value);
    } else if (const auto* list = node.as_array()) {
        value.kind = Kind::list;
        value.items.reserve(list->size());
        for (const toml::node& item : *list) value.items.push_back(converted(item));
    } else if (node.is_number()) {
        value.kind = Kind::number;
        value.text = number_text(node);
        value.place.width = static_cast<int>(where.end.column - where.begin.column);
    } else {
        value.kind = node.is_boolean() ? Kind::truth : Kind::date;
        if (const auto* truth = node.as_boolean()) value.text = truth->get() ? "true" : "false";
    }
    return value;
}

std::vector<std::string_view> lines_of(std::string_view text) {
    std::vector<std::string_view> lines;
    while (true) {
        const std::size_t end = text.find('\n');
        std::string_view line = text.substr(0, end);
        if (line.ends_with('\r')) line.remove_suffix(1);
        lines.push_back(line);
        if (end == std::string_view::npos) return lines;
        text.remove_prefix(end + 1);
    }
}

std::string joined(const std::vector<std::string_view>& lines) {
    std::string text;
    for (const std::string_view line : lines) text.append(line).append("\n");
    return text;
}

std::string shortened(std::string text, std::size_t most) {
    if (text.size() <= most) return text;
    while (most > 0 && (text[most] & '\xC0') == '\x80') --most;
    return text.substr(0, most) + " …";
}

} // namespace

const TomlValue* TomlValue::find(std::string_view wanted) const {
    const auto at =
        std::find_if(items.begin(), items.end(), [&](const TomlValue& v) { return v.key == wanted; });
    return at == items.end() ? nullptr : &*at;
}

TomlFile parse_toml(std::string_view text, const std::string& file) {
    TomlFile result;
    const auto stop = [&](Problem problem) {
        result.problems.push_back(std::move(problem));
        result.whole = false;
        return std::move(result);
    };
    if (auto problem = not_text(text, file)) return stop(*problem);

    // A repaired file is parsed anew, so that one missing quote does not hide the mistakes after it.
    std::string repaired;
    std::vector<std::string> instead; // keeps the repaired lines alive
    instead.reserve(most_steps_over);
    std::vector<std::string_view> lines;
    int last_line = 0;
    for (int step = 0;; ++step) {
        if (auto problem = not_bounded(text, file)) return stop(*problem);
        try {
            const toml::table root = toml::parse(text);
            convert_items(root, result.root);
            result.root.header = true;
            return result;
        } catch (const toml::parse_error& error) {
            if (lines.empty()) lines = lines_of(text);
            const auto& at = error.source().begin;
            SyntaxStop where{static_cast<int>(at.line), static_cast<int>(at.column),
                             std::string(error.description())};
            where.line = std::clamp(where.line, 1, static_cast<int>(lines.size()));
            const SyntaxAdvice advice = explain_syntax(lines, where);
            Problem problem{file, advice.place, advice.what, advice.write, ""};
            const bool again = advice.line > 0 && advice.line != last_line && step < most_steps_over &&
                               text.size() * static_cast<std::size_t>(step + 1) <= most_parsed_again;
            if (advice.line == 0 || advice.line != last_line) result.problems.push_back(problem);
            if (!again) {
                result.whole = false;
                return result;
            }
            last_line = advice.line;
            if (advice.guessed) result.guessed.push_back(advice.line);
            instead.push_back(advice.instead);
            lines[static_cast<std::size_t>(advice.line - 1)] = instead.back();
            repaired = joined(lines);
            text = repaired;
        } catch (const std::exception& error) {
            return stop({file, {}, fmt::format("can't be read: {}", error.what()), "", ""});
        }
    }
}

Problems with_syntax(const TomlFile& toml, Problems problems) {
    std::erase_if(problems, [&](const Problem& p) {
        return std::find(toml.guessed.begin(), toml.guessed.end(), p.place.line) != toml.guessed.end();
    });
    // In a line that was taken as something else, the caret goes where that began.
    for (Problem& p : problems)
        for (const Problem& syntax : toml.problems)
            if (p.place.line > 0 && p.place.line == syntax.place.line) p.place = syntax.place;
    problems.insert(problems.begin(), toml.problems.begin(), toml.problems.end());
    return problems;
}

std::vector<const TomlValue*> tables_of(const TomlValue& root, std::string_view key, const std::string& file,
                                        Problems& problems) {
    std::vector<const TomlValue*> tables;
    const TomlValue* list = root.find(key);
    if (!list) return tables;
    const std::string write = fmt::format("write [[{}]], with two brackets, above each one", key);
    if (list->kind == TomlValue::Kind::table && list->header) {
        problems.push_back(
            {file, list->place, fmt::format("[{}] has one bracket on each side", key), write, ""});
        tables.push_back(list);
        return tables;
    }
    if (list->kind != TomlValue::Kind::list) {
        problems.push_back(
            {file, list->key_place, fmt::format("{} is not a list of tables", key), write, ""});
        return tables;
    }
    for (const TomlValue& item : list->items) {
        if (item.kind == TomlValue::Kind::table)
            tables.push_back(&item);
        else
            problems.push_back({file, item.place, fmt::format("{} is not a list of tables", key), write, ""});
    }
    return tables;
}

Entry entry_of(const TomlValue& table, const std::string& file, std::string kind) {
    Entry entry;
    entry.file = file;
    entry.kind = std::move(kind);
    entry.place = table.place;
    entry.fields.reserve(table.items.size());
    for (const TomlValue& item : table.items) {
        Entry::Field& field = entry.fields.emplace_back();
        field.key = item.key;
        field.text = item.text;
        field.quoted = item.kind == Kind::text;
        const bool tables = item.kind == Kind::list && !item.items.empty() && item.items.front().header;
        if (item.kind == Kind::list) field.odd = tables ? "a table" : "a list";
        if (item.kind == Kind::table) field.odd = "a table";
        if (item.kind == Kind::truth) field.odd = "true or false";
        if (item.kind == Kind::date) field.odd = "a date";
        field.key_place = item.key_place;
        field.value_place = item.place;
    }
    return entry;
}

Problems tidy(Problems problems, std::string_view text) {
    std::stable_sort(problems.begin(), problems.end(), [](const Problem& a, const Problem& b) {
        return std::pair(a.place.line, a.place.column) < std::pair(b.place.line, b.place.column);
    });
    const std::size_t all = problems.size();
    if (all > most_problems) problems.resize(most_problems);
    int line = 1;
    for (Problem& problem : problems) {
        problem.what = shortened(std::move(problem.what), longest_message);
        problem.write = shortened(std::move(problem.write), longest_message);
        if (problem.place.line == 0) continue;
        for (; line < problem.place.line; ++line) {
            const std::size_t end = text.find('\n');
            text.remove_prefix(end == std::string_view::npos ? text.size() : end + 1);
        }
        std::string_view shown = text.substr(0, std::min(text.find('\n'), text.size()));
        if (shown.ends_with('\r')) shown.remove_suffix(1);
        if (line == 1 && shown.starts_with("\xEF\xBB\xBF")) shown.remove_prefix(3);
        const auto column = static_cast<std::size_t>(problem.place.column);
        if (shown.size() <= longest_excerpt || column + 20 <= longest_excerpt)
            problem.excerpt = shortened(std::string(shown), longest_excerpt);
    }
    if (all > most_problems) {
        Problem rest = problems.back();
        rest.place = {};
        rest.what = fmt::format("and {} more mistakes", all - most_problems);
        rest.write = "put these right first";
        rest.excerpt.clear();
        problems.push_back(std::move(rest));
    }
    return problems;
}

} // namespace lostvolts

// Completion of words: which may stand where the cursor is. The shell asks the program itself, so that a new
// command or option is completed without a line anywhere else.

#include <algorithm>
#include <filesystem>

#include <CLI/CLI.hpp>

#include "solver/circuit/names.h"
#include "solver/circuit/read.h"
#include "solver/circuit/toml_file.h"
#include "solver/locate/file_kind.h"
#include "viewer/command/options.h"
#include "viewer/command/problems.h"
#include "viewer/command/usage.h"

namespace lostvolts {
namespace {

namespace fs = std::filesystem;

using Words = std::vector<std::string>;

const CLI::Option* option_of(const CLI::App& app, const std::string& word) {
    return word.starts_with('-') && word.size() > 1 ? app.get_option_no_throw(word) : nullptr;
}

const CLI::App* command_of(const CLI::App& app, const std::string& word) {
    for (const CLI::App* command : app.get_subcommands(nullptr))
        if (command->get_name() == word) return command;
    return nullptr;
}

bool takes_a_value(const CLI::Option& option) { return option.get_items_expected_max() > 0; }

std::string answer(const std::string& kind, const Words& candidates = {}, const std::string& begin = {}) {
    std::string text = kind + '\n';
    for (const std::string& word : candidates)
        if (word.starts_with(begin) && word.find('\n') == std::string::npos) text += word + '\n';
    return text;
}

/// "critical|other" or "{loop,staircase,suspects}" in pieces.
Words split(const std::string& text, char at) {
    Words words;
    std::size_t from = 0;
    for (std::size_t to; (to = text.find(at, from)) != std::string::npos; from = to + 1)
        words.push_back(text.substr(from, to - from));
    words.push_back(text.substr(from));
    return words;
}

/// The words that an option or argument is limited to, if it is.
Words choices(const CLI::Option& option) {
    const std::string type = option.get_type_name(); // "TEXT:{loop,staircase,suspects}"
    const std::size_t open = type.find('{'), close = type.find('}');
    if (open != std::string::npos && close != std::string::npos)
        return split(type.substr(open + 1, close - open - 1), ',');
    std::string text = option.get_option_text();
    if (text.find('|') == std::string::npos) return {};
    for (char& c : text) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    return split(text, '|');
}

/// The circuit that the words name: one of its own, or that of the readings they name.
std::optional<Circuit> named_by(const Words& words) {
    for (const std::string& word : words) {
        if (!word.ends_with(".toml")) continue;
        fs::path file = word;
        auto text = read_text_file(file);
        if (text && kind_of_text(*text) == FileKind::readings) {
            file = file.parent_path() / named_circuit(*text);
            text = read_text_file(file);
        }
        if (!text) continue;
        if (auto circuit = read_circuit_text(*text, file.string())) return *std::move(circuit);
    }
    return std::nullopt;
}

/// Names out of the circuit, by what the option is called or what it says that it takes.
std::optional<Words> names_for(const CLI::Option& option, const Words& words) {
    const auto called = [&](std::initializer_list<const char*> names) {
        return std::any_of(names.begin(), names.end(), [&](const char* name) {
            return option.check_name(name) || option.get_option_text() == name;
        });
    };
    const bool states = called({"--state", "STATE"}), conditions = called({"--condition", "CONDITION"}),
               motors = called({"--motor"}), parts = called({"PART"}), points = called({"POINT"});
    if (!states && !conditions && !motors && !parts && !points) return std::nullopt;
    const auto circuit = named_by(words);
    if (!circuit) return Words{};
    if (states) return names_of(circuit->states);
    if (conditions) return names_of(circuit->conditions);
    if (points) return names_of(circuit->points);
    Words names;
    for (const Part& part : circuit->parts)
        if (!motors || std::holds_alternative<Motor<>>(part.law)) names.push_back(part.name);
    return names;
}

std::string value_of(const CLI::Option& option, const Words& words, const std::string& begin) {
    if (const Words known = choices(option); !known.empty()) return answer("words", known, begin);
    if (const auto names = names_for(option, words)) return answer("words", *names, begin);
    const std::string what = option.get_positional() ? option.get_name(true) : option.get_option_text();
    const auto is = [&](std::initializer_list<const char*> names) {
        return std::find(names.begin(), names.end(), what) != names.end();
    };
    if (is({"CIRCUIT", "READINGS", "ORDER"}) || (option.get_positional() && what == "FILE"))
        return answer("files toml");
    const auto use = use_of(option);
    return answer(!use ? "words" : *use == FileUse::folder ? "folders" : "files");
}

std::string options_of(const CLI::App& app, const Words& used, const std::string& begin) {
    Words names;
    for (const CLI::Option* option : app.get_options()) {
        if (option->get_positional()) continue;
        const bool again = option->get_multi_option_policy() == CLI::MultiOptionPolicy::TakeAll;
        if (!again && std::any_of(used.begin(), used.end(),
                                  [&](const std::string& word) { return option->check_name(word); }))
            continue;
        for (const std::string& name : option->get_lnames()) names.push_back("--" + name);
    }
    return answer("words", names, begin);
}

} // namespace

std::string completion(const CLI::App& program, const std::vector<std::string>& words) {
    const std::string begin = words.empty() ? "" : words.back();
    const Words before(words.begin(), words.empty() ? words.end() : words.end() - 1);
    const CLI::App* app = &program;
    std::size_t k = 0;
    for (; k < before.size(); ++k) {
        const CLI::App* inner = command_of(*app, before[k]);
        if (!inner) break;
        app = inner;
    }
    std::size_t arguments = 0;
    const CLI::Option* waiting = nullptr; // an option that wants its value
    for (; k < before.size(); ++k) {
        if (waiting) {
            waiting = nullptr;
        } else if (const CLI::Option* option = option_of(*app, before[k])) {
            waiting = takes_a_value(*option) ? option : nullptr;
        } else if (!before[k].starts_with('-')) {
            ++arguments;
        }
    }
    if (waiting) return value_of(*waiting, before, begin);
    if (begin.starts_with('-')) return options_of(*app, before, begin);
    if (const auto inner = app->get_subcommands(nullptr); !inner.empty()) {
        Words names;
        for (const CLI::App* command : inner) names.push_back(command->get_name());
        return arguments == 0 ? answer("words", names, begin) : answer("words");
    }
    std::vector<const CLI::Option*> places;
    for (const CLI::Option* option : app->get_options())
        if (option->get_positional()) places.push_back(option);
    if (places.empty()) return answer("words");
    const bool last = arguments >= places.size();
    if (last && places.back()->get_items_expected_max() < 2) return answer("words");
    return value_of(*places[last ? places.size() - 1 : arguments], before, begin);
}

} // namespace lostvolts

#include "viewer/command/options.h"

#include <array>
#include <cstdint>
#include <optional>
#include <vector>

#include <CLI/CLI.hpp>

namespace lostvolts {
namespace {

CLI::Option* once_more(CLI::Option* option, const std::vector<std::string>&) {
    return option->expected(1)->take_all();
}
template <class Value> CLI::Option* once_more(CLI::Option* option, const Value&) { return option; }

template <class Value>
CLI::Option* option_of(CLI::App& app, const char* name, Value& into, const char* meaning, const char* shown) {
    return once_more(app.add_option(name, into, meaning)->option_text(shown), into);
}

// CLI11 keeps a word for the type of an option's value: there it stands what the file is for.
constexpr std::array<std::pair<FileUse, const char*>, 7> uses{{{FileUse::read, "file to read"},
                                                               {FileUse::made, "file to make"},
                                                               {FileUse::replaced, "file to replace"},
                                                               {FileUse::added_to, "file to add to"},
                                                               {FileUse::edited, "file to edit"},
                                                               {FileUse::rewritten, "file to rewrite"},
                                                               {FileUse::folder, "folder"}}};

} // namespace

CLI::App& add_command(CLI::App& to, const char* name, const char* meaning) {
    return *to.add_subcommand(name, meaning);
}

CLI::App& add_group(CLI::App& to, const char* name, const char* meaning) {
    CLI::App& group = add_command(to, name, meaning);
    group.require_subcommand(0, 1);
    return group;
}

bool is_called(const CLI::App& app) { return app.parsed(); }

void add_footer(CLI::App& app, const char* text) { app.footer(text); }

void add_flag(CLI::App& app, const char* name, bool& into, const char* meaning) {
    app.add_flag(name, into, meaning);
}

template <class Value>
void add_argument(CLI::App& app, const char* name, Value& into, const char* meaning, Needed needed) {
    app.add_option(name, into, meaning)->required(needed == Needed::yes);
}

template <class Value>
void add_option(CLI::App& app, const char* name, Value& into, const char* meaning, const char* shown,
                Needed needed) {
    option_of(app, name, into, meaning, shown)->required(needed == Needed::yes);
}

template <class Number>
void add_option(CLI::App& app, const char* name, Number& into, const char* meaning, const char* shown,
                Between<Number> range) {
    option_of(app, name, into, meaning, shown)->check(CLI::Range(range.least, range.most));
}

void add_option(CLI::App& app, const char* name, std::string& into, const char* meaning, const char* shown,
                std::initializer_list<const char*> choices) {
    option_of(app, name, into, meaning, shown)
        ->check(CLI::IsMember(std::vector<std::string>(choices.begin(), choices.end())));
}

template <class Value>
void add_file(CLI::App& app, const char* name, Value& into, FileUse use, const char* meaning,
              const char* shown, Needed needed) {
    CLI::Option* option =
        *name == '-' ? option_of(app, name, into, meaning, shown) : app.add_option(name, into, meaning);
    option->required(needed == Needed::yes);
    for (const auto& [known, words] : uses)
        if (known == use) option->type_name(words);
}

std::optional<FileUse> use_of(const CLI::Option& option) {
    for (const auto& [use, words] : uses)
        if (option.get_type_name() == words) return use;
    return std::nullopt;
}

std::vector<NamedFile> named_files(const CLI::App& app) {
    std::vector<NamedFile> all;
    for (const CLI::Option* option : app.get_options())
        if (const auto use = use_of(*option))
            for (const std::string& file : option->results())
                all.push_back(
                    {option->get_positional() ? option->get_name(true) : option->get_name(), file, *use});
    return all;
}

using Words = std::vector<std::string>;
template void add_argument(CLI::App&, const char*, std::string&, const char*, Needed);
template void add_argument(CLI::App&, const char*, Words&, const char*, Needed);
template void add_option(CLI::App&, const char*, std::string&, const char*, const char*, Needed);
template void add_option(CLI::App&, const char*, std::optional<std::string>&, const char*, const char*,
                         Needed);
template void add_option(CLI::App&, const char*, Words&, const char*, const char*, Needed);
template void add_file(CLI::App&, const char*, std::string&, FileUse, const char*, const char*, Needed);
template void add_file(CLI::App&, const char*, Words&, FileUse, const char*, const char*, Needed);
template void add_option(CLI::App&, const char*, int&, const char*, const char*, Needed);
template void add_option(CLI::App&, const char*, long&, const char*, const char*, Needed);
template void add_option(CLI::App&, const char*, std::uint64_t&, const char*, const char*, Needed);
template void add_option(CLI::App&, const char*, double&, const char*, const char*, Needed);
template void add_option(CLI::App&, const char*, int&, const char*, const char*, Between<int>);
template void add_option(CLI::App&, const char*, double&, const char*, const char*, Between<double>);

} // namespace lostvolts

#include "viewer/command/spared_files.h"

#include <algorithm>
#include <array>
#include <filesystem>
#include <string>
#include <vector>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace lostvolts {
namespace {

namespace fs = std::filesystem;

// By the names of options, which mean the same in every command.
constexpr std::array<std::string_view, 4> replacing{"--csv", "--picture", "--bill", "--output"};
constexpr std::array<std::string_view, 1> adding{"--results"};
constexpr std::array<std::string_view, 2> editing{"--write", "--readings"}; // of TOML
constexpr std::array<std::string_view, 3> reading{"--circuit", "--capture", "--beside"};
constexpr std::array<std::string_view, 1> folders{"--store"};

/// A file that the words name, and by what: "--csv", or of an argument "CIRCUIT".
struct Named {
    std::string by, file;
    bool is(const Named& other) const {
        std::error_code gone;
        if (fs::equivalent(file, other.file, gone)) return true;
        return fs::weakly_canonical(file, gone) == fs::weakly_canonical(other.file, gone) && !gone;
    }
};

template <std::size_t N>
std::vector<Named> named_by(const CLI::App& app, const std::array<std::string_view, N>& names) {
    std::vector<Named> all;
    for (const CLI::Option* option : app.get_options())
        if (std::find(names.begin(), names.end(), option->get_name()) != names.end())
            for (const std::string& file : option->results()) all.push_back({option->get_name(), file});
    return all;
}

/// A command's arguments are files that it reads; some are words instead, and then no file is called so.
std::vector<Named> files_read(const CLI::App& app) {
    std::vector<Named> all = named_by(app, reading);
    for (const CLI::Option* option : app.get_options())
        if (option->get_positional())
            for (const std::string& file : option->results()) all.push_back({option->get_name(true), file});
    return all;
}

Problem other_name(const CLI::App& app, std::string what) {
    return {"", {}, fmt::format("{}: {}", app.get_name(), what), "write to another name", ""};
}

} // namespace

std::optional<Problem> careless_files(const CLI::App& app) {
    const std::vector<Named> read = files_read(app), edited = named_by(app, editing);
    std::vector<Named> tables = named_by(app, replacing);
    for (Named& one : named_by(app, adding)) tables.push_back(std::move(one));
    std::vector<Named> written = tables;
    written.insert(written.end(), edited.begin(), edited.end());
    for (const auto& files : {written, read, named_by(app, folders)})
        for (const Named& one : files)
            if (one.file.empty() && one.by.starts_with("--"))
                return Problem{"",
                               {},
                               fmt::format("{}: {} needs a name after it", app.get_name(), one.by),
                               "an empty one was given: was a variable of the shell meant?",
                               ""};
    for (const Named& one : written)
        for (const Named& source : read)
            if (one.by != "--write" && one.is(source))
                return other_name(app,
                                  fmt::format("{} {} is what it reads, and would be lost", one.by, one.file));
    for (const Named& one : tables) {
        std::error_code gone;
        std::string ending = fs::path(one.file).extension().string();
        std::transform(ending.begin(), ending.end(), ending.begin(),
                       [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c; });
        if (ending == ".toml" && fs::exists(one.file, gone))
            return other_name(app, fmt::format("{} {} is there already, and is no table or picture: it would "
                                               "be lost",
                                               one.by, one.file));
    }
    for (std::size_t a = 0; a < written.size(); ++a)
        for (std::size_t b = a + 1; b < written.size(); ++b)
            if (written[a].is(written[b]))
                return other_name(app, fmt::format("{} and {} are the same file, {}", written[a].by,
                                                   written[b].by, written[a].file));
    return std::nullopt;
}

} // namespace lostvolts

// Options that the commands of `records` share.
#pragma once

#include <filesystem>

#include "solver/records/records.h"
#include "viewer/command/command.h"

namespace CLI {
class App;
}

namespace lostvolts {

struct StoreOptions {
    std::string store;
    bool json = false, strict = false;

    /// --store, else where this person keeps jobs. Errors: neither is known.
    Result<std::filesystem::path> store_of(const Screen& screen) const;
};
/// --store, --json and, where it has a meaning, --strict.
void add_store_options(CLI::App& app, StoreOptions& options, const char* strict_means);

struct FindOptions : StoreOptions {
    std::vector<std::string> words, labels;
    std::string machine, part, fault, from, to, known;
    int most = 20;

    /// Errors: a date or --known that is none.
    Result<JobQuery> query() const;
};
void add_find_options(CLI::App& app, FindOptions& options);

/// "good", "bad", "unsaid" or nothing said.
std::optional<Known> read_known(const std::string& word);
Problem unknown_known(const std::string& word);

} // namespace lostvolts

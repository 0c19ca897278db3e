#include "viewer/command/spared_files.h"

#include <algorithm>
#include <filesystem>
#include <string>
#include <string_view>

#include <fmt/format.h>

namespace lostvolts {
namespace {

namespace fs = std::filesystem;

bool same(const NamedFile& a, const NamedFile& b) {
    std::error_code gone;
    if (fs::equivalent(a.file, b.file, gone)) return true;
    return fs::weakly_canonical(a.file, gone) == fs::weakly_canonical(b.file, gone) && !gone;
}

bool is_written(const NamedFile& f) { return f.use != FileUse::read && f.use != FileUse::folder; }

/// A table or picture: nothing that stood in a TOML file outlives it.
bool is_no_toml(const NamedFile& f) { return f.use == FileUse::replaced || f.use == FileUse::added_to; }

bool is_there(const std::string& file) {
    std::error_code gone;
    return fs::exists(fs::symlink_status(file, gone));
}

bool is_there_as_toml(const std::string& file) {
    std::error_code gone;
    std::string ending = fs::path(file).extension().string();
    std::transform(ending.begin(), ending.end(), ending.begin(),
                   [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c; });
    return ending == ".toml" && fs::exists(file, gone);
}

} // namespace

std::optional<Problem> careless_files(std::string_view command, const std::vector<NamedFile>& files) {
    const auto problem = [&](const std::string& what, const char* instead) {
        return Problem{"", {}, fmt::format("{}: {}", command, what), instead, ""};
    };
    constexpr const char* other_name = "write to another name";
    for (const NamedFile& one : files)
        if (one.file.empty() && one.by.starts_with("--"))
            return problem(one.by + " needs a name after it",
                           "an empty one was given: was a variable of the shell meant?");
    for (const NamedFile& one : files)
        if (is_written(one) && one.file == "-")
            return problem(one.by + " is written as a file, and \"-\" would be its name",
                           "give it another name");
    for (const NamedFile& one : files)
        for (const NamedFile& source : files)
            if (is_written(one) && one.use != FileUse::rewritten && source.use == FileUse::read &&
                same(one, source))
                return problem(fmt::format("{} {} is what it reads, and would be lost", one.by, one.file),
                               other_name);
    for (const NamedFile& one : files)
        if (one.use == FileUse::made && is_there(one.file))
            return problem(fmt::format("{} {} is there already, and would be lost", one.by, one.file),
                           other_name);
    for (const NamedFile& one : files)
        if (is_no_toml(one) && is_there_as_toml(one.file))
            return problem(fmt::format("{} {} is there already, and is no table or picture: it would be lost",
                                       one.by, one.file),
                           other_name);
    for (std::size_t a = 0; a < files.size(); ++a)
        for (std::size_t b = a + 1; b < files.size(); ++b)
            if (is_written(files[a]) && is_written(files[b]) && same(files[a], files[b]))
                return problem(
                    fmt::format("{} and {} are the same file, {}", files[a].by, files[b].by, files[b].file),
                    other_name);
    return std::nullopt;
}

} // namespace lostvolts

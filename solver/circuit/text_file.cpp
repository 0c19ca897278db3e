// Bytes in and out of files, with an eye to what a path may turn out to be.
#include <algorithm>
#include <cerrno>
#include <system_error>

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <fmt/format.h>

#include "solver/circuit/descriptor.h"
#include "solver/circuit/toml_file.h"
#include "solver/circuit/toml_guard.h"

namespace lostvolts {
namespace {

std::string reason(int error) { return std::generic_category().message(error); }

Problem trouble(const std::string& file, std::string what, std::string write) {
    return {file, {}, std::move(what), std::move(write), ""};
}

Problem cannot_open(const std::string& file, int error) {
    if (error == ENOENT || error == ENOTDIR)
        return trouble(file, "there is no such file", "check the name and the folder");
    if (error == EACCES) return trouble(file, "may not be read by you", "check the file's permissions");
    return trouble(file, fmt::format("can't be opened: {}", reason(error)), "");
}

Problem too_large(const std::string& file) {
    return trouble(file, fmt::format("is larger than {} MB, the most that is read", largest_file_bytes >> 20),
                   "check that this is the right file; a recorded waveform goes to the command waveform");
}

Problem cannot_save(const std::string& file, int error) {
    if (error == EACCES || error == EPERM || error == EROFS)
        return trouble(file, "can't be saved: you may not write in its folder",
                       "check the folder's permissions, or save to another place; the old file is untouched");
    if (error == ENOSPC || error == EDQUOT || error == EFBIG)
        return trouble(file, "can't be saved: the disk is full",
                       "make room and save again; the old file is untouched");
    return trouble(file, fmt::format("can't be saved: {}", reason(error)), "the old file is untouched");
}

/// A rename lasts only once the folder is on the disk too. Folders that can't be synced are let be.
void sync_folder(const std::filesystem::path& folder) {
    const Descriptor at(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
    if (at.number() >= 0) ::fsync(at.number());
}

} // namespace

int write_all(int to, std::string_view text) {
    while (!text.empty()) {
        const ssize_t n = ::write(to, text.data(), text.size());
        if (n < 0 && errno == EINTR) continue;
        if (n < 0) return errno;
        text.remove_prefix(static_cast<std::size_t>(n));
    }
    return 0;
}

Result<std::string> read_text_file(const std::filesystem::path& path) {
    const std::string file = path == "-" ? "standard input" : path.string();
    const Descriptor in(path == "-" ? STDIN_FILENO : ::open(path.c_str(), O_RDONLY | O_CLOEXEC));
    if (in.number() < 0) return cannot_open(file, errno);

    struct stat about {};
    if (::fstat(in.number(), &about) != 0) return cannot_open(file, errno);
    if (S_ISDIR(about.st_mode))
        return trouble(file, "is a folder, not a file", "give the file in it, for example circuit.toml");
    const bool sized = S_ISREG(about.st_mode);
    if (sized && static_cast<std::size_t>(about.st_size) > largest_file_bytes) return too_large(file);

    std::string text;
    text.reserve(sized ? static_cast<std::size_t>(about.st_size) + 1 : 0);
    constexpr std::size_t piece = 1u << 16;
    for (;;) {
        const std::size_t had = text.size();
        text.resize(had + piece);
        const ssize_t n = ::read(in.number(), text.data() + had, piece);
        text.resize(had + static_cast<std::size_t>(std::max<ssize_t>(n, 0)));
        if (n < 0 && errno == EINTR) continue;
        if (n < 0) return trouble(file, fmt::format("can't be read: {}", reason(errno)), "");
        if (n == 0) break;
        if (text.size() > largest_file_bytes) return too_large(file);
    }
    if (auto problem = not_text(text, file)) return *problem;
    return text;
}

Result<bool> replace_text_file(const std::filesystem::path& path, std::string_view text) {
    const std::string file = path.string();
    std::error_code ignored;
    // A link keeps pointing at the file that it names: that file is the one replaced.
    std::filesystem::path target = std::filesystem::weakly_canonical(path, ignored);
    if (ignored || target.empty()) target = path;
    const std::filesystem::path folder = target.has_parent_path() ? target.parent_path() : ".";

    struct stat old {};
    const bool there = ::stat(target.c_str(), &old) == 0;
    if (there && !S_ISREG(old.st_mode))
        return trouble(file, "is not a plain file, so it is not replaced", "save to another name");
    if (there && ::access(target.c_str(), W_OK) != 0) return cannot_save(file, errno);

    std::string beside = (folder / fmt::format(".{}.XXXXXX", target.filename().string())).string();
    Descriptor out(::mkstemp(beside.data()));
    if (out.number() < 0) return cannot_save(file, errno);
    const auto give_up = [&](int error) {
        ::unlink(beside.c_str());
        return cannot_save(file, error);
    };
    const mode_t new_file = 0644;
    if (::fchmod(out.number(), there ? old.st_mode & 07777 : new_file) != 0) return give_up(errno);
    if (const int error = write_all(out.number(), text)) return give_up(error);
    if (::fsync(out.number()) != 0 || !out.close()) return give_up(errno);
    if (::rename(beside.c_str(), target.c_str()) != 0) return give_up(errno);
    sync_folder(folder);
    return true;
}

} // namespace lostvolts

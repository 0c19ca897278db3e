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

constexpr const char* own_descriptors = "/proc/self/fd";
constexpr int most_links = 40; // one after another, as the system itself follows

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

Problem cannot_save(const std::string& file, int error, const std::filesystem::path& folder) {
    if (error == EACCES || error == EPERM)
        return trouble(file, "can't be saved: you may not write in its folder",
                       "check the folder's permissions, or save to another place; the old file is untouched");
    if (error == EROFS)
        return trouble(file, "can't be saved: it is on a read-only disk",
                       "save to another place; the old file is untouched");
    if (error == ENOSPC || error == EDQUOT || error == EFBIG)
        return trouble(file, "can't be saved: the disk is full",
                       "make room and save again; the old file is untouched");
    if (error == ENOENT || error == ENOTDIR)
        return trouble(file, fmt::format("can't be saved: there is no folder {}", folder.string()),
                       "make it, or save to another place");
    return trouble(file, fmt::format("can't be saved: {}", reason(error)), "the old file is untouched");
}

/// A file to be written beside the one that it will replace. Without a name until it is whole, where the file
/// system can do that, so that a process that is killed leaves nothing behind.
class NewFile {
  public:
    NewFile(const std::filesystem::path& folder, const std::string& name)
        : beside_((folder / fmt::format(".{}.XXXXXX", shortened(name))).string()),
          descriptor_(::access(own_descriptors, X_OK) == 0
                          ? ::open(folder.c_str(), O_TMPFILE | O_RDWR | O_CLOEXEC, 0600)
                          : -1) {
        if (descriptor_.number() >= 0) return;
        named_ = true;
        descriptor_ = Descriptor(::mkstemp(beside_.data()));
    }
    ~NewFile() {
        if (named_) ::unlink(beside_.c_str());
    }
    NewFile(const NewFile&) = delete;
    NewFile& operator=(const NewFile&) = delete;
    int number() const { return descriptor_.number(); }
    /// Takes the place of `target`, or gives the errno of what stopped it.
    int put(const std::filesystem::path& target) {
        if (!named_ && !give_name()) return errno;
        if (!descriptor_.close()) return errno;
        if (::rename(beside_.c_str(), target.c_str()) != 0) return errno;
        named_ = false;
        return 0;
    }

  private:
    /// Room for the beginning, the dots and six letters in the 255 bytes that a name may have.
    static std::string shortened(const std::string& name) { return name.substr(0, 200); }
    /// A link can't replace a file, so it gets a name of its own first.
    bool give_name() {
        const std::string self = fmt::format("{}/{}", own_descriptors, number());
        const std::size_t letters = beside_.size() - 6;
        for (unsigned k = static_cast<unsigned>(::getpid()), left = 1000; left > 0; ++k, --left) {
            beside_.replace(letters, 6, fmt::format("{:06x}", k & 0xFFFFFF));
            named_ = ::linkat(AT_FDCWD, self.c_str(), AT_FDCWD, beside_.c_str(), AT_SYMLINK_FOLLOW) == 0;
            if (named_ || errno != EEXIST) return named_;
        }
        return false;
    }

    std::string beside_;
    Descriptor descriptor_;
    bool named_ = false;
};

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

std::filesystem::path folder_beside(const std::filesystem::path& file) {
    for (const char* pipes : {"/dev/", "/proc/"})
        if (file.string().starts_with(pipes)) return {};
    return file.parent_path();
}

Result<std::filesystem::path> place_to_save(const std::filesystem::path& path) {
    const std::string file = path.string();
    std::error_code ignored;
    std::filesystem::path target = path;
    // A link keeps pointing at the file that it names, there or not: that file is the one written.
    for (int links = 0; std::filesystem::is_symlink(target, ignored); ++links) {
        if (links == most_links) return cannot_save(file, ELOOP, {});
        const std::filesystem::path to = std::filesystem::read_symlink(target, ignored);
        target = to.is_absolute() ? to : target.parent_path() / to;
    }
    struct stat old {};
    if (::stat(target.c_str(), &old) != 0) return target;
    if (S_ISDIR(old.st_mode)) return trouble(file, "is a folder, not a file", "save to another name");
    if (!S_ISREG(old.st_mode))
        return trouble(file, "is not a plain file, so it is not replaced", "save to another name");
    if (::access(target.c_str(), W_OK) == 0) return target;
    if (errno == EACCES || errno == EPERM)
        return trouble(file, "can't be saved: the file there is write-protected for you",
                       "save to another name, or change its permissions; it is untouched");
    return cannot_save(file, errno, {});
}

Result<bool> replace_text_file(const std::filesystem::path& path, std::string_view text) {
    const auto place = place_to_save(path);
    if (!place) return place.problems();
    const std::filesystem::path folder = place->has_parent_path() ? place->parent_path() : ".";
    NewFile out(folder, place->filename().string());
    const auto give_up = [&](int error) { return cannot_save(path.string(), error, folder); };
    if (out.number() < 0) return give_up(errno);
    struct stat old {};
    const mode_t new_file = 0644;
    const bool there = ::stat(place->c_str(), &old) == 0;
    if (::fchmod(out.number(), there ? old.st_mode & 07777 : new_file) != 0) return give_up(errno);
    if (const int error = write_all(out.number(), text)) return give_up(error);
    if (::fsync(out.number()) != 0) return give_up(errno);
    if (const int error = out.put(*place)) return give_up(error);
    sync_folder(folder);
    return true;
}

} // namespace lostvolts

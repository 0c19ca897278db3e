#include "solver/records/store.h"

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <system_error>
#include <utility>

#include <dirent.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <fmt/format.h>

#include "solver/circuit/descriptor.h"
#include "solver/records/sha256.h"

namespace lostvolts {
namespace {

namespace fs = std::filesystem;
constexpr std::int64_t young_nanoseconds = 100'000'000; // well over any file system's tick

int open_folder(const fs::path& folder) { return ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC); }

int sync_folder(const fs::path& folder) {
    const Descriptor at(open_folder(folder));
    return at.number() < 0 || ::fsync(at.number()) != 0 ? errno : 0;
}

std::int64_t nanoseconds(const timespec& t) { return t.tv_sec * 1'000'000'000LL + t.tv_nsec; }

/// Said of the store: the names below adding/ mean nothing to anybody.
Problem not_kept(const fs::path& being_added, int error) {
    return trouble_with(being_added.parent_path().parent_path(), "the job was not kept", error);
}

/// Folders under adding/ whose process is gone.
void clear_left_behind(const Store& store) {
    std::error_code ignored;
    for (fs::directory_iterator at(store.adding(), ignored), end; !ignored && at != end;
         at.increment(ignored)) {
        const auto left = FolderLock::now(at->path(), FolderLock::Kind::alone);
        std::error_code stays;
        if (left) fs::remove_all(at->path(), stays);
    }
}

} // namespace

Problem trouble_with(const fs::path& file, std::string_view what, int error) {
    Problem problem{file.string(), {}, {}, {}, ""};
    if (error == EACCES || error == EPERM)
        problem.what = fmt::format("{}: you may not write there", what),
        problem.write = "check the folder's permissions, or choose another with --store";
    else if (error == EROFS)
        problem.what = fmt::format("{}: it is on a read-only disk", what),
        problem.write = "choose a folder on another disk with --store";
    else if (error == ENOSPC || error == EDQUOT || error == EFBIG)
        problem.what = fmt::format("{}: the disk is full", what),
        problem.write = "make room and do it again; jobs that are kept already are untouched";
    else if (error == ENOTDIR || error == EEXIST)
        problem.what = fmt::format("{}: a file stands where its folder should be", what),
        problem.write = "choose a folder with --store";
    else
        problem.what = fmt::format("{}: {}", what, std::generic_category().message(error));
    return problem;
}

Result<Store> open_store(const fs::path& folder) {
    const Store store{folder};
    std::error_code error;
    if (fs::is_directory(store.jobs(), error)) return store;
    if (error == std::errc::permission_denied)
        return Problem{folder.string(), {}, "may not be read by you", "check the folder's permissions", ""};
    return Problem{folder.string(),
                   {},
                   "there are no kept jobs here",
                   "lostvolts records add  keeps the first; --store names another folder",
                   ""};
}

Result<Store> make_store(const fs::path& folder) {
    const Store store{folder};
    std::error_code error;
    for (const fs::path& each : {store.jobs(), store.adding()}) {
        fs::create_directories(each, error);
        if (error) return trouble_with(folder, "no job can be kept here", error.value());
    }
    return store;
}

Result<NewFolder> NewFolder::begin(const Store& store) {
    const auto refuse = [&](int error) {
        return trouble_with(store.folder, "no job can be kept here", error);
    };
    // Alone, so that nobody sees the new folder before it is locked.
    const auto alone = FolderLock::wait(store.adding(), FolderLock::Kind::alone);
    if (!alone) return refuse(EBUSY);
    clear_left_behind(store);
    std::string name = (store.adding() / "job-XXXXXX").string();
    if (!::mkdtemp(name.data())) return refuse(errno);
    ::chmod(name.c_str(), 0755);
    auto lock = FolderLock::now(name, FolderLock::Kind::alone);
    if (!lock) return refuse(EBUSY);
    return NewFolder(name, std::move(*lock));
}

Result<bool> NewFolder::write(const std::string& name, std::string_view text) const {
    const fs::path file = path_ / name;
    Descriptor out(::open(file.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, 0644));
    int error = out.number() < 0 ? errno : write_all(out.number(), text);
    if (!error && ::fsync(out.number()) != 0) error = errno;
    if (!error && !out.close()) error = errno;
    if (error) return not_kept(path_, error);
    return true;
}

Result<NewFolder::Copied> NewFolder::copy(const fs::path& from, const std::string& name) const {
    const auto refuse = [&](std::string what) { return Problem{from.string(), {}, std::move(what), "", ""}; };
    // Not blocking, for a pipe without a writer.
    const Descriptor in(::open(from.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK));
    if (in.number() < 0)
        return refuse(errno == ENOENT ? "there is no such file"
                                      : fmt::format("can't be read: {}", std::strerror(errno)));
    struct stat about {};
    if (::fstat(in.number(), &about) != 0 || !S_ISREG(about.st_mode)) return refuse("is not a plain file");

    const fs::path file = path_ / name;
    Descriptor out(::open(file.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, 0644));
    const auto give_up = [&](int error) { return not_kept(path_, error); };
    if (out.number() < 0) return give_up(errno);
    Copied copied;
    Sha256 sum;
    std::string piece(1u << 18, '\0');
    for (;;) {
        const ssize_t n = ::read(in.number(), piece.data(), piece.size());
        if (n < 0 && errno == EINTR) continue;
        if (n < 0) return refuse(fmt::format("can't be read: {}", std::strerror(errno)));
        if (n == 0) break;
        const std::string_view got(piece.data(), static_cast<std::size_t>(n));
        sum.add(got);
        copied.bytes += got.size();
        if (const int error = write_all(out.number(), got)) return give_up(error);
    }
    if (::fsync(out.number()) != 0 || !out.close()) return give_up(errno);
    copied.sha256 = sum.hex();
    return copied;
}

Result<bool> NewFolder::put(const Store& store, const std::string& name) {
    if (const int error = sync_folder(path_)) return trouble_with(path_, "the job was not kept", error);
    const fs::path to = store.jobs() / name;
    if (::rename(path_.c_str(), to.c_str()) != 0) return trouble_with(to, "the job was not kept", errno);
    path_.clear();
    sync_folder(store.jobs()); // the job is whole; when its name reaches the disk is then the system's affair
    return true;
}

NewFolder::NewFolder(NewFolder&& other) noexcept
    : path_(std::exchange(other.path_, fs::path())), lock_(std::move(other.lock_)) {}
NewFolder::~NewFolder() {
    std::error_code ignored;
    if (!path_.empty()) fs::remove_all(path_, ignored);
}

std::int64_t file_stamp(const fs::path& file) {
    struct stat about {};
    return ::stat(file.c_str(), &about) == 0 ? nanoseconds(about.st_mtim) : -1;
}

std::int64_t jobs_stamp(const Store& store) { return file_stamp(store.jobs()); }

Result<Listing> list_jobs(const Store& store) {
    Listing listing;
    timespec now{};
    ::clock_gettime(CLOCK_REALTIME, &now);
    listing.stamp = jobs_stamp(store);
    if (nanoseconds(now) - listing.stamp < young_nanoseconds) listing.stamp = 0;
    DIR* folder = ::opendir(store.jobs().c_str());
    if (!folder)
        return Problem{
            store.jobs().string(), {}, fmt::format("can't be read: {}", std::strerror(errno)), "", ""};
    // Plain files and dot-names are no jobs; a link to a folder may be one that was moved to another disk.
    while (const dirent* entry = ::readdir(folder)) {
        if (entry->d_name[0] == '.') continue;
        if (entry->d_type == DT_DIR || entry->d_type == DT_LNK || entry->d_type == DT_UNKNOWN)
            listing.names.emplace_back(entry->d_name);
    }
    ::closedir(folder);
    std::sort(listing.names.begin(), listing.names.end());
    return listing;
}

} // namespace lostvolts

// Where jobs are kept: a folder with
//   jobs/          one folder a job; a job is kept from the instant its folder stands here under its name
//   adding/        jobs on their way; what a process left behind there is cleared away by the next
//   index.sqlite   what `find` reads; made again from jobs/ at any time
// Folders are the truth and the index follows. The store's locks are on these folders.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "solver/circuit/folder_lock.h"
#include "solver/units/result.h"

namespace lostvolts {

struct Store {
    std::filesystem::path folder;

    std::filesystem::path jobs() const { return folder / "jobs"; }
    std::filesystem::path adding() const { return folder / "adding"; }
    std::filesystem::path index() const { return folder / "index.sqlite"; }
};

/// The store at a folder that must be one already.
Result<Store> open_store(const std::filesystem::path& folder);
/// The same; made when it is not there.
Result<Store> make_store(const std::filesystem::path& folder);

/// A folder under adding/, cleared away again unless it was put in its place. While it lives nobody takes it
/// for a dead process's.
class NewFolder {
  public:
    static Result<NewFolder> begin(const Store& store);
    const std::filesystem::path& path() const { return path_; }
    /// Writes a file and syncs it.
    Result<bool> write(const std::string& name, std::string_view text) const;
    /// Copies a file byte for byte and syncs it; gives its length and digest. Errors: it is no plain file.
    struct Copied {
        std::uintmax_t bytes = 0;
        std::string sha256;
    };
    Result<Copied> copy(const std::filesystem::path& from, const std::string& name) const;
    /// Renames it to jobs/NAME. Errors: something of this name is there.
    Result<bool> put(const Store& store, const std::string& name);

    NewFolder(NewFolder&& other) noexcept;
    NewFolder& operator=(NewFolder&&) = delete;
    ~NewFolder();

  private:
    NewFolder(std::filesystem::path path, FolderLock lock) : path_(std::move(path)), lock_(std::move(lock)) {}
    std::filesystem::path path_;
    FolderLock lock_;
};

/// Names in jobs/, sorted, and the time stamp of that folder from before they were listed; 0 while it is too
/// young to tell a change from the next one.
struct Listing {
    std::vector<std::string> names;
    std::int64_t stamp = 0;
};
Result<Listing> list_jobs(const Store& store);
/// The stamp alone; -1 when there is no such folder.
std::int64_t jobs_stamp(const Store& store);
/// When a file was last changed, nanoseconds; -1 when there is none.
std::int64_t file_stamp(const std::filesystem::path& file);

/// A trouble of the system's in words: disk full, read-only, no permission.
Problem trouble_with(const std::filesystem::path& file, std::string_view what, int error);

} // namespace lostvolts

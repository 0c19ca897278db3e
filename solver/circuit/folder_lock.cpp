#include "solver/circuit/folder_lock.h"

#include <cerrno>
#include <chrono>
#include <thread>

#include <fcntl.h>
#include <sys/file.h>

#include "solver/circuit/toml_file.h"

namespace lostvolts {
namespace {

namespace fs = std::filesystem;

constexpr auto longest_wait = std::chrono::seconds(30);

} // namespace

FolderLock::FolderLock(const fs::path& folder)
    : folder_(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC)) {}

/// Whether the lock is held now. A file system without locks counts as locked: then files are still whole,
/// and only the notice that two come at once is lost.
bool FolderLock::lock(Kind kind) const {
    while (::flock(folder_.number(), (kind == Kind::alone ? LOCK_EX : LOCK_SH) | LOCK_NB) != 0) {
        if (errno == EINTR) continue;
        return errno != EWOULDBLOCK;
    }
    return true;
}

bool FolderLock::lock_in_time(Kind kind) const {
    const auto until = std::chrono::steady_clock::now() + longest_wait;
    while (!lock(kind)) {
        if (std::chrono::steady_clock::now() > until) return false;
        std::this_thread::sleep_for(std::chrono::milliseconds(2));
    }
    return true;
}

std::optional<FolderLock> FolderLock::now(const fs::path& folder, Kind kind) {
    FolderLock lock(folder);
    if (!lock.there() || !lock.lock(kind)) return std::nullopt;
    return lock;
}

std::optional<FolderLock> FolderLock::wait(const fs::path& folder, Kind kind) {
    FolderLock lock(folder);
    if (!lock.there() || !lock.lock_in_time(kind)) return std::nullopt;
    return lock;
}

Result<FolderLock> keep_for_edit(const fs::path& file) {
    const auto place = place_to_save(file);
    if (!place) return place.problems();
    FolderLock lock(place->has_parent_path() ? place->parent_path() : ".");
    // A folder that can't be opened is for the saving to speak of.
    if (!lock.there() || lock.lock_in_time(FolderLock::Kind::alone)) return lock;
    return Problem{file.string(),
                   {},
                   "can't be changed now: for half a minute others have been changing files in its folder",
                   "do it again once they have ended; nothing was changed",
                   ""};
}

} // namespace lostvolts

// Locks of the system's own on folders (flock): a process that dies lets go of them.
#pragma once

#include <filesystem>
#include <optional>

#include "solver/circuit/descriptor.h"
#include "solver/units/result.h"

namespace lostvolts {

/// A lock on a folder, held until it goes out of scope. A file system without locks counts as locked.
class FolderLock {
  public:
    enum class Kind { shared, alone };
    /// Waits up to half a minute. Nothing: somebody else holds it still.
    static std::optional<FolderLock> wait(const std::filesystem::path& folder, Kind kind);
    /// At once or not at all.
    static std::optional<FolderLock> now(const std::filesystem::path& folder, Kind kind);

  private:
    friend Result<FolderLock> keep_for_edit(const std::filesystem::path& file);
    explicit FolderLock(const std::filesystem::path& folder);
    bool there() const { return folder_.number() >= 0; }
    bool lock(Kind kind) const;
    bool lock_in_time(Kind kind) const;

    Descriptor folder_;
};

/// For who reads a file, changes its text and replaces it: until this goes out of scope, others who ask for
/// it as well wait, so that nobody's change is lost. Errors: what place_to_save() says of the file; somebody
/// holds it for half a minute.
Result<FolderLock> keep_for_edit(const std::filesystem::path& file);

} // namespace lostvolts

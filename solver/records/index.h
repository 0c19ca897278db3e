// The index over a store's folders: what `find` and `baseline` read instead of ten thousand files. It holds
// nothing that the folders don't, except the names of jobs whose folder is gone. Inner header: what it throws
// is DatabaseError, caught at the room's doors.
#pragma once

#include <optional>

#include "solver/records/database.h"
#include "solver/records/records.h"

namespace lostvolts {

/// A job's folder as read for the index.
struct FolderRead {
    JobRow row; ///< state and trouble say whether it is whole
    Job job;    ///< as far as it could be read
    std::vector<KeptFigure> figures;
    std::string parts, faults, notes; ///< words to search
    std::int64_t stamp = 0;           ///< of the folder and its job.toml
    Problems remarks;                 ///< files that were changed since they were kept
};
FolderRead read_folder(const Store& store, const std::string& folder);
/// Changes when job.toml is edited or a file comes or goes.
std::int64_t folder_stamp(const Store& store, const std::string& folder);

struct SearchHits {
    std::vector<std::int64_t> numbers; ///< rows, the best first, no more than asked for
    std::size_t all = 0;               ///< how many fit
};

class Index {
  public:
    enum class Access { write, read };
    /// Opens it, or makes it from the folders. In a place that can't be written, or to be read only, it is
    /// taken as it is, or made in memory.
    explicit Index(const Store& store, Access access = Access::write);

    /// Brings it up to date with the folders that came, went or moved; a folder's own changes are seen by
    /// fresh().
    void follow();
    /// Everything anew from the folders, in one transaction. Jobs whose folder is gone stay named.
    void rebuild(bool forget_missing);

    SearchHits search(const JobQuery& query);
    /// The row as its folder is now: read again when the folder has changed, marked when it is gone.
    JobRow fresh(std::int64_t row);
    std::vector<JobRow> not_whole();                                    ///< damaged or missing
    std::vector<std::int64_t> by_name(const std::string& name);         ///< folder, id, or the start of an id
    std::optional<std::string> folder_with(const std::string& content); ///< of a whole job
    bool has_id(const std::string& id);
    void put(const FolderRead& folder);

    std::size_t jobs();
    std::vector<FigureOfJob> figures(const std::string& drawing); ///< of good jobs
    std::vector<KeptFigure> figures_of_row(std::int64_t row);
    Database& database() { return database_; }
    bool writable() const { return writable_; }

  private:
    void make_schema();
    JobRow row(std::int64_t number);
    void insert(const FolderRead& folder);
    void remove(const std::string& folder);

    Store store_;
    bool writable_ = true;
    Database database_;
};

} // namespace lostvolts

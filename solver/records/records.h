// Kept jobs: add, find, show, label, rebuild. A job is a folder of plain files; see store.h for where they
// stand and job.h for what is written of each. Several processes may use one store at once.
#pragma once

#include <filesystem>

#include "solver/records/job.h"
#include "solver/records/keep.h"
#include "solver/records/store.h"

namespace lostvolts {

enum class JobState { whole, damaged, missing };

/// A job as the index knows it.
struct JobRow {
    std::string folder; ///< its name in jobs/
    std::string id;
    JobWords words;
    std::string circuit; ///< the circuit's own name
    KeptVerdict verdict; ///< the one that says most, of several
    std::string content, drawing;
    JobState state = JobState::whole;
    std::string trouble; ///< what is damaged or missing
};

/// A problem that names a job which is damaged or missing.
Problem trouble_of(const Store& store, const JobRow& row);

struct AddedJob {
    JobRow row;
    bool was_there = false; ///< the same job was kept already as `row`; nothing was copied
    Problems remarks;
};
/// Keeps a job; from the moment that it is answered the job is on the disk. The same readings and captures
/// are kept once, unless `again`.
/// Errors: those of prepare_job(); the store is held by another process for half a minute.
Result<AddedJob> add_job(const std::filesystem::path& store, const JobToKeep& job, bool again = false);

/// What to find. Everything given has to fit.
struct JobQuery {
    std::vector<std::string> words; ///< each as a word's beginning, anywhere in the job; accents don't matter
    std::vector<std::string> labels;  ///< whole labels
    std::string machine, part, fault; ///< words of these alone
    std::string from, to;             ///< dates, both included
    Known known = Known::unsaid;
    std::string drawing;   ///< jobs on this circuit
    std::size_t most = 20; ///< 0: all
};

struct JobsFound {
    std::vector<JobRow> rows; ///< the best first, then the newest
    std::size_t all = 0;      ///< how many fit
    std::size_t jobs = 0;     ///< how many are kept
    Problems not_whole;       ///< every damaged or missing job of the store, whether it fits or not
    Problems remarks;
};
Result<JobsFound> find_jobs(const std::filesystem::path& store, const JobQuery& query);

struct JobShown {
    JobRow row;
    Job job;
    std::filesystem::path folder;
    Problems remarks; ///< files that were changed since, and what find_jobs() remarks
};
/// By its id, the beginning of its id, or its folder's name. Errors: none or several of that name; missing.
Result<JobShown> show_job(const std::filesystem::path& store, const std::string& name);

/// New words for a job; what is not given stays.
struct JobChanges {
    std::optional<std::string> title, machine, date, complaint, finding;
    std::optional<Known> known;
    std::vector<std::string> labels, labels_off;
};
Result<JobShown> change_job(const std::filesystem::path& store, const std::string& name,
                            const JobChanges& changes);

struct StoreRebuilt {
    std::size_t jobs = 0;
    Problems not_whole;
};
/// The index anew from the folders. `forget`: missing jobs are no longer named.
Result<StoreRebuilt> rebuild_index(const std::filesystem::path& store, bool forget = false);

/// A figure of a good job, for baselines and tables.
struct FigureOfJob {
    std::string job; ///< id
    KeptFigure figure;
};
/// Jobs with all their figures, for export.
struct JobWithFigures {
    JobRow row;
    std::vector<KeptFigure> figures;
};
Result<std::vector<JobWithFigures>> export_jobs(const std::filesystem::path& store, const JobQuery& query);

} // namespace lostvolts

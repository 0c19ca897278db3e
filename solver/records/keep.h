// Keeping a job: its files are copied into a new folder of the store, read once to see that they are right,
// and what they tell is written beside them. Nothing of a job is in the store until all of it is.
#pragma once

#include <filesystem>

#include "solver/records/job.h"
#include "solver/records/store.h"
#include "solver/waveform/capture.h"

namespace lostvolts {

struct JobToKeep {
    JobWords words;
    std::filesystem::path circuit; ///< may be empty where readings name one
    std::vector<std::filesystem::path> readings, captures, reports, notes, others;
    std::string note;       ///< text to keep as notes.txt
    CaptureOptions capture; ///< how the captures are read
    std::string motor;      ///< that the captures are of; may be empty where the circuit has one motor
    std::string version;    ///< of the program
};

/// A job that stands complete under adding/ but for its job.toml.
struct PreparedJob {
    NewFolder folder;
    Job job;          ///< without id
    Problems remarks; ///< worth saying and no hindrance
};

/// Errors: no file at all, a file that is missing or has mistakes, words with mistakes, a store that can't be
/// written.
Result<PreparedJob> prepare_job(const Store& store, const JobToKeep& what);

/// A name for a file in a job's folder: what could leave the folder, hide or confuse is replaced by "_".
std::string safe_file_name(std::string_view name);
/// A job's folder: 2026-11-25_rinse-pump-slow_3f2a9c1b. Only a-z, 0-9, "-" and "_".
std::string folder_name(const JobWords& words, const std::string& id);

} // namespace lostvolts

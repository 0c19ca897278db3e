// One kept job: what job.toml says of it. The folder beside holds the circuit, readings, captures, report and
// notes as plain files; job.toml names them, carries what a person said of the job, and what its readings and
// captures told on the day it was kept. It is written so that a person may read and change it by hand.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "solver/circuit/toml_file.h"

namespace lostvolts {

/// Whether the machine was known to be sound when it was measured. Baselines are made of good jobs.
enum class Known { unsaid, good, bad };
std::string_view name_of(Known known); ///< "good", "bad", or empty

/// What a person says of a job.
struct JobWords {
    std::string title, machine;
    std::string date; ///< 2026-11-25
    std::vector<std::string> labels;
    std::string complaint; ///< what the customer or driver said
    std::string finding;   ///< what it was, and what was done
    Known known = Known::unsaid;
};

enum class FileRole { circuit, readings, capture, report, notes, other };
std::string_view name_of(FileRole role);

struct KeptFile {
    FileRole role = FileRole::other;
    std::string name; ///< in the job's folder
    std::uintmax_t bytes = 0;
    std::string sha256; ///< of the content when it was kept
};

/// What `locate` made of one file of readings when the job was kept.
struct KeptVerdict {
    std::string readings;          ///< the file's name
    std::string verdict;           ///< "located", "narrowed", "healthy", "contradictory"
    std::string part, fault, size; ///< of the leading suspect; empty when nothing is wrong
    double probability = 0;
};

/// One number that a job's readings or captures tell and that can be compared from job to job.
struct KeptFigure {
    std::string what;   ///< "stall current", "run current", "speed", "sag", "ripple", "volts"
    std::string where;  ///< the motor or load; for volts "run: pump + to battery -"
    double value = 0;   ///< SI: A, rad/s, V
    std::string source; ///< the file that it is from
};

/// The names that KeptFigure::what has, in the order that tables show them.
const std::vector<std::string>& figure_kinds();
/// A figure's value as people write it, "9.05 A", and as tables show it.
std::string write_figure(const std::string& what, double value);
std::string show_figure(const std::string& what, double value);

struct Job {
    std::string id; ///< short, unique in its store: the content's first digits
    JobWords words;
    std::string content; ///< by which the same job is noticed: a digest of its files
    std::string drawing; ///< by which jobs on the same circuit are known: see drawing.h; empty without one
    std::string version; ///< of the program that kept it
    std::vector<KeptFile> files;
    std::vector<KeptVerdict> verdicts;
    std::vector<KeptFigure> figures;
    std::vector<std::pair<std::string, std::string>> capture_options; ///< how the captures were read
};

inline constexpr const char* job_file = "job.toml";

/// The text of job.toml.
std::string write_job(const Job& job);
/// Errors: not TOML, no id, a date that is none, a file's name that would leave the folder.
Result<Job> read_job(std::string_view text, const std::string& file);

/// A day of the calendar: 2026-11-25.
bool is_date(std::string_view text);
/// Mistakes in what a person says: not UTF-8, too long, a comma in a label, a date that is none.
Problems mistakes_in(const JobWords& words);

} // namespace lostvolts

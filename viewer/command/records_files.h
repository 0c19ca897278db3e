// What the files and folders after `records add` and `records baseline` are, told by content and ending.
#pragma once

#include <string>
#include <vector>

#include "solver/records/keep.h"

namespace lostvolts {

/// Sorts files into a job: .toml by content into circuit and readings, .csv and .tsv are captures, .html and
/// .pdf reports, .txt and .md notes, everything else is kept as it is. Of a folder, its plain files; what is
/// left out of it is in `remarks`. A job.toml in it gives the words that `job` lacks.
/// Errors: a file that is missing or can't be read; a second circuit that no readings name.
Problems sort_files(const std::vector<std::string>& files, JobToKeep& job, Problems& remarks);

} // namespace lostvolts

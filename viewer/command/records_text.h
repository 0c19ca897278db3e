// Kept jobs as a person reads them, as JSON, and as comma-separated values.
#pragma once

#include <string>
#include <vector>

#include "solver/records/baseline.h"
#include "solver/records/records.h"
#include "viewer/command/json.h"

namespace lostvolts {

/// pump ground: high resistance, 182 mΩ, >99 %: what was located when the job was kept; empty without
/// readings.
std::string verdict_line(const KeptVerdict& verdict);

std::string found_text(const JobsFound& found, const JobQuery& query, int columns);
std::string shown_text(const JobShown& shown, int columns);
std::string baseline_text(const Baseline& baseline, const std::vector<Judged>& judged,
                          const std::string& circuit, int columns);

Json json_of(const JobRow& row);
Json json_of(const JobShown& shown);
Json json_of(const JobWithFigures& job);
Json json_of(const Baseline& baseline, const std::vector<Judged>& judged);

/// A line a job, RFC 4180 but for its line ends, which are LF. A text that a spreadsheet would take for a
/// formula has an apostrophe before it.
std::string jobs_csv(const std::vector<JobWithFigures>& jobs);

} // namespace lostvolts

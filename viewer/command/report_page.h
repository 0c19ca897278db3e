// A job on paper: what was complained of, what was read, what is bad and how sure that is, what to mend and
// what to measure again. Plain language first, numbers second.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "solver/locate/locate.h"
#include "solver/records/job.h"
#include "solver/waveform/waveform.h"
#include "viewer/paper/document.h"

namespace lostvolts {

struct ReportedCapture {
    Capture capture;
    Waveform waveform;
};

struct Report {
    JobWords words;
    std::vector<std::string> notes;
    Readings readings;
    Location location;
    std::vector<ReportedCapture> captures;
    std::string version, written_on;
    std::string circuit_sha256, readings_sha256;
};

/// All of it, for paper's html.h or pages.h.
Document report_document(const Report& report);

} // namespace lostvolts

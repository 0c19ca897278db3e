// A sized harness as a person reads it, as JSON, and as a bill of material.
#pragma once

#include <string>

#include "solver/sizing/sizing.h"
#include "solver/sizing/study.h"
#include "viewer/command/json.h"

namespace lostvolts {

/// DESIGN's keys, and more: what was asked, ratings of contacts, remarks, proof.
Json json_of(const Circuit& circuit, const SizingRequest& request, const Sizing& sizing);
Json json_of(const Circuit& circuit, const ToleranceStudy& study);

std::string size_text(const Circuit& circuit, const SizingRequest& request, const Sizing& sizing,
                      int columns);
std::string study_text(const Circuit& circuit, const ToleranceStudy& study, int columns);

/// Comma-separated, one line a wire and fuse; the colour is left for a person to fill in.
std::string bill_of_material(const Circuit& circuit, const Sizing& sizing);

} // namespace lostvolts

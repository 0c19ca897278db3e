// A sized harness as pictures: each wire with its size, drop and heat; and a fuse between what it must let
// live and what it must cut, on logarithmic axes.
#pragma once

#include "solver/sizing/sizing.h"
#include "viewer/figures/figure.h"

namespace lostvolts {

/// On a page as narrow as a tablet's half each wire has two lines.
Figure harness_figure(const Circuit& circuit, const SizingRequest& request, const Sizing& sizing,
                      double width = 860);

/// The operating band of a fuse, how long the start stays above each current, and what the thinnest wire that
/// it protects stands: k²S²/I².
Figure fuse_figure(const Circuit& circuit, const SizingRequest& request, const Sizing& sizing,
                   const SizedFuse& fuse);

} // namespace lostvolts

// "Something not modelled": a drawing that is wrong, or a fault of no kind listed.
//
// Such a machine is like its drawing in most places. Each reading then either tells what the sound machine
// would, or has nothing to do with the drawing; how many of them do is not known, and any number from none to
// all is as likely beforehand. One that does not lies off the sound value by anything from what meter and
// tolerance leave open to the instrument's whole span, every decade of it as likely as the next:
//     p(d) = 1/(2·max(|d|, σ)·(1 + ln(span/σ))).
// A word then is as likely as any other of its sense. All sets of up to twelve readings are summed, by the
// formulas of likelihood.h for leaving readings out; of more readings those that stand out most.
//   Shares and the decades: judgement, no source; held against random machines in
//   tests/bench/calibration_bench.cpp.
#pragma once

#include <vector>

#include "solver/locate/likelihood.h"

namespace lostvolts {

struct Unmodelled {
    double log_evidence = 0; ///< ln p of the readings
    std::vector<char> clash; ///< per number, then per word: likelier foreign to the drawing than not
};

/// `sound`: what the healthy circuit says.
Unmodelled weigh_unmodelled(const Measured& measured, const Predicted& sound);

} // namespace lostvolts

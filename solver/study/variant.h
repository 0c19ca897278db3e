// One variant of a circuit: the values that an order puts into it.
#pragma once

#include <string>
#include <vector>

#include "solver/study/order.h"

namespace lostvolts {

/// The values of variant `n`, one for each `vary` of the order: of every combination the n-th, the last value
/// going round fastest, or a draw that depends on the seed and on n alone.
std::vector<std::string> values_of(const StudyOrder& order, long n);

/// The circuit with those values in place of its own.
Result<Circuit> with_values(const StudiedCircuit& drawn, const std::vector<Vary>& vary,
                            const std::vector<std::string>& values);

/// Between the ends of a stretch, "2 m" and "6 m"; nothing when they have no unit in common.
std::optional<std::string> between_ends(const Vary& vary, double share);

} // namespace lostvolts

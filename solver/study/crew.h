// Who works out the blocks of a study. The table is the same whoever does and in whatever order they are
// done.
#pragma once

#include <functional>
#include <optional>

#include "solver/units/result.h"

namespace lostvolts {

class Ledger;      // ledger.h
struct StudyOrder; // order.h

/// Works out the blocks that the ledger lacks and adds them as they come; gives the first trouble with the
/// disk.
using Crew = std::function<std::optional<Problem>(const StudyOrder&, Ledger&)>;

/// So many threads of this process.
Crew threads_crew(int threads);

} // namespace lostvolts

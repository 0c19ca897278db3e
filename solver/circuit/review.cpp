#include "solver/circuit/read.h"
namespace lostvolts {
Review review(const Circuit&) { return {}; }
} // namespace lostvolts

// An order for a study in a few words.
#pragma once

#include <string>

#include "solver/study/order.h"

namespace lostvolts {

/// "12 cases: 12 variants of 1 circuit, each drawn 2000 times".
std::string said(const StudyOrder& order);

} // namespace lostvolts

// The day on the calendar of whoever runs the program.
#pragma once

#include <string>

namespace lostvolts {

std::string today(); ///< 2026-11-25, local time

} // namespace lostvolts

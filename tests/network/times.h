// How many random circuits a property is tried on: so many by itself, and more when LOSTVOLTS_TIMES says how
// many times that (10 makes 100,000 of the usual 10,000).
#pragma once

#include <cstdlib>

namespace lostvolts::testing {

inline int times(int usual) {
    const char* told = std::getenv("LOSTVOLTS_TIMES");
    const int factor = told ? std::atoi(told) : 1;
    return factor > 1 ? usual * factor : usual;
}

} // namespace lostvolts::testing

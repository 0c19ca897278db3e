// A command timed as its user waits for it: a whole process, from start to exit, output thrown away.
#pragma once

#include <string>
#include <vector>

namespace lostvolts::bench {

struct Call {
    std::string name;
    std::vector<std::string> words;               ///< the program and what follows it
    std::vector<double> milliseconds{};           ///< wall time of each run
    std::vector<double> processor_milliseconds{}; ///< the same run's time on a processor
};

/// One process, its times added to the call's; ends the program when it fails.
void run_once(Call& call);

/// The machine's load over one and five minutes, which should be near nothing.
std::string load();

} // namespace lostvolts::bench

// Question: how long does a person wait for an answer? `lostvolts predict` and `lostvolts locate` on the
// bundled jobs as whole processes, from start to exit, output thrown away.
//
// An exit code other than 0 ends the benchmark. Jobs are run in turn, so that a change in the machine's speed
// meets all of them; a bare process that does nothing (`true`) stands beside them. Wanted on an idle machine:
// a median of at most 20 ms for predict and 50 ms for locate.
//
//   bench_process           the table; says the machine's load, which should be near nothing
#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <string>
#include <vector>

#include "tests/bench/conditions.h"
#include "tests/bench/whole_process.h"

namespace {

using lostvolts::bench::Call;
namespace fs = std::filesystem;
constexpr int runs = 30;

std::vector<Call> calls() {
    std::vector<Call> all{{"true", {"true"}}};
    std::vector<fs::path> folders;
    for (const auto& entry : fs::directory_iterator(LOSTVOLTS_SOURCE "/circuits"))
        if (entry.is_directory()) folders.push_back(entry.path());
    std::sort(folders.begin(), folders.end());
    for (const fs::path& folder : folders) {
        const std::string job = folder.filename().string();
        for (const auto& [command, file] :
             {std::pair{"predict", "circuit.toml"}, {"locate", "readings.toml"}})
            if (fs::exists(folder / file))
                all.push_back({std::string(command) + " " + job,
                               {LOSTVOLTS_PROGRAM, command, (folder / file).string()}});
    }
    return all;
}

} // namespace

int main() {
    std::printf("Whole processes, wall time of %d runs each\n%sload       %s\n\n%-32s %10s %10s %10s\n", runs,
                lostvolts::bench::conditions().c_str(), lostvolts::bench::load().c_str(), "", "median ms",
                "least", "most");
    std::vector<Call> all = calls();
    for (Call call : all) lostvolts::bench::run_once(call); // once, for the page cache
    for (int run = 0; run < runs; ++run)
        for (Call& call : all) lostvolts::bench::run_once(call);
    for (Call& call : all) {
        auto& t = call.milliseconds;
        std::sort(t.begin(), t.end());
        std::printf("%-32s %10.2f %10.2f %10.2f\n", call.name.c_str(), t[t.size() / 2], t.front(), t.back());
    }
}

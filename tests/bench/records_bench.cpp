// Question: how long does a person wait with ten thousand kept jobs? `lostvolts records find`, `show`,
// `baseline` and `add` as whole processes, and one `rebuild`.
//
// The jobs are made of the orchard sprayer's: its circuit and readings, a job.toml each with words from a
// vocabulary of 400, seed 1. They are written without syncing; every `add` that is timed syncs. An answer
// with the wrong number of jobs ends the benchmark. Wanted: find at most 50 ms, add at most 100 ms, rebuild
// at most 60 s.
//
//   bench_records [JOBS]       10,000 without a number
#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <random>

#include <fmt/format.h>
#include <unistd.h>

#include "solver/records/records.h"
#include "tests/bench/conditions.h"
#include "tests/bench/whole_process.h"

namespace {

using namespace lostvolts;
using lostvolts::bench::Call;
namespace fs = std::filesystem;
constexpr int runs = 20;

std::string file_text(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

std::string word(std::mt19937& random) {
    static const char* const syllables[] = {"pum", "ral", "go",  "ter", "win", "sol", "ba",
                                            "ne",  "kro", "li",  "dus", "ve",  "mar", "ti",
                                            "po",  "gra", "hel", "un",  "fo",  "syl"};
    std::string text = syllables[random() % 20];
    return text.append(syllables[random() % 20]);
}

std::string prose(std::mt19937& random, int words) {
    std::string text;
    for (int k = 0; k < words; ++k) text.append(k ? " " : "").append(word(random));
    return text;
}

/// A store of so many jobs, one of them kept by the program itself and the others after its pattern.
void fill(const fs::path& store, int jobs) {
    JobToKeep pattern;
    pattern.words.date = "2026-01-01";
    pattern.readings = {LOSTVOLTS_SOURCE "/circuits/orchard_sprayer/readings.toml"};
    const auto first = add_job(store, pattern);
    if (!first) std::fprintf(stderr, "%s\n", describe(first.problems().front()).c_str()), std::exit(1);
    const fs::path from = store / "jobs" / first->row.folder;
    const std::string circuit = file_text(from / "circuit.toml"),
                      readings = file_text(from / "readings.toml");
    Job job = *read_job(file_text(from / "job.toml"), "job.toml");
    std::mt19937 random(1);
    for (int k = 1; k < jobs; ++k) {
        job.id = fmt::format("{:08x}", 0x10000000 + k);
        job.content = fmt::format("{:064x}", k);
        job.words.title = prose(random, 4);
        job.words.machine = fmt::format("sprayer {}", random() % 300);
        job.words.date =
            fmt::format("{:04}-{:02}-{:02}", 2016 + random() % 10, 1 + random() % 12, 1 + random() % 28);
        job.words.labels = {word(random), word(random)};
        job.words.complaint = prose(random, 20);
        job.words.finding = prose(random, 12);
        job.words.known = k % 4 == 0 ? Known::good : Known::bad;
        const fs::path folder = store / "jobs" / folder_name(job.words, job.id);
        fs::create_directory(folder);
        std::ofstream(folder / "circuit.toml") << circuit;
        std::ofstream(folder / "readings.toml") << readings;
        std::ofstream(folder / "job.toml") << write_job(job);
    }
}

void print(Call& call) {
    auto &wall = call.milliseconds, &processor = call.processor_milliseconds;
    std::sort(wall.begin(), wall.end());
    std::sort(processor.begin(), processor.end());
    std::printf("%-36s %10.1f %10.1f %10.1f %12.1f\n", call.name.c_str(), wall[wall.size() / 2], wall.front(),
                wall.back(), processor[processor.size() / 2]);
    std::fflush(stdout);
}

} // namespace

int main(int argc, char** argv) {
    const int jobs = argc > 1 ? std::atoi(argv[1]) : 10'000;
    std::string place = (fs::temp_directory_path() / "lostvolts-bench-XXXXXX").string();
    if (jobs < 1 || !mkdtemp(place.data())) return 1;
    const fs::path store = fs::path(place) / "store";
    std::printf("%d kept jobs, whole processes, wall time of %d runs each\n%sload       %s\n\n%-36s %10s "
                "%10s %10s %12s\n",
                jobs, runs, lostvolts::bench::conditions().c_str(), lostvolts::bench::load().c_str(), "",
                "median ms", "least", "most", "processor ms");
    fill(store, jobs);

    const std::vector<std::string> records{LOSTVOLTS_PROGRAM, "records"};
    const auto call = [&](const std::string& name, std::vector<std::string> words) {
        words.insert(words.begin(), records.begin(), records.end());
        words.insert(words.end(), {"--store", store.string()});
        return Call{name, words};
    };
    Call rebuild = call("rebuild", {"rebuild"});
    lostvolts::bench::run_once(rebuild);
    print(rebuild);

    const auto all = find_jobs(store, {});
    JobQuery common;
    common.words = {"sprayer"};
    const auto every = find_jobs(store, common);
    if (!all || all->all != static_cast<std::size_t>(jobs) || !every || every->all != all->all) {
        std::fprintf(stderr, "not timed: the store does not hold %d jobs\n", jobs);
        return 1;
    }
    std::vector<Call> calls{
        {"true", {"true"}},
        call("find, two words", {"find", "kromar", "sol"}),
        call("find, a word of every job", {"find", "sprayer"}),
        call("find, the beginning of most words", {"find", "p"}),
        call("find, words, machine and year", {"find", "gra", "--machine", "sprayer 17", "--from", "2020"}),
        call("find, the newest", {"find"}),
        call("find, a part at fault", {"find", "--part", "pump ground"}),
        call("show", {"show", "10000001"}),
        call("baseline of a quarter of them",
             {"baseline", LOSTVOLTS_SOURCE "/circuits/orchard_sprayer/readings.toml"})};
    if (jobs == 1) calls.erase(calls.begin() + 7);            // there is no other to show
    for (Call each : calls) lostvolts::bench::run_once(each); // once, for the page cache
    for (int run = 0; run < runs; ++run)
        for (Call& each : calls) lostvolts::bench::run_once(each);
    for (Call& each : calls) print(each);

    // Each a new job: the readings with another comment at their end.
    const std::string readings = file_text(LOSTVOLTS_SOURCE "/circuits/orchard_sprayer/readings.toml");
    fs::copy(LOSTVOLTS_SOURCE "/circuits/orchard_sprayer/circuit.toml", fs::path(place) / "circuit.toml");
    Call add = call("add", {"add", (fs::path(place) / "readings.toml").string()});
    Call after = call("find, straight after an add", {"find", "kromar"});
    for (int run = 0; run < runs; ++run) {
        std::ofstream(fs::path(place) / "readings.toml") << readings << "# " << run << '\n';
        lostvolts::bench::run_once(add);
        lostvolts::bench::run_once(after);
    }
    print(add);
    print(after);
    const auto more = find_jobs(store, {});
    if (!more || more->all != static_cast<std::size_t>(jobs + runs))
        std::fprintf(stderr, "an added job is missing\n"), std::exit(1);
    fs::remove_all(place);
}

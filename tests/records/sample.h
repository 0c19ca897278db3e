// Jobs to keep: a snow plough's spreader motor as circuit text, and readings on it with numbers of one's
// choice.
#pragma once

#include <string>

#include <fmt/format.h>
#include <unistd.h>

#include "solver/records/records.h"
#include "tests/command/folder.h"

namespace lostvolts::records_tests {

using command_tests::Folder;

inline const std::string circuit_text = R"(format = 1
name = "Snow plough, spreader"
ground = "battery -"

[[part]]
name = "battery"
kind = "battery"
from = "battery -"
to = "battery +"
emf = "12.6 V"
resistance = "9 mohm"

[[part]]
name = "feed wire"
kind = "wire"
from = "battery +"
to = "spreader +"
resistance = "15 mohm"

[[part]]
name = "spreader motor"
kind = "motor"
from = "spreader +"
to = "spreader -"
rated = "12 V"
run_current = "9 A"
stall_current = "24 A"
run_speed = "3400 rpm"
bars = 8

[[part]]
name = "plough ground"
kind = "ground"
from = "spreader -"
to = "battery -"
resistance = "3 mohm"

[[state]]
name = "run"
[[state]]
name = "stall"
locked = ["spreader motor"]
)";

inline std::string readings_text(double run_amps, double ground_volts = 0.03, double stall_amps = 23.3,
                                 const std::string& note = "salt box empty") {
    return fmt::format(R"(circuit = "circuit.toml"

[[reading]]
state = "run"
quantity = "current"
through = "spreader motor"
value = "{:.3f} A"
note = "{}"

[[reading]]
state = "run"
quantity = "voltage"
red = "spreader -"
black = "battery -"
value = "{:.4f} V"

[[reading]]
state = "stall"
quantity = "current"
through = "spreader motor"
value = "{:.2f} A"
)",
                       run_amps, note, ground_volts, stall_amps);
}

/// A folder with circuit and readings to keep, and a store beside it.
struct Bench {
    Folder folder;
    std::filesystem::path store = folder.path("store");

    explicit Bench(const std::string& circuit = circuit_text) { folder.write("circuit.toml", circuit); }

    JobToKeep job(const std::string& readings, JobWords words = {}) const {
        static int number = 0;
        JobToKeep job;
        job.words = std::move(words);
        if (job.words.date.empty()) job.words.date = "2026-11-25";
        job.readings.push_back(
            folder.write(fmt::format("readings{}-{}.toml", ::getpid(), ++number), readings));
        return job;
    }
    /// Keeps it and gives its row; the row is empty when that failed.
    JobRow keep(const std::string& readings, JobWords words = {}) const {
        const auto added = add_job(store, job(readings, std::move(words)));
        return added ? added->row : JobRow{};
    }
};

inline JobWords words(const std::string& title, const std::string& machine = "",
                      const std::string& date = "") {
    JobWords w;
    w.title = title;
    w.machine = machine;
    w.date = date;
    return w;
}

inline JobQuery query(std::vector<std::string> words) {
    JobQuery q;
    q.words = std::move(words);
    return q;
}

/// What a search finds, as titles.
inline std::vector<std::string> titles(const std::filesystem::path& store, const JobQuery& q) {
    std::vector<std::string> all;
    if (const auto found = find_jobs(store, q))
        for (const JobRow& row : found->rows) all.push_back(row.words.title);
    else
        all.push_back("failed: " + found.problems().front().what);
    return all;
}

} // namespace lostvolts::records_tests

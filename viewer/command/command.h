// The command line: words in, an answer out. Nothing here prints, reads the environment or asks what the
// terminal is; main.cpp does, so that a test may call every command in its own process.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "solver/study/crew.h"

namespace lostvolts {

/// DESIGN, "Commands": what the process reports when it ends.
enum ExitCode {
    exit_done = 0,
    exit_finding = 1,   ///< what --strict was asked to tell
    exit_bad_input = 2, ///< the words or a file are wrong
    exit_no_solution =
        3, ///< the circuit has no working point, or the readings fit nothing that can be solved
};

/// Where the answer will be read, and where this person keeps jobs.
struct Screen {
    bool colour = false;
    int columns = 80; ///< taken as at least 40
    /// For a command that talks: shows what it has said so far and gives the next line, or nothing at the
    /// end. Without it nobody answers.
    std::function<std::optional<std::string>(const std::string& said)> next_line{};
    bool typed = false;      ///< those lines are typed at a terminal, which shows them already
    std::string kept_jobs{}; ///< the folder of kept jobs unless --store names one; empty: none is known
    std::string bundled{}; ///< the folder with the circuits that come with the program; empty: none is known
    bool launched = false; ///< one of several processes that a launcher of MPI has started
    Crew crew{};           ///< who works at a study; without it threads of this process
};

/// What `view` without a picture asks for. No window is opened here: main does it.
struct WindowWanted {
    std::string file; ///< a circuit or readings; checked only to be one
    std::string state, condition;
    bool dark = false;
    double scale = 1;
};

struct Answer {
    int code = exit_done;
    std::string out; ///< for stdout, UTF-8, ends in a newline unless empty
    std::string err; ///< for stderr, likewise
    std::optional<WindowWanted> window = std::nullopt;
    bool for_a_crew =
        false; ///< a study, and this process is one of several: main lets the program for that do it
};

/// Runs `lostvolts WORDS …` (the program's own name left out). Throws nothing.
Answer run(const std::vector<std::string>& words, const Screen& screen = {});

} // namespace lostvolts

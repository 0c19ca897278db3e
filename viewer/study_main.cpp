// A study's work shared out among processes by MPI, which `mpirun -n N lostvolts study ORDER` becomes. The
// first process reads the order, writes the disk and works along; it hands each of the others two blocks at
// first and one for each that comes back, so that they have something to do while it is busy itself. Blocks
// come back as text; the table is the same for any number of processes (solver/study/cases.h).

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <exception>
#include <string>
#include <vector>

#include <mpi.h>
#include <unistd.h>

#include "solver/circuit/descriptor.h"
#include "solver/study/cases.h"
#include "solver/study/ledger.h"
#include "viewer/command/command.h"

namespace {

using namespace lostvolts;

constexpr int first = 0; // the process that writes
constexpr int tag_block = 1, tag_lines = 2;
constexpr long no_more = -1;
constexpr int hands_full = 2; // blocks that a process has at once

int processes() {
    int n = 1;
    MPI_Comm_size(MPI_COMM_WORLD, &n);
    return n;
}

/// From the first process to all: a text, empty for "nothing to do".
std::string told_to_all(std::string text) {
    unsigned long length = text.size();
    MPI_Bcast(&length, 1, MPI_UNSIGNED_LONG, first, MPI_COMM_WORLD);
    text.resize(length);
    MPI_Bcast(text.data(), static_cast<int>(length), MPI_CHAR, first, MPI_COMM_WORLD);
    return text;
}

/// The order as every process has to read it: the file, and the fingerprint that it must have.
std::string errand(const StudyOrder& order) { return order.fingerprint + order.file; }

class Giver {
  public:
    Giver(const std::vector<long>& blocks) : blocks_(blocks) {}
    long take() { return next_ < blocks_.size() ? blocks_[next_++] : no_more; }
    void give(int process) {
        const long block = take();
        MPI_Send(&block, 1, MPI_LONG, process, tag_block, MPI_COMM_WORLD);
        if (block != no_more) ++out_;
    }
    bool all_back() const { return out_ == 0; }
    void one_back() { --out_; }

  private:
    const std::vector<long>& blocks_;
    std::size_t next_ = 0;
    long out_ = 0; ///< blocks that others have
};

/// Takes in what has come back; with `wait`, at least one.
std::optional<Problem> take_in(Giver& giver, Ledger& ledger, bool wait) {
    for (int there = 1; there;) {
        MPI_Status status;
        if (wait)
            MPI_Probe(MPI_ANY_SOURCE, tag_lines, MPI_COMM_WORLD, &status);
        else
            MPI_Iprobe(MPI_ANY_SOURCE, tag_lines, MPI_COMM_WORLD, &there, &status);
        if (!there) break;
        int bytes = 0;
        MPI_Get_count(&status, MPI_CHAR, &bytes);
        std::string message(static_cast<std::size_t>(bytes), '\0');
        MPI_Recv(message.data(), bytes, MPI_CHAR, status.MPI_SOURCE, tag_lines, MPI_COMM_WORLD,
                 MPI_STATUS_IGNORE);
        giver.one_back();
        giver.give(status.MPI_SOURCE);
        const std::size_t end = message.find('\n'); // the block's number, then its lines
        if (auto trouble = ledger.add(std::atol(message.c_str()), message.substr(end + 1))) return trouble;
        wait = false;
    }
    return std::nullopt;
}

std::optional<Problem> lead(const StudyOrder& order, Ledger& ledger) {
    told_to_all(errand(order));
    Giver giver(ledger.missing());
    for (int k = 0; k < hands_full; ++k)
        for (int process = 1; process < processes(); ++process) giver.give(process);
    std::optional<Problem> trouble;
    for (long block; !trouble && (block = giver.take()) != no_more;) {
        std::string lines;
        const long size = cases_in_a_block(order), end = std::min((block + 1) * size, count_cases(order));
        for (long n = block * size; n < end && !trouble; ++n) {
            lines += line_of_case(order, n);
            trouble = take_in(giver, ledger, false);
        }
        if (!trouble) trouble = ledger.add(block, lines);
    }
    while (!trouble && !giver.all_back()) trouble = take_in(giver, ledger, true);
    if (trouble) { // the others can't be told otherwise; what is done stays
        std::fprintf(stderr, "%s\n", describe(*trouble).c_str());
        MPI_Abort(MPI_COMM_WORLD, exit_bad_input);
    }
    return trouble;
}

void follow() {
    const std::string told = told_to_all({});
    if (told.empty()) return;
    const std::string file = told.substr(64);
    const auto order = read_order(file, "nothing is written here");
    if (!order || errand(*order) != told) {
        std::fprintf(
            stderr,
            "lostvolts: %s is not the same file for every process; study on a folder that they share\n",
            file.c_str());
        MPI_Abort(MPI_COMM_WORLD, exit_bad_input);
        return;
    }
    for (int ended = 0; ended < hands_full;) {
        long block = no_more;
        MPI_Recv(&block, 1, MPI_LONG, first, tag_block, MPI_COMM_WORLD, MPI_STATUS_IGNORE);
        if (block == no_more) {
            ++ended;
            continue;
        }
        const std::string message = std::to_string(block) + '\n' + lines_of_block(*order, block);
        MPI_Send(message.data(), static_cast<int>(message.size()), MPI_CHAR, first, tag_lines,
                 MPI_COMM_WORLD);
    }
}

} // namespace

int main(int argc, char** argv) {
    MPI_Init(&argc, &argv);
    int own = first, code = 0;
    MPI_Comm_rank(MPI_COMM_WORLD, &own);
    try {
        if (own != first) {
            follow();
        } else {
            bool led = false;
            Screen screen;
            screen.launched = true;
            screen.crew = [&led](const StudyOrder& order, Ledger& ledger) {
                led = true;
                return lead(order, ledger);
            };
            const Answer answer = run({argv + (argc > 0 ? 1 : 0), argv + argc}, screen);
            if (!led) told_to_all({});
            write_all(STDOUT_FILENO, answer.out);
            write_all(STDERR_FILENO, answer.err);
            code = answer.code;
        }
    } catch (const std::exception& slip) {
        std::fprintf(stderr, "lostvolts: a slip of the program's own: %s\n", slip.what());
        MPI_Abort(MPI_COMM_WORLD, exit_no_solution);
    }
    MPI_Finalize();
    return code;
}

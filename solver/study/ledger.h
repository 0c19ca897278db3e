// What is done of a study, on the disk: a study that is killed goes on from there. Beside the table stand,
// until it is whole,
//   TABLE.blocks      every block that is done, in the order they came, each with its checksum
//   TABLE.unfinished  the lines so far, in their own order: for looking on
// The table itself is replaced in one step at the end; until then an old one stays.
#pragma once

#include <chrono>
#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "solver/study/order.h"

namespace lostvolts {

class Ledger {
  public:
    /// Takes up what an earlier run of the same study has left. Problems: another study's blocks are there
    /// (`anew` throws them away), another process is at it, the disk, a table that may not be replaced. A
    /// link to the table stays one.
    static Result<Ledger> open(const StudyOrder& order, bool anew);
    Ledger(Ledger&& other) noexcept;
    Ledger& operator=(Ledger&&) = delete;
    ~Ledger();

    const std::vector<long>& missing() const { return missing_; } ///< blocks to do, when it was opened
    long taken_up() const { return taken_up_; }                   ///< blocks that were there then

    /// Keeps the lines of a block that is done.
    std::optional<Problem> add(long block, const std::string& lines);
    /// Every block is there: puts the table in its place.
    std::optional<Problem> finish();

  private:
    Ledger(const StudyOrder& order, std::filesystem::path table);
    std::optional<Problem> take_up(const StudyOrder& order, bool anew);
    std::optional<Problem> trouble(const std::filesystem::path& file) const; ///< errno in words
    std::optional<Problem> put_in_order(long block, std::string lines);

    std::filesystem::path table_, blocks_file_, lines_file_;
    int blocks_ = -1, lines_ = -1; // open files
    std::vector<long> missing_;
    std::map<long, std::string> waiting_; // done before one that comes before them
    long next_ = 0;                       // the first block that is not in the lines
    long count_ = 0, taken_up_ = 0;
    std::chrono::steady_clock::time_point synced_{};
};

} // namespace lostvolts

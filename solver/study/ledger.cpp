#include "solver/study/ledger.h"

#include <cerrno>
#include <charconv>
#include <cstring>
#include <utility>

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <fmt/format.h>

#include "solver/circuit/descriptor.h"
#include "solver/circuit/toml_file.h"
#include "solver/records/sha256.h"
#include "solver/study/cases.h"

namespace lostvolts {
namespace {

namespace fs = std::filesystem;

constexpr auto between_syncs = std::chrono::seconds(1); // what a power cut may cost; a kill costs nothing

std::string checksum(long block, std::string_view lines) {
    return sha256(fmt::format("{}\n{}", block, lines)).substr(0, 16);
}

bool write_whole(int file, std::string_view text) {
    const int error = write_all(file, text);
    if (error) errno = error;
    return error == 0;
}

std::optional<std::string> read_whole(int file) {
    std::string text;
    char buffer[1 << 16];
    for (ssize_t n; (n = ::pread(file, buffer, sizeof buffer, static_cast<off_t>(text.size()))) != 0;) {
        if (n < 0 && errno == EINTR) continue;
        if (n < 0) return std::nullopt;
        text.append(buffer, static_cast<std::size_t>(n));
    }
    return text;
}

struct Kept {
    long block = 0;
    std::string_view lines;
    std::size_t end = 0; ///< of its record in the file
};

/// The record at `from`: "block 17 1234 0123456789abcdef", then as many bytes. Nothing where it is torn.
std::optional<Kept> record_at(std::string_view text, std::size_t from) {
    const std::size_t line = text.find('\n', from);
    if (line == std::string_view::npos) return std::nullopt;
    std::string_view head = text.substr(from, line - from);
    if (!head.starts_with("block ")) return std::nullopt;
    head.remove_prefix(6);
    Kept kept;
    std::size_t bytes = 0;
    auto read = std::from_chars(head.data(), head.data() + head.size(), kept.block);
    if (read.ec != std::errc{} || read.ptr == head.data() + head.size()) return std::nullopt;
    read = std::from_chars(read.ptr + 1, head.data() + head.size(), bytes);
    if (read.ec != std::errc{} || bytes > text.size() - line - 1) return std::nullopt;
    kept.lines = text.substr(line + 1, bytes);
    kept.end = line + 1 + bytes;
    const std::string_view sum =
        head.substr(std::min(head.size(), static_cast<std::size_t>(read.ptr + 1 - head.data())));
    if (sum != checksum(kept.block, kept.lines)) return std::nullopt;
    return kept;
}

std::string with_ending(const fs::path& file, const char* ending) { return file.string() + ending; }

} // namespace

Ledger::Ledger(const StudyOrder& order, fs::path table)
    : table_(std::move(table)), blocks_file_(with_ending(table_, ".blocks")),
      lines_file_(with_ending(table_, ".unfinished")), count_(count_blocks(order)) {}

Ledger::Ledger(Ledger&& other) noexcept
    : table_(std::move(other.table_)), blocks_file_(std::move(other.blocks_file_)),
      lines_file_(std::move(other.lines_file_)), blocks_(std::exchange(other.blocks_, -1)),
      lines_(std::exchange(other.lines_, -1)), missing_(std::move(other.missing_)),
      waiting_(std::move(other.waiting_)), next_(other.next_), count_(other.count_),
      taken_up_(other.taken_up_), synced_(other.synced_) {}

Ledger::~Ledger() {
    if (blocks_ >= 0) ::close(blocks_);
    if (lines_ >= 0) ::close(lines_);
}

std::optional<Problem> Ledger::trouble(const fs::path& file) const {
    const char* kept = "start it again: the blocks that are done are kept";
    if (errno == EACCES || errno == EPERM || errno == EROFS)
        return Problem{file.string(), {}, "may not be written by you", "name another output with -o", ""};
    if (errno == ENOSPC || errno == EDQUOT || errno == EFBIG)
        return Problem{file.string(), {}, "the disk is full", fmt::format("make room, then {}", kept), ""};
    return Problem{file.string(), {}, std::strerror(errno), kept, ""};
}

Result<Ledger> Ledger::open(const StudyOrder& order, bool anew) {
    const auto table = place_to_save(order.output);
    if (!table) return table.problems();
    Ledger ledger(order, *table);
    if (auto problem = ledger.take_up(order, anew)) return *std::move(problem);
    return ledger;
}

std::optional<Problem> Ledger::take_up(const StudyOrder& order, bool anew) {
    blocks_ = ::open(blocks_file_.c_str(), O_RDWR | O_CREAT | O_APPEND | O_CLOEXEC, 0644);
    if (blocks_ < 0) return trouble(blocks_file_);
    if (::flock(blocks_, LOCK_EX | LOCK_NB) != 0)
        return Problem{blocks_file_.string(),
                       {},
                       "another process is working at this study",
                       "wait for it, or end it",
                       ""};
    if (anew && ::ftruncate(blocks_, 0) != 0) return trouble(blocks_file_);
    const auto text = read_whole(blocks_);
    if (!text) return trouble(blocks_file_);

    const std::string head = fmt::format("lostvolts study, blocks 1, {} {}\n", order.fingerprint, count_);
    std::size_t good = 0;
    std::vector<char> there(static_cast<std::size_t>(count_));
    std::map<long, std::string> done;
    if (text->starts_with(head)) {
        good = head.size();
        while (const auto kept = record_at(*text, good)) {
            good = kept->end;
            if (kept->block < 0 || kept->block >= count_ || there[static_cast<std::size_t>(kept->block)])
                continue;
            there[static_cast<std::size_t>(kept->block)] = 1;
            done.emplace(kept->block, kept->lines);
        }
    } else if (!head.starts_with(*text)) { // not even the torn beginning of our own first line
        return Problem{
            blocks_file_.string(),
            {},
            "holds what was done of another study: the order, a file it names or the program has changed",
            "--anew throws it away and begins again; or name another output",
            ""};
    }
    if (::ftruncate(blocks_, static_cast<off_t>(good)) != 0) return trouble(blocks_file_);
    if (good == 0 && !write_whole(blocks_, head)) return trouble(blocks_file_);

    lines_ = ::open(lines_file_.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_APPEND | O_CLOEXEC, 0644);
    if (lines_ < 0 || !write_whole(lines_, heading(order))) return trouble(lines_file_);
    taken_up_ = static_cast<long>(done.size());
    for (auto& [block, lines] : done)
        if (auto problem = put_in_order(block, std::move(lines))) return problem;
    for (long block = 0; block < count_; ++block)
        if (!there[static_cast<std::size_t>(block)]) missing_.push_back(block);
    return std::nullopt;
}

std::optional<Problem> Ledger::put_in_order(long block, std::string lines) {
    waiting_.emplace(block, std::move(lines));
    for (auto at = waiting_.find(next_); at != waiting_.end(); at = waiting_.find(++next_)) {
        if (!write_whole(lines_, at->second)) return trouble(lines_file_);
        waiting_.erase(at);
    }
    return std::nullopt;
}

std::optional<Problem> Ledger::add(long block, const std::string& lines) {
    const std::string record =
        fmt::format("block {} {} {}\n{}", block, lines.size(), checksum(block, lines), lines);
    if (!write_whole(blocks_, record)) return trouble(blocks_file_);
    const auto now = std::chrono::steady_clock::now();
    if (now - synced_ > between_syncs) {
        if (::fdatasync(blocks_) != 0) return trouble(blocks_file_);
        synced_ = now;
    }
    return put_in_order(block, lines);
}

std::optional<Problem> Ledger::finish() {
    struct stat old {};
    if (::stat(table_.c_str(), &old) == 0) ::fchmod(lines_, old.st_mode & 07777); // as it was; else let be
    if (::fsync(lines_) != 0) return trouble(lines_file_);
    std::error_code failed;
    fs::rename(lines_file_, table_, failed);
    if (failed)
        return Problem{table_.string(), {}, failed.message(), "the lines are in " + lines_file_.string(), ""};
    const fs::path folder = table_.has_parent_path() ? table_.parent_path() : fs::path(".");
    if (const int file = ::open(folder.c_str(), O_RDONLY | O_CLOEXEC); file >= 0) {
        ::fsync(file); // the new name too
        ::close(file);
    }
    fs::remove(blocks_file_, failed);
    return std::nullopt;
}

} // namespace lostvolts

// Lines to numbers: the file comes in pieces of a megabyte, each cut after its last whole line.

#include <cerrno>
#include <system_error>

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <fmt/format.h>

#include "solver/units/patience.h"
#include "solver/waveform/columns.h"
#include "solver/waveform/number.h"
#include "solver/waveform/rows.h"

namespace lostvolts {
namespace {

constexpr std::size_t piece_bytes = 1u << 20;
constexpr std::size_t top_bytes = 1u << 16; ///< the header must end within it
constexpr double most_rows_left_out = 0.1;  ///< of all rows: beyond it the file is something else

/// Bytes of a file, or of a text.
class Feed {
  public:
    explicit Feed(int descriptor) : descriptor_(descriptor) {}
    explicit Feed(std::string_view text) : text_(text) {}
    Feed(const Feed&) = delete;
    Feed& operator=(const Feed&) = delete;
    ~Feed() {
        if (descriptor_ > STDERR_FILENO) ::close(descriptor_);
    }

    /// Up to `size` bytes; 0 at the end; -1 on an error that errno has.
    ssize_t read(char* to, std::size_t size) {
        if (descriptor_ < 0) {
            size = std::min(size, text_.size());
            std::memcpy(to, text_.data(), size);
            text_.remove_prefix(size);
            return static_cast<ssize_t>(size);
        }
        ssize_t n;
        do n = ::read(descriptor_, to, size);
        while (n < 0 && errno == EINTR);
        return n;
    }
    /// Bytes in all, 0 when it can't be known.
    std::size_t size() const {
        if (descriptor_ < 0) return text_.size();
        struct stat about {};
        return ::fstat(descriptor_, &about) == 0 && about.st_size > 0
                   ? static_cast<std::size_t>(about.st_size)
                   : 0;
    }

  private:
    int descriptor_ = -1;
    std::string_view text_;
};

class Reader {
  public:
    Reader(Feed& feed, std::string file, const CaptureOptions& options)
        : feed_(feed), options_(options), buffer_(piece_bytes + reading_slack) {
        rows_.file = std::move(file);
    }

    Result<Capture> read() {
        if (const ssize_t error = fill(); error < 0) return unreadable();
        auto columns = read_columns({buffer_.data(), std::min(held_, top_bytes)}, rows_.file, options_);
        if (!columns) return columns.problems();
        columns_ = *std::move(columns);
        rows_.repairs = columns_.notes;
        rows_.first_line = line_ = columns_.first_row_line;
        reserve();
        std::size_t at = columns_.first_row_byte;
        while (true) {
            give_up_if_told();
            const std::size_t whole = end_of_last_line(at);
            take(buffer_.data() + at, buffer_.data() + whole);
            const std::size_t left = held_ - whole;
            if (left == piece_bytes) return overlong_line();
            std::memmove(buffer_.data(), buffer_.data() + whole, left);
            held_ = left;
            at = 0;
            const ssize_t n = fill();
            if (n < 0) return unreadable();
            if (n == 0) break;
        }
        if (held_ > 0) ++cut_;
        if (const auto problem = too_many_left_out()) return *problem;
        tell_left_out();
        return even_out(std::move(rows_));
    }

  private:
    /// Tops the buffer up; the bytes that came, 0 at the end, -1 on an error.
    ssize_t fill() {
        ssize_t came = 0;
        while (held_ < piece_bytes) {
            const ssize_t n = feed_.read(buffer_.data() + held_, piece_bytes - held_);
            if (n < 0) return -1;
            if (n == 0) break;
            held_ += static_cast<std::size_t>(n);
            came += n;
        }
        return came;
    }
    std::size_t end_of_last_line(std::size_t from) const {
        for (std::size_t k = held_; k > from; --k)
            if (buffer_[k - 1] == '\n') return k;
        return from;
    }

    /// Pages that are never written cost no memory, so a guess on the high side is free.
    void reserve() {
        const char* const from = buffer_.data() + columns_.first_row_byte;
        const std::size_t seen = std::min(held_, top_bytes) - columns_.first_row_byte;
        const auto lines = static_cast<std::size_t>(std::count(from, from + seen, '\n'));
        const double rows = lines < 2 ? 0
                                      : static_cast<double>(feed_.size()) / static_cast<double>(seen) *
                                            static_cast<double>(lines);
        const auto guess = static_cast<std::size_t>(1.15 * rows) + 64;
        rows_.seconds.reserve(guess);
        if (columns_.volts >= 0) rows_.volts.reserve(guess);
        if (columns_.amps >= 0) rows_.amps.reserve(guess);
    }

    /// Whole lines.
    void take(const char* p, const char* const end) {
        const int last = columns_.last();
        const char separator = columns_.separator, point = columns_.decimal_point;
        double values[3] = {0, 0, 0};
        std::vector<double*> slots(static_cast<std::size_t>(last) + 1, nullptr);
        slots[static_cast<std::size_t>(columns_.time)] = &values[0];
        if (columns_.volts >= 0) slots[static_cast<std::size_t>(columns_.volts)] = &values[1];
        if (columns_.amps >= 0) slots[static_cast<std::size_t>(columns_.amps)] = &values[2];
        const auto ends = [&](char c) { return c == separator || c == '\n' || c == '\r'; };
        while (p < end) {
            const char* const line = p;
            bool good = true;
            for (int c = 0; c <= last && good; ++c) {
                while (*p == ' ') ++p;
                if (double* const slot = slots[static_cast<std::size_t>(c)]) {
                    p = read_decimal(p, end, point, *slot);
                    if (!p) {
                        good = false;
                        break;
                    }
                    while (*p == ' ') ++p;
                    good = ends(*p);
                } else {
                    while (!ends(*p)) ++p;
                }
                if (c < last) good = good && *p++ == separator;
            }
            if (good && *p == '\n') {
                ++p;
            } else {
                p = static_cast<const char*>(std::memchr(line, '\n', static_cast<std::size_t>(end - line))) +
                    1;
                if (!good) good = take_slowly({line, static_cast<std::size_t>(p - line - 1)}, values);
            }
            if (good) {
                rows_.seconds.push_back(values[0] * columns_.seconds_per_unit);
                if (columns_.volts >= 0) rows_.volts.push_back(values[1] * columns_.volts_per_unit);
                if (columns_.amps >= 0) rows_.amps.push_back(values[2] * columns_.amps_per_unit);
            }
            ++line_;
        }
    }

    /// Quoted cells and whatever else the short way doesn't take. False: the line is left out, and counted.
    bool take_slowly(std::string_view line, double* values) {
        const auto cells = cells_of(line, columns_.separator);
        const bool blank = cells.size() == 1 && cells[0].empty();
        bool good = static_cast<int>(cells.size()) > columns_.last();
        if (!good && !blank) note(too_short_);
        const int columns[3] = {columns_.time, columns_.volts, columns_.amps};
        for (int k = 0; k < 3 && good; ++k) {
            if (columns[k] < 0) continue;
            std::string cell(cells[static_cast<std::size_t>(columns[k])]);
            const std::size_t size = cell.size();
            cell.append(reading_slack, '\0');
            good = read_decimal(cell.data(), cell.data() + size, columns_.decimal_point, values[k]) ==
                   cell.data() + size;
            if (!good) note(no_number_);
        }
        if (!good) rows_.lines_left_out.push_back(line_);
        if (!good && excerpt_.empty()) excerpt_ = line.substr(0, 160);
        return good;
    }

    struct LeftOut {
        std::size_t count = 0;
        int first_line = 0;
    };
    void note(LeftOut& kind) const {
        if (kind.count++ == 0) kind.first_line = line_;
    }

    std::optional<Problem> too_many_left_out() const {
        const std::size_t bad = too_short_.count + no_number_.count;
        if (static_cast<double>(bad) <= most_rows_left_out * static_cast<double>(bad + rows_.seconds.size()))
            return std::nullopt;
        const LeftOut& worst = no_number_.count >= too_short_.count ? no_number_ : too_short_;
        return Problem{rows_.file,
                       {worst.first_line, 1, 1},
                       fmt::format("{} of {} rows can't be read: {} from this line on", bad,
                                   bad + rows_.seconds.size(),
                                   no_number_.count >= too_short_.count
                                       ? "text, NaN or nothing stands where a number should"
                                       : "columns are missing"),
                       "export the capture again as plain numbers; for other columns say --time-column, "
                       "--volts-column, --amps-column",
                       excerpt_};
    }
    void tell_left_out() {
        const auto tell = [&](const LeftOut& kind, std::string_view why) {
            if (kind.count == 0) return;
            rows_.repairs.push_back(fmt::format("{} row{} skipped: {} ({}line {}).", kind.count,
                                                kind.count == 1 ? "" : "s", why,
                                                kind.count == 1 ? "" : "first on ", kind.first_line));
        };
        tell(no_number_, "no number where one should be");
        tell(too_short_, "too few columns");
        if (cut_ > 0)
            rows_.repairs.push_back(fmt::format("1 row skipped: the file ends within line {}.", line_));
    }

    Problem unreadable() const {
        return {
            rows_.file, {}, fmt::format("can't be read: {}", std::generic_category().message(errno)), "", ""};
    }
    Problem overlong_line() const {
        return {
            rows_.file, {line_, 1, 1}, "is a line of more than a megabyte", "check that this is a CSV", ""};
    }

    Feed& feed_;
    const CaptureOptions& options_;
    std::vector<char> buffer_;
    std::size_t held_ = 0;
    Columns columns_;
    Rows rows_;
    int line_ = 1;
    mutable LeftOut no_number_, too_short_;
    int cut_ = 0;
    std::string excerpt_;
};

} // namespace

int Rows::line_of(std::size_t k) const {
    int line = first_line + static_cast<int>(k);
    for (const int left_out : lines_left_out) {
        if (left_out > line) break;
        ++line;
    }
    return line;
}

Result<Capture> read_capture(const std::string& path, const CaptureOptions& options) {
    const auto refuse = [&](std::string what, std::string write) {
        return Problem{path, {}, std::move(what), std::move(write), ""};
    };
    const int descriptor = path == "-" ? STDIN_FILENO : ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
    if (descriptor < 0 && errno == EACCES)
        return refuse("may not be read by you", "check the file's permissions");
    if (descriptor < 0)
        return errno == ENOENT || errno == ENOTDIR
                   ? refuse("there is no such file", "check the name and the folder")
                   : refuse("can't be opened: " + std::generic_category().message(errno), "");
    struct stat about {};
    Feed feed(descriptor);
    if (::fstat(descriptor, &about) == 0 && S_ISDIR(about.st_mode))
        return refuse("is a folder", "name the capture's file in it");
    return Reader(feed, path, options).read();
}

Result<Capture> read_capture_text(std::string_view text, std::string file, const CaptureOptions& options) {
    Feed feed(text);
    return Reader(feed, std::move(file), options).read();
}

} // namespace lostvolts

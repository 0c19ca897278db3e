#include "viewer/command/class_results.h"

#include <cerrno>
#include <chrono>
#include <cstring>

#include <fcntl.h>
#include <fmt/chrono.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "solver/circuit/descriptor.h"
#include "solver/units/csv.h"

namespace lostvolts {
namespace {

Problem trouble(const std::filesystem::path& file, const char* what) {
    return {file.string(),
            {},
            fmt::format("the result could not be {}: {}", what, std::strerror(errno)),
            "give a file that may be written to",
            {}};
}

} // namespace

std::string results_heading() {
    return "student,circuit,seed,part,kind,true_part,true_kind,true_size,unit,right,marks_percent,minutes,"
           "plan_minutes,readings,plan_readings,sure_percent,at\n";
}

std::string result_line(const Game& game, const Score& s, const std::string& student, const std::string& at) {
    const Circuit& c = *game.circuit;
    const auto part = [&](PartId p) { return p == none ? "" : c.parts[static_cast<std::size_t>(p)].name; };
    const FaultSize sized = size_of(game.hidden.kind);
    const auto rounded = [](double x) { return fmt::format("{:.1f}", x); };
    return csv_line({student, c.name.empty() ? c.file : c.name, std::to_string(game.seed), part(s.named.part),
                     s.named.kind ? std::string(name_of(*s.named.kind)) : "", part(game.hidden.part),
                     std::string(name_of(game.hidden.kind)),
                     sized == FaultSize::none ? "" : fmt::format("{:.3g}", game.hidden.size),
                     sized == FaultSize::ohms    ? "ohm"
                     : sized == FaultSize::share ? "1"
                                                 : "",
                     s.right_part ? "yes" : "no", rounded(100 * s.marks), rounded(game.student.minutes),
                     rounded(game.own.minutes), std::to_string(game.student.taken.size()),
                     std::to_string(game.own.taken.size()), rounded(100 * s.sure), at});
}

std::string now_text() {
    const auto now = std::chrono::floor<std::chrono::seconds>(std::chrono::system_clock::now());
    return fmt::format("{:%Y-%m-%dT%H:%M:%SZ}", fmt::gmtime(std::chrono::system_clock::to_time_t(now)));
}

std::optional<Problem> no_place_for_results(const std::filesystem::path& file) {
    if (access(file.c_str(), F_OK) != 0) {
        if (errno != ENOENT) return trouble(file, "kept");
        const std::filesystem::path folder = file.has_parent_path() ? file.parent_path() : ".";
        if (access(folder.c_str(), W_OK) != 0) return trouble(file, "kept");
        return std::nullopt;
    }
    return access(file.c_str(), R_OK | W_OK) == 0 ? std::nullopt : std::optional(trouble(file, "kept"));
}

Result<bool> append_result(const std::filesystem::path& file, const std::string& line) {
    const Descriptor out(open(file.c_str(), O_RDWR | O_APPEND | O_CREAT | O_CLOEXEC, 0644));
    if (out.number() < 0) return trouble(file, "kept");
    while (flock(out.number(), LOCK_EX) != 0) // let go of when it is closed
        if (errno != EINTR) return trouble(file, "kept");
    struct stat known {};
    if (fstat(out.number(), &known) != 0) return trouble(file, "kept");
    std::string text = known.st_size == 0 ? results_heading() : "";
    if (known.st_size > 0) { // somebody's editor may have left the last line without its end
        char last = '\n';
        if (pread(out.number(), &last, 1, known.st_size - 1) == 1 && last != '\n') text += '\n';
    }
    text += line;
    const ssize_t written = write(out.number(), text.data(), text.size());
    if (written == static_cast<ssize_t>(text.size())) return true;
    const Problem problem = trouble(file, "written");
    // Half a line is worse than none.
    if (written > 0 && ftruncate(out.number(), known.st_size) != 0) return trouble(file, "taken back");
    return problem;
}

} // namespace lostvolts

#include "viewer/window/session.h"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "solver/circuit/read.h"
#include "solver/circuit/toml_file.h"
#include "solver/locate/file_kind.h"

namespace lostvolts {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t most_undone = 200;

std::string short_name(const fs::path& file) { return file.filename().string(); }

/// "value" from the line `value = "1.84"` that a problem stands in.
std::string key_of(const Problem& problem) {
    const std::size_t equals = problem.excerpt.find('=');
    if (equals == std::string::npos) return {};
    const std::size_t end = problem.excerpt.find_last_not_of(" \t", equals == 0 ? 0 : equals - 1);
    const std::size_t begin = problem.excerpt.find_first_not_of(" \t");
    return begin == std::string::npos || end == std::string::npos || begin > end
               ? std::string()
               : problem.excerpt.substr(begin, end - begin + 1);
}

FieldProblems by_field(const Problems& problems) {
    FieldProblems all;
    for (const Problem& p : problems) all.push_back({key_of(p), p.what, p.write});
    return all;
}

} // namespace

fs::path free_name(const fs::path& file) {
    std::error_code ignored;
    fs::path name = file;
    for (int k = 2; fs::exists(name, ignored) && k < 10'000; ++k)
        name =
            file.parent_path() / fmt::format("{}-{}{}", file.stem().string(), k, file.extension().string());
    return name;
}

Session::Session(fs::path circuit, fs::path readings)
    : circuit_file_(std::move(circuit)), readings_file_(std::move(readings)),
      disk_(std::make_shared<Disk>()) {}

Session::~Session() { clerk_.finish(); }

Result<std::unique_ptr<Session>> Session::open(const fs::path& file) {
    const auto text = read_text_file(file);
    if (!text) return text.problems();
    const bool readings = kind_of_text(*text) == FileKind::readings;
    const fs::path circuit_file = readings ? file.parent_path() / named_circuit(*text) : file;
    std::unique_ptr<Session> session(
        new Session(circuit_file, readings ? file : free_name(file.parent_path() / "readings.toml")));
    if (readings) {
        auto job = read_readings(file);
        if (!job) return job.problems();
        session->job_ = std::make_shared<const Readings>(*std::move(job));
        session->text_ = *text;
        session->disk_->text = *text;
        session->disk_->there = true;
        if (const auto drawn = read_text_file(circuit_file)) session->circuit_text_ = *drawn;
    } else {
        auto circuit = read_circuit_text(*text, file.string());
        if (!circuit) return circuit.problems();
        auto job = std::make_shared<Readings>();
        job->circuit = *std::move(circuit);
        job->file = session->readings_file_.string();
        session->job_ = std::move(job);
        session->circuit_text_ = *text;
        session->text_ = first_lines(short_name(file));
    }
    if (Problems errors = review(session->circuit()).errors; !errors.empty()) return errors;
    session->looked_ = std::chrono::steady_clock::now();
    session->think();
    return session;
}

// ---- changes -------------------------------------------------------------------------------------------

Result<std::string> Session::edited(const std::string& text, const Edit& edit) const {
    const std::string file = readings_file_.string();
    switch (edit.kind) {
    case Edit::Kind::add:
        return add_reading(text, edit.reading);
    case Edit::Kind::change:
        return change_value(text, edit.number, edit.value, file);
    case Edit::Kind::take_out:
        return take_out_reading(text, edit.number, file);
    case Edit::Kind::other:
        break;
    }
    return Problem{file, {}, "this step can't be repeated on a changed file", "", ""};
}

/// Takes a text of the readings over if it is right.
bool Session::adopt(std::string text, Problems* problems) {
    auto job = read_readings_text(text, readings_file_.string(), job_->circuit);
    if (!job) {
        if (problems) *problems = job.problems();
        return false;
    }
    job_ = std::make_shared<const Readings>(*std::move(job));
    text_ = std::move(text);
    ++version_;
    return true;
}

FieldProblems Session::take(Edit edit) {
    const bool known = edit.number >= 0 && edit.number < static_cast<int>(readings().size());
    if (edit.kind != Edit::Kind::add && known)
        edit.target = readings()[static_cast<std::size_t>(edit.number)];
    auto text = edited(text_, edit);
    if (!text) return by_field(text.problems());
    std::string before = text_;
    Problems problems;
    if (!adopt(*std::move(text), &problems)) return by_field(problems);
    past_.push_back(std::move(before));
    if (past_.size() > most_undone) past_.erase(past_.begin());
    future_.clear();
    edit.serial = ++serial_;
    unsaved_.push_back(std::move(edit));
    think();
    save();
    return {};
}

FieldProblems Session::add(const WrittenReading& reading) { return take({Edit::Kind::add, reading}); }

FieldProblems Session::change(int reading, const std::string& value) {
    return take({Edit::Kind::change, {}, reading, value});
}

FieldProblems Session::take_out(int reading) { return take({Edit::Kind::take_out, {}, reading}); }

void Session::restore(std::vector<std::string>& from, std::vector<std::string>& to) {
    std::string before = text_;
    std::string text = std::move(from.back());
    from.pop_back();
    if (!adopt(std::move(text), nullptr)) return;
    to.push_back(std::move(before));
    unsaved_.emplace_back().serial = ++serial_;
    think();
    save();
}

bool Session::undo() {
    if (past_.empty()) return false;
    restore(past_, future_);
    return true;
}

bool Session::redo() {
    if (future_.empty()) return false;
    restore(future_, past_);
    return true;
}

void Session::stop_thinking() {
    if (!solver_.busy()) return;
    solver_.cancel();
    stopped_ = true;
}

void Session::think() {
    stopped_ = false;
    solver_.ask([this, job = job_, circuit = circuit_version_](Watch& watch) -> Worker::Deliver {
        const auto show = [&](Thoroughness wanted) -> Worker::Deliver {
            auto found = std::make_shared<Findings>(find_out(job, wanted));
            return [this, found, circuit] {
                findings_ = std::move(*found);
                findings_circuit_ = circuit;
                ++findings_version_;
            };
        };
        watch.hand_over(show(Thoroughness::first));
        return show(Thoroughness::whole);
    });
}

Freshness Session::freshness() const {
    constexpr std::chrono::milliseconds noticed{300}; // what is gone sooner would only flicker
    if (findings_.job != job_)
        return stopped_ || solver_.at_it() > noticed || !findings_.job ? Freshness::before : Freshness::whole;
    return findings_.first_answer ? Freshness::first : Freshness::whole;
}

bool Session::tick() {
    const int before = version_;
    bool changed = solver_.collect();
    changed = clerk_.collect() || changed;
    changed = scout_.collect() || changed;
    watch_disk();
    return changed || version_ != before;
}

void Session::finish() {
    do {
        clerk_.finish();
        scout_.finish();
        solver_.finish();
        clerk_.collect();
        scout_.collect();
        solver_.collect();
    } while (clerk_.busy() || scout_.busy() || solver_.busy());
}

std::string Session::news() { return std::exchange(news_, {}); }

} // namespace lostvolts

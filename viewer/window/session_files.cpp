// The session's dealings with the disk: saving, and files that change under it.
#include <utility>

#include <fmt/format.h>

#include "solver/circuit/edit.h"
#include "solver/circuit/folder_lock.h"
#include "solver/circuit/read.h"
#include "solver/circuit/toml_file.h"
#include "viewer/window/session.h"

namespace lostvolts {
namespace {

namespace fs = std::filesystem;

constexpr std::chrono::milliseconds between_looks{700};

std::string short_name(const fs::path& file) { return fmt::format("\"{}\"", file.filename().string()); }

std::string first_of(const Problems& problems) {
    if (problems.empty()) return {};
    const Problem& p = problems.front();
    return p.place.line > 0 ? fmt::format("line {}: {}", p.place.line, p.what) : p.what;
}

bool same_reading(const Reading& a, const Reading& b) {
    return a.state == b.state && a.quantity == b.quantity && a.red == b.red && a.black == b.black &&
           a.through == b.through && a.text == b.text;
}

/// Whether a file is not the one that was seen last; its time and size are then those seen.
bool has_moved(const fs::path& file, fs::file_time_type& time, std::uintmax_t& size) {
    std::error_code gone, no_size;
    const auto now = fs::last_write_time(file, gone);
    const auto bytes = fs::file_size(file, no_size);
    if (gone || no_size) return false;
    return std::exchange(time, now) != now || std::exchange(size, bytes) != bytes;
}

} // namespace

Session::Saved Session::write(Disk& disk, const fs::path& file, const std::string& text) {
    const std::lock_guard held(disk.lock);
    const auto trouble = [&](const Problems& problems) {
        return Saved{false, {}, fmt::format("{} {}", short_name(file), problems.front().what)};
    };
    const auto kept = keep_for_edit(file);
    if (!kept) return trouble(kept.problems());
    std::error_code ignored;
    if (fs::exists(file, ignored)) {
        const auto now = read_text_file(file);
        const bool ours = now && (disk.there ? *now == disk.text : *now == text);
        if (now && !ours) return {false, *now, {}};
    }
    const auto replaced = replace_text_file(file, text);
    if (!replaced) return trouble(replaced.problems());
    disk.text = text;
    disk.there = true;
    has_moved(file, disk.time, disk.size);
    return {true, {}, {}};
}

void Session::save() {
    if (spoilt_) return move_aside("has mistakes on the disk");
    clerk_.ask([this, disk = disk_, file = readings_file_, text = text_,
                serial = serial_](Watch&) -> Worker::Deliver {
        const Saved outcome = write(*disk, file, text);
        return [this, outcome, serial] { saved_as_asked(outcome, serial); };
    });
}

void Session::saved_as_asked(const Saved& outcome, int serial) {
    trouble_ = outcome.trouble;
    if (outcome.other) return readings_changed(*outcome.other);
    if (outcome.done) std::erase_if(unsaved_, [&](const Edit& e) { return e.serial <= serial; });
}

void Session::save_as(const fs::path& file) {
    std::error_code ignored;
    if (fs::exists(file, ignored)) {
        trouble_ = fmt::format("there is a file {} already: choose another name", short_name(file));
        return;
    }
    fs::path circuit =
        fs::proximate(circuit_file_, file.has_parent_path() ? file.parent_path() : ".", ignored);
    if (ignored) circuit = fs::absolute(circuit_file_, ignored);
    if (auto text = edit_values(text_, {{"", "", "circuit", circuit.string()}}, file.string()))
        text_ = *std::move(text);
    readings_file_ = file;
    disk_ = std::make_shared<Disk>();
    spoilt_ = false;
    unsaved_.emplace_back().serial = ++serial_;
    save();
}

void Session::watch_disk() {
    const auto now = std::chrono::steady_clock::now();
    if (scout_.busy() || now - looked_ < between_looks) return;
    looked_ = now;
    scout_.ask(
        [this, disk = disk_, file = readings_file_, circuit = circuit_file_](Watch&) -> Worker::Deliver {
            const std::lock_guard held(disk->lock);
            std::error_code ignored;
            std::optional<std::string> readings_text, circuit_text;
            const bool gone = disk->there && !fs::exists(file, ignored) && !ignored;
            if (disk->there && has_moved(file, disk->time, disk->size))
                if (auto text = read_text_file(file); text && *text != disk->text) readings_text = *text;
            if (has_moved(circuit, disk->circuit_time, disk->circuit_size))
                if (auto text = read_text_file(circuit)) circuit_text = *text;
            if (gone) disk->there = false;
            if (!gone && !readings_text && !circuit_text) return nullptr;
            return [this, gone, readings_text, circuit_text] {
                if (gone) readings_gone();
                if (circuit_text && *circuit_text != circuit_text_) circuit_changed(*circuit_text);
                if (readings_text) readings_changed(*readings_text);
            };
        });
}

void Session::readings_gone() {
    unsaved_.emplace_back().serial = ++serial_;
    trouble_ = fmt::format("{} is no longer on the disk", short_name(readings_file_));
}

/// The steps not saved yet, told again on another text.
Result<std::string> Session::put_on_top(std::string text) const {
    for (const Edit& edit : unsaved_) {
        if (edit.kind == Edit::Kind::change || edit.kind == Edit::Kind::take_out) {
            const auto job = read_readings_text(text, readings_file_.string(), circuit());
            const auto n = static_cast<std::size_t>(edit.number);
            if (!job || n >= job->readings.size() || !same_reading(job->readings[n], edit.target))
                return Problem{
                    readings_file_.string(), {}, "the reading changed here is another one there", "", ""};
        }
        auto next = edited(text, edit);
        if (!next) return next.problems();
        text = *std::move(next);
    }
    return text;
}

void Session::readings_changed(const std::string& text) {
    {
        const std::lock_guard held(disk_->lock);
        disk_->text = text;
        disk_->there = true;
    }
    auto merged = put_on_top(text);
    Problems problems;
    if (!merged || !adopt(*std::move(merged), &problems)) {
        if (!unsaved_.empty()) return move_aside("was changed by another program");
        spoilt_ = true;
        news_ =
            fmt::format("{} was changed by another program and has mistakes now ({}). The window keeps the "
                        "readings as they were.",
                        short_name(readings_file_), first_of(problems));
        return;
    }
    spoilt_ = false;
    past_.clear();
    future_.clear();
    news_ = fmt::format("{} was changed by another program; it was read again.", short_name(readings_file_));
    think();
    if (!unsaved_.empty()) save();
}

void Session::circuit_changed(const std::string& text) {
    circuit_text_ = text;
    auto circuit = read_circuit_text(text, circuit_file_.string());
    Problems problems = circuit ? review(*circuit).errors : circuit.problems();
    if (problems.empty()) {
        auto job = read_readings_text(text_, readings_file_.string(), *std::move(circuit));
        if (job) {
            job_ = std::make_shared<const Readings>(*std::move(job));
            ++version_;
            ++circuit_version_;
            news_ = fmt::format("{} was changed; it was read again.", short_name(circuit_file_));
            return think();
        }
        problems = job.problems();
    }
    news_ = fmt::format("{} was changed and can't be used so ({}). The window keeps the circuit as it was.",
                        short_name(circuit_file_), first_of(problems));
}

void Session::move_aside(const std::string& why) {
    const fs::path old = readings_file_;
    readings_file_ = free_name(old);
    disk_ = std::make_shared<Disk>();
    spoilt_ = false;
    news_ = fmt::format("{} {}. It was left as it is; your readings are in {} from here on.", short_name(old),
                        why, short_name(readings_file_));
    unsaved_.emplace_back().serial = ++serial_;
    save();
}

} // namespace lostvolts

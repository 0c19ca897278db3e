// The job on the bench, without any drawing: a circuit, the readings taken on it, each change undone or
// redone, saved by itself, and what the solver makes of them. Everything that may take long (the disk, the
// solver) is done by workers; nothing here waits for them but finish().
//
// A reading never gets lost. The file is replaced in one step. Where it can't be, the readings stay in the
// window and the reason is told. Where another program has changed the file meanwhile, its changes are taken
// in and what is not saved yet is put on top; where that does not fit, ours go to a file beside it.
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "solver/locate/write_readings.h"
#include "viewer/window/findings.h"
#include "viewer/window/worker.h"

namespace lostvolts {

/// What is wrong with one field of a reading: its key ("value", "red" …), or none of them in particular.
struct FieldProblem {
    std::string key;
    std::string what;
    std::string write;
};
using FieldProblems = std::vector<FieldProblem>;

/// What the findings that are shown are worth: of before the last change, a first answer, or all there is.
enum class Freshness { before, first, whole };

class Session {
  public:
    /// A circuit, or readings with the circuit that they name. Problems: those of reading them.
    static Result<std::unique_ptr<Session>> open(const std::filesystem::path& file);
    /// Waits for a save that is under way or waiting.
    ~Session();

    const Circuit& circuit() const { return job_->circuit; }
    const std::vector<Reading>& readings() const { return job_->readings; }
    const std::shared_ptr<const Readings>& job() const { return job_; }
    const std::filesystem::path& circuit_file() const { return circuit_file_; }
    const std::filesystem::path& readings_file() const { return readings_file_; }
    const std::string& readings_text() const { return text_; }
    const std::string& circuit_text() const { return circuit_text_; }

    /// Empty: done, and on its way to the disk. A refused change leaves all as it was.
    FieldProblems add(const WrittenReading& reading);
    FieldProblems change(int reading, const std::string& value);
    FieldProblems take_out(int reading);
    bool undo();
    bool redo();
    bool can_undo() const { return !past_.empty(); }
    bool can_redo() const { return !future_.empty(); }

    /// Once a frame: takes in what the workers have ready and lets them look at the disk now and then. True
    /// when something to be seen has changed.
    bool tick();
    /// Waits for the workers and takes in what they have: for tests, and before leaving.
    void finish();

    /// Of the job as it is, or as it was a moment ago while thinking().
    const Findings& findings() const { return findings_; }
    int findings_version() const { return findings_version_; } ///< counts up with every answer
    /// Findings of before the last change count as whole for the moment until a first answer takes their
    /// place.
    Freshness freshness() const;
    /// Whether they speak of the circuit as it is drawn now.
    bool findings_fit() const { return findings_.job && findings_circuit_ == circuit_version_; }
    bool thinking() const { return solver_.busy(); }
    std::chrono::milliseconds thinking_for() const { return solver_.at_it(); }
    void stop_thinking();                     ///< the findings stay those of before
    bool stopped() const { return stopped_; } ///< what there is has not been worked out
    void think();                             ///< works it out, anew after a stop
    /// Of the job as it is: counts up with every change.
    int version() const { return version_; }
    int circuit_version() const { return circuit_version_; }

    bool saved() const { return unsaved_.empty(); }              ///< the file has all that the window has
    const std::string& save_trouble() const { return trouble_; } ///< why not; empty while all is well
    void save();                                                 ///< tries again
    void save_as(const std::filesystem::path& file);
    /// What happened to the files, for a line of news; taken once.
    std::string news();

  private:
    /// What is on the disk as far as we know: shared with the clerk, whose save counts even when nobody waits
    /// for its answer any more.
    struct Disk {
        std::mutex lock; ///< held while a file is written or read
        bool there = false;
        std::string text;
        std::filesystem::file_time_type time{}, circuit_time{};
        std::uintmax_t size = 0, circuit_size = 0;
    };
    /// A step that is not saved yet; one of undo or redo can't be told again on another text.
    struct Edit {
        enum class Kind { add, change, take_out, other } kind = Kind::other;
        WrittenReading reading{};
        int number = 0;
        std::string value{};
        Reading target{}; ///< the reading changed or taken out, as it was
        int serial = 0;
    };
    struct Saved { ///< what came of a save
        bool done = false;
        std::optional<std::string> other; ///< what another program has put there meanwhile
        std::string trouble;
    };
    static Saved write(Disk& disk, const std::filesystem::path& file, const std::string& text);

    explicit Session(std::filesystem::path circuit, std::filesystem::path readings);
    Result<std::string> edited(const std::string& text, const Edit& edit) const;
    Result<std::string> put_on_top(std::string text) const;
    FieldProblems take(Edit edit);
    bool adopt(std::string text, Problems* problems);
    void restore(std::vector<std::string>& from, std::vector<std::string>& to);
    void watch_disk();
    void saved_as_asked(const Saved& outcome, int serial);
    void readings_changed(const std::string& text);
    void readings_gone();
    void circuit_changed(const std::string& text);
    void move_aside(const std::string& why);

    std::filesystem::path circuit_file_, readings_file_;
    std::string circuit_text_, text_;
    std::shared_ptr<const Readings> job_;
    std::vector<std::string> past_, future_;
    std::vector<Edit> unsaved_;
    int serial_ = 0;
    bool spoilt_ = false; // the file on the disk can't be read as readings: it is not to be overwritten
    std::shared_ptr<Disk> disk_;
    std::string trouble_, news_;
    Findings findings_;
    bool stopped_ = false;
    int version_ = 0, findings_version_ = 0, circuit_version_ = 0;
    int findings_circuit_ = -1; // the circuit's version that the findings are of
    std::chrono::steady_clock::time_point looked_{};
    Worker solver_, clerk_, scout_;
};

/// A name beside `file` that no file has yet: readings.toml, readings-2.toml …
std::filesystem::path free_name(const std::filesystem::path& file);

} // namespace lostvolts

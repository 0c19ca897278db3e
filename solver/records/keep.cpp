#include "solver/records/keep.h"

#include <algorithm>
#include <cctype>
#include <map>
#include <memory>

#include <fmt/format.h>

#include "solver/circuit/edit.h"
#include "solver/circuit/read.h"
#include "solver/locate/locate.h"
#include "solver/records/drawing.h"
#include "solver/records/kept_figures.h"
#include "solver/records/sha256.h"

namespace lostvolts {
namespace {

namespace fs = std::filesystem;
constexpr std::size_t longest_file_name = 120, longest_slug = 48; // bytes

bool plain(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9'); }

std::string lower(std::string text) {
    for (char& c : text)
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    return text;
}

/// Cut so that no code point is split.
std::string cut(std::string text, std::size_t most) {
    if (text.size() <= most) return text;
    while (most > 0 && (text[most] & '\xC0') == '\x80') --most;
    return text.substr(0, most);
}

std::string size_text(const FoundFault& f) {
    switch (size_of(f.kind)) {
    case FaultSize::ohms:
        return show(from_si<Resistance<>>(f.value));
    case FaultSize::share:
        return fmt::format("{:.0f} %", 100 * f.value);
    case FaultSize::none:
        break;
    }
    return {};
}

KeptVerdict verdict_of(const Location& l, const Circuit& c, const std::string& file) {
    KeptVerdict kept;
    kept.readings = file;
    kept.verdict = name_of(l.verdict);
    if (l.suspects.empty()) return kept;
    const Suspect& first = l.suspects.front();
    kept.probability = first.probability;
    if (first.unmodelled) kept.fault = "something not in this drawing";
    if (first.faults.empty()) return kept;
    const FoundFault& f = first.faults.front();
    kept.part = c.parts[static_cast<std::size_t>(f.part)].name;
    kept.fault = name_of(f.kind);
    kept.size = size_text(f);
    return kept;
}

/// One job on its way into its folder.
class Keeper {
  public:
    Keeper(const JobToKeep& what, NewFolder& folder) : what_(what), folder_(folder) {
        job_.words = what.words;
    }

    void circuit(const fs::path& path);
    void readings(const fs::path& path);
    void capture(const fs::path& path);
    void as_it_is(FileRole role, const fs::path& path);
    void text(FileRole role, const std::string& name, std::string_view text);
    void note() { text(FileRole::notes, free_name("notes.txt"), what_.note + '\n'); }
    void finish();

    Job job_;
    Problems problems_, remarks_;

  private:
    std::string free_name(const fs::path& path);
    void take(const Problems& problems) {
        for (const Problem& p : problems) // a full disk is told once, not for every file
            if (std::none_of(problems_.begin(), problems_.end(), [&](const Problem& told) {
                    return told.file == p.file && told.what == p.what && told.place.line == p.place.line;
                }))
                problems_.push_back(p);
    }

    const JobToKeep& what_;
    NewFolder& folder_;
    std::map<std::string, std::string> circuits_; // where it lies → its name in the folder
    std::optional<Circuit> first_circuit_;
    std::vector<std::string> names_; // taken, in lower case
};

std::string Keeper::free_name(const fs::path& path) {
    const std::string safe = safe_file_name(path.filename().string());
    const fs::path split(safe);
    std::string name = safe;
    for (int n = 2; std::find(names_.begin(), names_.end(), lower(name)) != names_.end(); ++n)
        name = fmt::format("{}-{}{}", split.stem().string(), n, split.extension().string());
    names_.push_back(lower(name));
    return name;
}

void Keeper::text(FileRole role, const std::string& name, std::string_view text) {
    const auto written = folder_.write(name, text);
    if (!written) return take(written.problems());
    job_.files.push_back({role, name, text.size(), sha256(text)});
}

void Keeper::as_it_is(FileRole role, const fs::path& path) {
    const std::string name = free_name(path);
    const auto copied = folder_.copy(path, name);
    if (!copied) return take(copied.problems());
    job_.files.push_back({role, name, copied->bytes, copied->sha256});
}

void Keeper::circuit(const fs::path& path) {
    std::error_code ignored;
    const std::string place = fs::weakly_canonical(path, ignored).string();
    if (circuits_.contains(place)) return;
    const auto content = read_text_file(path);
    if (!content) return take(content.problems());
    auto read = read_circuit_text(*content, path.string());
    if (!read) return take(read.problems());
    if (const Problems errors = review(*read).errors; !errors.empty()) return take(errors);
    const std::string name = free_name(path);
    circuits_[place] = name;
    text(FileRole::circuit, name, *content);
    if (first_circuit_) return;
    first_circuit_ = *std::move(read);
    job_.drawing = drawing_of(*content).digest;
}

void Keeper::readings(const fs::path& path) {
    const auto content = read_text_file(path); // once: what is kept is what was located
    if (!content) return take(content.problems());
    const auto read = read_readings_beside(*content, path.string(), folder_beside(path));
    if (!read) return take(read.problems());
    const fs::path of = read->circuit.file;
    circuit(of);
    std::error_code ignored;
    const auto known = circuits_.find(fs::weakly_canonical(of, ignored).string());
    if (known == circuits_.end()) return; // its mistakes are told

    const TomlFile toml = parse_toml(*content, path.string());
    const TomlValue* named = toml.root.find("circuit");
    const std::string name = free_name(path);
    if (named && named->text == known->second) {
        text(FileRole::readings, name, *content);
    } else { // it named a circuit in another folder, or under a name that is taken here
        const auto edited = edit_values(*content, {{"", "", "circuit", known->second}}, path.string());
        if (!edited) return take(edited.problems());
        text(FileRole::readings, name, *edited);
    }
    for (KeptFigure& f : figures_of(*read, name)) job_.figures.push_back(std::move(f));
    if (const auto location = locate(*read, AtMost::two, Advising::no)) {
        job_.verdicts.push_back(verdict_of(*location, read->circuit, name));
    } else {
        for (Problem p : location.problems()) {
            p.what = "kept, but nothing can be located from it: " + p.what;
            if (p.file.empty()) p.file = path.string();
            remarks_.push_back(std::move(p));
        }
    }
}

void Keeper::capture(const fs::path& path) {
    const auto read = read_capture(path.string(), what_.capture);
    if (!read) return take(read.problems());
    WaveformOptions options;
    std::string motor = what_.motor;
    if (first_circuit_) {
        std::vector<const Part*> motors;
        for (const Part& p : first_circuit_->parts)
            if (std::holds_alternative<Motor<>>(p.law) && (motor.empty() || p.name == motor))
                motors.push_back(&p);
        if (motors.size() != 1 && (motors.size() > 1 || !motor.empty())) {
            problems_.push_back(
                {first_circuit_->file,
                 {},
                 motors.empty() ? fmt::format("there is no motor \"{}\"", motor)
                                : fmt::format("has {} motors, and the capture is of one", motors.size()),
                 motors.empty() ? "give the name of a motor of this circuit"
                                : fmt::format("say which with  --motor \"{}\"", motors[0]->name),
                 ""});
            return;
        }
        if (motors.size() == 1) {
            motor = motors[0]->name;
            if (const int bars = std::get<Motor<>>(motors[0]->law).settings.bars; bars > 0)
                options.bars = bars;
        }
    }
    const auto w = analyse(*read, options);
    if (!w) return take(w.problems());
    as_it_is(FileRole::capture, path);
    if (!problems_.empty()) return;
    for (KeptFigure& f : figures_of(*w, motor, job_.files.back().name)) job_.figures.push_back(std::move(f));
}

/// By what was measured; a job without readings and captures, by all its files. Words don't count: the same
/// readings under another title are the same job.
void Keeper::finish() {
    const auto measured = [](const KeptFile& f) {
        return f.role == FileRole::readings || f.role == FileRole::capture;
    };
    const bool all = std::none_of(job_.files.begin(), job_.files.end(), measured);
    std::vector<std::string> digests;
    for (const KeptFile& f : job_.files)
        if (all || measured(f) || f.role == FileRole::circuit) digests.push_back(f.sha256);
    std::sort(digests.begin(), digests.end());
    Sha256 sum;
    for (const std::string& d : digests) sum.add(d + '\n');
    job_.content = sum.hex();
    if (job_.words.title.empty())
        job_.words.title =
            first_circuit_ && !first_circuit_->name.empty() ? first_circuit_->name : job_.files.front().name;
    job_.version = what_.version;
    const auto option = [&](const char* name, const std::string& value) {
        if (!value.empty()) job_.capture_options.emplace_back(name, value);
    };
    if (what_.captures.empty()) return;
    option("motor", what_.motor);
    option("clamp", what_.capture.clamp);
    option("time_column", what_.capture.time_column);
    option("volts_column", what_.capture.volts_column);
    option("amps_column", what_.capture.amps_column);
    option("time_unit", what_.capture.time_unit);
    option("volts_unit", what_.capture.volts_unit);
    option("amps_unit", what_.capture.amps_unit);
}

} // namespace

std::string safe_file_name(std::string_view name) {
    constexpr std::string_view allowed = " .-_+=,()[]@~#";
    const bool utf8 = !not_text(name, "");
    std::string safe;
    for (const char c : name) {
        const bool high = static_cast<unsigned char>(c) >= 0x80;
        safe += plain(c) || (high && utf8) || allowed.find(c) != std::string_view::npos ? c : '_';
    }
    // Marks that turn the direction of writing (U+202A–E, U+2066–9) and the C1 controls.
    for (std::size_t i = 0; i + 1 < safe.size(); ++i) {
        const auto byte = [&](std::size_t k) {
            return k < safe.size() ? static_cast<unsigned char>(safe[k]) : 0u;
        };
        const bool turns =
            byte(i) == 0xE2 && ((byte(i + 1) == 0x80 && byte(i + 2) >= 0xA8 && byte(i + 2) <= 0xAE) ||
                                (byte(i + 1) == 0x81 && byte(i + 2) >= 0xA6 && byte(i + 2) <= 0xA9));
        const bool control = byte(i) == 0xC2 && byte(i + 1) < 0xA0;
        if (turns || control) safe.replace(i, turns ? 3 : 2, "_");
    }
    if (safe.starts_with('.') || safe.starts_with('-') || safe.starts_with(' ')) safe[0] = '_';
    if (safe.size() > longest_file_name) {
        const std::string ending = fs::path(safe).extension().string();
        safe = cut(safe, longest_file_name - std::min<std::size_t>(ending.size(), 16)) + cut(ending, 16);
    }
    while (safe.ends_with('.') || safe.ends_with(' ')) safe.pop_back();
    if (safe.empty()) return "file";
    return lower(safe) == job_file ? "job_.toml" : safe;
}

std::string folder_name(const JobWords& words, const std::string& id) {
    std::string slug;
    for (const char c : lower(words.title.empty() ? words.machine : words.title)) {
        if (plain(c))
            slug += c;
        else if (!slug.empty() && slug.back() != '-')
            slug += '-';
        if (slug.size() >= longest_slug) break;
    }
    while (slug.ends_with('-')) slug.pop_back();
    return fmt::format("{}_{}_{}", words.date, slug.empty() ? "job" : slug, id);
}

Result<PreparedJob> prepare_job(const Store& store, const JobToKeep& what) {
    if (Problems problems = mistakes_in(what.words); !problems.empty()) return problems;
    if (what.circuit.empty() && what.readings.empty() && what.captures.empty() && what.reports.empty() &&
        what.notes.empty() && what.others.empty() && what.note.empty())
        return Problem{
            "", {}, "there is nothing to keep", "give a file of readings, a circuit, a capture or notes", ""};
    auto folder = NewFolder::begin(store);
    if (!folder) return folder.problems();
    Keeper keeper(what, *folder);
    if (!what.circuit.empty()) keeper.circuit(what.circuit);
    for (const fs::path& path : what.readings) keeper.readings(path);
    for (const fs::path& path : what.captures) keeper.capture(path);
    for (const fs::path& path : what.reports) keeper.as_it_is(FileRole::report, path);
    for (const fs::path& path : what.notes) keeper.as_it_is(FileRole::notes, path);
    for (const fs::path& path : what.others) keeper.as_it_is(FileRole::other, path);
    if (!what.note.empty()) {
        if (not_text(what.note, ""))
            keeper.problems_.push_back({"", {}, "the note is not UTF-8 text", "type it again", ""});
        else
            keeper.note();
    }
    if (!keeper.problems_.empty()) return keeper.problems_;
    keeper.finish();
    return PreparedJob{*std::move(folder), std::move(keeper.job_), std::move(keeper.remarks_)};
}

} // namespace lostvolts

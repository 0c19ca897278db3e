// A job's folder, whole or damaged, as words and numbers for the index.

#include <algorithm>
#include <fstream>
#include <system_error>

#include <fmt/format.h>

#include "solver/records/drawing.h"
#include "solver/records/index.h"

namespace lostvolts {
namespace {

namespace fs = std::filesystem;
constexpr std::size_t most_of_a_note = 1u << 16; // bytes that are searched

/// The beginning of a text file, whatever its encoding.
std::string beginning_of(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    std::string text(most_of_a_note, '\0');
    in.read(text.data(), static_cast<std::streamsize>(text.size()));
    text.resize(static_cast<std::size_t>(std::max<std::streamsize>(in.gcount(), 0)));
    std::replace(text.begin(), text.end(), '\0', ' ');
    return text;
}

void spoil(FolderRead& read, std::string trouble) {
    if (read.row.state == JobState::whole) read.row.trouble = std::move(trouble);
    read.row.state = JobState::damaged;
}

/// Of several verdicts the one that says most: a fault located before one narrowed before health.
const KeptVerdict* leading(const std::vector<KeptVerdict>& verdicts) {
    const auto weight = [](const KeptVerdict& v) {
        return (v.verdict == "located"    ? 3
                : v.verdict == "narrowed" ? 2
                : v.verdict == "healthy"  ? 1
                                          : 0) +
               v.probability;
    };
    const auto most =
        std::max_element(verdicts.begin(), verdicts.end(),
                         [&](const KeptVerdict& a, const KeptVerdict& b) { return weight(a) < weight(b); });
    return most == verdicts.end() ? nullptr : &*most;
}

void read_circuit_words(FolderRead& read, const fs::path& file, const std::string& name) {
    const auto text = read_text_file(file);
    const Drawing drawing = text ? drawing_of(*text) : Drawing{};
    if (!text || !drawing.readable) return spoil(read, fmt::format("{} can't be read as a circuit", name));
    if (read.row.circuit.empty()) read.row.circuit = drawing.name;
    read.parts += drawing.name + '\n';
    for (const std::string& part : drawing.parts) read.parts += part + '\n';
}

void read_notes_of_readings(FolderRead& read, const fs::path& file, const std::string& name) {
    const auto text = read_text_file(file);
    const TomlFile toml = text ? parse_toml(*text, name) : TomlFile{};
    if (!text || !toml.problems.empty())
        return spoil(read, fmt::format("{} can't be read as readings", name));
    Problems ignored;
    for (const TomlValue* reading : tables_of(toml.root, "reading", name, ignored))
        if (const TomlValue* note = reading->find("note")) read.notes += note->text + '\n';
}

void read_any_notes(FolderRead& read, const fs::path& folder) {
    std::error_code ignored;
    for (fs::directory_iterator at(folder, ignored), end; !ignored && at != end; at.increment(ignored))
        if (const fs::path ending = at->path().extension();
            ending == ".txt" || ending == ".md" || ending == ".toml")
            read.notes += beginning_of(at->path()) + '\n';
}

} // namespace

std::int64_t folder_stamp(const Store& store, const std::string& folder) {
    const fs::path path = store.jobs() / folder;
    const auto of = [](std::int64_t stamp) { return static_cast<std::uint64_t>(stamp); };
    return static_cast<std::int64_t>(of(file_stamp(path)) * 31 + of(file_stamp(path / job_file)));
}

FolderRead read_folder(const Store& store, const std::string& folder) {
    FolderRead read;
    const fs::path path = store.jobs() / folder;
    read.row.folder = folder;
    read.stamp = folder_stamp(store, folder);
    const auto text = read_text_file(path / job_file);
    const auto job = text ? read_job(*text, (path / job_file).string()) : Result<Job>(text.problems());
    if (!job) {
        const Problem& first = job.problems().front();
        read.row.words.title = folder;
        if (folder.size() > 10) read.row.words.date = folder.substr(0, 10);
        const std::size_t last = folder.rfind('_');
        read.row.id = last == std::string::npos ? folder : folder.substr(last + 1);
        spoil(read, first.place.line > 0 ? fmt::format("{}:{}: {}", job_file, first.place.line, first.what)
                                         : fmt::format("{} {}", job_file, first.what));
        read_any_notes(read, path); // so that it is found by something
        return read;
    }
    read.job = *job;
    read.row.id = job->id;
    read.row.words = job->words;
    read.row.content = job->content;
    read.row.drawing = job->drawing;
    read.figures = job->figures;
    if (const KeptVerdict* verdict = leading(job->verdicts)) read.row.verdict = *verdict;
    for (const KeptVerdict& v : job->verdicts)
        read.faults += fmt::format("{} {} {} {}\n", v.verdict, v.part, v.fault, v.size);
    for (const KeptFile& file : job->files) {
        std::error_code error;
        const std::uintmax_t bytes = fs::file_size(path / file.name, error);
        if (error) {
            spoil(read, error == std::errc::no_such_file_or_directory
                            ? fmt::format("{} is missing", file.name)
                            : fmt::format("{} can't be read: {}", file.name, error.message()));
            continue;
        }
        if (bytes != file.bytes)
            read.remarks.push_back(
                {(path / file.name).string(),
                 {},
                 fmt::format("was changed since it was kept: {} bytes then, {} now", file.bytes, bytes),
                 "",
                 ""});
        if (file.role == FileRole::circuit) read_circuit_words(read, path / file.name, file.name);
        if (file.role == FileRole::readings) read_notes_of_readings(read, path / file.name, file.name);
        if (file.role == FileRole::notes) read.notes += beginning_of(path / file.name) + '\n';
    }
    return read;
}

} // namespace lostvolts

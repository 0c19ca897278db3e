#include "viewer/command/records_files.h"

#include <algorithm>

#include <fmt/format.h>

#include "solver/circuit/toml_file.h"
#include "viewer/command/files.h"

namespace lostvolts {
namespace {

namespace fs = std::filesystem;

std::string ending_of(const fs::path& path) {
    std::string ending = path.extension().string();
    for (char& c : ending)
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    return ending;
}

class Sorter {
  public:
    Sorter(JobToKeep& job, Problems& remarks) : job_(job), remarks_(remarks) {}

    void file(const fs::path& path) {
        if (path == "-")
            return problems_.push_back({"standard input",
                                        {},
                                        "can't be kept: a job is made of files",
                                        "save it to a file and give its name",
                                        ""});
        const std::string ending = ending_of(path);
        if (ending == ".toml") return toml(path);
        const auto is_one_of = [&](std::initializer_list<std::string_view> endings) {
            return std::find(endings.begin(), endings.end(), ending) != endings.end();
        };
        (is_one_of({".csv", ".tsv"})            ? job_.captures
         : is_one_of({".html", ".htm", ".pdf"}) ? job_.reports
         : is_one_of({".txt", ".md"})           ? job_.notes
                                                : job_.others)
            .push_back(path);
    }

    void folder(const fs::path& path) {
        std::vector<fs::path> files;
        std::error_code error;
        for (fs::directory_iterator at(path, error), end; !error && at != end; at.increment(error)) {
            std::error_code ignored;
            const fs::path name = at->path().filename();
            if (name.string().starts_with('.')) continue;
            if (fs::is_regular_file(at->symlink_status(ignored)))
                files.push_back(at->path());
            else
                remarks_.push_back({at->path().string(),
                                    {},
                                    "is left out: of a folder its plain files are kept",
                                    "give it by its own name to keep it",
                                    ""});
        }
        if (error)
            problems_.push_back(
                {path.string(), {}, fmt::format("can't be read: {}", error.message()), "", ""});
        std::sort(files.begin(), files.end());
        for (const fs::path& each : files) each.filename() == job_file ? words_of(each) : file(each);
    }

    Problems finish() {
        // A circuit that readings name comes with them; of the others there can be one.
        if (circuits_.size() > 1 && job_.readings.empty())
            problems_.push_back({circuits_[1].string(),
                                 {},
                                 "is a second circuit; a job is on one",
                                 "keep a job for each",
                                 ""});
        if (!circuits_.empty()) job_.circuit = circuits_.front();
        return problems_;
    }

  private:
    void toml(const fs::path& path) {
        const auto text = read_text_file(path);
        if (!text)
            problems_.insert(problems_.end(), text.problems().begin(), text.problems().end());
        else if (kind_of_text(*text) == FileKind::readings)
            job_.readings.push_back(path);
        else
            circuits_.push_back(path);
    }

    void words_of(const fs::path& path) {
        const auto text = read_text_file(path);
        const auto job = text ? read_job(*text, path.string()) : Result<Job>(text.problems());
        if (!job) return;
        JobWords& w = job_.words;
        const auto lacking = [](std::string& word, const std::string& other) {
            if (word.empty()) word = other;
        };
        lacking(w.title, job->words.title);
        lacking(w.machine, job->words.machine);
        lacking(w.date, job->words.date);
        lacking(w.complaint, job->words.complaint);
        lacking(w.finding, job->words.finding);
        if (w.labels.empty()) w.labels = job->words.labels;
        if (w.known == Known::unsaid) w.known = job->words.known;
    }

    JobToKeep& job_;
    Problems& remarks_;
    Problems problems_;
    std::vector<fs::path> circuits_;
};

} // namespace

Problems sort_files(const std::vector<std::string>& files, JobToKeep& job, Problems& remarks) {
    Sorter sorter(job, remarks);
    for (const std::string& file : files) {
        std::error_code ignored;
        if (fs::is_directory(file, ignored))
            sorter.folder(file);
        else
            sorter.file(file);
    }
    return sorter.finish();
}

} // namespace lostvolts

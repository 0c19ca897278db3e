#include "solver/records/records.h"

#include <algorithm>
#include <cerrno>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "solver/circuit/edit.h"
#include "solver/records/index.h"
#include "solver/records/with_index.h"

namespace lostvolts {
namespace {

namespace fs = std::filesystem;
constexpr std::size_t short_id = 8; // hexadecimal digits

Result<std::int64_t> one_by_name(const Store& store, Index& index, const std::string& name) {
    const auto found = index.by_name(name);
    if (found.size() == 1) return found[0];
    if (found.empty())
        return Problem{store.folder.string(),
                       {},
                       fmt::format("there is no job \"{}\"", name),
                       "lostvolts records find  lists the jobs with their ids",
                       ""};
    std::vector<std::string> folders;
    for (const std::int64_t number : found)
        if (folders.size() < 5) folders.push_back(index.fresh(number).folder);
    return Problem{store.folder.string(),
                   {},
                   fmt::format("{} jobs are called \"{}\"", found.size(), name),
                   fmt::format("give more of the id, or the folder's name: {}", fmt::join(folders, ", ")),
                   ""};
}

/// A mended or new job.toml is written beside the old one and renamed over it.
Result<JobShown> shown(const Store& store, const JobRow& row) {
    if (row.state == JobState::missing) return trouble_of(store, row);
    FolderRead read = read_folder(store, row.folder);
    JobShown result{read.row, read.job, store.jobs() / row.folder, std::move(read.remarks)};
    if (read.row.state != JobState::whole)
        result.remarks.insert(result.remarks.begin(), trouble_of(store, read.row));
    return result;
}

} // namespace

Problem trouble_of(const Store& store, const JobRow& row) {
    Problem problem{(store.jobs() / row.folder).string(), {}, {}, {}, ""};
    if (row.state == JobState::missing) {
        problem.what = fmt::format("job {} is gone: {}", row.id, row.trouble);
        problem.write = "put the folder back, or  lostvolts records rebuild --forget  no longer names it";
    } else {
        problem.what = fmt::format("job {} is damaged: {}", row.id, row.trouble);
        problem.write = "put the file back or mend it; the rest of the job is untouched";
    }
    return problem;
}

Result<AddedJob> add_job(const fs::path& folder, const JobToKeep& what, bool again) {
    const auto made = make_store(folder);
    if (!made) return made.problems();
    auto prepared = prepare_job(*made, what);
    if (!prepared) return prepared.problems();
    Problems remarks = std::move(prepared->remarks);
    AddedJob added;
    bool placed = false;
    // Nobody else adds or changes a job until this one stands. Taken before the index is opened, here and in
    // change_job(): one order of locks.
    const auto alone = FolderLock::wait(made->jobs(), FolderLock::Kind::alone);
    if (!alone) return trouble_with(made->jobs(), "the job was not kept", EBUSY);
    const auto result =
        with_index<bool>(folder, remarks, [&](const Store& store, Index& index) -> Result<bool> {
            if (!placed) {
                Job& job = prepared->job;
                if (const auto same = index.folder_with(job.content); same && !again) {
                    added.row = read_folder(store, *same).row;
                    added.was_there = true;
                    return true;
                }
                const std::string start = job.content.substr(0, short_id);
                job.id = start;
                for (int n = 2; index.has_id(job.id); ++n) job.id = fmt::format("{}-{}", start, n);
                if (const auto written = prepared->folder.write(job_file, write_job(job)); !written)
                    return written.problems();
                const std::string name = folder_name(job.words, job.id);
                if (const auto put = prepared->folder.put(store, name); !put) return put.problems();
                placed = true;
                added.row = read_folder(store, name).row;
            }
            index.put(read_folder(store, added.row.folder));
            return true;
        });
    // Once the folder stands the job is kept; an index that could not be written follows later.
    if (!result && !placed) return result.problems();
    if (!result) {
        Problem late = result.problems().front();
        late.what = "the job is kept, and the index will follow: " + late.what;
        remarks.push_back(std::move(late));
    }
    added.remarks = std::move(remarks);
    return added;
}

Result<JobsFound> find_jobs(const fs::path& folder, const JobQuery& query) {
    Problems remarks;
    auto found =
        with_index<JobsFound>(folder, remarks, [&](const Store& store, Index& index) -> Result<JobsFound> {
            JobsFound result;
            const SearchHits hits = index.search(query);
            result.all = hits.all;
            result.jobs = index.jobs();
            for (const std::int64_t number : hits.numbers) result.rows.push_back(index.fresh(number));
            for (const JobRow& row : index.not_whole()) result.not_whole.push_back(trouble_of(store, row));
            return result;
        });
    if (found) found->remarks = std::move(remarks);
    return found;
}

Result<JobShown> show_job(const fs::path& folder, const std::string& name) {
    Problems remarks;
    auto result =
        with_index<JobShown>(folder, remarks, [&](const Store& store, Index& index) -> Result<JobShown> {
            const auto number = one_by_name(store, index, name);
            if (!number) return number.problems();
            return shown(store, index.fresh(*number));
        });
    if (result) result->remarks.insert(result->remarks.end(), remarks.begin(), remarks.end());
    return result;
}

Result<JobShown> change_job(const fs::path& folder, const std::string& name, const JobChanges& changes) {
    Problems remarks;
    const auto there = open_store(folder);
    if (!there) return there.problems();
    const auto alone = FolderLock::wait(there->jobs(), FolderLock::Kind::alone);
    if (!alone) return trouble_with(there->jobs(), "the job was not changed", EBUSY);
    return with_index<JobShown>(folder, remarks, [&](const Store& store, Index& index) -> Result<JobShown> {
        const auto number = one_by_name(store, index, name);
        if (!number) return number.problems();
        const JobRow row = index.fresh(*number);
        if (row.state == JobState::missing) return trouble_of(store, row);
        const fs::path file = store.jobs() / row.folder / job_file;
        const auto text = read_text_file(file);
        if (!text) return text.problems();
        const auto job = read_job(*text, file.string());
        if (!job) return job.problems();

        JobWords words = job->words;
        std::vector<ValueEdit> edits;
        const auto set = [&](const char* key, std::string& word, const std::optional<std::string>& to) {
            if (!to) return;
            word = *to;
            edits.push_back({"", "", key, *to});
        };
        set("title", words.title, changes.title);
        set("machine", words.machine, changes.machine);
        set("date", words.date, changes.date);
        set("complaint", words.complaint, changes.complaint);
        set("finding", words.finding, changes.finding);
        if (changes.known) {
            words.known = *changes.known;
            edits.push_back({"", "", "known", std::string(name_of(words.known))});
        }
        for (const std::string& label : changes.labels_off) {
            if (std::erase(words.labels, label) > 0) continue;
            return Problem{file.string(),
                           {},
                           fmt::format("has no label \"{}\"", label),
                           words.labels.empty() ? "it has no labels"
                                                : fmt::format("it has {}", fmt::join(words.labels, ", ")),
                           ""};
        }
        for (const std::string& label : changes.labels)
            if (std::find(words.labels.begin(), words.labels.end(), label) == words.labels.end())
                words.labels.push_back(label);
        if (!changes.labels.empty() || !changes.labels_off.empty())
            edits.push_back({"", "", "labels", fmt::format("{}", fmt::join(words.labels, ", "))});
        if (Problems problems = mistakes_in(words); !problems.empty()) return problems;
        if (!edits.empty()) {
            const auto edited = edit_values(*text, edits, file.string());
            if (!edited) return edited.problems();
            if (const auto saved = replace_text_file(file, *edited); !saved) return saved.problems();
            if (index.writable()) index.put(read_folder(store, row.folder));
        }
        return shown(store, row);
    });
}

Result<StoreRebuilt> rebuild_index(const fs::path& folder, bool forget) {
    Problems remarks;
    return with_index<StoreRebuilt>(
        folder, remarks, [&](const Store& store, Index& index) -> Result<StoreRebuilt> {
            if (!index.writable())
                return Problem{
                    store.index().string(),
                    {},
                    "the index can't be written: you may not write there, or the disk is full or read-only",
                    "reading goes on without it, only more slowly",
                    ""};
            index.rebuild(forget);
            StoreRebuilt result;
            result.jobs = index.jobs();
            for (const JobRow& row : index.not_whole()) result.not_whole.push_back(trouble_of(store, row));
            return result;
        });
}

Result<std::vector<JobWithFigures>> export_jobs(const fs::path& folder, const JobQuery& query) {
    Problems remarks;
    using All = std::vector<JobWithFigures>;
    return with_index<All>(folder, remarks, [&](const Store&, Index& index) -> Result<All> {
        All all;
        for (const std::int64_t number : index.search(query).numbers)
            all.push_back({index.fresh(number), index.figures_of_row(number)});
        return all;
    });
}

} // namespace lostvolts

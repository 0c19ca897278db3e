// lostvolts records add|find|show|label|baseline|export|rebuild: keep jobs, find them again, compare with
// known good.

#include <algorithm>
#include <memory>

#include <fmt/format.h>

#include "solver/circuit/toml_file.h"
#include "viewer/command/capture_options.h"
#include "viewer/command/commands.h"
#include "viewer/command/options.h"
#include "viewer/command/problems.h"
#include "viewer/command/records_baseline.h"
#include "viewer/command/records_files.h"
#include "viewer/command/records_options.h"
#include "viewer/command/records_text.h"
#include "viewer/command/style.h"
#include "viewer/command/today.h"

namespace lostvolts {
namespace {

/// Remarks and jobs that are not whole, for stderr.
std::string aside(const Problems& problems) { return problems.empty() ? "" : report_problems(problems); }

struct AddOptions : StoreOptions {
    std::vector<std::string> files;
    JobToKeep job;
    std::string known;
    bool again = false;
};

Answer add(AddOptions o, const Screen& screen) {
    const auto store = o.store_of(screen);
    if (!store) return refuse(exit_bad_input, store.problems(), o.json);
    if (const auto known = read_known(o.known))
        o.job.words.known = *known;
    else
        return refuse(exit_bad_input, {unknown_known(o.known)}, o.json);
    Problems left_out;
    if (const Problems problems = sort_files(o.files, o.job, left_out); !problems.empty())
        return refuse(exit_bad_input, problems, o.json);
    if (o.job.words.date.empty()) o.job.words.date = today();
    o.job.version = LOSTVOLTS_VERSION;
    auto added = add_job(*store, o.job, o.again);
    if (!added) return refuse(exit_bad_input, added.problems(), o.json);
    added->remarks.insert(added->remarks.begin(), left_out.begin(), left_out.end());

    Answer answer;
    const JobRow& row = added->row;
    if (o.json) {
        Json json = json_of(row);
        json["path"] = (*store / "jobs" / row.folder).string();
        json["was_there"] = added->was_there;
        json["remarks"] = json_of(added->remarks);
        answer.out = written(json);
    } else if (added->was_there) {
        answer.out =
            wrapped(fmt::format("The same readings are kept already, as job {} of {} (\"{}\"); nothing was "
                                "copied. Its words change with  lostvolts records label {}; --again keeps "
                                "them a second time.",
                                row.id, row.words.date, row.words.title, row.id),
                    screen.columns) +
            '\n';
    } else {
        answer.out = strong(fmt::format("Kept as job {}", row.id)) + '\n';
        answer.out += wrapped(row.words.title, screen.columns, 2, 4) + '\n';
        if (const std::string line = verdict_line(row.verdict); !line.empty())
            answer.out += wrapped("located: " + line, screen.columns, 2, 4) + '\n';
        answer.out += wrapped((*store / "jobs" / row.folder).string(), screen.columns, 2, 4) + '\n';
    }
    if (!o.json) answer.err = aside(added->remarks);
    if (o.strict && added->was_there) answer.code = exit_finding;
    return answer;
}

Answer find(const FindOptions& o, const Screen& screen) {
    const auto store = o.store_of(screen);
    if (!store) return refuse(exit_bad_input, store.problems(), o.json);
    const auto query = o.query();
    if (!query) return refuse(exit_bad_input, query.problems(), o.json);
    const auto found = find_jobs(*store, *query);
    if (!found) return refuse(exit_bad_input, found.problems(), o.json);
    Answer answer;
    if (o.json) {
        Json jobs = Json::array();
        for (const JobRow& row : found->rows) jobs.push_back(json_of(row));
        answer.out = written({{"fitting", found->all},
                              {"kept", found->jobs},
                              {"jobs", std::move(jobs)},
                              {"not_whole", json_of(found->not_whole)},
                              {"remarks", json_of(found->remarks)}});
    } else {
        answer.out = found_text(*found, *query, screen.columns);
        answer.err = aside(found->remarks) + aside(found->not_whole);
    }
    if (o.strict && (found->all == 0 || !found->not_whole.empty())) answer.code = exit_finding;
    return answer;
}

Answer show_one(const Result<JobShown>& shown, const StoreOptions& o, const Screen& screen) {
    if (!shown) return refuse(exit_bad_input, shown.problems(), o.json);
    Answer answer;
    answer.out = o.json ? written(json_of(*shown)) : shown_text(*shown, screen.columns);
    if (!o.json) answer.err = aside(shown->remarks);
    if (o.strict && !shown->remarks.empty()) answer.code = exit_finding;
    return answer;
}

struct LabelOptions : StoreOptions {
    std::string job, known;
    JobChanges changes;
};

Answer label(LabelOptions o, const Screen& screen) {
    const auto store = o.store_of(screen);
    if (!store) return refuse(exit_bad_input, store.problems(), o.json);
    if (!o.known.empty()) {
        o.changes.known = read_known(o.known);
        if (!o.changes.known) return refuse(exit_bad_input, {unknown_known(o.known)}, o.json);
    }
    return show_one(change_job(*store, o.job, o.changes), o, screen);
}

struct ExportOptions : FindOptions {
    std::string file;
};

Answer export_csv(const ExportOptions& o, const Screen& screen) {
    const auto store = o.store_of(screen);
    if (!store) return refuse(exit_bad_input, store.problems(), o.json);
    auto query = o.query();
    if (!query) return refuse(exit_bad_input, query.problems(), o.json);
    query->most = 0;
    const auto jobs = export_jobs(*store, *query);
    if (!jobs) return refuse(exit_bad_input, jobs.problems(), o.json);
    const std::string csv = jobs_csv(*jobs);
    if (!o.file.empty())
        if (const auto saved = replace_text_file(o.file, csv); !saved)
            return refuse(exit_bad_input, saved.problems(), o.json);
    if (o.json) {
        Json all = Json::array();
        for (const JobWithFigures& job : *jobs) all.push_back(json_of(job));
        return {exit_done,
                written({{"file", o.file.empty() ? Json() : Json(o.file)}, {"jobs", std::move(all)}}),
                {}};
    }
    if (o.file.empty()) return {exit_done, csv, {}};
    return {exit_done, fmt::format("{}: {} job{}\n", o.file, jobs->size(), jobs->size() == 1 ? "" : "s"), {}};
}

struct RebuildOptions : StoreOptions {
    bool forget = false;
};

Answer rebuild(const RebuildOptions& o, const Screen& screen) {
    const auto store = o.store_of(screen);
    if (!store) return refuse(exit_bad_input, store.problems(), o.json);
    const auto rebuilt = rebuild_index(*store, o.forget);
    if (!rebuilt) return refuse(exit_bad_input, rebuilt.problems(), o.json);
    Answer answer;
    if (o.json)
        answer.out = written({{"jobs", rebuilt->jobs}, {"not_whole", json_of(rebuilt->not_whole)}});
    else
        answer.out = fmt::format("{} job{}, {} damaged or gone\n", rebuilt->jobs,
                                 rebuilt->jobs == 1 ? "" : "s", rebuilt->not_whole.size());
    if (!o.json) answer.err = aside(rebuilt->not_whole);
    if (o.strict && !rebuilt->not_whole.empty()) answer.code = exit_finding;
    return answer;
}

using Actions = std::vector<Command>;

Command add_add(CLI::App& records) {
    auto o = std::make_shared<AddOptions>();
    CLI::App& app =
        add_command(records, "add", "keep a job: copies its files into the store and notes what they tell");
    add_file(app, "FILE", o->files, FileUse::read,
             "readings, circuit, captures (.csv), report, notes, pictures; or a folder of them", "",
             Needed::yes);
    JobWords& w = o->job.words;
    add_option(app, "--title", w.title, "what the job is called; without it, the circuit's name", "TEXT");
    add_option(app, "--machine", w.machine, "which machine", "TEXT");
    add_option(app, "--date", w.date, "when it was measured; without it, today", "DATE");
    add_option(app, "--label", w.labels, "a word to find it by (may be given again)", "LABEL");
    add_option(app, "--complaint", w.complaint, "what the driver or customer said", "TEXT");
    add_option(app, "--finding", w.finding, "what it was and what was done", "TEXT");
    add_option(app, "--known", o->known,
               "good or bad: was the machine sound when this was measured? Baselines are made of good ones",
               "GOOD|BAD");
    add_option(app, "--note", o->job.note, "notes to keep beside it", "TEXT");
    add_option(app, "--motor", o->job.motor,
               "the motor that the captures are of, when the circuit has several", "NAME");
    add_capture_options(app, o->job.capture);
    add_flag(app, "--again", o->again, "keep it although the same readings are kept already");
    add_store_options(app, *o, "exit with 1 when it was kept already");
    add_footer(app,
               "Example: lostvolts records add readings.toml start.csv --machine \"sprayer 7\" --complaint "
               "\"jet falls short\"");
    return {&app, [o](const Screen& screen) { return add(*o, screen); }};
}

Command add_find(CLI::App& records) {
    auto o = std::make_shared<FindOptions>();
    CLI::App& app = add_command(records, "find", "jobs by any word, label, machine, part, fault or date");
    add_find_options(app, *o);
    add_option(app, "--most", o->most, "how many to list; 20", "N", Between{1, 1000000});
    add_store_options(app, *o, "exit with 1 when none fits, or a job is damaged or gone");
    add_footer(app, "Example: lostvolts records find ground corroded --machine sprayer --from 2026-01-01");
    return {&app, [o](const Screen& screen) { return find(*o, screen); }};
}

Command add_show(CLI::App& records) {
    struct Options : StoreOptions {
        std::string job;
    };
    auto o = std::make_shared<Options>();
    CLI::App& app =
        add_command(records, "show", "one job: complaint, what it was, what was measured, its files");
    add_argument(app, "JOB", o->job, "its id or the beginning of it, or its folder's name", Needed::yes);
    add_store_options(app, *o, "exit with 1 when something of it is changed or damaged");
    add_footer(app, "Example: lostvolts records show 3f2a9c1b");
    return {&app, [o](const Screen& screen) {
                const auto store = o->store_of(screen);
                if (!store) return refuse(exit_bad_input, store.problems(), o->json);
                return show_one(show_job(*store, o->job), *o, screen);
            }};
}

Command add_label(CLI::App& records) {
    auto o = std::make_shared<LabelOptions>();
    CLI::App& app = add_command(records, "label", "give a kept job labels, or other words than it has");
    add_argument(app, "JOB", o->job, "its id or the beginning of it, or its folder's name", Needed::yes);
    add_argument(app, "LABEL", o->changes.labels, "labels to add", Needed::no);
    add_option(app, "--off", o->changes.labels_off, "a label to take off (may be given again)", "LABEL");
    JobChanges& c = o->changes;
    add_option(app, "--title", c.title, "a new title", "TEXT");
    add_option(app, "--machine", c.machine, "which machine", "TEXT");
    add_option(app, "--date", c.date, "when it was measured", "DATE");
    add_option(app, "--complaint", c.complaint, "what the driver or customer said", "TEXT");
    add_option(app, "--finding", c.finding, "what it was and what was done", "TEXT");
    add_option(app, "--known", o->known, "good, bad or unsaid", "WORD");
    add_store_options(app, *o, "exit with 1 when something of it is changed or damaged");
    add_footer(app,
               "Example: lostvolts records label 3f2a9c1b orchard --finding \"rust under the ring terminal; "
               "cleaned\"");
    return {&app, [o](const Screen& screen) { return label(*o, screen); }};
}

Command add_export(CLI::App& records) {
    auto o = std::make_shared<ExportOptions>();
    CLI::App& app = add_command(records, "export", "a table of jobs as CSV, a line each");
    add_find_options(app, *o);
    add_file(app, "-o,--output", o->file, FileUse::replaced,
             "write it here; without it, to the standard output", "FILE");
    add_store_options(app, *o, "");
    add_footer(app, "Example: lostvolts records export --from 2026-01-01 -o jobs.csv");
    return {&app, [o](const Screen& screen) { return export_csv(*o, screen); }};
}

Command add_rebuild(CLI::App& records) {
    auto o = std::make_shared<RebuildOptions>();
    CLI::App& app = add_command(records, "rebuild", "make the index anew from the jobs' folders");
    add_flag(app, "--forget", o->forget, "no longer name jobs whose folder is gone");
    add_store_options(app, *o, "exit with 1 when a job is damaged or gone");
    add_footer(app, "Example: lostvolts records rebuild");
    return {&app, [o](const Screen& screen) { return rebuild(*o, screen); }};
}

} // namespace

Command add_records(CLI::App& program) {
    CLI::App& app = add_group(program, "records", "keep jobs, find them again, compare with known good");
    add_footer(app,
               "A job is a folder of plain files. They stand below --store, else $LOSTVOLTS_RECORDS, else "
               "~/.local/share/lostvolts.");
    auto commands = std::make_shared<Actions>();
    for (const auto add_one :
         {add_add, add_find, add_show, add_label, add_records_baseline, add_export, add_rebuild})
        commands->push_back(add_one(app));
    return {&app, [&app, commands](const Screen& screen) {
                for (const Command& command : *commands)
                    if (is_called(*command.app)) return command.action(screen);
                return Answer{exit_done, help_text(app, screen.columns), {}};
            }};
}

} // namespace lostvolts

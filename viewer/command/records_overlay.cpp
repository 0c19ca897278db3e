#include "viewer/command/records_overlay.h"

#include <algorithm>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "viewer/command/capture_options.h"

namespace lostvolts {
namespace {

constexpr std::size_t most_starts = 8; // more lines on one another tell no more

bool is_off(const Judged& j) { return j.judgement == Judgement::low || j.judgement == Judgement::high; }

std::string range_of(const Usual& u) {
    return fmt::format("{} to {}", show_figure(u.what, u.low), show_figure(u.what, u.high));
}

/// The words that a feature has in traces_of() begin so.
bool tells(const TraceFeature& feature, const std::string& what) {
    const auto begins = [&](std::string_view words) { return feature.words.starts_with(words); };
    return (what == "run current" && begins("runs at ")) || (what == "sag" && begins("lowest ")) ||
           (what == "speed" && begins("one turn "));
}

} // namespace

Result<SeenStart> see_start(const StartSource& source) {
    auto capture = read_capture(source.file, source.how);
    if (!capture) return capture.problems();
    auto waveform = analyse(*capture, source.options);
    if (!waveform) return waveform.problems();
    return SeenStart{"", *std::move(capture), *std::move(waveform)};
}

std::vector<SeenStart> good_starts(const std::filesystem::path& store, const std::string& drawing,
                                   const std::string& leave_out, const StartSource& like, Problems& remarks) {
    std::vector<SeenStart> all;
    JobQuery query;
    query.drawing = drawing;
    query.known = Known::good;
    query.most = 0;
    const auto found = find_jobs(store, query);
    if (!found) return all;
    for (const JobRow& row : found->rows) {
        if (all.size() == most_starts) break;
        if (row.id == leave_out || row.state != JobState::whole) continue;
        const auto shown = show_job(store, row.folder);
        if (!shown) continue;
        for (const KeptFile& file : shown->job.files) {
            const bool of_motor =
                std::any_of(shown->job.figures.begin(), shown->job.figures.end(), [&](const KeptFigure& f) {
                    return f.source == file.name && f.where == like.motor;
                });
            if (file.role != FileRole::capture || !of_motor || all.size() == most_starts) continue;
            StartSource source{(shown->folder / file.name).string(), like.motor, {}, like.options};
            take_kept_options(shown->job.capture_options, source.how);
            if (auto seen = see_start(source)) {
                seen->job = row.id;
                all.push_back(*std::move(seen));
            } else
                remarks.insert(remarks.end(), seen.problems().begin(), seen.problems().end());
        }
    }
    return all;
}

TracesView over_good_starts(const SeenStart& seen, const std::vector<SeenStart>& good,
                            const std::vector<Judged>& judged) {
    TracesView view = traces_of(seen.capture, seen.waveform);
    const std::string name = view.title;
    std::vector<std::string> jobs;
    for (const SeenStart& one : good)
        if (std::find(jobs.begin(), jobs.end(), one.job) == jobs.end()) jobs.push_back(one.job);
    const std::string kept = good.size() == 1 ? "a kept good start" : "kept good starts";
    for (const SeenStart& one : good) add_capture(view, one.capture, one.waveform, kept);
    for (TracePanel& panel : view.panels) {
        // All the good ones look alike; this one lies above them.
        for (Trace& trace : panel.traces)
            if (trace.name == kept) trace.ink = Ink::predicted, trace.dash = Dash::solid;
        panel.traces.front().name = name;
        std::rotate(panel.traces.begin(), panel.traces.begin() + 1, panel.traces.end());
    }
    view.title = good.empty() ? name + ", beside no kept good start"
                              : fmt::format("{} over {} good start{} kept in job{} {}", name, good.size(),
                                            good.size() == 1 ? "" : "s", jobs.size() == 1 ? "" : "s",
                                            fmt::join(jobs, ", "));
    std::vector<std::string> off;
    std::size_t known = 0;
    for (const Judged& j : judged) {
        known += j.judgement != Judgement::unknown;
        if (!is_off(j)) continue;
        const std::string_view word = j.judgement == Judgement::low ? "low" : "high";
        off.push_back(fmt::format("{} {} is {} (usual {})", j.figure.what,
                                  show_figure(j.figure.what, j.figure.value), word, range_of(*j.usual)));
        for (TracePanel& panel : view.panels)
            for (TraceFeature& feature : panel.features)
                if (tells(feature, j.figure.what)) feature.words += fmt::format(": {}", word);
    }
    if (!off.empty())
        view.says = fmt::format("Not as usual: {}.", fmt::join(off, "; "));
    else if (known > 0)
        view.says = fmt::format("As usual in all {} figures that can be judged: {}.", known, view.says);
    else
        view.says = fmt::format("Too few good jobs to judge by: {}.", view.says);
    return view;
}

} // namespace lostvolts

#include "viewer/command/records_options.h"
#include "viewer/command/options.h"

#include <fmt/format.h>

namespace lostvolts {

Result<std::filesystem::path> StoreOptions::store_of(const Screen& screen) const {
    if (!store.empty()) return std::filesystem::path(store);
    if (!screen.kept_jobs.empty()) return std::filesystem::path(screen.kept_jobs);
    return Problem{"", {}, "it is not known where jobs are kept", "say so with  --store FOLDER", ""};
}

void add_store_options(CLI::App& app, StoreOptions& o, const char* strict_means) {
    add_file(app, "--store", o.store, FileUse::folder, "the folder where jobs are kept", "FOLDER");
    add_flag(app, "--json", o.json, "answer as JSON");
    if (*strict_means) add_flag(app, "--strict", o.strict, strict_means);
}

void add_find_options(CLI::App& app, FindOptions& o) {
    add_argument(app, "WORD", o.words, "words or their beginnings, anywhere in the job; all have to be there",
                 Needed::no);
    add_option(app, "--label", o.labels, "with this label (may be given again)", "LABEL");
    add_option(app, "--machine", o.machine, "words of the machine's name", "WORDS");
    add_option(app, "--part", o.part, "a part of the circuit; those where it was at fault come first",
               "WORDS");
    add_option(app, "--fault", o.fault, "words of what was located or found", "WORDS");
    add_option(app, "--from", o.from, "from this day on: 2026-11-25, 2026-11 or 2026", "DATE");
    add_option(app, "--to", o.to, "up to this day, month or year", "DATE");
    add_option(app, "--known", o.known, "good or bad ones only", "GOOD|BAD");
}

Result<JobQuery> FindOptions::query() const {
    JobQuery q;
    Problems problems;
    q.words = words;
    q.labels = labels;
    q.machine = machine;
    q.part = part;
    q.fault = fault;
    q.most = static_cast<std::size_t>(most);
    const auto date = [&](const char* option, const std::string& text, bool end) {
        const bool digits = text.find_first_not_of("0123456789-") == std::string::npos;
        if (text.empty() || (digits && text.size() == 10 && is_date(text))) return text;
        const std::string whole = text.size() == 4 ? text + "-01-01" : text.size() == 7 ? text + "-01" : "";
        if (!digits || whole.empty() || !is_date(whole)) {
            problems.push_back({"",
                                {},
                                fmt::format("{} \"{}\" is no date", option, text),
                                "write 2026-11-25, 2026-11 or 2026",
                                ""});
            return text;
        }
        return end ? text + "-99" : text; // compared as texts: after every day of that month or year
    };
    q.from = date("--from", from, false);
    q.to = date("--to", to, true);
    if (const auto read = read_known(known))
        q.known = *read;
    else
        problems.push_back(unknown_known(known));
    if (!problems.empty()) return problems;
    return q;
}

std::optional<Known> read_known(const std::string& word) {
    if (word.empty() || word == "unsaid") return Known::unsaid;
    if (word == "good") return Known::good;
    if (word == "bad") return Known::bad;
    return std::nullopt;
}

Problem unknown_known(const std::string& word) {
    return {"", {}, fmt::format("--known \"{}\" is not understood", word), "write good, bad or unsaid", ""};
}

} // namespace lostvolts

// From a person's words to an FTS5 query, and the jobs that fit, best first.

#include <algorithm>

#include <fmt/format.h>

#include "solver/records/index.h"

namespace lostvolts {
namespace {

// What a word weighs by where it stands: title, machine, labels, finding, faults, complaint, parts, notes.
// Every job on a circuit has all of its parts, so a part's name says little there. Own choice.
constexpr const char* weights = "bm25(words, 8, 6, 8, 6, 8, 4, 1, 2)";

/// Whether the tokenizer finds anything in it: a letter or digit, or whatever is not ASCII.
bool has_token(const std::string& word) {
    return std::any_of(word.begin(), word.end(), [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
               static_cast<unsigned char>(c) >= 0x80;
    });
}

/// As an FTS5 string: nothing in it has a meaning but its letters.
std::string quoted(const std::string& words) {
    std::string text = "\"";
    for (const char c : words) {
        if (c == '\0') continue;
        if (c == '"') text += '"';
        text += c;
    }
    return text + "\"";
}

std::string match_of(const JobQuery& q) {
    std::string match;
    const auto add = [&](const char* columns, const std::string& words) {
        if (has_token(words))
            match += fmt::format("{}({}{}*)", match.empty() ? "" : " AND ", columns, quoted(words));
    };
    for (const std::string& word : q.words) add("", word);
    add("machine : ", q.machine);
    add("{faults finding parts} : ", q.part);
    add("{faults finding} : ", q.fault);
    return match;
}

std::string ascii_lower(std::string text) {
    for (char& c : text)
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    return text;
}

} // namespace

SearchHits Index::search(const JobQuery& q) {
    const std::string match = match_of(q);
    const bool filtered = !q.labels.empty() || !q.from.empty() || !q.to.empty() || q.known != Known::unsaid ||
                          !q.drawing.empty();
    std::string sql = match.empty()
                          ? "SELECT number, 0.0 FROM job"
                          : fmt::format("SELECT words.rowid, {} FROM words {} WHERE words MATCH ?1", weights,
                                        filtered ? "JOIN job ON number = words.rowid" : "");
    std::vector<std::string> texts{match};
    const auto where = [&](const std::string& condition, const std::string& text) {
        texts.push_back(text);
        sql += fmt::format(" {} {}", texts.size() == 2 && match.empty() ? "WHERE" : "AND",
                           fmt::format(fmt::runtime(condition), texts.size()));
    };
    for (const std::string& label : q.labels)
        where("instr(', ' || lower(job.labels) || ', ', ', ' || ?{} || ', ') > 0", ascii_lower(label));
    if (!q.from.empty()) where("date >= ?{}", q.from);
    if (!q.to.empty()) where("date <= ?{}", q.to);
    if (q.known != Known::unsaid)
        where("known = CAST(?{} AS INTEGER)", std::to_string(static_cast<int>(q.known)));
    if (!q.drawing.empty()) where("drawing = ?{}", q.drawing);
    if (match.empty()) sql += " ORDER BY date DESC, number";

    struct Hit {
        std::int64_t number;
        double rank;
        std::string date{};
    };
    std::vector<Hit> hits;
    Statement all(database_, sql);
    for (std::size_t k = match.empty() ? 1 : 0; k < texts.size(); ++k) all.set(static_cast<int>(k), texts[k]);
    while (all.step()) hits.push_back({all.whole(0), all.real(1)});

    SearchHits found;
    found.all = hits.size();
    const std::size_t most = q.most == 0 ? hits.size() : std::min(q.most, hits.size());
    if (!match.empty() && most > 0) {
        // Dates decide among equals only: they are looked up for what may still be shown.
        const auto last = hits.begin() + static_cast<std::ptrdiff_t>(most - 1);
        std::nth_element(hits.begin(), last, hits.end(),
                         [](const Hit& a, const Hit& b) { return a.rank < b.rank; });
        const double worst = last->rank;
        std::erase_if(hits, [worst](const Hit& h) { return h.rank > worst; });
        Statement date(database_, "SELECT date FROM job WHERE number = ?");
        for (Hit& hit : hits) {
            if (date.set(0, hit.number).step()) hit.date = date.text(0);
            date.again();
        }
        std::sort(hits.begin(), hits.end(), [](const Hit& a, const Hit& b) {
            if (a.rank != b.rank) return a.rank < b.rank;
            return a.date != b.date ? a.date > b.date : a.number < b.number;
        });
    }
    for (std::size_t k = 0; k < most; ++k) found.numbers.push_back(hits[k].number);
    return found;
}

} // namespace lostvolts

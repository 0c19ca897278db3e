#include "solver/records/index.h"

#include <chrono>
#include <thread>
#include <unordered_map>

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <unistd.h>

namespace lostvolts {
namespace {

constexpr int most_tries = 500;   // of opening, ten milliseconds apart
constexpr int schema_version = 1; // another one in the file: it is made again from the folders

constexpr const char* schema = R"(
CREATE TABLE state(key TEXT PRIMARY KEY, value INTEGER);
CREATE TABLE job(number INTEGER PRIMARY KEY, folder TEXT NOT NULL UNIQUE, id TEXT NOT NULL, title TEXT, machine TEXT,
                 date TEXT, labels TEXT, known INTEGER, complaint TEXT, finding TEXT, circuit TEXT,
                 readings TEXT, verdict TEXT, part TEXT, fault TEXT, size TEXT, probability REAL,
                 content TEXT, drawing TEXT, whole INTEGER, trouble TEXT, stamp INTEGER);
CREATE INDEX job_id ON job(id);
CREATE INDEX job_content ON job(content);
CREATE INDEX job_drawing ON job(drawing);
CREATE INDEX job_date ON job(date);
CREATE INDEX job_trouble ON job(whole) WHERE whole <> 0;
CREATE TABLE figure(number INTEGER, what TEXT, place TEXT, value REAL, source TEXT);
CREATE INDEX figure_number ON figure(number);
CREATE VIRTUAL TABLE words USING fts5(title, machine, labels, finding, faults, complaint, parts, notes,
                                      tokenize = "unicode61 remove_diacritics 2");
)";

constexpr const char* drop_all = R"(
DROP TABLE IF EXISTS words; DROP TABLE IF EXISTS figure; DROP TABLE IF EXISTS job; DROP TABLE IF EXISTS state;
)";

constexpr const char* job_columns =
    "folder, id, title, machine, date, labels, known, complaint, finding, circuit, readings, verdict, part, "
    "fault, size, probability, content, drawing, whole, trouble";

std::string joined(const std::vector<std::string>& labels) {
    return fmt::format("{}", fmt::join(labels, ", "));
}

std::vector<std::string> split(const std::string& labels) {
    std::vector<std::string> all;
    for (std::size_t at = 0; at < labels.size();) {
        const std::size_t end = std::min(labels.find(", ", at), labels.size());
        all.push_back(labels.substr(at, end - at));
        at = end + 2;
    }
    return all;
}

JobRow row_of(const Statement& s) {
    JobRow r;
    r.folder = s.text(0);
    r.id = s.text(1);
    r.words.title = s.text(2);
    r.words.machine = s.text(3);
    r.words.date = s.text(4);
    r.words.labels = split(s.text(5));
    r.words.known = static_cast<Known>(s.whole(6));
    r.words.complaint = s.text(7);
    r.words.finding = s.text(8);
    r.circuit = s.text(9);
    r.verdict = {s.text(10), s.text(11), s.text(12), s.text(13), s.text(14), s.real(15)};
    r.content = s.text(16);
    r.drawing = s.text(17);
    r.state = static_cast<JobState>(s.whole(18));
    r.trouble = s.text(19);
    return r;
}

/// Where this process may write: root may everywhere but on a read-only disk, so it is tried, not asked.
Database open_database(const Store& store, Index::Access access, bool& writable) {
    const std::string file = store.index().string();
    writable = true;
    if (access == Index::Access::write && ::access(store.folder.c_str(), W_OK) == 0) {
        for (int left = most_tries; left > 0; --left) try {
                Database database(file, Database::Mode::write);
                database.run("PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL;");
                return database;
            } catch (const DatabaseError& error) {
                // Two that make a new file write-ahead at once don't wait for one another by themselves.
                if (error.busy() && left > 1)
                    std::this_thread::sleep_for(std::chrono::milliseconds(10));
                else if (error.read_only())
                    break;
                else
                    throw;
            }
    }
    writable = false;
    for (const auto mode : {Database::Mode::read, Database::Mode::frozen}) try {
            Database database(file, mode);
            Statement version(database, "PRAGMA user_version");
            if (!version.step() || version.whole(0) != schema_version) continue;
            Statement probe(database, "SELECT value FROM state");
            probe.step();
            return database;
        } catch (const DatabaseError& error) {
            if (!error.read_only() && !error.damaged() && !error.no_writing()) throw;
        }
    return Database(":memory:", Database::Mode::write); // made from the folders, for this one answer
}

} // namespace

Index::Index(const Store& store, Access access)
    : store_(store), database_(open_database(store, access, writable_)) {
    database_.run("PRAGMA temp_store=MEMORY; PRAGMA cache_size=-32000;");
    Statement version(database_, "PRAGMA user_version");
    version.step();
    const std::int64_t found = version.whole(0);
    version.again();
    if (found != schema_version) make_schema();
}

void Index::make_schema() {
    Transaction transaction(database_);
    Statement version(database_, "PRAGMA user_version");
    version.step();
    const bool made_meanwhile = version.whole(0) == schema_version;
    version.again();
    if (!made_meanwhile) {
        database_.run(drop_all);
        database_.run(schema);
        database_.run(fmt::format("PRAGMA user_version={}", schema_version).c_str());
    }
    transaction.commit();
}

void Index::insert(const FolderRead& f) {
    const JobRow& r = f.row;
    Statement job(database_,
                  fmt::format("INSERT INTO job({}, stamp) VALUES(?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?)",
                              job_columns));
    job.set(0, r.folder).set(1, r.id).set(2, r.words.title).set(3, r.words.machine).set(4, r.words.date);
    job.set(5, joined(r.words.labels)).set(6, static_cast<std::int64_t>(r.words.known));
    job.set(7, r.words.complaint).set(8, r.words.finding).set(9, r.circuit).set(10, r.verdict.readings);
    job.set(11, r.verdict.verdict).set(12, r.verdict.part).set(13, r.verdict.fault).set(14, r.verdict.size);
    job.set(15, r.verdict.probability).set(16, r.content).set(17, r.drawing);
    job.set(18, static_cast<std::int64_t>(r.state)).set(19, r.trouble).set(20, f.stamp);
    job.finish();
    const std::int64_t number = database_.last_row();
    Statement words(database_,
                    "INSERT INTO words(rowid, title, machine, labels, finding, faults, complaint, parts, "
                    "notes) VALUES(?,?,?,?,?,?,?,?,?)");
    words.set(0, number).set(1, r.words.title).set(2, r.words.machine).set(3, joined(r.words.labels));
    words.set(4, r.words.finding).set(5, f.faults).set(6, r.words.complaint).set(7, f.parts).set(8, f.notes);
    words.finish();
    Statement figure(database_, "INSERT INTO figure VALUES(?,?,?,?,?)");
    for (const KeptFigure& k : f.figures) {
        figure.set(0, number).set(1, k.what).set(2, k.where).set(3, k.value).set(4, k.source);
        figure.finish();
    }
}

void Index::remove(const std::string& folder) {
    for (const char* sql : {"DELETE FROM words WHERE rowid IN (SELECT number FROM job WHERE folder = ?)",
                            "DELETE FROM figure WHERE number IN (SELECT number FROM job WHERE folder = ?)",
                            "DELETE FROM job WHERE folder = ?"}) {
        Statement statement(database_, sql);
        statement.set(0, folder).finish();
    }
}

void Index::put(const FolderRead& folder) {
    Transaction transaction(database_);
    remove(folder.row.folder);
    insert(folder);
    transaction.commit();
}

namespace {

struct KnownFolder {
    std::string id;
    bool missing = false, seen = false;
};
std::unordered_map<std::string, KnownFolder> known_folders(const Database& database) {
    std::unordered_map<std::string, KnownFolder> known;
    Statement all(database, "SELECT folder, id, whole FROM job");
    while (all.step())
        known[all.text(0)] = {all.text(1), all.whole(2) == static_cast<std::int64_t>(JobState::missing),
                              false};
    return known;
}

/// The stamp of jobs/ that the index was brought up to date with; 0 when it has to look.
std::int64_t followed_stamp(const Database& database) {
    Statement stamp(database, "SELECT value FROM state WHERE key = 'jobs'");
    return stamp.step() ? stamp.whole(0) : 0;
}

void set_followed_stamp(const Database& database, std::int64_t stamp) {
    Statement set(database, "INSERT OR REPLACE INTO state VALUES('jobs', ?)");
    set.set(0, stamp).finish();
}

} // namespace

void Index::follow() {
    const std::int64_t seen = followed_stamp(database_);
    if (seen != 0 && seen == jobs_stamp(store_)) return;
    const auto listing = list_jobs(store_);
    if (!listing) return; // what can't be listed is told by whoever opens it
    const auto differs = [&](std::unordered_map<std::string, KnownFolder>& known) {
        bool any = false;
        for (const std::string& name : listing->names) {
            const auto at = known.find(name);
            if (at == known.end() || at->second.missing) any = true;
            if (at != known.end()) at->second.seen = true;
        }
        for (const auto& [name, folder] : known) any = any || (!folder.seen && !folder.missing);
        return any;
    };
    auto known = known_folders(database_);
    if (!differs(known) && (listing->stamp == 0 || !writable_)) return;
    if (!writable_) { // the file can't follow: made from the folders in memory, for this one answer
        database_ = Database(":memory:", Database::Mode::write);
        make_schema();
        known.clear();
    }

    Transaction transaction(database_);
    known = known_folders(database_); // as another process may have left it meanwhile
    if (differs(known)) {
        std::unordered_map<std::string, std::string> gone; // id → folder
        for (const auto& [name, folder] : known)
            if (!folder.seen) gone[folder.id] = name;
        for (const std::string& name : listing->names) {
            const auto at = known.find(name);
            if (at != known.end() && !at->second.missing) continue;
            const FolderRead read = read_folder(store_, name);
            remove(name);
            if (const auto moved = gone.find(read.row.id); moved != gone.end()) {
                remove(moved->second); // it was renamed
                gone.erase(moved);
            }
            insert(read);
        }
        Statement lost(database_,
                       "UPDATE job SET whole = 2, trouble = 'its folder is gone' WHERE folder = ?");
        for (const auto& [id, folder] : gone) lost.set(0, folder).finish();
    }
    set_followed_stamp(database_, listing->stamp);
    transaction.commit();
}

void Index::rebuild(bool forget_missing) {
    Transaction transaction(database_);
    std::unordered_map<std::string, std::int64_t> missing; // id → row
    const auto listing = list_jobs(store_);
    if (!listing) throw DatabaseError(0, listing.problems().front().what);
    {
        auto known = known_folders(database_);
        for (const std::string& name : listing->names) known.erase(name);
        Statement lost(database_,
                       "UPDATE job SET whole = 2, trouble = 'its folder is gone' WHERE folder = ?");
        for (const auto& [name, folder] : known) lost.set(0, name).finish();
    }
    database_.run(forget_missing
                      ? "DELETE FROM words; DELETE FROM figure; DELETE FROM job;"
                      : "DELETE FROM words WHERE rowid IN (SELECT number FROM job WHERE whole <> 2);"
                        "DELETE FROM figure WHERE number IN (SELECT number FROM job WHERE whole <> 2);"
                        "DELETE FROM job WHERE whole <> 2;");
    for (const std::string& name : listing->names) {
        const FolderRead read = read_folder(store_, name);
        Statement moved(database_, "SELECT folder FROM job WHERE id = ? AND whole = 2");
        if (moved.set(0, read.row.id).step()) {
            const std::string before = moved.text(0);
            moved.again();
            remove(before);
        }
        insert(read);
    }
    database_.run("INSERT INTO words(words) VALUES('optimize')");
    set_followed_stamp(database_, listing->stamp);
    transaction.commit();
}

JobRow Index::row(std::int64_t number) {
    Statement one(database_, fmt::format("SELECT {} FROM job WHERE number = ?", job_columns));
    return one.set(0, number).step() ? row_of(one) : JobRow{};
}

JobRow Index::fresh(std::int64_t number) {
    std::int64_t stamp = 0;
    {
        Statement one(database_, "SELECT stamp FROM job WHERE number = ?");
        if (one.set(0, number).step()) stamp = one.whole(0);
    }
    JobRow known = row(number);
    if (known.folder.empty() || known.state == JobState::missing) return known;
    if (file_stamp(store_.jobs() / known.folder) < 0) { // between follow() and now
        known.state = JobState::missing;
        known.trouble = "its folder is gone";
        return known;
    }
    if (folder_stamp(store_, known.folder) == stamp) return known;
    const FolderRead read = read_folder(store_, known.folder);
    if (writable_) try {
            put(read);
        } catch (const DatabaseError& error) {
            if (!error.no_writing()) throw; // the index is behind, the answer is not
        }
    return read.row;
}

std::vector<JobRow> Index::not_whole() {
    std::vector<JobRow> rows;
    Statement all(database_, fmt::format("SELECT {} FROM job WHERE whole <> 0 ORDER BY folder", job_columns));
    while (all.step()) rows.push_back(row_of(all));
    return rows;
}

std::vector<std::int64_t> Index::by_name(const std::string& name) {
    std::vector<std::int64_t> found;
    for (const char* where : {"folder = ?1", "id = ?1", "substr(id, 1, length(?1)) = ?1"}) {
        Statement all(database_, fmt::format("SELECT number FROM job WHERE {} ORDER BY folder", where));
        all.set(0, name);
        while (all.step()) found.push_back(all.whole(0));
        if (!found.empty()) return found;
    }
    return found;
}

std::optional<std::string> Index::folder_with(const std::string& content) {
    Statement one(database_, "SELECT folder FROM job WHERE content = ? AND whole <> 2 ORDER BY folder");
    return one.set(0, content).step() ? std::optional(one.text(0)) : std::nullopt;
}

bool Index::has_id(const std::string& id) {
    Statement one(database_, "SELECT 1 FROM job WHERE id = ?");
    return one.set(0, id).step();
}

std::size_t Index::jobs() {
    Statement count(database_, "SELECT count(*) FROM job");
    return count.step() ? static_cast<std::size_t>(count.whole(0)) : 0;
}

std::vector<FigureOfJob> Index::figures(const std::string& drawing) {
    std::vector<FigureOfJob> all;
    Statement s(database_,
                "SELECT job.id, what, place, value, source FROM job JOIN figure USING(number) "
                "WHERE drawing = ? AND known = 1 AND whole <> 2 ORDER BY job.folder, figure.rowid");
    s.set(0, drawing);
    while (s.step()) all.push_back({s.text(0), {s.text(1), s.text(2), s.real(3), s.text(4)}});
    return all;
}

std::vector<KeptFigure> Index::figures_of_row(std::int64_t number) {
    std::vector<KeptFigure> all;
    Statement s(database_, "SELECT what, place, value, source FROM figure WHERE number = ? ORDER BY rowid");
    s.set(0, number);
    while (s.step()) all.push_back({s.text(0), s.text(1), s.real(2), s.text(3)});
    return all;
}

} // namespace lostvolts

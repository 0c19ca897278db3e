// Keeping jobs and finding them again.
#include "solver/records/records.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <fstream>

#include "solver/locate/readings.h"
#include "tests/records/sample.h"

using namespace lostvolts;
using namespace lostvolts::records_tests;

namespace fs = std::filesystem;
using Titles = std::vector<std::string>;

namespace {

std::string content_of(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}
void put(const fs::path& file, std::string_view text) { std::ofstream(file, std::ios::binary) << text; }

bool names(const Problems& problems, std::string_view words) {
    return std::any_of(problems.begin(), problems.end(), [&](const Problem& p) {
        return (p.file + ": " + p.what).find(words) != std::string::npos;
    });
}

} // namespace

TEST_CASE("a kept job is a folder of plain files that locate reads, and the sources stay") {
    // Expected: DESIGN, "records"; the copy equals the source byte for byte.
    const Bench bench;
    JobToKeep job = bench.job(readings_text(9.1), words("Spreader slow", "plough 2"));
    job.note = "salt in the plug";
    job.others.push_back(bench.folder.write("joint.jpg", "not really"));
    const fs::path source = job.readings[0];
    const auto added = add_job(bench.store, job);
    REQUIRE_MESSAGE(added, added.problems().front().what);
    CHECK(!added->was_there);
    CHECK(added->row.folder == "2026-11-25_spreader-slow_" + added->row.id);
    const fs::path folder = bench.store / "jobs" / added->row.folder;
    CHECK(content_of(folder / "circuit.toml") == circuit_text);
    CHECK(content_of(folder / source.filename()) == readings_text(9.1));
    CHECK(content_of(folder / "notes.txt") == "salt in the plug\n");
    CHECK(content_of(folder / "joint.jpg") == "not really");
    CHECK(fs::exists(source));
    CHECK(read_readings(folder / source.filename()));
    CHECK(fs::is_empty(bench.store / "adding"));
}

TEST_CASE("readings that name a circuit elsewhere name the copy beside them once kept") {
    // Expected, by hand: the job can be carried away and read alone.
    const Bench bench;
    fs::create_directories(bench.folder.path("deep/er"));
    const std::string text = "# mine\n" + readings_text(9.1);
    JobToKeep job;
    job.words = words("a", "", "2026-11-25");
    std::string elsewhere = text;
    elsewhere.replace(elsewhere.find("circuit.toml"), 12, "../../circuit.toml");
    job.readings.push_back(bench.folder.write("deep/er/r.toml", elsewhere));
    const auto added = add_job(bench.store, job);
    REQUIRE_MESSAGE(added, added.problems().front().what);
    CHECK(content_of(bench.store / "jobs" / added->row.folder / "r.toml") == text);
}

TEST_CASE("the same readings twice are noticed under any title, and kept twice only when asked") {
    // Expected: DESIGN, "records": same job twice is noticed.
    const Bench bench;
    const auto first = add_job(bench.store, bench.job(readings_text(9.1), words("one")));
    const auto second = add_job(bench.store, bench.job(readings_text(9.1), words("two")));
    REQUIRE(first);
    REQUIRE(second);
    CHECK(second->was_there);
    CHECK(second->row.id == first->row.id);
    const auto third = add_job(bench.store, bench.job(readings_text(9.1), words("three")), true);
    REQUIRE(third);
    CHECK(third->row.id == first->row.id + "-2");
    CHECK(titles(bench.store, query({})).size() == 2);
}

TEST_CASE("what can't be kept is refused with every mistake and leaves nothing behind") {
    // Expected, by hand.
    const Bench bench;
    JobToKeep job = bench.job(
        "circuit = \"circuit.toml\"\n[[reading]]\nstate = \"rum\"\nquantity = \"voltage\"\n", words("a"));
    job.captures.push_back(bench.folder.write("bad.csv", "hello\n"));
    job.notes.push_back(bench.folder.path("none.txt"));
    const auto added = add_job(bench.store, job);
    REQUIRE(!added);
    CHECK(names(added.problems(), "\"rum\""));
    CHECK(names(added.problems(), "bad.csv"));
    CHECK(names(added.problems(), "none.txt: there is no such file"));
    CHECK(fs::is_empty(bench.store / "jobs"));
    CHECK(fs::is_empty(bench.store / "adding"));
    JobToKeep nothing;
    nothing.words.date = "2026-11-25";
    CHECK(names(add_job(bench.store, nothing).problems(), "there is nothing to keep"));
    JobToKeep bad = bench.job(readings_text(9), words("\xFF\xFE", "", "2026-02-30"));
    bad.words.labels = {"a,b"};
    const auto refused = add_job(bench.store, bad);
    CHECK(refused.problems().size() == 3);
    JobToKeep pipe = bench.job(readings_text(9));
    pipe.notes.push_back("/dev/zero");
    CHECK(names(add_job(bench.store, pipe).problems(), "/dev/zero: is not a plain file"));
}

TEST_CASE("jobs are found by any word, its beginning, without its accents, and the best comes first") {
    // Expected, by hand from the words put in.
    const Bench bench;
    JobWords one = words("Gebläse läuft träge", "Müller Häcksler", "2026-01-10");
    one.labels = {"winter", "ground"};
    one.complaint = "sounds tired";
    bench.keep(readings_text(9.1), one);
    JobWords two = words("Spreader dead", "plough 2", "2026-03-05");
    two.finding = "rust under the ring terminal";
    bench.keep(readings_text(9.2, 0.03, 23.3, "wiggled the Häcksler plug"), two);
    bench.keep(readings_text(9.3), words("Spreader slow", "plough 3", "2026-06-01"));

    CHECK(titles(bench.store, query({"gebla"})) == Titles{"Gebläse läuft träge"});
    CHECK(titles(bench.store, query({"TRAGE", "muller"})) == Titles{"Gebläse läuft träge"});
    CHECK(titles(bench.store, query({"tired"})) == Titles{"Gebläse läuft träge"});
    CHECK(titles(bench.store, query({"terminal"})) == Titles{"Spreader dead"});
    // In the machine's name it weighs more than in a note.
    CHECK(titles(bench.store, query({"hacksler"})) == Titles{"Gebläse läuft träge", "Spreader dead"});
    CHECK(titles(bench.store, query({"spread", "plough"})).size() == 3); // the circuit's name has both words
    CHECK(titles(bench.store, query({"nowhere"})).empty());
    CHECK(titles(bench.store, query({})) == Titles{"Spreader slow", "Spreader dead", "Gebläse läuft träge"});

    JobQuery q;
    q.labels = {"WINTER"};
    CHECK(titles(bench.store, q) == Titles{"Gebläse läuft träge"});
    q.labels = {"wint"};
    CHECK(titles(bench.store, q).empty()); // a label is whole
    q.labels.clear();
    q.machine = "plough";
    CHECK(titles(bench.store, q) == Titles{"Spreader slow", "Spreader dead"});
    q.from = "2026-03-06";
    CHECK(titles(bench.store, q) == Titles{"Spreader slow"});
    q.from.clear();
    q.to = "2026-03-05";
    CHECK(titles(bench.store, q) == Titles{"Spreader dead"});
}

TEST_CASE("the part that was at fault comes before those that only have it in the circuit") {
    // Expected: the second job's ground drops 1.45 V at 8 A, about 180 mΩ; the others are healthy (3 mΩ: 0.03
    // V).
    const Bench bench;
    bench.keep(readings_text(9.11), words("healthy"));
    const JobRow bad = bench.keep(readings_text(7.9, 1.45, 17.5), words("corroded"));
    bench.keep(readings_text(9.13), words("healthy too"));
    CHECK(bad.verdict.verdict == "located");
    CHECK(bad.verdict.part == "plough ground");
    JobQuery q;
    q.part = "plough ground";
    const Titles by_part = titles(bench.store, q);
    REQUIRE(by_part.size() == 3);
    CHECK(by_part[0] == "corroded");
    JobQuery f;
    f.fault = "high resistance";
    CHECK(titles(bench.store, f) == Titles{"corroded"});
}

TEST_CASE("words that mean something to a database are only words") {
    // Expected, by hand: each finds the job that holds them or nothing, and none is an error.
    const Bench bench;
    const std::string title = "Robert'); DROP TABLE job;-- \"AND\" OR NOT NEAR(a b) * ^title {x} %";
    bench.keep(readings_text(9.1), words(title));
    for (const std::string word :
         {"\"",      "'",   "robert');", "DROP TABLE", "AND", "OR", "NOT", "NEAR(a b)", "*",    "^",
          "title:x", "{x}", "(",         "-",          "%",   "\\", "",    "\xFF",      "a\nb", "job;--"}) {
        JobQuery q = query({word});
        q.machine = q.part = q.fault = "";
        const auto found = find_jobs(bench.store, q);
        CHECK_MESSAGE(found, word);
        q.words.clear();
        q.labels = {word};
        q.machine = q.part = q.fault = q.from = q.to = q.drawing = word;
        CHECK_MESSAGE(find_jobs(bench.store, q), word);
    }
    CHECK(titles(bench.store, query({"robert", "drop", "near"})) == Titles{title});
}

TEST_CASE("a label is put on and taken off, and a hand-written comment stays") {
    // Expected, by hand.
    const Bench bench;
    const JobRow row = bench.keep(readings_text(9.1), words("Spreader"));
    const fs::path file = bench.store / "jobs" / row.folder / "job.toml";
    put(file, "# my own\n" + content_of(file));
    JobChanges changes;
    changes.labels = {"winter", "plough", "winter"};
    changes.finding = "two\nlines";
    changes.known = Known::good;
    REQUIRE(change_job(bench.store, row.id.substr(0, 4), changes));
    JobQuery q;
    q.labels = {"plough"};
    q.known = Known::good;
    CHECK(titles(bench.store, q) == Titles{"Spreader"});
    CHECK(titles(bench.store, query({"lines"})) == Titles{"Spreader"});
    JobChanges off;
    off.labels_off = {"plough"};
    const auto shown = change_job(bench.store, row.folder, off);
    REQUIRE(shown);
    CHECK(shown->row.words.labels == Titles{"winter"});
    CHECK(titles(bench.store, q).empty());
    CHECK(content_of(file).starts_with("# my own\n"));
    CHECK(names(change_job(bench.store, row.id, off).problems(), "has no label \"plough\""));
}

TEST_CASE("job.toml changed by hand is seen when the job is found or shown") {
    // Expected, by hand.
    const Bench bench;
    const JobRow row = bench.keep(readings_text(9.1), words("Spreader"));
    const fs::path file = bench.store / "jobs" / row.folder / "job.toml";
    std::string text = content_of(file);
    text.replace(text.find("\"Spreader\""), 10, "\"Gritter\"");
    put(file, text);
    CHECK(titles(bench.store, query({"plough"})) == Titles{"Gritter"});
    CHECK(titles(bench.store, query({"gritter"})) == Titles{"Gritter"});
}

TEST_CASE("names that are none, or several jobs', are said so") {
    // Expected, by hand: messages word for word.
    const Bench bench;
    bench.keep(readings_text(9.1), words("one"));
    REQUIRE(add_job(bench.store, bench.job(readings_text(9.1), words("two")), true));
    CHECK(names(show_job(bench.store, "zzz").problems(), "there is no job \"zzz\""));
    CHECK(names(show_job(bench.store, "../jobs").problems(), "there is no job \"../jobs\""));
    const std::string id = find_jobs(bench.store, query({"one"}))->rows[0].id;
    CHECK(show_job(bench.store, id)->row.words.title == "one"); // whole before the beginning of another
    CHECK(names(show_job(bench.store, id.substr(0, 3)).problems(), "2 jobs are called"));
    CHECK(names(find_jobs(bench.folder.path("nowhere"), {}).problems(), "there are no kept jobs here"));
}

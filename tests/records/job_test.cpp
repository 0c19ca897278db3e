// job.toml, and the names of files and folders.
#include <doctest/doctest.h>

#include "solver/records/drawing.h"
#include "tests/records/sample.h"

using namespace lostvolts;
using namespace lostvolts::records_tests;

namespace {

const std::string hostile =
    "\"quoted\" 'single' \\back\nline\ttab ../../etc $(x) `y` ; DROP TABLE job; -- \x01 é ✓ =1+1";

} // namespace

TEST_CASE("a job's words and numbers read back from job.toml as they were written") {
    // Expected: the values written, by hand.
    Job job;
    job.id = "3f2a9c1b";
    job.words = {hostile, "sprayer 7", "2026-02-28", {"orchard", "é ground"}, hostile, hostile, Known::good};
    job.content = "c";
    job.drawing = "d";
    job.files = {{FileRole::readings, "readings.toml", 12, "ab"},
                 {FileRole::other, "joint é.jpg", 5'000'000'000, "cd"}};
    job.verdicts = {{"readings.toml", "located", "pump \"ground\"", "high resistance", "180 mΩ", 0.97}};
    job.figures = {{"run current", "rinse pump", 7.65, "readings.toml"},
                   {"speed", "rinse pump", 356.0471674068432, "a.csv"},
                   {"sag", "rinse pump", 0.21, "a.csv"}};
    job.capture_options = {{"clamp", "10 mV/A"}};
    const auto read = read_job(write_job(job), "job.toml");
    REQUIRE_MESSAGE(read, read.problems().front().what);
    CHECK(read->id == job.id);
    CHECK(read->words.title == hostile);
    CHECK(read->words.complaint == hostile);
    CHECK(read->words.labels == job.words.labels);
    CHECK(read->words.known == Known::good);
    REQUIRE(read->files.size() == 2);
    CHECK(read->files[1].name == "joint é.jpg");
    CHECK(read->files[1].bytes == 5'000'000'000);
    CHECK(read->files[1].role == FileRole::other);
    REQUIRE(read->verdicts.size() == 1);
    CHECK(read->verdicts[0].part == "pump \"ground\"");
    CHECK(read->verdicts[0].probability == doctest::Approx(0.97).epsilon(1e-12));
    REQUIRE(read->figures.size() == 3);
    for (std::size_t k = 0; k < 3; ++k)
        CHECK(read->figures[k].value == doctest::Approx(job.figures[k].value).epsilon(1e-14));
    CHECK(read->capture_options == job.capture_options);
}

TEST_CASE("a job.toml that names a file elsewhere is refused") {
    // Expected, by hand: a folder moved in from anywhere can't make us read /etc.
    for (const std::string name : {"../circuit.toml", "/etc/passwd", "..", "", "a/b", "job.toml"}) {
        const auto read = read_job(
            fmt::format("id = \"a\"\ndate = \"2026-11-25\"\n[[file]]\nrole = \"notes\"\nname = \"{}\"\n",
                        name),
            "job.toml");
        CHECK_MESSAGE(!read, name);
    }
}

TEST_CASE("dates are days of the calendar") {
    // Expected: Gregorian calendar, 2024 and 2000 leap years, 1900 and 2026 not.
    for (const char* good : {"2026-11-25", "2024-02-29", "2000-02-29", "0001-01-01"})
        CHECK_MESSAGE(is_date(good), good);
    for (const char* bad : {"2026-02-29", "1900-02-29", "2026-13-01", "2026-00-10", "2026-11-31", "2026-1-1",
                            "25.11.2026", "", "2026-11-2a", "-026-11-25"})
        CHECK_MESSAGE(!is_date(bad), bad);
}

TEST_CASE("a file's name can't leave its folder, hide, or turn the line round") {
    // Expected, by hand. A name never has a "/" of its own; the rest of what could do harm becomes "_".
    CHECK(safe_file_name("readings.toml") == "readings.toml");
    CHECK(safe_file_name("Prüfung é 2.csv") == "Prüfung é 2.csv");
    CHECK(safe_file_name("..") == "_");
    CHECK(safe_file_name(".hidden") == "_hidden");
    CHECK(safe_file_name("-rf") == "_rf");
    CHECK(safe_file_name("../../x") == "_._.._x");
    CHECK(safe_file_name("a\nb\"c'd`e$f\\g") == "a_b_c_d_e_f_g");
    CHECK(safe_file_name("\xFF\xFE.csv") == "__.csv");
    CHECK(safe_file_name("a\xE2\x80\xAEvsc.exe") == "a_vsc.exe");
    CHECK(safe_file_name("JOB.TOML") == "job_.toml");
    CHECK(safe_file_name("   ") == "_");
    CHECK(safe_file_name("") == "file");
    const std::string longest = safe_file_name(std::string(300, 'x') + ".csv");
    CHECK(longest.size() <= 120);
    CHECK(longest.ends_with(".csv"));
    const std::string wide = safe_file_name([] {
        std::string s;
        for (int k = 0; k < 100; ++k) s += "é";
        return s;
    }());
    CHECK(wide.size() <= 120);
    CHECK(wide.size() % 2 == 0); // no é is cut in two
}

TEST_CASE("a job's folder is named in plain letters whatever its title") {
    // Expected, by hand.
    CHECK(folder_name(words("Rinse pump: slow!", "", "2026-11-25"), "3f2a9c1b") ==
          "2026-11-25_rinse-pump-slow_3f2a9c1b");
    CHECK(folder_name(words("../../etc/passwd\n", "", "2026-11-25"), "a") == "2026-11-25_etc-passwd_a");
    CHECK(folder_name(words("\"';$", "", "2026-11-25"), "a") == "2026-11-25_job_a");
    CHECK(folder_name(words(std::string(500, 'w'), "", "2026-11-25"), "a").size() < 80);
}

TEST_CASE("a drawing is known again by its parts and not by how it is written") {
    // Expected: the definition in drawing.h; each change made by hand.
    const std::string digest = drawing_of(circuit_text).digest;
    const auto changed = [](const std::string& from, const std::string& to) {
        std::string text = circuit_text;
        text.replace(text.find(from), from.size(), to);
        return drawing_of(text).digest;
    };
    CHECK(digest.size() == 64);
    CHECK(changed("name = \"Snow plough, spreader\"",
                  "name   =  \"Another\" # comment\ntemperature = \"5 degC\"") == digest);
    CHECK(changed("kind = \"wire\"\nfrom = \"battery +\"\nto = \"spreader +\"",
                  "to = \"spreader +\"\nfrom = \"battery +\"\nkind = \"wire\"") == digest);
    CHECK(changed("[[state]]\nname = \"run\"\n", "") == digest);
    CHECK(changed("15 mohm", "16 mohm") != digest);
    CHECK(changed("to = \"spreader +\"", "to = \"elsewhere\"") != digest);
    CHECK(changed("bars = 8", "bars = 10") != digest);
    CHECK(changed("ground = \"battery -\"", "ground = \"battery +\"") != digest);
    CHECK(!drawing_of("x = [").readable);
    CHECK(!drawing_of("name = \"no parts\"").readable);
    CHECK(drawing_of("name = \"no parts\"").digest.empty());
}

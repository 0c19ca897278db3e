// The table of a study: the same whoever works it out, and whenever somebody pulls the plug.
#include <doctest/doctest.h>

#include <algorithm>
#include <chrono>
#include <csignal>
#include <cstdio>
#include <random>
#include <sstream>
#include <thread>

#include <sys/wait.h>
#include <unistd.h>

#include "solver/study/cases.h"
#include "solver/study/crew.h"
#include "solver/study/ledger.h"
#include "tests/study/study_folder.h"

using namespace lostvolts;
using namespace lostvolts::study_tests;

namespace {

const std::string study_program = "'" LOSTVOLTS_PROGRAM "' study ";

/// The table as threads of this process make it.
std::string table_by(const StudyFolder& folder, int threads) {
    const auto order = read_order(folder.write("order.toml", heater_order));
    REQUIRE(order);
    auto ledger = Ledger::open(*order, false);
    REQUIRE(ledger);
    CHECK(!threads_crew(threads)(*order, *ledger));
    CHECK(!ledger->finish());
    CHECK(!folder.has("table.csv.blocks"));
    CHECK(!folder.has("table.csv.unfinished"));
    return folder.read("table.csv");
}

double cell(const std::string& table, int row, const std::string& column) {
    std::istringstream lines(table);
    std::string line, word;
    std::getline(lines, line);
    int at = -1, k = 0;
    for (std::istringstream head(line); std::getline(head, word, ','); ++k)
        if (word == column) at = k;
    REQUIRE(at >= 0);
    for (int n = 0; n < row; ++n) std::getline(lines, line);
    std::istringstream cells(line);
    for (k = 0; k <= at; ++k) std::getline(cells, word, ',');
    return std::stod(word);
}

} // namespace

TEST_CASE("a study's lost volts follow Ohm's law from variant to variant") {
    // Expected, by hand: the lead loses 12 V·L/(H + L + r), r between 10 and 20 mohm with the source's age,
    // the charge the same for every variant. Of 2 ohm, 80 mohm lose 2·(2.04 + r)/(2.08 + r) times what 40
    // mohm do: 1.9617 to 1.9619.
    const StudyFolder folder;
    const std::string table = table_by(folder, 1);
    const double few = cell(table, 2, "lost_p50_V"), many = cell(table, 10, "lost_p50_V");
    CHECK(cell(table, 2, "case") == 2);
    CHECK(cell(table, 10, "solved") == 4000);
    CHECK(many / few == doctest::Approx(1.9618).epsilon(2e-4));
}

TEST_CASE("one thread, two and five make the same table to the last byte") {
    // Expected: a line depends on the order and its own number alone.
    const StudyFolder folder;
    const std::string one = table_by(folder, 1);
    CHECK(table_by(folder, 2) == one);
    CHECK(table_by(folder, 5) == one);
    CHECK(std::count(one.begin(), one.end(), '\n') == 25);
}

TEST_CASE("processes that share a study by MPI make the same table") {
    // Expected: the same. Where there is no MPI (it is no package of the plain build) there is nothing to
    // try.
    if (shell("test -x \"$(dirname '" LOSTVOLTS_PROGRAM "')/lostvolts-study\" && command -v mpirun") != 0) {
        MESSAGE("no mpirun, or built without MPI: not tried");
        return;
    }
    const StudyFolder folder;
    const std::string one = table_by(folder, 1);
    const std::string launch = "env OMPI_ALLOW_RUN_AS_ROOT=1 OMPI_ALLOW_RUN_AS_ROOT_CONFIRM=1 "
                               "OMPI_MCA_rmaps_base_oversubscribe=1 mpirun ";
    for (const char* processes : {"-n 1 ", "-n 2 ", "-n 3 "}) {
        std::filesystem::remove(folder.path("table.csv"));
        std::string said;
        const int code =
            shell(launch + processes + study_program + "'" + folder.path("order.toml") + "'", &said);
        INFO(said);
        CHECK(code == 0);
        CHECK(folder.read("table.csv") == one);
    }
    std::string said; // a mistake is told once, and nobody waits for the others
    CHECK(shell(launch + "-n 2 " + study_program + "'" + folder.path("none.toml") + "'", &said) == 2);
    CHECK(said.find("none.toml: there is no such file") != std::string::npos);
}

TEST_CASE("a study that is killed again and again ends with the same table") {
    // Expected: the table of a run that nobody disturbs. SIGKILL at random instants of a run's length, until
    // twenty starts were caught by it; then one may end.
    const unsigned seed = static_cast<unsigned>(std::random_device{}());
    MESSAGE("seed " << seed);
    std::mt19937 random(seed);
    StudyFolder folder;
    const auto begun = std::chrono::steady_clock::now();
    const std::string one = table_by(folder, 2);
    const std::chrono::duration<double> whole = std::chrono::steady_clock::now() - begun;
    std::filesystem::remove(folder.path("table.csv"));
    const std::string order = folder.path("order.toml");
    int killed = 0, starts = 0;
    for (; !folder.has("table.csv"); ++starts) {
        REQUIRE(starts < 2000);
        std::fflush(stdout); // or the child has a copy to write
        const pid_t child = fork();
        REQUIRE(child >= 0);
        if (child == 0) {
            if (!freopen("/dev/null", "w", stdout)) _exit(126);
            execl(LOSTVOLTS_PROGRAM, "lostvolts", "study", order.c_str(), "--threads", "2", nullptr);
            _exit(127);
        }
        if (killed < 20) {
            std::this_thread::sleep_for(whole * std::uniform_real_distribution(0., 1.)(random));
            kill(child, SIGKILL);
        }
        int status = 0;
        waitpid(child, &status, 0);
        killed += WIFSIGNALED(status);
        if (!WIFSIGNALED(status)) CHECK(WEXITSTATUS(status) == 0);
        if (!folder.has("table.csv")) continue;
        CHECK(folder.read("table.csv") == one); // never half a table
        if (killed < 20) std::filesystem::remove(folder.path("table.csv"));
    }
    MESSAGE(killed << " of " << starts << " starts were killed");
    CHECK(killed == 20);
    CHECK(folder.read("table.csv") == one);
}

TEST_CASE("blocks that are torn or spoilt are worked out again and the others are not") {
    // Expected, by hand: three blocks; the first stays, the second has a byte changed, so what follows goes.
    const StudyFolder folder;
    const std::string one = table_by(folder, 1);
    const auto order = read_order(folder.path("order.toml"));
    REQUIRE(order);
    {
        auto ledger = Ledger::open(*order, false);
        REQUIRE(ledger);
        for (long block = 0; block < 3; ++block) CHECK(!ledger->add(block, lines_of_block(*order, block)));
    }
    std::string blocks = folder.read("table.csv.blocks");
    {
        auto whole = Ledger::open(*order, false);
        REQUIRE(whole);
        CHECK(whole->missing().empty());
        auto second = Ledger::open(*order, false); // while the first is at it
        REQUIRE(!second);
        CHECK(second.problems().front().what == "another process is working at this study");
    }
    const std::size_t at = blocks.find("\nblock 1 ") + 60;
    blocks[at] = blocks[at] == '7' ? '8' : '7';
    folder.write("table.csv.blocks", blocks);
    auto ledger = Ledger::open(*order, false);
    REQUIRE(ledger);
    CHECK(ledger->missing() == std::vector<long>{1, 2});
    CHECK(!threads_crew(2)(*order, *ledger));
    CHECK(!ledger->finish());
    CHECK(folder.read("table.csv") == one);
}

TEST_CASE("what was done of another order is not taken for this one's") {
    // Expected, by hand: the seed is changed; the old blocks stay until somebody throws them away.
    const StudyFolder folder;
    const auto order = read_order(folder.write("order.toml", heater_order));
    REQUIRE(order);
    {
        auto ledger = Ledger::open(*order, false);
        REQUIRE(ledger);
        CHECK(!ledger->add(0, lines_of_block(*order, 0)));
    }
    const std::string kept = folder.read("table.csv.blocks");
    const auto other = read_order(folder.write("order.toml", "seed = 2\n" + std::string(heater_order)));
    REQUIRE(other);
    const auto refused = Ledger::open(*other, false);
    REQUIRE(!refused);
    CHECK(refused.problems().front().what ==
          "holds what was done of another study: the order, a file it names or the program has changed");
    CHECK(folder.read("table.csv.blocks") == kept);
    const auto anew = Ledger::open(*other, true);
    REQUIRE(anew);
    CHECK(anew->missing().size() == 3);
}

TEST_CASE("a study of faults finds the bundled circuit's corroded ground and says which machine it was") {
    // Expected: circuits/orchard_sprayer/README.md; two machines that stray differ in what their meters show.
    const StudyFolder folder;
    const std::string sprayer = std::string(LOSTVOLTS_SOURCE) + "/circuits/orchard_sprayer/";
    const auto order = read_order(folder.write(
        "order.toml", "format = 1\nstudy = \"faults\"\noutput = \"table.csv\"\nmachines = 2\ncircuits = [\"" +
                          sprayer + "circuit.toml\"]\nreadings = \"" + sprayer +
                          "readings.toml\"\nconditions = \"corroded pump ground\"\n"));
    REQUIRE(order);
    CHECK(count_cases(*order) == 2);
    const std::string first = line_of_case(*order, 0), second = line_of_case(*order, 1);
    CHECK(first.find(",corroded pump ground,1,located,1,0.99") != std::string::npos);
    CHECK(first.find(",pump ground,high resistance,0.1") != std::string::npos);
    CHECK(second.find(",corroded pump ground,2,located,1,0.99") != std::string::npos);
    CHECK(first.substr(first.find("resistance,")) != second.substr(second.find("resistance,")));
}

TEST_CASE("a study of captures tells a good one's numbers and a bad one's trouble") {
    // Expected: `inrush` of the bundled circuit, whose run current `predict` gives as 9.14 A.
    const StudyFolder folder;
    std::filesystem::create_directory(folder.path("captures"));
    const std::string circuit = std::string(LOSTVOLTS_SOURCE) + "/circuits/orchard_sprayer/circuit.toml";
    CHECK(shell("'" LOSTVOLTS_PROGRAM "' inrush '" + circuit + "' --state run --csv '" +
                folder.path("captures/good.csv") + "'") == 0);
    folder.write("captures/bad.csv", "no numbers\nat all\n");
    const std::string order = folder.write(
        "order.toml", "format = 1\nstudy = \"captures\"\noutput = \"table.csv\"\nfolder = \"captures\"\n");
    CHECK(shell(study_program + "'" + order + "'") == 0);
    const std::string table = folder.read("table.csv");
    CHECK(cell(table, 2, "run_current_A") == doctest::Approx(9.14).epsilon(0.005));
    const std::size_t bad = table.find("bad.csv,");
    REQUIRE(bad != std::string::npos);
    CHECK(table.substr(bad, 30).starts_with("bad.csv,,,,,,"));
    CHECK(table.substr(bad, table.find('\n', bad) - bad).size() > 40); // with its reason
}

// The Harness: limits as a person writes them, and a size changed by hand.
#include <algorithm>

#include <csignal>

#include <doctest/doctest.h>

#include <sys/resource.h>

#include "solver/circuit/read.h"
#include "solver/circuit/toml_file.h"
#include "tests/window/hand.h"
#include "tests/window/job.h"
#include "viewer/window/fitting.h"

using namespace lostvolts;
using namespace lostvolts::window_tests;

namespace {

const std::string sprayer_file = LOSTVOLTS_SOURCE "/circuits/orchard_sprayer/circuit.toml";

struct Sprayer {
    std::string text;
    Circuit circuit;
    Sprayer() : text(*read_text_file(sprayer_file)), circuit(*read_circuit_text(text, sprayer_file)) {}
    Fitting fitted(const FittingWish& wish) const {
        const Watch nobody;
        return fit(circuit, text, wish, nobody);
    }
};

} // namespace

TEST_CASE("what is wrong with a limit is told beside its field") {
    // Expected, by hand.
    const Sprayer s;
    FittingWish wish;
    wish.limit = "0.5";
    wish.ambient = "warm";
    wish.bundle = "none";
    const UnderstoodFitting u = understand(s.circuit, wish);
    REQUIRE(u.problems.size() == 3);
    CHECK(u.problems[0].key == "limit");
    CHECK(u.problems[1].key == "ambient");
    CHECK(u.problems[2].key == "bundle");
    wish = {};
    wish.limit = "3 %";
    CHECK(understand(s.circuit, wish).problems.empty());
    CHECK(si(understand(s.circuit, wish).request.rule.whole_loop) == doctest::Approx(0.36)); // of 12 V
}

TEST_CASE("a wire made too thin by hand breaks a limit and the others stay as chosen") {
    // Expected, by hand: 0.5 mm2 instead of the pump's feed wire loses volts that the limit does not have.
    const Sprayer s;
    const Fitting free = s.fitted({});
    REQUIRE(free.sizing);
    FittingWish wish;
    const PartId feed = find_part(s.circuit, "feed wire");
    wish.by_hand[feed] = "0.5 mm2";
    const Fitting thin = s.fitted(wish);
    CHECK((!thin.problems.empty() || !thin.breaks.empty()));
    if (thin.sizing)
        for (std::size_t k = 0; k < thin.sizing->wires.size(); ++k)
            if (thin.sizing->wires[k].part != feed)
                CHECK(write_wire_size(thin.sizing->wires[k].size) ==
                      write_wire_size(free.sizing->wires[k].size));
}

TEST_CASE("the sizes chosen go into the circuit's text and nothing else changes") {
    // Expected: the text reads as a circuit with those sizes, and has as many lines as before.
    const Sprayer s;
    const Fitting fitting = s.fitted({});
    REQUIRE(fitting.sizing);
    const auto text = with_sizes_of(s.text, fitting);
    REQUIRE(static_cast<bool>(text));
    CHECK(std::count(text->begin(), text->end(), '\n') == std::count(s.text.begin(), s.text.end(), '\n'));
    CHECK(static_cast<bool>(read_circuit_text(*text, sprayer_file)));
}

TEST_CASE("the Harness shows the sizes it found") {
    // Expected, by hand: F4 opens it; F5 goes from the wires to each fuse.
    const auto app = opened(sprayer_file);
    Hand hand(*app);
    hand.key(sf::Keyboard::F4);
    app->settle();
    REQUIRE(app->harness().fitting().sizing);
    shoot(*app, "harness");
    hand.key(sf::Keyboard::F5);
    app->settle();
    shoot(*app, "harness fuse");
}

namespace {

/// The wash-down pump with a feed that has a size.
struct SizedJob {
    command_tests::Folder folder{};
    std::string circuit = folder.write("circuit.toml", [] {
        std::string text(wash_down);
        text.replace(text.find("resistance = \"12 mohm\""), 23, "size = \"10 mm2\"\nlength = \"4 m\"");
        return text;
    }());
};

void type_into_file(App& app, Hand& hand, const std::string& name) {
    hand.click(app.harness().file_blank().x + 20, app.harness().file_blank().y + 32);
    hand.key(sf::Keyboard::A, true);
    hand.type(name);
    hand.enter();
    app.settle();
}

std::unique_ptr<App> harness_of(const SizedJob& job) {
    auto app = opened(job.circuit, 1280, 1000);
    Hand(*app).key(sf::Keyboard::F4);
    app->settle();
    REQUIRE(app->harness().fitting().sizing);
    REQUIRE(app->harness().file_blank().width > 0);
    return app;
}

} // namespace

TEST_CASE("a circuit with the sizes found is saved beside the one that was opened") {
    // Expected, by hand: under its usual name, then under the next that is free; it reads as a circuit and
    // the one that was opened keeps every byte.
    const SizedJob job;
    const std::string before = content(job.circuit);
    const auto app = harness_of(job);
    Hand hand(*app);
    type_into_file(*app, hand, "circuit sized.toml");
    shoot(*app, "sizes saved");
    CHECK(app->harness().save_problems().empty());
    CHECK(static_cast<bool>(read_circuit(job.folder.path("circuit sized.toml"))));
    type_into_file(*app, hand, "circuit sized.toml");
    CHECK(static_cast<bool>(read_circuit(job.folder.path("circuit sized-2.toml"))));
    CHECK(content(job.circuit) == before);
}

TEST_CASE("a circuit that can't be saved is told beside its field and nothing is lost") {
    // Expected, by hand: a full disk (/dev/full answers every write so), a folder that may not be written
    // (root may write anywhere, but not into /proc), a file that is there already. Then the name is put
    // right.
    const SizedJob job;
    const std::string before = content(job.circuit);
    const auto app = harness_of(job);
    Hand hand(*app);
    for (const char* name : {"/dev/full", "/proc/circuit.toml", "nowhere/circuit.toml", "circuit.toml"}) {
        CAPTURE(name);
        type_into_file(*app, hand, name);
        REQUIRE(app->harness().save_problems().size() == 1);
        CHECK(app->harness().save_problems()[0].key == "file");
        CHECK_FALSE(app->harness().save_problems()[0].what.empty());
        CHECK(app->harness().fitting().sizing);
    }
    shoot(*app, "sizes not saved");
    CHECK(content(job.circuit) == before);
    type_into_file(*app, hand, "better.toml");
    CHECK(app->harness().save_problems().empty());
    CHECK(static_cast<bool>(read_circuit(job.folder.path("better.toml"))));
}

TEST_CASE("a full disk leaves no part of a sized circuit") {
    // Expected: the disk full in the middle (RLIMIT_FSIZE, which a write meets as it meets the end of a
    // disk): the problem is told, and neither the file nor one beside it is there.
    const SizedJob job;
    const auto circuit = read_circuit(job.circuit);
    REQUIRE(static_cast<bool>(circuit));
    const std::string text = content(job.circuit) + std::string(100'000, '#') + "\n";
    const Watch nobody;
    const Fitting fitting = fit(*circuit, text, {}, nobody);
    REQUIRE(fitting.sizing);
    rlimit old{};
    getrlimit(RLIMIT_FSIZE, &old);
    const auto handler = std::signal(SIGXFSZ, SIG_IGN);
    const rlimit small{4096, old.rlim_max};
    setrlimit(RLIMIT_FSIZE, &small);
    const SavedSizes outcome = save_sizes(job.circuit, "full.toml", text, fitting);
    setrlimit(RLIMIT_FSIZE, &old);
    std::signal(SIGXFSZ, handler);
    REQUIRE(outcome.problem);
    CHECK(outcome.problem->key == "file");
    int files = 0;
    for (const auto& one : std::filesystem::directory_iterator(job.folder.path(""))) files += one.exists();
    CHECK(files == 1);
}

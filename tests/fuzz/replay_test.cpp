// What fuzzing found once, the bundled scenarios, and a little of what a fuzzer does, at every door.

#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <random>

#include "tests/fuzz/readers.h"

using namespace lostvolts::fuzz;

namespace {

namespace fs = std::filesystem;
using Random = std::mt19937_64;

std::string piece_of(const std::string& text, Random& random) {
    if (text.empty()) return text;
    const std::size_t at = random() % text.size();
    return text.substr(at, 1 + random() % 40);
}

/// A seed with a few pieces cut out, doubled, swapped in from another seed, or a byte changed.
std::string spoilt(const std::vector<std::string>& seeds, Random& random) {
    std::string text = seeds[random() % seeds.size()];
    const std::string& other = seeds[random() % seeds.size()];
    for (auto changes = 1 + random() % 4; changes > 0 && !text.empty(); --changes) {
        const std::size_t at = random() % text.size();
        switch (random() % 5) {
        case 0:
            text.erase(at, 1 + random() % 30);
            break;
        case 1:
            text.insert(at, piece_of(text, random));
            break;
        case 2:
            text.insert(at, piece_of(other, random));
            break;
        case 3:
            text[at] = static_cast<char>(random());
            break;
        case 4:
            text[at] = "0123456789.-+eE\"[]{}=\n "[random() % 23];
            break;
        }
    }
    return text;
}

void feed_spoilt(std::string_view name, int times) {
    constexpr std::uint64_t seed = 20261126;
    MESSAGE("seed ", seed);
    Random random(seed);
    const auto reader =
        std::find_if(readers.begin(), readers.end(), [&](const Reader& r) { return r.name == name; });
    REQUIRE(reader != readers.end());
    const auto first = seeds(name);
    REQUIRE_FALSE(first.empty());
    for (int k = 0; k < times; ++k) {
        const std::string bytes = spoilt(first, random);
        INFO("number ", k, " of this seed:\n", bytes);
        reader->feed(bytes);
    }
}

} // namespace

// Expected in all: nothing that must hold fails (feed_*.cpp abort, which ends the test program).

TEST_CASE("what fuzzing found once is taken in peace") {
    int fed = 0;
    for (const Reader& reader : readers) {
        const fs::path folder = fs::path(LOSTVOLTS_SOURCE "/tests/fuzz/finds") / reader.name;
        if (!fs::exists(folder)) continue;
        for (const auto& entry : fs::directory_iterator(folder)) {
            std::ifstream in(entry.path(), std::ios::binary);
            const std::string bytes{std::istreambuf_iterator<char>(in), {}};
            INFO(entry.path().string());
            reader.feed(bytes);
            ++fed;
        }
    }
    CHECK(fed > 0);
}

TEST_CASE("every door takes what it is first fed with") {
    for (const Reader& reader : readers)
        for (const std::string& seed : seeds(reader.name)) reader.feed(seed);
}

TEST_CASE("spoilt values are read or refused with a reason") { feed_spoilt("values", 20000); }
TEST_CASE("spoilt circuits are read or refused with a reason") { feed_spoilt("circuit", 2000); }
TEST_CASE("spoilt walks are made a circuit or refused with a reason") { feed_spoilt("walk", 2000); }
TEST_CASE("spoilt readings are read or refused with a reason") { feed_spoilt("readings", 2000); }
TEST_CASE("spoilt captures are read or refused with a reason") { feed_spoilt("capture", 500); }
TEST_CASE("spoilt kept jobs are indexed all the same") { feed_spoilt("kept_job", 60); }
TEST_CASE("spoilt command lines are carried out or refused with a reason") { feed_spoilt("words", 150); }
TEST_CASE("spoilt jobs are located or refused with a reason") { feed_spoilt("locate", 120); }

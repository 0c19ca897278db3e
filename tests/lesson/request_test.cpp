#include <doctest/doctest.h>

#include "solver/lesson/request.h"
#include "tests/lesson/motor_loop.h"

using namespace lostvolts;
using namespace lostvolts::lesson_tests;

namespace {

const Circuit& boat() {
    static const Circuit circuit = bundled("workboat_bilge");
    return circuit;
}

template <class T> T read_as(const Circuit& circuit, std::string_view line, int state = 0) {
    CAPTURE(line);
    const auto request = read_request(circuit, state, line);
    REQUIRE(request);
    REQUIRE(std::holds_alternative<T>(*request));
    return std::get<T>(*request);
}

std::string refusal(std::string_view line) {
    const auto request = read_request(boat(), 0, line);
    REQUIRE_FALSE(request);
    return request.problems().front().what + " | " + request.problems().front().write;
}

} // namespace

TEST_CASE("volts are asked for by two points or one or across a part") {
    // Expected: the words' plain meaning.
    const Circuit& c = boat();
    const PointId out = find_point(c, "fuse out"), plus = find_point(c, "pump +");
    for (const char* line :
         {"volts fuse out to pump + in run", "VOLTS \"Fuse Out\" to \"Pump +\", in \"Run\"",
          "v fuse out and pump + at run", "voltage  fuse out  against pump +"}) {
        const auto p = read_as<Prospect>(c, line);
        CHECK(p.quantity == Measurand::voltage);
        CHECK(p.state == 0);
        CHECK(p.red == out);
        CHECK(p.black == plus);
    }
    CHECK(read_as<Prospect>(c, "volts fuse out").black == c.ground);
    CHECK(read_as<Prospect>(c, "volts fuse out to ground").black == c.ground);
    const auto splice = read_as<Prospect>(c, "drop feed splice in float bridged");
    CHECK(splice.red == find_point(c, "splice, panel side"));
    CHECK(splice.black == find_point(c, "splice, pump side"));
    CHECK(splice.state == find_state(c, "float bridged"));
    CHECK(read_as<Prospect>(c, "volts splice, panel side to battery \xE2\x88\x92").black == c.ground);
}

TEST_CASE("amperes and speeds are asked for by a part that may be shortened") {
    // Expected: the words' plain meaning; "pump" alone is the pump, not its splice. Without a state the last
    // one stays.
    const Circuit& c = boat();
    const auto held = read_as<Prospect>(c, "amps pump in stall");
    CHECK(held.quantity == Measurand::current);
    CHECK(held.through == find_part(c, "bilge pump"));
    CHECK(held.state == find_state(c, "stall"));
    const auto speed = read_as<Prospect>(c, "speed of bilge pump", 3);
    CHECK(speed.quantity == Measurand::speed);
    CHECK(speed.state == 3);
    // Points whose names end in a word that could begin a state's.
    const Circuit fan = bundled("radiator_fan");
    const auto thermostat = read_as<Prospect>(fan, "volts thermostat in to body in run");
    CHECK(thermostat.red == find_point(fan, "thermostat in"));
    CHECK(thermostat.state == find_state(fan, "run"));
}

TEST_CASE("blanks in a name may be left out") {
    const Circuit& c = boat();
    CHECK(read_as<Prospect>(c, "volts pump+ to pump- in run").red == find_point(c, "pump +"));
    const auto place = read_place(c, 0, Measurand::voltage, "battery+ to pump +");
    REQUIRE(place);
    CHECK(place->red == find_point(c, "battery +"));
    CHECK(place->state == 0);
}

TEST_CASE("a state may follow its place without a word between, where no place is called so") {
    // Expected: the words' plain meaning.
    const Circuit& c = boat();
    const auto volts = read_as<Prospect>(c, "volts battery +, stall");
    CHECK(volts.red == find_point(c, "battery +"));
    CHECK(volts.state == find_state(c, "stall"));
    const auto splice = read_as<Prospect>(c, "drop feed splice, float bridged");
    CHECK(splice.red == find_point(c, "splice, panel side"));
    CHECK(splice.state == find_state(c, "float bridged"));
    CHECK(read_as<Prospect>(c, "amps pump stall").through == find_part(c, "bilge pump"));
    const auto unknown = read_request(c, 0, "volts batery, stall");
    REQUIRE_FALSE(unknown);
    CHECK(unknown.problems().front().what == "there is no point \"batery\"");
}

TEST_CASE("every place of the bundled circuits can be told in words that read back as it") {
    // Expected: the same state, points and part, for each state, pair of points and part.
    for (const char* scenario : {"glasshouse_winch", "orchard_sprayer", "radiator_fan", "snow_plough_spinner",
                                 "trailer_lamps", "workboat_bilge"}) {
        CAPTURE(scenario);
        const Circuit c = bundled(scenario);
        int told = 0, all = 0;
        const auto tell = [&](const Prospect& p) {
            const auto words = place_words(c, p);
            ++all;
            told += words.has_value();
            if (!words) return;
            const auto read = read_place(c, 0, p.quantity, *words);
            REQUIRE(read);
            CHECK((read->state == p.state && read->red == p.red && read->black == p.black &&
                   read->through == p.through));
        };
        const auto count = [](const auto& list) { return static_cast<int>(list.size()); };
        for (int s = 0; s < count(c.states); ++s) {
            for (PointId red = 0; red < count(c.points); ++red)
                for (PointId black = 0; black < count(c.points); ++black)
                    if (red != black) tell({s, Measurand::voltage, red, black, none, none});
            for (PartId part = 0; part < count(c.parts); ++part)
                tell({s, Measurand::current, none, none, part, none});
        }
        CHECK(told == all);
    }
}

TEST_CASE("a place that no words tell apart is not told in words") {
    // Expected, by hand: quotes and capitals are not read.
    Circuit c = boat();
    c.points[1].name = "Pump +", c.points[2].name = "pump +";
    CHECK(!place_words(c, {0, Measurand::voltage, 1, 2, none, none}));
}

TEST_CASE("a place that can't be read lists what there is") {
    // Expected: outside the game there is nobody to ask for the names.
    const auto place = read_place(boat(), 0, Measurand::current, "");
    REQUIRE_FALSE(place);
    CHECK(place.problems().front().what == "a part is missing");
    CHECK(place.problems().front().write.starts_with("the parts are \"battery\", "));
}

TEST_CASE("lamp, ohms and listen are asked for as volts and amperes are") {
    // Expected: the words' plain meaning.
    const Circuit& c = boat();
    const auto lamp = read_as<Prospect>(c, "lamp pump + to pump - in run");
    CHECK(lamp.quantity == Measurand::lamp);
    CHECK(lamp.red == find_point(c, "pump +"));
    CHECK(lamp.black == find_point(c, "pump -"));
    const auto ohms = read_as<Prospect>(c, "ohms across feed splice in float down");
    CHECK(ohms.quantity == Measurand::resistance);
    CHECK(ohms.red == find_point(c, "splice, panel side"));
    CHECK(ohms.state == find_state(c, "float down"));
    for (const char* line : {"listen to pump", "listen pump", "sound of bilge pump"}) {
        const auto sound = read_as<Prospect>(c, line);
        CHECK(sound.quantity == Measurand::sound);
        CHECK(sound.through == find_part(c, "bilge pump"));
    }
}

TEST_CASE("a part is named with or without what is wrong with it") {
    // Expected: the words' plain meaning.
    const Circuit& c = boat();
    for (const char* line : {"part feed splice", "it is the feed splice", "part FEED"}) {
        const auto n = read_as<Named>(c, line);
        CHECK(n.part == find_part(c, "feed splice"));
        CHECK_FALSE(n.kind);
    }
    const auto n = read_as<Named>(c, "part feed splice: high resistance");
    CHECK(n.part == find_part(c, "feed splice"));
    CHECK(n.kind == FaultKind::high_resistance);
    CHECK(read_as<Wish>(c, "# a remark") == Wish::nothing);
    CHECK(read_as<Wish>(c, "  Help ") == Wish::help);
    CHECK(read_as<Wish>(c, "") == Wish::nothing);
}

TEST_CASE("a request that can't be read says what to write") {
    // Expected: the messages word for word.
    CHECK(refusal("measure everything") == "\"measure\" is no word of this game | write volts, amps, speed, "
                                           "ohms, lamp, listen or part and a name; \"help\" says more");
    CHECK(refusal("volts pump to battery -") ==
          "\"pump\" could be several | say which: \"pump +\", \"pump -\"");
    CHECK(refusal("volts fuse oot") == "there is no point \"fuse oot\" | did you mean \"fuse out\"?");
    CHECK(refusal("amps") == "a part is missing | \"parts\" lists them");
    CHECK(refusal("part splice").starts_with("\"splice\" could be several | say which: \"feed splice\", "));
    CHECK(refusal(std::string(2000, 'x')) == "the line is too long | ask for one reading a line");
}

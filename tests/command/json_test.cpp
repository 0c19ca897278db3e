#include "viewer/command/json.h"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>

#include "tests/command/sample.h"

using namespace lostvolts;
using namespace lostvolts::command_tests;

namespace {

/// The keys of an object, in their order.
std::vector<std::string> keys(const Json& object) {
    std::vector<std::string> names;
    for (const auto& [key, value] : object.items()) names.push_back(key);
    return names;
}

} // namespace

TEST_CASE("locate's JSON has DESIGN's keys first and in its order") {
    // Expected: DESIGN, "Commands", locate.
    const Json j = json_of(sample_readings(), sample_location());
    const auto begins = [](const Json& object, const std::vector<std::string>& design) {
        auto names = keys(object);
        REQUIRE(names.size() >= design.size());
        names.resize(design.size());
        CHECK(names == design);
    };
    begins(j, {"verdict", "suspects", "readings", "next", "repaired"});
    begins(j["suspects"][0], {"probability", "faults", "misfit"});
    begins(j["suspects"][0]["faults"][0], {"part", "kind", "value", "low", "high", "unit"});
    begins(j["readings"][0], {"index", "expected", "measured", "sigma", "deviation", "suspect_reading"});
    for (const char* key : {"state", "quantity", "red", "black", "through", "bits", "minutes", "outcomes"})
        CHECK(j["next"][0].contains(key));
    begins(j["next"][0]["outcomes"][0], {"suspect", "expect", "low", "high"});
    begins(j["repaired"][0], {"name", "points", "parts", "motors", "residual_A"});
    begins(j["repaired"][0]["parts"][0],
           {"name", "kind", "current_A", "drop_V", "power_W", "resistance_ohm", "limit_V", "over_limit"});
    begins(j["repaired"][0]["motors"][0], {"name", "speed_rpm", "torque_Nm", "back_emf_V", "current_A"});
}

TEST_CASE("locate's JSON tells healthy, not modelled, sizes and units apart") {
    // Expected, by hand, from the sample.
    Location l = sample_location();
    l.suspects[1].faults[0] = {2, FaultKind::seized, 0, 0, 0};
    l.suspects.push_back(l.suspects[0]);
    l.suspects.back().faults[0] = {0, FaultKind::low_charge, 0.35, 0.3, 0.4};
    const Json j = json_of(sample_readings(), l);
    CHECK(j["verdict"] == "located");
    CHECK(j["suspects"][0]["faults"][0]["unit"] == "ohm");
    CHECK(j["suspects"][0]["faults"][0]["value"] == 0.18);
    CHECK(!j["suspects"][0].contains("unmodelled"));
    CHECK(j["suspects"][1]["faults"][0]["kind"] == "seized");
    CHECK(j["suspects"][1]["faults"][0]["value"].is_null());
    CHECK(j["suspects"][1]["faults"][0]["unit"].is_null());
    CHECK(j["suspects"][2]["faults"].is_array());
    CHECK(j["suspects"][2]["faults"].empty());
    CHECK(!j["suspects"][2].contains("unmodelled"));
    CHECK(j["suspects"][3]["unmodelled"] == true);
    CHECK(j["suspects"][4]["faults"][0]["unit"] == "1");
    CHECK(j["next"][0]["through"].is_null());
    CHECK(j["next"][0]["red"] == "battery +");
    CHECK(j["readings"][0]["suspect_reading"] == false);
    CHECK(j["readings"][0]["likely"].is_null());
    CHECK(!j["cautions"].empty());
}

TEST_CASE("doubles read back as the same doubles and what is no number is null") {
    // Expected: IEEE 754 shortest digits read back exactly.
    StatePrediction s = sample_location().repaired[0];
    const double odd = std::nextafter(12.1, 13.0);
    s.points[1] = from_si<Voltage<>>(odd);
    s.points[2].reset();
    s.leftover = from_si<Current<>>(std::numeric_limits<double>::quiet_NaN());
    const Json back = Json::parse(written(json_of(sample_circuit(), s)));
    CHECK(back["points"]["battery +"].get<double>() == odd);
    CHECK(back["points"]["pump +"].is_null());
    CHECK(back["residual_A"].is_null());
    CHECK(back["parts"][1]["resistance_ohm"].is_null());
    CHECK(back["parts"][1]["limit_V"].is_null());
    CHECK(back["motors"][0]["speed_rpm"].get<double>() == doctest::Approx(356.0 * 30 / 3.14159265358979));
}

TEST_CASE("a name that is not UTF-8 does not stop the JSON") {
    // Expected, by hand: a file name may hold any bytes.
    Problem p;
    p.file = "a\xff.toml";
    p.what = "not there";
    CHECK(Json::parse(written(json_of(Problems{p})))[0]["file"] == "a\uFFFD.toml");
}

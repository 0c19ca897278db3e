// The checks themselves, on made-up files: each must be able to fail.
#include "tests/house/floors.h"

#include <doctest/doctest.h>

using namespace lostvolts::house;

TEST_CASE("an include that points up is named with its file and line") {
    // Expected, by hand: network stands above parts in DEVELOPERS.md's list of floors.
    const auto faults =
        include_faults("solver/parts/wire.h", "// A wire.\n"
                                              "#include <vector>\n"
                                              "#include \"solver/units/quantity.h\"\n"
                                              "  #  include \"solver/network/solve.h\" // up\n");
    REQUIRE(faults.size() == 1);
    CHECK(faults[0] == "solver/parts/wire.h:4: solver/parts includes \"solver/network/solve.h\", "
                       "which is a floor above it");
}

TEST_CASE("an include may point to its own room and to lower floors only") {
    // Expected, by hand, from DEVELOPERS.md's list of floors.
    CHECK(include_fault("solver/parts/wire.cpp", "solver/parts/wire.h") == "");
    CHECK(include_fault("viewer/command/locate.cpp", "solver/units/text.h") == "");
    CHECK(include_fault("viewer/main.cpp", "viewer/command/commands.h") == "");
    CHECK(include_fault("solver/waveform/features.cpp", "solver/network/solve.h") == "");
    CHECK(include_fault("solver/locate/readings.h", "solver/waveform/features.h") == "");

    CHECK(include_fault("solver/waveform/features.h", "solver/locate/readings.h") != "");
    CHECK(include_fault("solver/sizing/wires.h", "solver/locate/readings.h") != "");
    CHECK(include_fault("solver/spinup/start.h", "solver/waveform/capture.h") != "");
    CHECK(include_fault("viewer/window/bench.h", "viewer/paper/svg.h") != "");
    CHECK(include_fault("solver/records/store.h", "viewer/figures/loop.h") != "");
    CHECK(include_fault("viewer/command/check.cpp", "viewer/main.h") != "");
}

TEST_CASE("an include that names no room or comes from none is a fault") {
    // Expected, by hand: the house writes every path from the top of the tree, and tests/ is no part of the
    // program.
    CHECK(include_fault("solver/parts/wire.h", "quantity.h") != "");
    CHECK(include_fault("solver/parts/wire.h", "../units/quantity.h") != "");
    CHECK(include_fault("solver/parts/wire.h", "tests/house/floors.h") != "");
    CHECK(include_fault("solver/attic/wire.h", "solver/units/quantity.h") != "");
}

TEST_CASE("angle brackets do not hide an include of this house") {
    // Expected, by hand.
    const auto includes =
        own_includes("#include <viewer/window/bench.h>\n#include <cmath>\n// #include \"x.h\"\n");
    REQUIRE(includes.size() == 1);
    CHECK(includes[0].path == "viewer/window/bench.h");
    CHECK(includes[0].line == 1);
}

TEST_CASE("a header begins with a comment paragraph and then has its guard") {
    // Expected, by hand.
    CHECK(header_fault("// A wire.\n//\n// More of it.\n#pragma once\n") == "");
    CHECK(header_fault("// A wire.\n\n#pragma once\n") == "");
    CHECK(header_fault("#pragma once\n// A wire.\n") != "");
    CHECK(header_fault("// A wire.\n#include <cmath>\n#pragma once\n") != "");
    CHECK(header_fault("// A wire.\n") != "");
    CHECK(header_fault("") != "");
}

TEST_CASE("a type in an unnamed namespace is its file's own and any other is everybody's") {
    // Expected, by hand.
    const auto names = types_of("namespace lostvolts {\nnamespace {\nstruct Own {\n};\n} // namespace\n"
                                "template <class P> struct Wire {\n    struct Inner {\n    };\n};\n"
                                "class Ahead;\nenum class Kind { a, b };\n} // namespace lostvolts\n");
    REQUIRE(names.size() == 2);
    CHECK(names[0] == "Wire");
    CHECK(names[1] == "Kind");
}

TEST_CASE("a last line without an end still counts as a line") {
    // Expected, by hand.
    CHECK(line_count("") == 0);
    CHECK(line_count("a\nb\n") == 2);
    CHECK(line_count("a\nb") == 2);
}

// A circuit as a person described it: points, parts between them, the states it is measured in, and named
// faults. Plain data with indices; nothing here is solved.
#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "solver/parts/all.h"
#include "solver/units/result.h"

namespace lostvolts {

using PointId = int; ///< index into Circuit::points
using PartId = int;  ///< index into Circuit::parts
inline constexpr int none = -1;

struct Point {
    std::string name;
    Time<> access =
        from_si<Time<>>(60.0); ///< to put a probe there; a minute when nothing is said (common practice)
    std::string note;
    bool declared = false; ///< has its own [[point]]
};

struct Part {
    std::string name;
    AnyPart law;
    PointId from = none;
    PointId to = none;
    PointId coil_from = none; ///< a relay's; none for every other kind
    PointId coil_to = none;
    std::optional<double> tolerance; ///< the file's own, half-width of 95 % as a share
    Place place;                     ///< of its name in the file
};

/// A way the circuit is switched while somebody measures it. Every part stands in at most one of the last
/// three.
struct State {
    std::string name;
    std::vector<PartId> closed;  ///< switches (and relays held in by hand); all other switches are open
    std::vector<PartId> locked;  ///< motors whose rotor is held
    std::vector<PartId> bridged; ///< a fused jumper across the part; a relay is out of its socket meanwhile
    std::vector<PartId> removed; ///< taken out: both contact and coil of a relay
    Place place;
};

struct Fault {
    PartId part = none;
    FaultKind kind = FaultKind::high_resistance;
    double size = 0; ///< SI: ohms or a share, see size_of(); 0 where the kind has no size
};

/// A named set of faults, for teaching and what-if.
struct Condition {
    std::string name;
    std::vector<Fault> faults;
};

struct Limits {
    DropLimits drops = usual_drop_limits();
    bool told = false; ///< false: the usual trade limits
};

struct Circuit {
    std::string file; ///< as the person named it
    std::string name;
    PointId ground = none; ///< the point that reads 0 V
    Temperature<> temperature = celsius(25);
    std::vector<Part> parts;
    std::vector<Point> points; ///< in the order the parts first name them
    std::vector<State> states; ///< never empty: without any in the file, "run" with every switch closed
    std::vector<Condition> conditions;
    Limits limits;
};

/// Index by name, or none.
PartId find_part(const Circuit& circuit, std::string_view name);
PointId find_point(const Circuit& circuit, std::string_view name);
int find_state(const Circuit& circuit, std::string_view name);
int find_condition(const Circuit& circuit, std::string_view name);

/// Whether one of a state's lists, or a path, has the part in it.
bool holds(const std::vector<PartId>& parts, PartId part);

const std::string& part_name(const Circuit& circuit, PartId part);
const std::string& point_name(const Circuit& circuit, PointId point);
/// How text names a part: ground "pump ground".
std::string said(const Part& part);

/// The limit of a part's voltage drop, and nothing for a part that is meant to drop volts (a source, a load).
std::optional<Voltage<>> drop_limit(const Circuit& circuit, const Part& part);

/// A jumper across a part in a bridged state: fused lead and two clips. Common practice, no source.
inline constexpr double jumper_ohms = 10e-3;

} // namespace lostvolts

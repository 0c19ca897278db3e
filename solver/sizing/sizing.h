// A replacement harness: the least copper of standard sizes, and the fuses, such that in every state each
// load gets its volts, every wire stays within its insulation's temperature, and a fuse opens on a short
// before a wire is hurt. The answer is checked with the full network in every state before it is given.
//
// Nothing here replaces the code that applies to the machine; whoever signs the drawing is answerable for it.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "solver/network/predict.h"
#include "solver/sizing/choose.h"
#include "solver/sizing/protection.h"

namespace lostvolts {

/// What may be lost between the source's posts and a load, out and back, and along one wire alone.
struct DropRule {
    Voltage<> whole_loop{};
    std::optional<Voltage<>> wire;
    std::string source;
};
DropRule land_rule(const Circuit& circuit); ///< the circuit's own limits, else the usual trade ones
/// 3 % of the nominal voltage for critical circuits and 10 % for others (ABYC E-11, ISO 10133).
DropRule marine_rule(const Circuit& circuit, bool critical);
Voltage<> nominal_voltage(const Circuit& circuit); ///< 2 V a cell, of the battery with most cells

enum class SizeSeries { as_drawn, metric, gauge };

/// The source that a short circuit must still find strong enough.
struct WeakSource {
    double charge = 0.25; ///< of a battery
    double resistance_factor =
        2.0; ///< on every source's resistance: age and cold. Common practice, no source
};

struct SizingRequest {
    std::vector<int> states; ///< empty: all without a part taken out or bridged
    DropRule rule;
    Temperature<> ambient = celsius(25);
    InsulationClass insulation = *find_insulation(celsius(85));
    int bundle = 1; ///< loaded wires that lie together
    SizeSeries series = SizeSeries::as_drawn;
    Area<> least_area{};      ///< no thinner wire is taken
    std::vector<PartId> keep; ///< wires and fuses that stay as drawn
    WeakSource weakest;
    Time<> stalled = from_si<Time<>>(60.0);
    std::map<PartId, StartCurrent> starts; ///< per fuse, simulated; without one, the closed form
    ChoiceEffort effort;
};

/// What keeps a wire from being one size thinner.
enum class Binding { drop, heat, protection, smallest, kept };
std::string_view name_of(Binding binding);

struct SizedWire {
    PartId part = none;
    WireSize size{};
    WireSize drawn{};
    Length<> length{};
    bool chosen = false;
    int state = none;            ///< where it carries most in run
    Current<> current{};         ///< most in run, from `from` to `to`
    Voltage<> drop{};            ///< most in run, hot
    Temperature<> temperature{}; ///< most in run
    Temperature<> stalled{};     ///< after the stalled minute, or when its fuse opens
    Temperature<> limit{};
    Current<> ampacity{};
    PartId fuse = none; ///< that protects it, or none
    Mass<> copper{};    ///< the conductor
    Mass<> mass{};      ///< with insulation, estimated
    Binding binding = Binding::kept;
};

struct SizedFuse {
    PartId part = none;
    Current<> rating{};
    Current<> drawn{};
    bool chosen = false;
    Current<> load{};  ///< most in steady run
    double loaded = 0; ///< share of what it carries at this ambient
    Current<> start_peak{};
    double start_use = 0; ///< share of its shortest life that a start uses
    bool survives_start = true;
    Current<> stall{}; ///< most with a rotor held
    OperatingTime on_stall{};
    Current<> short_current{}; ///< least, far end, weakest source
    Time<> on_short{};         ///< at the latest
    std::string loads;         ///< where the short was: the load's name
};

struct Rating {
    PartId part = none;
    Current<> current{};
    Current<> rating{}; ///< 0: not told
    bool over = false;
};

struct Sizing {
    std::vector<SizedWire> wires;
    std::vector<SizedFuse> fuses;
    std::vector<Rating> ratings;         ///< connectors, relay contacts and switches
    std::vector<StatePrediction> states; ///< with the new sizes, hot
    Voltage<> worst_drop{};              ///< of any load
    Voltage<> allowed{};
    Mass<> copper{};
    Mass<> mass{};
    Mass<> copper_drawn{}; ///< of the wires as drawn
    bool one_way = true;   ///< every current has one way only; else nothing is said of lighter choices
    bool proven = false;   ///< no lighter choice meets the limits
    Mass<> bound{};        ///< of the sized wires: none lighter can
    double gap = 0;
    long nodes = 0;
    int rounds = 0;
    std::vector<std::string> remarks;
};

/// Problems: limits that nothing can meet (which segment, by how much), a fuse that protects no size, a state
/// without current when no state has any, no working point.
Result<Sizing> size_harness(const Network& network, const SizingRequest& request);

/// The circuit with these sizes and ratings, wires at the temperatures of its file.
Circuit with_sizes(const Circuit& circuit, const Sizing& sizing);

} // namespace lostvolts

#include "solver/circuit/walk_kinds.h"

#include <algorithm>
#include <array>
#include <variant>

#include "solver/units/text.h"

namespace lostvolts {
namespace {

template <class Q> std::optional<double> size_of(std::string_view text) {
    const auto read = read_quantity<Q>(text);
    const Q* q = std::get_if<Q>(&read);
    return q ? std::optional(si(*q)) : std::nullopt;
}

std::optional<double> wire_size_of(std::string_view text) {
    const auto read = read_wire_size(text);
    const auto* size = std::get_if<WireSize>(&read);
    return size ? std::optional(si(size->area)) : std::nullopt;
}

/// A bare number is no share here: it may belong to a name.
std::optional<double> share_of(std::string_view text) {
    return text.ends_with('%') ? size_of<Ratio<>>(text) : std::nullopt;
}

constexpr SizeOf volts = size_of<Voltage<>>, amps = size_of<Current<>>, ohms = size_of<Resistance<>>,
                 watts = size_of<Power<>>, metres = size_of<Length<>>, seconds = size_of<Time<>>,
                 rpm = size_of<Speed<>>, henries = size_of<Inductance<>>, farads = size_of<Capacitance<>>;

const std::vector<WalkedKind>& kinds() {
    static const std::vector<WalkedKind> all{
        {"battery",
         {{"emf", volts}, {"charge", share_of}, {"cold_cranking", amps}, {"resistance", ohms}},
         "battery 12.6 V 9 mohm"},
        {"charger",
         {{"regulated", volts}, {"limit", amps}, {"resistance", ohms}},
         "charger alternator 14.2 V 60 A"},
        {"wire",
         {{"size", wire_size_of}, {"length", metres}, {"resistance", ohms}},
         "wire feed wire 4 mm2 3.4 m"},
        {"fuse", {{"rating", amps}, {"resistance", ohms}}, "fuse 4 25 A"},
        {"breaker", {{"rating", amps}, {"resistance", ohms}}, "breaker 25 A"},
        {"switch", {{"rating", amps}, {"resistance", ohms}}, "switch dash switch"},
        {"relay",
         {{"contact", ohms}, {"coil", ohms}, {"pull_in", volts}, {"rating", amps}},
         "relay pump relay 85 ohm"},
        {"connector", {{"rating", amps}, {"resistance", ohms}}, "connector tail plug"},
        {"splice", {{"resistance", ohms}}, "splice"},
        {"ground", {{"resistance", ohms}}, "ground frame bolt"},
        {"motor",
         {{"rated", volts}, {"run_current", amps}, {"stall_current", amps}, {"run_speed", rpm}},
         "motor rinse pump 12 V 9 A 24 A 3400 rpm"},
        {"lamp", {{"rated", volts}, {"power", watts}}, "lamp work lamp 12 V 55 W"},
        {"heater", {{"rated", volts}, {"power", watts}, {"resistance", ohms}}, "heater glass 12 V 150 W"},
        {"resistor", {{"resistance", ohms}}, "resistor 0.6 ohm"},
        {"electronic", {{"cut_out", volts}, {"power", watts}}, "electronic control unit 18 W"},
        {"solenoid", {{"resistance", ohms}, {"inductance", henries}}, "solenoid valve 8 ohm"},
        {"diode", {{"forward_drop", volts}, {"resistance", ohms}}, "diode"},
        {"capacitor", {{"capacitance", farads}, {"resistance", ohms}}, "capacitor 2200 uF"},
    };
    return all;
}

struct OtherWord {
    std::string_view word, kind;
};
constexpr std::array other_words{
    OtherWord{"earth", "ground"},       OtherWord{"plug", "connector"},  OtherWord{"pin", "connector"},
    OtherWord{"terminal", "connector"}, OtherWord{"cable", "wire"},      OtherWord{"lead", "wire"},
    OtherWord{"strap", "wire"},         OtherWord{"bulb", "lamp"},       OtherWord{"pump", "motor"},
    OtherWord{"fan", "motor"},          OtherWord{"winch", "motor"},     OtherWord{"blower", "motor"},
    OtherWord{"alternator", "charger"}, OtherWord{"contactor", "relay"},
};

} // namespace

const WalkedKind* find_walked_kind(std::string_view kind) {
    const auto at =
        std::find_if(kinds().begin(), kinds().end(), [&](const WalkedKind& k) { return k.kind == kind; });
    return at == kinds().end() ? nullptr : &*at;
}

const WalkedKind* kind_meant(std::string_view word) {
    for (const OtherWord& other : other_words)
        if (other.word == word) return find_walked_kind(other.kind);
    return nullptr;
}

std::span<const SizeOf> all_sorts() {
    static constexpr std::array<SizeOf, 13> sorts{volts,   amps,   ohms,
                                                  watts,   metres, size_of<Area<>>,
                                                  seconds, rpm,    size_of<Temperature<>>,
                                                  henries, farads, size_of<Charge<>>,
                                                  share_of};
    return sorts;
}

bool is_length(SizeOf sort) { return sort == metres; }
bool is_time(std::string_view text) { return seconds(text).has_value(); }

} // namespace lostvolts

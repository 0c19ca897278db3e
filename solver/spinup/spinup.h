// The start-up in time: from rest, a state's contacts close, bounce, and the circuit runs up to speed. The
// same part equations as the DC solve, residual = d(stored)/dt.
//
// At first every switch, relay and jumper that the state closes is open and the circuit has long been so; at
// `closing` they close. In a state that closes nothing, the sources themselves come on at `closing`, on a
// circuit that has long been dead. An open contact leaks a megohm and passes an inductive current through an
// arc (solver/parts/contact.h). A relay moves when R·|i| of its coil passes pull-in or drop-out.
// Every voltage probe hangs on the circuit with its input resistance for the whole run; its own heat, some
// microwatts, is in no account.
// Not modelled: a fuse that opens (its heat is told), heat in wires.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "solver/network/measure.h"
#include "solver/parts/commutation.h"

namespace lostvolts {

/// A contact that has just made opens again `after` that, for `lasts`.
struct Opening {
    Time<> after;
    Time<> lasts;
};
struct Bounce {
    PartId contact = none; ///< none: every contact that closes and has no line of its own
    std::vector<Opening> openings;
};
/// Openings of these lengths, each after the contact was closed for as long as the opening lasts.
std::vector<Opening> bounce_of(const std::vector<Time<>>& lasts);
/// `count` openings, each of 0.3 to 1 times `longest` and half as long again for each that follows; the same
/// for the same seed everywhere.
std::vector<Opening> random_bounce(int count, Time<> longest, std::uint64_t seed);

/// A fault that comes during the run: a joint that opens, a load that drops away. Parts a state has taken out
/// have none.
struct Change {
    Time<> at;
    Fault fault;
};
/// The emf of a battery at instants in order, straight lines between, held before and after.
struct Course {
    PartId battery = none;
    std::vector<Time<>> at;
    std::vector<Voltage<>> emf;
};
struct BadBarOf {
    PartId motor = none;
    BadBar bar;
};

/// What stands between the circuit and the recorded number. The lag is that of one pole, 1/(2π·bandwidth).
template <class Q> struct Instrument {
    Q offset{};
    Q noise{};      ///< standard deviation of a sample
    Q resolution{}; ///< 0: none
    Time<> lag{};
};

struct SpinUpRequest {
    int state = 0;
    std::vector<Fault> faults;
    Time<> duration = from_si<Time<>>(0.5);
    Time<> closing = from_si<Time<>>(0.005);
    std::vector<Bounce> bounce;
    std::optional<Time<>> pulse; ///< the state's contacts open again this long after closing
    std::vector<Change> changes;
    std::vector<Course> courses;
    bool ripple = true; ///< commutation of motors whose bars are told
    std::vector<BadBarOf> bad_bars;

    std::vector<Probe> probes;
    Time<> every = from_si<Time<>>(1e-4); ///< between samples
    Instrument<Voltage<>> voltmeter;
    Instrument<Current<>> clamp;
    std::uint64_t noise_seed = 1;

    /// Largest error of the trace as a share of each quantity's greatest value.
    double tolerance = 1e-4;
    Time<> longest_step = from_si<Time<>>(1e9);
    bool account = true; ///< energy, fuses, motors and supply; off: only the samples
};

enum class Happening { closes, opens, pulls_in, drops_out, breaks, sources_on };
std::string_view name_of(Happening what);

struct Event {
    Time<> at;
    PartId part = none;
    Happening what = Happening::closes;
};

/// How far a fuse has come towards opening: the sum of (time at a current)/(operating time at that current),
/// for the shortest and the longest operating times of the standard's band. A fuse without a rating has none.
struct FuseHeat {
    PartId part = none;
    Current<> peak;
    double shortest_share = 0;            ///< 1: a fuse of the quickest kind opens
    double longest_share = 0;             ///< 1: every fuse has opened
    std::optional<Time<>> opens_earliest; ///< when the share reaches 1
    std::optional<Time<>> opens_latest;
};

struct MotorStart {
    PartId part = none;
    Current<> peak;
    Time<> peak_at;
    Current<> run;                       ///< at the end; with ripple the mean over the last turn
    Speed<> speed;                       ///< at the end
    std::optional<Time<>> to_95_percent; ///< of that speed, from closing
};

struct SupplyDip {
    PartId part = none;
    Voltage<> lowest; ///< across its posts
    Time<> at;
};

/// Joules over the whole run. What the sources give at their posts is what became heat, work and store.
struct EnergyAccount {
    Energy<> given;
    Energy<> heat;
    Energy<> work;     ///< friction and load of the motors
    Energy<> stored;   ///< gained
    Energy<> leftover; ///< given − heat − work − stored
};

struct SpinUp {
    std::vector<double> seconds;
    std::vector<std::vector<double>> columns; ///< per probe, V, A or rad/s
    std::vector<Event> events;
    std::vector<FuseHeat> fuses;
    std::vector<MotorStart> motors;
    std::vector<SupplyDip> supplies;
    EnergyAccount energy;
    int steps = 0;
    int rejected = 0;
    int bars = 0; ///< commutator edges passed
};

/// What is wrong with a request; nothing when it can be run.
Problems check_request(const Circuit& circuit, const SpinUpRequest& request);
/// Errors: those of check_request(), or an instant at which no currents were found that
/// balance.
Result<SpinUp> spin_up(const Network& network, const SpinUpRequest& request);

} // namespace lostvolts

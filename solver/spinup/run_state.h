// A run under way, and what its steps ask: when a contact, relay or bend is due, when a bar's edge passes.
// Only run.cpp, happenings.cpp and bars.cpp look in here.
#pragma once

#include <limits>

#include "solver/spinup/run.h"

namespace lostvolts {

inline constexpr double past_kink = 1e-7; ///< of a step: landing just past a bend is enough, it has no jump

struct Run {
    Run(const Network& n, const SpinUpRequest& r, Model& m, const Watch& w, std::vector<Event>& e,
        RunCount& c);
    std::optional<Problem> whole();

    // ---- run.cpp: the steps ----
    Port& port(int p);
    void renew_scales();
    /// Unknowns that store nothing are as right as what they follow from.
    void find_followers();
    /// A step to begin with: each unknown may move by a tenth of its size.
    double first_step();
    std::optional<Problem> restart();
    std::optional<Problem> stuck() const;
    /// One accepted step, up to `stop` at most.
    std::optional<Problem> step(double stop);
    /// Coils and windings take up what leaks through the open contacts, which takes them microseconds; what
    /// is charged or warm stays so.
    std::optional<Problem> come_to_rest();

    // ---- happenings.cpp: what is due, and what the state of the circuit itself brings about ----
    int region_at(int p, double share);
    int region_of_moment(int p, const Moment& m);
    void take_regions();
    void move(int m, bool closed, Happening what);
    void turn_corner(const Due& due);
    void break_part(const Due& due);
    std::optional<Problem> take_due();
    double coil_amps(const Mover& m, double share);
    static bool asks(const Mover& m, double amps);
    bool relay_asks();
    bool bends();
    /// The share of the step at which the first law bends or relay moves; 1 if none does.
    double share_to_happening();
    /// After a landing: where a coil's current passes its mark nearby, the length that ends there exactly.
    /// Near its end the continuous answer is as right as the step. True when the length has changed.
    bool sharpen(double& length);

    // ---- bars.cpp: commutator edges ----
    struct Aim {
        int which = none; // of `turning`
        double edge = 0;
        double h = std::numeric_limits<double>::infinity();
    };
    double bar_ohms(int p, int sector);
    /// When the next commutator edge passes, by the rotor's speed and how it changes.
    Aim aim();
    /// The share of the attempted step at which the edge passes, beyond 1 too; by Newton on the continuous
    /// answer.
    double share_to_edge(const Aim& aimed);
    void note_pulls();
    void pass_edge(const Aim& aimed);

    const Network& network;
    const SpinUpRequest& request;
    Model& model;
    const Watch& watch;
    std::vector<Event>& events;
    RunCount& count;
    Timeline timeline;
    Stepper stepper;
    Moment at;
    double t = 0, h = 0;
    std::vector<int> bent{}, regions{}; // ports whose law has bends, and where on it they are
    std::vector<char> follows{};        // per own unknown
    std::vector<int> filaments{};       // own unknowns
    std::vector<int> turning{};         // ports of commutating motors
    std::vector<double> last_pull{};    // of each, the angular acceleration a step ago, and its time
    double last_t = 0;
    /// Lengths that the steps of a bar wished for, in order: the next bar will want the same.
    std::vector<double> wishes{};
    std::size_t step_of_bar = 0;
};

} // namespace lostvolts

// The Harness: limits, the sizes that meet them with what binds each, a fuse between what it must let live
// and what it must cut; and a size changed by hand, to see what breaks.
#pragma once

#include "viewer/window/desk.h"
#include "viewer/window/fitting.h"

namespace lostvolts {

class HarnessPlace {
  public:
    void show(Desk& desk, const Pane& room);
    void draw(sf::RenderTarget& target) const;
    bool act(Desk& desk, Act act);
    ~HarnessPlace(); ///< waits for a save that is under way or waiting
    bool thinking() const { return worker_.busy(); }
    bool saving() const { return clerk_.busy(); }
    std::chrono::milliseconds thinking_for() const { return worker_.at_it(); }
    void stop_thinking();
    bool stopped() const { return stopped_; }
    bool tick();
    const Fitting& fitting() const { return fitting_; }
    const FieldProblems& problems() const { return problems_; }
    const Pane& limit_blank() const { return limit_blank_; }
    const Pane& file_blank() const { return file_blank_; }
    const FieldProblems& save_problems() const { return save_problems_; }

  private:
    void ask(Desk& desk);
    void limits(Desk& desk);
    void outcome(Desk& desk);
    void by_hand(Desk& desk);
    void keep(Desk& desk);
    void save(Desk& desk);
    void pictures(Desk& desk, const Pane& room);

    FittingWish wish_;
    FieldProblems problems_;
    Pane limit_blank_; ///< of the volts that may be lost, in the window
    std::string file_; ///< for a circuit with these sizes; empty until it is first shown
    FieldProblems save_problems_;
    std::string saved_in_; ///< what is to be said of the last save
    Pane file_blank_;
    Fitting fitting_;
    int version_ = 0, asked_circuit_ = -1;
    bool stopped_ = false; ///< what is shown is of before
    int shown_ = 0;        ///< the harness, then each fuse
    Picture wires_, fuse_;
    Worker worker_, clerk_; // last: what they deliver goes to the others
};

} // namespace lostvolts

// A hidden fault that a class hunts: readings are asked for against the drawing, each costs its minutes, and
// the part named at the end is scored against the program's own way through the same machine.
#pragma once

#include <optional>

#include "solver/lesson/practice.h"
#include "viewer/window/desk.h"

namespace lostvolts {

class Hunt {
  public:
    bool on() const { return on_; }
    /// Hides a fault: works it out in the background first.
    void begin(Desk& desk);
    void end() { on_ = false; }
    bool thinking() const { return worker_.busy(); }
    std::chrono::milliseconds thinking_for() const { return worker_.at_it(); }
    /// Without a game there is nothing to go on with: back to the sliders.
    void stop_thinking();
    const Game* game() const { return game_.get(); }
    const std::optional<Score>& scored() const { return score_; }
    const FieldProblems& problems() const { return problems_; }
    void read_it(Desk& desk);
    void name_part();
    /// The blank for the part gets the keyboard within the next frames.
    bool about_to_type() const { return to_name_ || coming_ > 0; }
    bool tick() { return worker_.collect(); }

    /// Its part of the side panel.
    void show(Desk& desk);
    /// A point or part of the drawing was pointed at.
    void clicked(const Circuit& circuit, const Target& target);
    const TypedReading& leads() const { return typed_; }

  private:
    void ask_for(Desk& desk);
    void readings(Desk& desk);
    void verdict(Desk& desk);

    bool on_ = false;
    Worker worker_;
    std::shared_ptr<Game> game_;
    Problems troubles_;
    TypedReading typed_;
    FieldProblems problems_;
    std::string named_;
    bool to_name_ = false;
    int coming_ = 0; ///< frames until the blank that was given the keyboard has it
    std::optional<Score> score_;
};

} // namespace lostvolts

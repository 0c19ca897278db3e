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
    std::optional<Score> score_;
};

} // namespace lostvolts

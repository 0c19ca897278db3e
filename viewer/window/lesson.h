// The Lesson: any part's fault on a slider, healthy beside faulty, and why; three demonstrations of what
// misleads; a hidden fault for a class to find.
#pragma once

#include <algorithm>

#include "viewer/window/arrange.h"
#include "viewer/window/bench_pictures.h"
#include "viewer/window/demonstrations.h"
#include "viewer/window/desk.h"
#include "viewer/window/hunt.h"
#include "viewer/window/stage.h"

namespace lostvolts {

class Lesson {
  public:
    void show(Desk& desk, const Pane& room);
    void draw(sf::RenderTarget& target) const;
    bool act(Desk& desk, Act act);
    /// From a demonstration back to the sliders.
    void back() { demonstration_.reset(); }
    bool thinking() const { return worker_.busy() || hunt_.thinking() || sketch_.thinking(); }
    std::chrono::milliseconds thinking_for() const {
        return std::max({worker_.at_it(), hunt_.thinking_for(), sketch_.thinking_for()});
    }
    void stop_thinking();
    /// A blank gets the keyboard within the next frames.
    bool about_to_type() const { return hunt_.on() && hunt_.about_to_type(); }
    bool stopped() const { return stopped_ || sketch_.stopped(); }
    /// The sliders as a condition of the circuit has them.
    void show_condition(const Circuit& circuit, int condition);
    const Hunt& hunt() const { return hunt_; }
    const Picture& drawing() const { return drawing_; }
    /// Takes in what the worker has; true when there is something new to be seen.
    bool tick();

    const Stage& stage() const { return stage_; }
    const Pane& first_slider() const { return first_slider_; }

  private:
    void ask(Desk& desk);
    void sliders(Desk& desk);
    void add_slider(Desk& desk);
    void surroundings(Desk& desk);
    void numbers(Desk& desk);
    void sentences(Desk& desk);
    void demonstrate(Desk& desk, int which);
    void pictures(Desk& desk, const Pane& room);
    void show_what_matters(const Desk& desk);

    StageSetting setting_;
    Stage stage_;
    int asked_version_ = -1; ///< of the session's job
    int stage_version_ = 0;
    bool stopped_ = false; ///< what is shown is of before
    Pane first_slider_;    ///< its track, in the window
    int adding_part_ = none;
    Arrangement arrangement_;
    Picture drawing_, other_;
    KeptSketch sketch_;
    std::string brought_up_; ///< what the drawing was last moved for
    std::optional<Demonstration> demonstration_;
    Hunt hunt_;
    Worker worker_; // last: what it delivers goes to the others
};

} // namespace lostvolts

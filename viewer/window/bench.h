// The Bench: readings typed or clicked against the drawn circuit, what they mean, and which to take next.
#pragma once

#include <algorithm>

#include "viewer/window/arrange.h"
#include "viewer/window/bench_pictures.h"
#include "viewer/window/desk.h"
#include "viewer/window/recorded.h"

namespace lostvolts {

/// Height that a stretch of the panel has had while the readings were these.
struct ReservedRoom {
    int version = -1;
    float height = 0, width = 0;
    float top = 0; ///< in the window
};

class Bench {
  public:
    /// Lays itself out in `room` and builds its panels; draw() then paints the pictures below them.
    void show(Desk& desk, const Pane& room);
    void draw(sf::RenderTarget& target) const;
    /// True when the act was one of the Bench's.
    bool act(Desk& desk, Act act);
    void start_in(int state) { typed_.state = state; }
    /// A blank gets the keyboard within the next frames.
    bool about_to_type() const { return next_ != Next::nothing || to_capture_ || coming_ > 0; }
    bool thinking() const { return reader_.busy() || sketch_.thinking(); }
    std::chrono::milliseconds thinking_for() const {
        return std::max(reader_.at_it(), sketch_.thinking_for());
    }
    void stop_thinking() {
        reader_.cancel();
        sketch_.stop_thinking();
    }
    bool stopped() const { return sketch_.stopped(); }
    bool tick();
    const TypedReading& typed_so_far() const { return typed_; }
    const FieldProblems& problems() const { return problems_; }
    const Picture& drawing() const { return drawing_; }
    const Recorded& recorded() const { return recorded_; }
    /// Where in the window the suspects and what to measure next begin, in pixels from its top.
    float suspects_top() const { return suspects_room_.top; }
    float proposal_top() const { return proposal_room_.top; }

  private:
    /// Which blank gets the keyboard next.
    enum class Next { nothing, state, first, second, value };

    void sentence(Desk& desk);
    void keep_reading(Desk& desk);
    void verdict(Desk& desk);
    void how_fresh(Desk& desk);
    void suspects(Desk& desk, const char* head, int from, int to);
    void proposal(Desk& desk);
    void list(Desk& desk);
    void list_line(Desk& desk, int number);
    void capture(Desk& desk);
    void open_capture(Desk& desk);
    void pictures(Desk& desk, const Pane& room);
    void clicked(Desk& desk, const Target& target);
    void point_under_pointer(Desk& desk);
    void show_what_matters(const Desk& desk);
    std::string key(const Desk& desk, std::string_view picture) const;

    TypedReading typed_;
    FieldProblems problems_;
    Next next_ = Next::nothing;
    int coming_ = 0;  ///< frames until the blank that was given the keyboard has it
    int chosen_ = -1; ///< reading that is being changed
    std::string new_value_;
    FieldProblems change_problems_;
    Picture drawing_, other_;
    KeptSketch sketch_;
    std::string brought_up_; ///< what the drawing was last moved for
    Arrangement arrangement_;
    float foot_ = 0; ///< height that the sentence took
    ReservedRoom suspects_room_, proposal_room_, further_room_;
    std::string capture_path_, clamp_;
    bool to_capture_ = false;
    Recorded recorded_;
    int recorded_version_ = 0;
    Worker reader_; // last: what it delivers goes to the others
};

} // namespace lostvolts

// How the pictures of a place share their room: the drawing above and another picture below while the drawing
// can be read so, else one at a time with words to choose by; and how a place shares the window.
#pragma once

#include "viewer/window/desk.h"

namespace lostvolts {

/// How a place shares the window between its pictures at the left and its panel at the right. A window too
/// narrow for both shows one at a time.
struct RoomShares {
    std::optional<Pane> pictures, panel;
    bool narrow = false;
};
/// The panel takes that share of the width, within `least` and `most` units.
RoomShares share_room(const Desk& desk, const Pane& room, float share, float least, float most);
/// Opens the panel at the right; close it with end_panel().
void begin_side(Desk& desk, const char* name, const RoomShares& shares);

class Arrangement {
  public:
    struct Rooms {
        std::optional<Pane> drawing;
        std::optional<Pane> other;
        int which = 1; ///< of the words: what the other is
    };
    /// `words` name the pictures, the drawing first. `circuit_version` stands for the circuit.
    Rooms rooms(Desk& desk, const Pane& room, const std::vector<const char*>& words, const Circuit& circuit,
                int circuit_version, bool part_seen = false);
    void next(int count); ///< the next picture, of so many
    void choose(int which) { shown_ = which; }
    /// The one shown below, or alone: worth working out.
    int which() const { return shown_; }

  private:
    bool fits(const Desk& desk, const Pane& half, const Circuit& circuit, int version);

    int shown_ = 0;
    bool both_ = true;
    int version_ = -1;
    float width_ = 0, height_ = 0;
    double fit_ = 0;
};

} // namespace lostvolts

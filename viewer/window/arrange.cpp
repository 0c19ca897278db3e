#include "viewer/window/arrange.h"

#include <algorithm>
#include <cmath>

#include "viewer/window/bench_pictures.h"
#include "viewer/window/pointing.h"

namespace lostvolts {
namespace {

constexpr double readable = 0.8;      // of a drawing's natural size
constexpr float room_for_two = 760;   // units, for two pictures
constexpr float share_above = 0.52F;  // of the room, for the drawing
constexpr float room_for_panel = 700; // units, for a picture and a panel beside one another

} // namespace

RoomShares share_room(const Desk& desk, const Pane& room, float share, float least, float most) {
    const float u = desk.unit();
    RoomShares s;
    s.narrow = room.width < room_for_panel * u;
    if (desk.alone) {
        s.pictures = room;
    } else if (s.narrow) {
        s.panel = room;
    } else {
        const float side = std::clamp(share * room.width, least * u, most * u);
        s.pictures = Pane{room.x, room.y, room.width - side, room.height};
        s.panel = Pane{room.x + room.width - side, room.y, side, room.height};
    }
    return s;
}

void begin_side(Desk& desk, const char* name, const RoomShares& shares) {
    const Pane& p = *shares.panel;
    begin_panel(name, p, true);
    rule(desk, {p.x, p.y}, {p.x, p.y + p.height});
    scroll_by_keys(desk);
    if (shares.narrow && ImGui::Button("the picture (F10)")) desk.alone = true;
}

bool Arrangement::fits(const Desk& desk, const Pane& half, const Circuit& circuit, int version) {
    if (version != version_ || half.width != width_ || half.height != height_) {
        version_ = version;
        width_ = half.width;
        height_ = half.height;
        fit_ =
            drawing_fit(circuit, half.width / desk.pixels_per_point(), half.height / desk.pixels_per_point());
    }
    return fit_ >= readable;
}

Arrangement::Rooms Arrangement::rooms(Desk& desk, const Pane& room, const std::vector<const char*>& words,
                                      const Circuit& circuit, int circuit_version, bool part_seen) {
    const float u = desk.unit(), strip = 34 * u;
    const Pane above{room.x, room.y, room.width, std::floor(share_above * room.height)};
    both_ = room.height >= room_for_two * u && fits(desk, above, circuit, circuit_version);
    const int count = static_cast<int>(words.size());
    shown_ = std::clamp(shown_, both_ ? 1 : 0, count - 1);

    Rooms rooms;
    rooms.which = std::max(shown_, 1);
    const float top = both_ ? above.height : 0;
    if (!both_ || count > 2) {
        begin_panel("which picture", {room.x, room.y + top, room.width, strip}, false);
        if (both_) {
            int below = shown_ - 1;
            if (word_switch(desk, "picture", {words.begin() + 1, words.end()}, below)) shown_ = below + 1;
        } else {
            word_switch(desk, "picture", words, shown_);
        }
        looking_words(desk, {room.x, room.y + top, room.width, strip}, part_seen);
        end_panel();
    }
    const float used = top + (!both_ || count > 2 ? strip : 0);
    const Pane rest{room.x, room.y + used, room.width, room.height - used};
    if (both_) {
        rooms.drawing = above;
        rooms.other = rest;
    } else if (shown_ == 0) {
        rooms.drawing = rest;
    } else {
        rooms.other = rest;
    }
    return rooms;
}

void Arrangement::next(int count) {
    const int first = both_ ? 1 : 0;
    shown_ = shown_ + 1 < count ? shown_ + 1 : first;
}

} // namespace lostvolts

// What hand and keys do on pictures: the pointer explains what it is on, the wheel looks closer, dragging
// moves, and the keys do the same without a pointer.
#pragma once

#include <initializer_list>

#include "viewer/window/desk.h"

namespace lostvolts {

/// What the pointer is on, with its numbers in a small note beside it; null on a panel or on nothing. Carries
/// out what hand and keys ask of the pictures: the keys mean the one under the pointer, else the first shown.
const Target* pointed_at(const Desk& desk, std::initializer_list<Picture*> pictures);
/// The button was pressed and let go without moving a picture.
bool released_on_picture();

/// Words at the right of a strip to look closer, farther, at all of it, and at the picture alone.
void looking_words(Desk& desk, const Pane& strip, bool part_seen = false);

} // namespace lostvolts

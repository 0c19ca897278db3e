#include "viewer/window/keys.h"

#include <array>

namespace lostvolts {
namespace {

using K = sf::Keyboard;

constexpr KeyLine with_alt(Act act, std::string_view keys, std::string_view does, K::Key key) {
    return {act, keys, does, key, false, false, true, -1, true};
}

constexpr std::array lines = {
    KeyLine{Act::help, "F1", "this page", K::F1},
    KeyLine{Act::bench, "F2", "Bench: readings against the drawing", K::F2},
    KeyLine{Act::lesson, "F3", "Lesson: what a fault does", K::F3},
    KeyLine{Act::harness, "F4", "Harness: wires and fuses", K::F4},
    KeyLine{Act::next_picture, "F5", "the other picture", K::F5},
    KeyLine{Act::next_state, "F6", "the next state", K::F6},
    KeyLine{Act::present, "F7", "large type for a class, and back", K::F7},
    KeyLine{Act::look, "F8", "light or dark", K::F8},
    KeyLine{Act::larger, "Ctrl +", "everything larger, up to 250 %", K::Equal, true},
    KeyLine{Act::larger, "", "", K::Add, true},
    KeyLine{Act::larger, "", "", K::Equal, true, true},
    KeyLine{Act::smaller, "Ctrl −", "everything smaller, down to 100 %", K::Hyphen, true},
    KeyLine{Act::smaller, "", "", K::Subtract, true},
    KeyLine{Act::usual_size, "Ctrl 0", "the usual size", K::Num0, true},
    KeyLine{Act::alone, "F10", "the picture alone, and back", K::F10},
    with_alt(Act::closer, "+, Alt +", "look closer at the picture; the wheel does too", K::Equal),
    with_alt(Act::closer, "", "", K::Add),
    KeyLine{Act::closer, "", "", K::Equal, false, false, false},
    KeyLine{Act::closer, "", "", K::Equal, false, true, false},
    KeyLine{Act::closer, "", "", K::Add, false, false, false},
    with_alt(Act::farther, "−, Alt −", "look from farther away", K::Hyphen),
    with_alt(Act::farther, "", "", K::Subtract),
    KeyLine{Act::farther, "", "", K::Hyphen, false, false, false},
    KeyLine{Act::farther, "", "", K::Subtract, false, false, false},
    with_alt(Act::whole, "0, Alt 0", "the whole picture", K::Num0),
    KeyLine{Act::whole, "", "", K::Num0, false, false, false},
    with_alt(Act::picture_left, "Alt arrows", "move the picture; dragging does too", K::Left),
    with_alt(Act::picture_right, "", "", K::Right),
    with_alt(Act::picture_up, "", "", K::Up),
    with_alt(Act::picture_down, "", "", K::Down),
    KeyLine{Act::panel_down, "Page ↓ ↑", "down and up the panel at the right", K::PageDown},
    KeyLine{Act::panel_up, "", "", K::PageUp},
    KeyLine{Act::stop, "F11", "stop what is being worked out; again: work it out", K::F11},
    KeyLine{Act::undo, "Ctrl Z", "undo", K::Z, true, false, false},
    KeyLine{Act::redo, "Ctrl Y", "redo", K::Y, true, false, false},
    KeyLine{Act::redo, "", "", K::Z, true, true, false},
    KeyLine{Act::save, "Ctrl S", "save now (every change is saved by itself)", K::S, true},
    KeyLine{Act::leave, "Ctrl Q", "leave", K::Q, true},
    KeyLine{Act::help, "", "", K::Slash, false, true, false},
    KeyLine{Act::type_reading, "Ctrl N", "type a reading", K::N, true, false, true, 0},
    KeyLine{Act::propose, "F9", "take the proposed reading: its leads are filled in", K::F9, false, false,
            true, 0},
    KeyLine{Act::swap_leads, "Ctrl W", "swap the leads that are filled in", K::W, true, false, true, 0},
    KeyLine{Act::capture, "Ctrl O", "show a recorded start: type the CSV file's path", K::O, true, false,
            true, 0},
    KeyLine{Act::demonstrate_unloaded, "1", "full volts through a bad joint, until a load draws current",
            K::Num1, false, false, false, 1},
    KeyLine{Act::demonstrate_ohmmeter, "2", "an ohmmeter against the drop under load", K::Num2, false, false,
            false, 1},
    KeyLine{Act::demonstrate_low_current, "3", "low current: resistance or wear", K::Num3, false, false,
            false, 1},
    KeyLine{Act::hide_fault, "4", "hide a fault for the class to find", K::Num4, false, false, false, 1},
    KeyLine{Act::read_it, "Ctrl R", "a hidden fault: read what the leads are on", K::R, true, false, true, 1},
    KeyLine{Act::name_part, "Ctrl N", "a hidden fault: name the part", K::N, true, false, true, 1},
};

} // namespace

std::span<const KeyLine> key_lines() { return lines; }

std::optional<Act> act_of(const sf::Event::KeyEvent& key, int place, bool typing) {
    if (key.system) return std::nullopt;
    for (const KeyLine& line : lines)
        if (line.key == key.code && line.control == key.control && line.shift == key.shift &&
            line.alt == key.alt && (line.place == -1 || line.place == place) &&
            (line.while_typing || !typing))
            return line.act;
    return std::nullopt;
}

} // namespace lostvolts

// Everything that a key does: one table, read by the window to act and by the help to tell.
#pragma once

#include <optional>
#include <span>
#include <string_view>

#include <SFML/Window/Event.hpp>

namespace lostvolts {

enum class Act {
    help,
    bench,
    lesson,
    harness,
    present,
    next_picture,
    next_state,
    look,
    larger,
    smaller,
    usual_size,
    closer,
    farther,
    whole,
    picture_left,
    picture_right,
    picture_up,
    picture_down,
    alone,
    panel_down,
    panel_up,
    stop,
    undo,
    redo,
    save,
    leave,
    type_reading, ///< bench: to the sentence's first blank
    propose,      ///< bench: the proposed reading into the sentence
    swap_leads,
    capture, ///< bench: to the capture's path
    demonstrate_unloaded,
    demonstrate_ohmmeter,
    demonstrate_low_current,
    hide_fault, ///< lesson: a fault for the class to find
    read_it,    ///< lesson: the reading that is asked for of the hidden fault
    name_part   ///< lesson: to the blank for the part that has it
};

struct KeyLine {
    Act act;
    std::string_view keys; ///< as a person reads them: "Ctrl Z"
    std::string_view does;
    sf::Keyboard::Key key;
    bool control = false;
    bool shift = false;
    bool while_typing = true; ///< false: a text field with the keyboard keeps the key
    int place = -1;           ///< 0 bench, 1 lesson, 2 harness; -1: everywhere
    bool alt = false;
};

std::span<const KeyLine> key_lines();

/// What a key does in a place; nothing when it does nothing there.
std::optional<Act> act_of(const sf::Event::KeyEvent& key, int place, bool typing);

} // namespace lostvolts

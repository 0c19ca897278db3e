// What every panel is given to work with, and the few widgets that they share.
#pragma once

#include <string>
#include <vector>

#include <imgui.h>

#include "viewer/window/entry.h"
#include "viewer/window/host.h"
#include "viewer/window/keys.h"
#include "viewer/window/picture.h"
#include "viewer/window/session.h"
#include "viewer/window/settings.h"

namespace lostvolts {

/// What keys ask of the picture and the panel that are shown: carried out in the next frame.
struct Moves {
    double closer = 1; ///< times
    bool whole = false;
    float right = 0, down = 0; ///< steps
    float panel = 0;           ///< shares of the panel's height, downward
};
inline constexpr double closer_by_key = 1.3;

struct Desk {
    Session& session;
    Host& host;
    const Type& type;
    Settings& settings;
    bool presenting = false;
    bool alone = false; ///< the picture has the whole room
    Moves moves{};
    std::string news{}; ///< a line at the top until the next one

    /// Pixels of one unit of layout: 1 at 100 %.
    float unit() const { return static_cast<float>(host.scale()); }
    /// Of the pictures.
    double pixels_per_point() const { return 1.3 * host.scale(); }
    Light light() const { return host.light(); }
};

ImVec4 ink(const Desk& desk, Ink which, float opacity = 1);
ImU32 ink32(const Desk& desk, Ink which, float opacity = 1);

/// A panel that fills a rectangle of the window; close it with end_panel().
void begin_panel(const char* name, const Pane& pane, bool scrolls);
/// One of that width whose height fits what is in it, its lower edge at `bottom`.
void begin_foot(const char* name, float x, float bottom, float width);
void end_panel();
/// The panel that is open goes where the keys ask it to.
void scroll_by_keys(const Desk& desk);

/// A thin line, past the panel's padding.
void rule(const Desk& desk, ImVec2 from, ImVec2 to);
void heading(const Desk& desk, const char* text);
void quiet(const Desk& desk, const std::string& text);
void wrapped_text(const Desk& desk, const std::string& text, Ink which = Ink::text);

/// The circuit's cautions below a line, after `first` when there is something to be said before them.
void before_touching(const Desk& desk, std::string_view first = {});

/// What is wrong with the field of that key, or null.
const FieldProblem* problem_of(const FieldProblems& problems, std::string_view key);

/// A blank with its name above and what is wrong below; true when Enter was pressed in it.
struct Blank {
    const char* id;
    const char* name;
    float width = 0; ///< pixels
    const FieldProblem* problem = nullptr;
    const std::vector<std::string>* names = nullptr; ///< proposed while it is being typed
    const char* unit = "";                           ///< shown behind the blank
    bool take_keyboard = false;
};
bool blank(const Desk& desk, const Blank& what, std::string& text);
/// A choice with its name above; true when it changed.
bool choice(const Desk& desk, const char* id, const char* name, float width,
            const std::vector<std::string>& all, int& chosen);
/// A thin track with a knob, its name and its value above; place is 0 … 1. Arrow keys move it once Enter has
/// taken it up. True when it moved.
bool slider(const Desk& desk, const char* id, const std::string& name, const std::string& value,
            double& place, Ink ink = Ink::predicted);
/// A button in line with blanks: their name's height is left free above.
bool button_in_line(const Desk& desk, const char* text);

/// The next item goes beside the last if `width` fits, else into a new line.
void flow(float width);

/// A thin bar: a share of the width left.
void share_bar(const Desk& desk, double share, Ink which);

/// Small words that act as a switch between a few things; true when changed.
bool word_switch(const Desk& desk, const char* id, const std::vector<const char*>& words, int& chosen);

} // namespace lostvolts

#include "viewer/window/desk.h"

#include <algorithm>
#include <utility>

#include <imgui_stdlib.h>

#include "viewer/figures/cautions.h"

namespace lostvolts {
namespace {

constexpr ImGuiWindowFlags fixed_panel = ImGuiWindowFlags_NoTitleBar | ImGuiWindowFlags_NoResize |
                                         ImGuiWindowFlags_NoMove | ImGuiWindowFlags_NoCollapse |
                                         ImGuiWindowFlags_NoSavedSettings |
                                         ImGuiWindowFlags_NoBringToFrontOnFocus | ImGuiWindowFlags_NoNavFocus;

/// A blank's name in small letters above it, on the same line in every group of a row.
void name_above(const Desk& desk, const char* name) {
    ImGui::PushFont(desk.host.small());
    const ImVec2 at = ImGui::GetCursorScreenPos(), size = ImGui::CalcTextSize(name);
    ImGui::GetWindowDrawList()->AddText(at, ink32(desk, Ink::quiet), name);
    ImGui::Dummy({size.x, ImGui::GetTextLineHeight()});
    ImGui::PopFont();
}

/// Names that fit what is typed, in small letters below the blank.
std::string proposed(const std::string& typed, const std::vector<std::string>& names) {
    if (typed.empty()) return {};
    const std::vector<std::string> may = candidates(typed, names, 4);
    std::string text;
    for (std::size_t k = 0; k < std::min<std::size_t>(may.size(), 3); ++k)
        text += (text.empty() ? "" : ", ") + may[k];
    return may.size() > 3 ? text + " …" : text;
}

/// Whether a unit stands there, which stays with its number.
bool unit_at(const std::string& words, std::size_t at) {
    static constexpr std::string_view units[] = {"V",  "A",   "Ω",   "mΩ", "mV",   "mA", "%",
                                                 "°C", "rpm", "min", "s",  "mN·m", "g",  "mm²"};
    const std::string_view rest = std::string_view(words).substr(at);
    const std::string_view word = rest.substr(0, rest.find_first_of(" ,;.:)\n"));
    return std::find(std::begin(units), std::end(units), word) != std::end(units);
}

/// Broken at spaces only, and none between a number and its unit: ImGui's own way also breaks a number at its
/// point.
std::string in_lines_of(const std::string& words, float width) {
    std::string text, line;
    for (std::size_t at = 0; at < words.size();) {
        std::size_t end = std::min(words.find_first_of(" \n", at), words.size());
        if (end > at && end + 1 < words.size() && words[end] == ' ' && words[end - 1] >= '0' &&
            words[end - 1] <= '9' && unit_at(words, end + 1))
            end = std::min(words.find_first_of(" \n", end + 1), words.size());
        std::string longer =
            line.empty() ? words.substr(at, end - at) : line + ' ' + words.substr(at, end - at);
        if (!line.empty() && ImGui::CalcTextSize(longer.c_str()).x > width) {
            text += line + '\n';
            longer = words.substr(at, end - at);
        }
        line = std::move(longer);
        if (end < words.size() && words[end] == '\n') text += std::exchange(line, {}) + '\n';
        at = end + 1;
    }
    return text + line;
}

} // namespace

ImVec4 ink(const Desk& desk, Ink which, float opacity) {
    const Colour c = colour_of(which, desk.light());
    return {static_cast<float>(c.red), static_cast<float>(c.green), static_cast<float>(c.blue), opacity};
}

ImU32 ink32(const Desk& desk, Ink which, float opacity) {
    return ImGui::ColorConvertFloat4ToU32(ink(desk, which, opacity));
}

void begin_panel(const char* name, const Pane& pane, bool scrolls) {
    ImGui::SetNextWindowPos({pane.x, pane.y});
    ImGui::SetNextWindowSize({pane.width, pane.height});
    ImGui::Begin(name, nullptr, fixed_panel | (scrolls ? 0 : ImGuiWindowFlags_NoScrollbar));
}

void begin_foot(const char* name, float x, float bottom, float width) {
    ImGui::SetNextWindowPos({x, bottom}, ImGuiCond_Always, {0, 1});
    ImGui::SetNextWindowSize({width, 0});
    ImGui::Begin(name, nullptr, fixed_panel | ImGuiWindowFlags_NoScrollbar);
}

void end_panel() { ImGui::End(); }

void scroll_by_keys(const Desk& desk) {
    if (desk.moves.panel == 0) return;
    ImGui::SetScrollY(ImGui::GetScrollY() + desk.moves.panel * ImGui::GetWindowHeight());
}

void rule(const Desk& desk, ImVec2 from, ImVec2 to) {
    ImDrawList* list = ImGui::GetWindowDrawList();
    list->PushClipRectFullScreen();
    list->AddLine(from, to, ink32(desk, Ink::grid), desk.unit());
    list->PopClipRect();
}

void heading(const Desk& desk, const char* text) {
    ImGui::Dummy({0, 2 * desk.unit()});
    ImGui::PushFont(desk.host.bold());
    ImGui::TextUnformatted(text);
    ImGui::PopFont();
}

void quiet(const Desk& desk, const std::string& text) { wrapped_text(desk, text, Ink::quiet); }

void wrapped_text(const Desk& desk, const std::string& words, Ink which) {
    const std::string text = in_lines_of(words, ImGui::GetContentRegionAvail().x);
    ImGui::PushStyleColor(ImGuiCol_Text, ink(desk, which));
    ImGui::PushTextWrapPos(0);
    ImGui::TextUnformatted(text.c_str());
    ImGui::PopTextWrapPos();
    ImGui::PopStyleColor();
}

const FieldProblem* problem_of(const FieldProblems& problems, std::string_view key) {
    const auto at =
        std::find_if(problems.begin(), problems.end(), [&](const FieldProblem& p) { return p.key == key; });
    return at == problems.end() ? nullptr : &*at;
}

bool blank(const Desk& desk, const Blank& what, std::string& text) {
    ImGui::BeginGroup();
    name_above(desk, what.name);
    if (what.problem) ImGui::PushStyleColor(ImGuiCol_Border, ink(desk, Ink::bad));
    ImGui::SetNextItemWidth(what.width);
    if (what.take_keyboard) ImGui::SetKeyboardFocusHere();
    const bool entered = ImGui::InputText(
        what.id, &text, ImGuiInputTextFlags_EnterReturnsTrue | ImGuiInputTextFlags_AutoSelectAll);
    const bool typing = ImGui::IsItemActive();
    if (ImGui::IsItemDeactivatedAfterEdit() && what.names)
        if (const auto name = completed(text, *what.names)) text = *name;
    if (what.problem) ImGui::PopStyleColor();
    if (*what.unit) {
        ImGui::SameLine(0, 4 * desk.unit());
        ImGui::TextColored(ink(desk, Ink::quiet), "%s", what.unit);
    }
    std::string below;
    if (what.problem)
        below = what.problem->what + (what.problem->write.empty() ? "" : "; " + what.problem->write);
    else if (typing && what.names)
        below = proposed(text, *what.names);
    ImGui::PushFont(desk.host.small());
    ImGui::PushTextWrapPos(ImGui::GetCursorPosX() + std::max(what.width, 150 * desk.unit()));
    if (!below.empty())
        ImGui::TextColored(ink(desk, what.problem ? Ink::bad : Ink::quiet), "%s%s", what.problem ? "✗ " : "",
                           below.c_str());
    ImGui::PopTextWrapPos();
    ImGui::PopFont();
    ImGui::EndGroup();
    return entered;
}

bool choice(const Desk& desk, const char* id, const char* name, float width,
            const std::vector<std::string>& all, int& chosen) {
    bool changed = false;
    ImGui::BeginGroup();
    name_above(desk, name);
    ImGui::SetNextItemWidth(width);
    const bool valid = chosen >= 0 && chosen < static_cast<int>(all.size());
    const ImVec2 at = ImGui::GetCursorScreenPos();
    const float height = ImGui::GetFrameHeight();
    const bool open =
        ImGui::BeginCombo(id, valid ? all[static_cast<std::size_t>(chosen)].c_str() : "choose …",
                          ImGuiComboFlags_NoArrowButton);
    if (!open) { // two short strokes say that there is more to choose from
        const float x = at.x + width - 0.55F * height, y = at.y + 0.46F * height, d = 0.15F * height;
        const ImVec2 corner[] = {{x - d, y}, {x, y + d}, {x + d, y}};
        ImGui::GetWindowDrawList()->AddPolyline(corner, 3, ink32(desk, Ink::quiet), 0, 1.6F * desk.unit());
    }
    if (open) {
        for (int k = 0; k < static_cast<int>(all.size()); ++k) {
            ImGui::PushID(k);
            if (ImGui::Selectable(all[static_cast<std::size_t>(k)].c_str(), k == chosen)) {
                changed = chosen != k;
                chosen = k;
            }
            if (k == chosen) ImGui::SetItemDefaultFocus();
            ImGui::PopID();
        }
        ImGui::EndCombo();
    }
    ImGui::EndGroup();
    return changed;
}

bool slider(const Desk& desk, const char* id, const std::string& name, const std::string& value,
            double& place, Ink which) {
    const float u = desk.unit();
    ImGui::BeginGroup();
    const ImVec2 start = ImGui::GetCursorScreenPos();
    const float whole = ImGui::GetContentRegionAvail().x, value_width = ImGui::CalcTextSize(value.c_str()).x;
    ImGui::GetWindowDrawList()->AddText({start.x + whole - value_width, start.y}, ink32(desk, which),
                                        value.c_str());
    ImGui::PushTextWrapPos(ImGui::GetCursorPosX() + whole - value_width - 10 * u);
    ImGui::TextUnformatted(name.c_str());
    ImGui::PopTextWrapPos();
    const ImVec2 at = ImGui::GetCursorScreenPos();
    const float width = ImGui::GetContentRegionAvail().x, height = 18 * u, middle = at.y + height / 2;
    ImDrawList* list = ImGui::GetWindowDrawList();
    list->AddRectFilled({at.x, middle - 1.5F * u}, {at.x + width, middle + 1.5F * u}, ink32(desk, Ink::grid),
                        2 * u);
    const float knob = 7 * u, x = at.x + knob + static_cast<float>(place) * (width - 2 * knob);
    list->AddRectFilled({at.x, middle - 1.5F * u}, {x, middle + 1.5F * u}, ink32(desk, which), 2 * u);
    // ImGui's own slider, unseen, has the pointer's and the keys' ways; the knob is ours.
    for (const ImGuiCol c : {ImGuiCol_FrameBg, ImGuiCol_FrameBgHovered, ImGuiCol_FrameBgActive,
                             ImGuiCol_SliderGrab, ImGuiCol_SliderGrabActive, ImGuiCol_Border})
        ImGui::PushStyleColor(c, ImVec4{0, 0, 0, 0});
    ImGui::PushStyleVar(ImGuiStyleVar_FramePadding, ImVec2{0, (height - ImGui::GetFontSize()) / 2});
    ImGui::PushStyleVar(ImGuiStyleVar_GrabMinSize, 2 * knob);
    ImGui::SetNextItemWidth(width);
    auto moved = static_cast<float>(place);
    const bool changed =
        ImGui::SliderFloat(id, &moved, 0, 1, "", ImGuiSliderFlags_NoInput | ImGuiSliderFlags_NoRoundToFormat);
    ImGui::PopStyleVar(2);
    ImGui::PopStyleColor(6);
    if (changed) place = static_cast<double>(moved);
    const bool lively = ImGui::IsItemHovered() || ImGui::IsItemActive();
    list->AddCircleFilled({x, middle}, knob, ink32(desk, which), 24);
    list->AddCircleFilled({x, middle}, lively ? 0.35F * knob : 0.55F * knob, ink32(desk, Ink::paper), 24);
    ImGui::EndGroup();
    return changed;
}

bool button_in_line(const Desk& desk, const char* text) {
    ImGui::BeginGroup();
    name_above(desk, " ");
    const bool pressed = ImGui::Button(text);
    ImGui::EndGroup();
    return pressed;
}

void flow(float width) {
    const float right = ImGui::GetWindowPos().x + ImGui::GetWindowContentRegionMax().x;
    const float end = ImGui::GetItemRectMax().x + ImGui::GetStyle().ItemSpacing.x + width;
    if (end <= right) ImGui::SameLine();
}

void share_bar(const Desk& desk, double share, Ink which) {
    const ImVec2 at = ImGui::GetCursorScreenPos();
    const float width = ImGui::GetContentRegionAvail().x, height = 4 * desk.unit();
    ImDrawList* list = ImGui::GetWindowDrawList();
    list->AddRectFilled(at, {at.x + width, at.y + height}, ink32(desk, Ink::grid, 0.5F), height / 2);
    const float filled = width * static_cast<float>(std::clamp(share, 0.0, 1.0));
    if (filled > height)
        list->AddRectFilled(at, {at.x + filled, at.y + height}, ink32(desk, which), height / 2);
    ImGui::Dummy({width, height});
}

bool word_switch(const Desk& desk, const char* id, const std::vector<const char*>& words, int& chosen) {
    bool changed = false;
    ImGui::PushID(id);
    // Where not all of them have room, those up to the chosen one are shown, and how many are left out.
    const float between = 14 * desk.unit(), room = ImGui::GetContentRegionAvail().x;
    ImGui::PushFont(desk.host.bold());
    const auto width_of = [&](int k) {
        return ImGui::CalcTextSize(words[static_cast<std::size_t>(k)]).x + between;
    };
    const int count = static_cast<int>(words.size());
    float whole = 0;
    for (int k = 0; k < count; ++k) whole += width_of(k);
    ImGui::PopFont();
    const float for_rest = whole > room ? 90 * desk.unit() : 0;
    int first = 0, last = count;
    float used = for_rest;
    for (int k = 0; k < count; ++k) {
        used += width_of(k);
        if (used <= room) continue;
        if (k > chosen) {
            last = k;
            break;
        }
        while (first < k && used > room) used -= width_of(first++);
    }
    for (int k = first; k < last; ++k) {
        if (k > first) ImGui::SameLine(0, between);
        const bool on = k == chosen;
        ImGui::PushStyleColor(ImGuiCol_Text, ink(desk, on ? Ink::text : Ink::quiet));
        ImGui::PushFont(on ? desk.host.bold() : desk.host.plain());
        const ImVec2 size = ImGui::CalcTextSize(words[static_cast<std::size_t>(k)]);
        ImGui::PushID(k);
        const ImVec2 at = ImGui::GetCursorScreenPos();
        if (ImGui::InvisibleButton("word", {size.x, size.y + 6 * desk.unit()})) changed = !on, chosen = k;
        ImGui::PopID();
        if (ImGui::IsItemHovered()) ImGui::SetMouseCursor(ImGuiMouseCursor_Hand);
        ImDrawList* list = ImGui::GetWindowDrawList();
        list->AddText(at, ImGui::GetColorU32(ImGuiCol_Text), words[static_cast<std::size_t>(k)]);
        if (on)
            list->AddRectFilled({at.x, at.y + size.y + 3 * desk.unit()},
                                {at.x + size.x, at.y + size.y + 5.5F * desk.unit()},
                                ink32(desk, Ink::predicted));
        ImGui::PopFont();
        ImGui::PopStyleColor();
    }
    if (last - first < count) {
        ImGui::SameLine(0, between);
        ImGui::TextColored(ink(desk, Ink::quiet), "%d more F5", count - (last - first));
    }
    ImGui::PopID();
    return changed;
}

void before_touching(const Desk& desk, std::string_view first) {
    ImGui::Dummy({0, 4 * desk.unit()});
    rule(desk, ImGui::GetCursorScreenPos(),
         {ImGui::GetCursorScreenPos().x + ImGui::GetContentRegionAvail().x, ImGui::GetCursorScreenPos().y});
    heading(desk, "Before you touch the machine");
    ImGui::PushFont(desk.host.small());
    if (!first.empty()) quiet(desk, std::string(first));
    for (const std::string& caution : cautions(desk.session.circuit())) quiet(desk, caution);
    ImGui::PopFont();
}

} // namespace lostvolts

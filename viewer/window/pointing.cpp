#include "viewer/window/pointing.h"

#include <algorithm>
#include <cmath>

namespace lostvolts {
namespace {

constexpr double closer_by_wheel = 1.15;

Picture* meant_by_keys(std::initializer_list<Picture*> pictures) {
    const ImVec2 at = ImGui::GetIO().MousePos;
    Picture* first = nullptr;
    for (Picture* picture : pictures) {
        if (!picture->shown()) continue;
        if (picture->pane().holds(at.x, at.y)) return picture;
        if (!first) first = picture;
    }
    return first;
}

void follow_keys(const Desk& desk, Picture& picture) {
    const Moves& m = desk.moves;
    const Pane& pane = picture.pane();
    if (m.whole) picture.show_whole();
    if (m.closer != 1) picture.zoom(m.closer, {pane.x + pane.width / 2, pane.y + pane.height / 2});
    const float step = 60 * desk.unit();
    if (m.right != 0 || m.down != 0) picture.pan(-step * m.right, -step * m.down);
}

void follow_hand(const Desk& desk, Picture& picture) {
    const ImGuiIO& io = ImGui::GetIO();
    const float step = 40 * desk.unit();
    if (picture.zoomed() == 1 && picture.taller_than_room()) // a table: the wheel goes down it
        picture.pan(0, step * io.MouseWheel);
    else if (io.MouseWheel != 0)
        picture.zoom(std::pow(closer_by_wheel, static_cast<double>(io.MouseWheel)),
                     {io.MousePos.x, io.MousePos.y});
    picture.pan(step * io.MouseWheelH, 0);
    if (picture.larger_than_room() && ImGui::IsMouseDragging(ImGuiMouseButton_Left))
        picture.pan(io.MouseDelta.x, io.MouseDelta.y);
}

bool word(const Desk& desk, const char* text) {
    const ImVec2 size = ImGui::CalcTextSize(text), at = ImGui::GetCursorScreenPos();
    const float wide = std::max(size.x, 18 * desk.unit());
    const bool pressed = ImGui::InvisibleButton(text, {wide, size.y + 6 * desk.unit()});
    const bool lively = ImGui::IsItemHovered() || ImGui::IsItemFocused();
    if (ImGui::IsItemHovered()) ImGui::SetMouseCursor(ImGuiMouseCursor_Hand);
    ImGui::GetWindowDrawList()->AddText({at.x + (wide - size.x) / 2, at.y},
                                        ink32(desk, lively ? Ink::text : Ink::quiet), text);
    return pressed;
}

} // namespace

const Target* pointed_at(const Desk& desk, std::initializer_list<Picture*> pictures) {
    if (Picture* meant = meant_by_keys(pictures)) follow_keys(desk, *meant);
    const ImGuiIO& io = ImGui::GetIO();
    if (io.WantCaptureMouse) return nullptr;
    const Target* target = nullptr;
    for (Picture* picture : pictures) {
        if (!picture->shown() || !picture->pane().holds(io.MousePos.x, io.MousePos.y)) continue;
        follow_hand(desk, *picture);
        if (!target) target = picture->under(io.MousePos.x, io.MousePos.y);
    }
    if (!target) return nullptr;
    ImGui::SetMouseCursor(ImGuiMouseCursor_Hand);
    if (!target->says.empty()) {
        ImGui::BeginTooltip();
        ImGui::PushTextWrapPos(320 * desk.unit());
        ImGui::TextUnformatted(target->says.c_str());
        ImGui::PopTextWrapPos();
        ImGui::EndTooltip();
    }
    return target;
}

bool released_on_picture() {
    const ImGuiIO& io = ImGui::GetIO();
    return ImGui::IsMouseReleased(ImGuiMouseButton_Left) &&
           io.MouseDragMaxDistanceSqr[0] <= io.MouseDragThreshold * io.MouseDragThreshold;
}

void looking_words(Desk& desk, const Pane& strip, bool part_seen) {
    const float u = desk.unit(), between = 10 * u;
    const char* alone = desk.alone ? "back F10" : "alone F10";
    const char* whole = part_seen ? "a part is seen; whole 0" : "whole";
    const float wide = 2 * 18 * u + ImGui::CalcTextSize(whole).x + ImGui::CalcTextSize(alone).x + 3 * between;
    const float left = strip.width - ImGui::GetStyle().WindowPadding.x - wide;
    if (left < ImGui::GetItemRectMax().x - strip.x + between) return; // the pictures' names come first
    ImGui::SameLine(left);
    if (word(desk, "−")) desk.moves.closer = 1 / closer_by_key;
    ImGui::SameLine(0, between);
    if (word(desk, "+")) desk.moves.closer = closer_by_key;
    ImGui::SameLine(0, between);
    if (word(desk, whole)) desk.moves.whole = true;
    ImGui::SameLine(0, between);
    if (word(desk, alone)) desk.alone = !desk.alone;
}

} // namespace lostvolts

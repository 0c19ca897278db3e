// What is on the window whatever place it shows: the bar at the top, the help, the question before leaving.
#include <algorithm>

#include <fmt/format.h>

#include "viewer/window/app.h"

namespace lostvolts {

float App::top_bar(const Pane& room) {
    constexpr std::chrono::milliseconds long_work{300};
    const float u = desk_.unit();
    begin_panel("top", room, false);
    rule(desk_, {room.x, room.y + room.height - u}, {room.x + room.width, room.y + room.height - u});
    word_switch(desk_, "places", {"Bench", "Lesson", "Harness"}, settings_.place);

    std::string state, right = "F1 help";
    Ink colour = Ink::quiet;
    const auto at_it = thinking_for();
    if (!session_->save_trouble().empty()) {
        state = "✗ not saved: " + session_->save_trouble();
        colour = Ink::bad;
    } else if (!session_->saved()) {
        state = "saving …";
    } else if (at_it > long_work) {
        state =
            fmt::format("working it out, {:.0f} s; F11 stops", std::chrono::duration<double>(at_it).count());
    } else if (!desk_.news.empty()) {
        state = desk_.news;
    } else if (!session_->readings().empty()) {
        state = "saved in " + session_->readings_file().filename().string();
    }
    const float help_width = ImGui::CalcTextSize(right.c_str()).x;
    const float at = ImGui::GetContentRegionMax().x - help_width;
    ImGui::SameLine();
    const float left = ImGui::GetCursorPosX() + 20 * u;
    const float wide = ImGui::CalcTextSize(state.c_str()).x;
    const bool fits = left + wide + 24 * u <= at;
    if (fits) {
        ImGui::SameLine(at - wide - 24 * u);
        ImGui::TextColored(ink(desk_, colour), "%s", state.c_str());
        if (ImGui::IsItemClicked() && at_it > long_work) stop_or_go_on();
    }
    ImGui::SameLine(at);
    ImGui::TextColored(ink(desk_, Ink::quiet), "%s", right.c_str());
    if (ImGui::IsItemClicked()) helping_ = true;
    end_panel();
    if (fits) return room.height;

    // Too long for the bar: a line of its own below, so that no word of it is cut.
    const float inside = room.width - 2 * ImGui::GetStyle().WindowPadding.x;
    const float tall =
        ImGui::CalcTextSize(state.c_str(), nullptr, false, inside).y + 2 * ImGui::GetStyle().WindowPadding.y;
    const Pane below{room.x, room.y + room.height, room.width, tall};
    begin_panel("news", below, false);
    rule(desk_, {below.x, below.y + tall - u}, {below.x + below.width, below.y + tall - u});
    wrapped_text(desk_, state, colour);
    end_panel();
    return room.height + tall;
}

void App::help(const Pane& room) {
    const float u = desk_.unit();
    ImGui::SetNextWindowPos({room.x + room.width / 2, room.y + room.height / 2}, ImGuiCond_Always,
                            {0.5F, 0.5F});
    const float width = std::min(room.width - 20 * u, 900 * u);
    ImGui::SetNextWindowSizeConstraints({width, 0}, {width, room.height - 20 * u});
    ImGui::SetNextWindowSize({width, 0});
    ImGui::SetNextWindowFocus();
    ImGui::PushStyleVar(ImGuiStyleVar_WindowBorderSize, u);
    ImGui::Begin("help", nullptr,
                 ImGuiWindowFlags_NoTitleBar | ImGuiWindowFlags_NoResize | ImGuiWindowFlags_NoMove |
                     ImGuiWindowFlags_NoSavedSettings);
    scroll_by_keys(desk_);
    ImGui::PushFont(host_->large());
    ImGui::TextUnformatted("By keyboard");
    ImGui::PopFont();
    std::vector<const KeyLine*> lines;
    for (const KeyLine& line : key_lines())
        if (!line.keys.empty() && (line.place == -1 || line.place == settings_.place)) lines.push_back(&line);
    // Two columns where they have room: all of it is then seen at once.
    const std::size_t columns = width > 640 * u ? 2 : 1, rows = (lines.size() + columns - 1) / columns;
    const auto cell = [&](std::size_t k) {
        ImGui::TableNextColumn();
        ImGui::PushFont(host_->bold());
        if (k < lines.size()) ImGui::TextUnformatted(lines[k]->keys.data(), &*lines[k]->keys.end());
        ImGui::PopFont();
        ImGui::TableNextColumn();
        if (k < lines.size()) ImGui::TextWrapped("%s", std::string(lines[k]->does).c_str());
    };
    if (ImGui::BeginTable("keys", static_cast<int>(2 * columns), ImGuiTableFlags_SizingFixedFit)) {
        for (std::size_t c = 0; c < columns; ++c) {
            ImGui::TableSetupColumn("keys", ImGuiTableColumnFlags_WidthFixed, 80 * u);
            ImGui::TableSetupColumn("what", ImGuiTableColumnFlags_WidthStretch);
        }
        for (std::size_t r = 0; r < rows; ++r) {
            ImGui::TableNextRow();
            for (std::size_t c = 0; c < columns; ++c) cell(c * rows + r);
        }
        ImGui::EndTable();
    }
    quiet(desk_,
          "Tab and Shift Tab go from blank to blank, arrows between buttons and lists, Space presses, Enter "
          "notes a reading. Esc closes this page.");
    ImGui::End();
    ImGui::PopStyleVar();
}

void App::unsaved_question() {
    const float u = desk_.unit();
    ImGui::OpenPopup("not saved");
    ImGui::SetNextWindowSize({460 * u, 0});
    if (!ImGui::BeginPopupModal("not saved", nullptr,
                                ImGuiWindowFlags_NoTitleBar | ImGuiWindowFlags_NoResize))
        return;
    wrapped_text(desk_, fmt::format("The readings are not saved: {}.", session_->save_trouble()));
    if (session_->saved()) {
        asking_to_leave_ = false;
        left_ = true;
        ImGui::CloseCurrentPopup();
    }
    if (elsewhere_.empty())
        elsewhere_ = (session_->readings_file().parent_path() / "readings kept.toml").string();
    blank(desk_, {"##elsewhere", "keep them in", 420 * u}, elsewhere_);
    if (ImGui::Button("Save there")) session_->save_as(elsewhere_);
    ImGui::SameLine();
    if (ImGui::Button("Leave without them")) {
        left_ = true;
        ImGui::CloseCurrentPopup();
    }
    ImGui::SameLine();
    if (ImGui::Button("Stay") || ImGui::IsKeyPressed(sf::Keyboard::Escape)) {
        asking_to_leave_ = false;
        ImGui::CloseCurrentPopup();
    }
    ImGui::EndPopup();
}

} // namespace lostvolts

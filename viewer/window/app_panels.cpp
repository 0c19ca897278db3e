// What is on the window whatever place it shows: the bar at the top, the help, the question before leaving.
#include <algorithm>

#include <fmt/format.h>

#include "viewer/window/app.h"

namespace lostvolts {

void App::top_bar(const Pane& room) {
    const float u = desk_.unit();
    begin_panel("top", room, false);
    rule(desk_, {room.x, room.y + room.height - u}, {room.x + room.width, room.y + room.height - u});
    word_switch(desk_, "places", {"Bench", "Lesson", "Harness"}, settings_.place);

    std::string state, right = "F1 help";
    Ink colour = Ink::quiet;
    if (!session_->save_trouble().empty()) {
        state = "✗ not saved: " + session_->save_trouble();
        colour = Ink::bad;
    } else if (!session_->saved()) {
        state = "saving …";
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
    ImGui::SameLine(std::max(left, at - wide - 24 * u));
    ImGui::PushClipRect(ImGui::GetCursorScreenPos(), {room.x + at - 10 * u, room.y + room.height}, true);
    ImGui::TextColored(ink(desk_, colour), "%s", state.c_str());
    ImGui::PopClipRect();
    if (ImGui::IsItemHovered() && wide > at - left) ImGui::SetTooltip("%s", state.c_str());
    ImGui::SameLine(at);
    ImGui::TextColored(ink(desk_, Ink::quiet), "%s", right.c_str());
    if (ImGui::IsItemClicked()) helping_ = true;
    end_panel();
}

void App::help(const Pane& room) {
    const float u = desk_.unit();
    ImGui::SetNextWindowPos({room.x + room.width / 2, room.y + room.height / 2}, ImGuiCond_Always,
                            {0.5F, 0.5F});
    ImGui::SetNextWindowSize(
        {std::min(room.width - 30 * u, 640 * u), std::min(room.height - 30 * u, 620 * u)});
    ImGui::SetNextWindowFocus();
    ImGui::PushStyleVar(ImGuiStyleVar_WindowBorderSize, u);
    ImGui::Begin("help", nullptr,
                 ImGuiWindowFlags_NoTitleBar | ImGuiWindowFlags_NoResize | ImGuiWindowFlags_NoMove |
                     ImGuiWindowFlags_NoSavedSettings);
    ImGui::PushFont(host_->large());
    ImGui::TextUnformatted("By keyboard");
    ImGui::PopFont();
    if (ImGui::BeginTable("keys", 2, ImGuiTableFlags_SizingFixedFit)) {
        ImGui::TableSetupColumn("keys", ImGuiTableColumnFlags_WidthFixed, 90 * u);
        ImGui::TableSetupColumn("what", ImGuiTableColumnFlags_WidthStretch);
        for (const KeyLine& line : key_lines()) {
            if (line.keys.empty() || (line.place != -1 && line.place != settings_.place)) continue;
            ImGui::TableNextRow();
            ImGui::TableNextColumn();
            ImGui::PushFont(host_->bold());
            ImGui::TextUnformatted(line.keys.data(), line.keys.data() + line.keys.size());
            ImGui::PopFont();
            ImGui::TableNextColumn();
            ImGui::TextWrapped("%s", std::string(line.does).c_str());
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

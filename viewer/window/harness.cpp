#include "viewer/window/harness.h"

#include <algorithm>

#include <fmt/format.h>

#include "solver/reference/heat.h"
#include "viewer/figures/cautions.h"
#include "viewer/figures/harness.h"
#include "viewer/figures/words.h"
#include "viewer/window/arrange.h"
#include "viewer/window/bench_pictures.h"
#include "viewer/window/pointing.h"

namespace lostvolts {
namespace {

/// "2.5 mm²" for what a file has as "2.5 mm2".
std::string as_shown(std::string size) {
    if (size.ends_with("mm2")) size.replace(size.size() - 1, 1, "²");
    return size;
}

} // namespace

void HarnessPlace::stop_thinking() {
    if (!worker_.busy()) return;
    worker_.cancel();
    stopped_ = true;
}

bool HarnessPlace::act(Desk& desk, Act act) {
    if (act == Act::stop) return ask(desk), true;
    if (act != Act::next_picture || !fitting_.sizing) return false;
    shown_ = (shown_ + 1) % (1 + static_cast<int>(fitting_.sizing->fuses.size()));
    return true;
}

void HarnessPlace::ask(Desk& desk) {
    asked_circuit_ = desk.session.circuit_version();
    stopped_ = false;
    problems_ = understand(desk.session.circuit(), wish_).problems;
    if (!problems_.empty()) return;
    worker_.ask([this, job = desk.session.job(), text = desk.session.circuit_text(),
                 wish = wish_](Watch& watch) -> Worker::Deliver {
        auto got = std::make_shared<Fitting>(fit(job->circuit, text, wish, watch));
        return [this, got] {
            fitting_ = std::move(*got);
            ++version_;
        };
    });
}

void HarnessPlace::show(Desk& desk, const Pane& room) {
    if (asked_circuit_ != desk.session.circuit_version()) {
        wish_.by_hand.clear();
        ask(desk);
    }
    const RoomShares shares = share_room(desk, room, 0.30F, 290, 400);
    if (shares.panel) {
        begin_side(desk, "limits", shares);
        outcome(desk);
        limits(desk);
        by_hand(desk);
        keep(desk);
        before_touching(desk, sizing_deference());
        end_panel();
    }
    wires_.hide();
    fuse_.hide();
    if (shares.pictures && fitting_.sizing) pictures(desk, *shares.pictures);
}

void HarnessPlace::limits(Desk& desk) {
    const float half = (ImGui::GetContentRegionAvail().x - ImGui::GetStyle().ItemSpacing.x) / 2;
    heading(desk, "Limits");
    bool changed = false;
    const auto one = [&](const char* id, const char* name, const char* key, std::string& text) {
        const std::string before = text;
        blank(desk, {id, name, half, problem_of(problems_, key)}, text);
        changed = changed || text != before;
    };
    const std::string usual =
        fmt::format("lost at most ({})", drop(land_rule(desk.session.circuit()).whole_loop));
    one("##limit", usual.c_str(), "limit", wish_.limit);
    const ImVec2 low = ImGui::GetItemRectMin(), high = ImGui::GetItemRectMax();
    limit_blank_ = {low.x, low.y, high.x - low.x, high.y - low.y};
    flow(half);
    const std::string around =
        fmt::format("around it ({:.0f} °C)", in_celsius(desk.session.circuit().temperature));
    one("##ambient", around.c_str(), "ambient", wish_.ambient);
    std::vector<std::string> classes;
    for (const InsulationClass& c : insulation_classes())
        classes.push_back(fmt::format("{:.0f} °C", in_celsius(c.limit)));
    changed = choice(desk, "##insulation", "insulation stands", half, classes, wish_.insulation) || changed;
    flow(half);
    one("##bundle", "wires in the bundle", "bundle", wish_.bundle);
    int series = static_cast<int>(wish_.series);
    if (choice(desk, "##series", "sizes to choose from", half, {"as drawn", "mm²", "gauge"}, series)) {
        wish_.series = static_cast<SizeSeries>(series);
        changed = true;
    }
    if (changed) ask(desk);
}

void HarnessPlace::outcome(Desk& desk) {
    for (const Problem& p : fitting_.problems)
        wrapped_text(desk, "✗ " + p.what + (p.write.empty() ? "" : "; " + p.write), Ink::bad);
    if (stopped_)
        wrapped_text(desk,
                     fitting_.sizing ? "✗ Stopped: these sizes are from before. F11 searches again."
                                     : "✗ Stopped: no sizes yet. F11 searches again.",
                     Ink::bad);
    if (!fitting_.sizing) return;
    const Sizing& s = *fitting_.sizing;
    ImGui::PushFont(desk.host.large());
    wrapped_text(desk, fmt::format("{} of copper", lostvolts::show(s.copper)));
    ImGui::PopFont();
    quiet(desk, fmt::format("{} as drawn. {} lost of {} allowed.", lostvolts::show(s.copper_drawn),
                            drop(s.worst_drop), drop(s.allowed)));
    if (s.proven && fitting_.wish.by_hand.empty()) quiet(desk, "No lighter choice meets the limits.");
    if (!fitting_.wish.by_hand.empty() && fitting_.breaks.empty())
        wrapped_text(desk, "✓ Everything is within its limits.", Ink::good);
    for (const std::string& one : fitting_.breaks) wrapped_text(desk, "✗ " + one, Ink::bad);
}

void HarnessPlace::by_hand(Desk& desk) {
    if (!fitting_.sizing) {
        if (!wish_.by_hand.empty() && ImGui::Button("Back to what the search chose")) {
            wish_.by_hand.clear();
            ask(desk);
        }
        return;
    }
    const float u = desk.unit();
    const Circuit& c = *fitting_.circuit;
    heading(desk, "By hand");
    bool changed = false;
    if (!wish_.by_hand.empty()) {
        if (ImGui::Checkbox("let the others follow", &wish_.others_follow)) changed = true;
        if (ImGui::Button("Back to what the search chose")) {
            wish_.by_hand.clear();
            changed = true;
        }
    }
    const auto line = [&](PartId part, const std::string& now, const std::vector<std::string>& all) {
        ImGui::PushID(part);
        const bool set = wish_.by_hand.contains(part);
        ImGui::AlignTextToFramePadding();
        ImGui::TextColored(ink(desk, set ? Ink::text : Ink::quiet), "%s", part_name(c, part).c_str());
        const float width = 92 * u;
        ImGui::SameLine(ImGui::GetContentRegionMax().x - width);
        ImGui::SetNextItemWidth(width);
        if (ImGui::BeginCombo("##size", as_shown(now).c_str(), ImGuiComboFlags_NoArrowButton)) {
            for (const std::string& one : all)
                if (ImGui::Selectable(as_shown(one).c_str(), one == now)) {
                    wish_.by_hand[part] = one;
                    changed = true;
                }
            ImGui::EndCombo();
        }
        ImGui::PopID();
    };
    for (const SizedWire& w : fitting_.sizing->wires)
        line(w.part, write_wire_size(w.size), sizes_for(w.size, wish_.series));
    std::vector<std::string> ratings;
    for (const double amps : blade_fuse_ratings_amps())
        ratings.push_back(write_quantity(from_si<Current<>>(amps)));
    for (const SizedFuse& f : fitting_.sizing->fuses) line(f.part, write_quantity(f.rating), ratings);
    if (changed) ask(desk);
}

/// The circuit's file with these sizes, beside the one that was opened unless another place is named.
void HarnessPlace::keep(Desk& desk) {
    if (!fitting_.sizing) return;
    heading(desk, "Keep these sizes");
    if (file_.empty()) file_ = usual_name(desk.session.circuit_file()).string();
    const bool entered = blank(desk,
                               {"##file", "in a circuit of their own, in the file",
                                ImGui::GetContentRegionAvail().x, problem_of(save_problems_, "file")},
                               file_);
    const ImVec2 low = ImGui::GetItemRectMin(), high = ImGui::GetItemRectMax();
    file_blank_ = {low.x, low.y, high.x - low.x, high.y - low.y};
    const bool pressed = ImGui::Button("Save the circuit");
    if (!saved_in_.empty()) wrapped_text(desk, saved_in_, Ink::good);
    if ((entered || pressed) && !clerk_.busy()) save(desk);
}

void HarnessPlace::save(Desk& desk) {
    save_problems_.clear();
    saved_in_ = "Saving …";
    clerk_.ask([this, circuit = desk.session.circuit_file(), typed = file_,
                text = desk.session.circuit_text(), fitting = fitting_](Watch&) -> Worker::Deliver {
        const SavedSizes outcome = save_sizes(circuit, typed, text, fitting);
        return [this, outcome] {
            saved_in_ =
                outcome.problem ? "" : fmt::format("✓ Saved in \"{}\".", outcome.file.filename().string());
            if (outcome.problem) save_problems_ = {*outcome.problem};
        };
    });
}

bool HarnessPlace::tick() {
    const bool saved = clerk_.collect();
    return worker_.collect() || saved;
}

HarnessPlace::~HarnessPlace() { clerk_.finish(); }

void HarnessPlace::pictures(Desk& desk, const Pane& room) {
    const float u = desk.unit(), strip = 34 * u;
    const Fitting& f = fitting_;
    const int fuses = static_cast<int>(f.sizing->fuses.size());
    std::vector<const char*> words = {"Harness"};
    for (const SizedFuse& one : f.sizing->fuses) words.push_back(part_name(*f.circuit, one.part).c_str());
    shown_ = std::clamp(shown_, 0, fuses);
    begin_panel("which picture", {room.x, room.y, room.width, strip}, false);
    word_switch(desk, "picture", words, shown_);
    looking_words(desk, {room.x, room.y, room.width, strip});
    end_panel();
    const Pane rest{room.x, room.y + strip, room.width, room.height - strip};
    const double ppp = desk.pixels_per_point();
    if (shown_ == 0)
        wires_.keep(rest, fmt::format("wires {}", version_), desk.type, desk.light(), ppp,
                    [&](double w, double h) {
                        return fitted_across(harness_figure(*f.circuit, f.request, *f.sizing, w), w, h);
                    });
    else
        fuse_.keep(rest, fmt::format("fuse {} {}", shown_, version_), desk.type, desk.light(), ppp,
                   [&](double w, double h) {
                       return fitted_to(fuse_figure(*f.circuit, f.request, *f.sizing,
                                                    f.sizing->fuses[static_cast<std::size_t>(shown_) - 1]),
                                        w, h);
                   });
    (void)pointed_at(desk, {&wires_, &fuse_});
}

void HarnessPlace::draw(sf::RenderTarget& target) const {
    wires_.draw(target);
    fuse_.draw(target);
}

} // namespace lostvolts

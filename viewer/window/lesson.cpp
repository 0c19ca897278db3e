#include "viewer/window/lesson.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "viewer/figures/words.h"
#include "viewer/window/lesson_pictures.h"

namespace lostvolts {

bool Lesson::tick() {
    const bool placed = sketch_.tick(), fresh = worker_.collect();
    return hunt_.tick() || fresh || placed;
}

bool Lesson::act(Desk& desk, Act act) {
    switch (act) {
    case Act::next_picture:
        arrangement_.next(3);
        return true;
    case Act::demonstrate_unloaded:
        return demonstrate(desk, 0), true;
    case Act::demonstrate_ohmmeter:
        return demonstrate(desk, 1), true;
    case Act::demonstrate_low_current:
        return demonstrate(desk, 2), true;
    case Act::stop:
        sketch_.go_on();
        return ask(desk), true;
    case Act::read_it:
        if (hunt_.on()) hunt_.read_it(desk);
        return true;
    case Act::name_part:
        if (!hunt_.on()) return false;
        desk.alone = false;
        hunt_.name_part();
        return true;
    case Act::hide_fault:
        demonstration_.reset();
        hunt_.begin(desk);
        return true;
    default:
        return false;
    }
}

void Lesson::stop_thinking() {
    hunt_.stop_thinking();
    sketch_.stop_thinking();
    if (!worker_.busy()) return;
    worker_.cancel();
    stopped_ = true;
}

void Lesson::show_condition(const Circuit& circuit, int condition) {
    setting_.knobs.clear();
    for (const Fault& f : circuit.conditions[static_cast<std::size_t>(condition)].faults)
        setting_.knobs.push_back(knob_of(circuit, f));
}

void Lesson::ask(Desk& desk) {
    stopped_ = false;
    asked_version_ = desk.session.version();
    setting_.starting = arrangement_.which() == 2;
    worker_.ask([this, job = desk.session.job(), text = desk.session.circuit_text(),
                 setting = setting_](Watch& watch) -> Worker::Deliver {
        auto stage = std::make_shared<Stage>(set_stage(job->circuit, text, setting, watch));
        return [this, stage] {
            stage_ = std::move(*stage);
            ++stage_version_;
        };
    });
}

void Lesson::demonstrate(Desk& desk, int which) {
    hunt_.end();
    const Circuit& c = desk.session.circuit();
    demonstration_ = which == 0 ? unloaded_volts(c) : which == 1 ? ohmmeter_and_drop(c) : low_current(c);
    setting_.knobs = demonstration_->knobs;
    ask(desk);
}

void Lesson::show(Desk& desk, const Pane& room) {
    if (asked_version_ != desk.session.version()) {
        const auto parts = static_cast<PartId>(desk.session.circuit().parts.size());
        std::erase_if(setting_.knobs, [&](const Knob& k) { return k.part >= parts; });
        adding_part_ = none;
        ask(desk);
    }
    const RoomShares shares = share_room(desk, room, 0.34F, 300, 460);
    if (shares.panel) {
        begin_side(desk, "lesson", shares);
        if (stopped_)
            wrapped_text(desk, "✗ Stopped: what is shown is from before. F11 works it out.", Ink::bad);
        if (hunt_.on()) {
            hunt_.show(desk);
        } else if (demonstration_) {
            sentences(desk);
        } else {
            sliders(desk);
            numbers(desk);
            sentences(desk);
        }
        end_panel();
    }
    drawing_.hide();
    other_.hide();
    if (shares.pictures) pictures(desk, *shares.pictures);
}

void Lesson::sliders(Desk& desk) {
    const Circuit& c = desk.session.circuit();
    bool moved = false;
    int gone = -1;
    heading(desk, "Faults");
    for (int k = 0; k < static_cast<int>(setting_.knobs.size()); ++k) {
        Knob& knob = setting_.knobs[static_cast<std::size_t>(k)];
        ImGui::PushID(k);
        const std::string name =
            fmt::format("{}: {}", c.parts[static_cast<std::size_t>(knob.part)].name, name_of(knob.kind));
        if (ImGui::SmallButton("✗")) gone = k;
        if (ImGui::IsItemHovered()) ImGui::SetTooltip("take this fault away");
        ImGui::SameLine();
        moved = slider(desk, "##size", name, knob_text(c, knob), knob.place, Ink::faulty) || moved;
        const ImVec2 low = ImGui::GetItemRectMin(), high = ImGui::GetItemRectMax();
        const float track = 18 * desk.unit();
        if (k == 0) first_slider_ = {low.x, high.y - track, high.x - low.x, track};
        ImGui::PopID();
    }
    if (gone >= 0) {
        setting_.knobs.erase(setting_.knobs.begin() + gone);
        moved = true;
    }
    if (moved) ask(desk);
    add_slider(desk);
    surroundings(desk);
}

void Lesson::add_slider(Desk& desk) {
    const float u = desk.unit();
    const Circuit& c = desk.session.circuit();
    const float half = (ImGui::GetContentRegionAvail().x - 8 * u) / 2;
    std::vector<std::string> conditions = {"healthy"};
    for (const Condition& one : c.conditions) conditions.push_back(one.name);
    int chosen = -1;
    if (conditions.size() > 1 &&
        choice(desk, "##condition", "from the circuit's file", half, conditions, chosen)) {
        if (chosen > 0)
            show_condition(c, chosen - 1);
        else
            setting_.knobs.clear();
        ask(desk);
    }
    if (conditions.size() > 1) flow(half);
    std::vector<std::string> ways;
    std::vector<Knob> knobs;
    for (PartId p = 0; p < static_cast<PartId>(c.parts.size()); ++p)
        for (const FaultKind kind : knobs_for(c, p)) {
            if (adding_part_ != none && p != adding_part_) continue;
            ways.push_back(fmt::format("{}: {}", c.parts[static_cast<std::size_t>(p)].name, name_of(kind)));
            knobs.push_back({p, kind, 0.55});
        }
    chosen = -1;
    if (choice(desk, "##add", "another fault", half, ways, chosen)) {
        setting_.knobs.push_back(knobs[static_cast<std::size_t>(chosen)]);
        adding_part_ = none;
        ask(desk);
    }
}

void Lesson::surroundings(Desk& desk) {
    constexpr double coldest = -30, hottest = 85; // °C
    const Circuit& c = desk.session.circuit();
    const double now = setting_.celsius.value_or(in_celsius(c.temperature));
    double place = (now - coldest) / (hottest - coldest);
    heading(desk, "Surroundings");
    if (slider(desk, "##celsius", "temperature", fmt::format("{:.0f} °C", now), place)) {
        setting_.celsius = std::round(coldest + place * (hottest - coldest));
        ask(desk);
    }
    for (PartId p = 0; p < static_cast<PartId>(c.parts.size()); ++p) {
        if (!is_any<Battery<>>(c.parts[static_cast<std::size_t>(p)].law)) continue;
        const bool on_a_slider =
            std::any_of(setting_.knobs.begin(), setting_.knobs.end(),
                        [&](const Knob& k) { return k.part == p && k.kind == FaultKind::low_charge; });
        if (on_a_slider) continue;
        ImGui::PushID(p);
        double gone = 0;
        if (slider(desk, "##charge", c.parts[static_cast<std::size_t>(p)].name + ", charge", "as drawn",
                   gone)) {
            setting_.knobs.push_back({p, FaultKind::low_charge, std::max(gone, 0.02)});
            ask(desk);
        }
        ImGui::PopID();
    }
}

void Lesson::numbers(Desk& desk) {
    if (!stage_.stand || stage_.faulty.trouble) return;
    const Signature &h = stage_.healthy, &f = stage_.faulty;
    const bool faulty = !stage_.faulty.faults.empty();
    heading(desk, stage_.stand->part(stage_.stand->load).name.c_str());
    if (!ImGui::BeginTable("numbers", 3, ImGuiTableFlags_SizingStretchProp)) return;
    const auto cell = [&](const std::string& text, Ink which) {
        ImGui::TableNextColumn();
        ImGui::TextColored(ink(desk, which), "%s", text.c_str());
    };
    const auto row = [&](const char* name, const std::string& healthy, const std::string& now) {
        ImGui::TableNextRow();
        cell(name, Ink::quiet);
        cell(healthy, Ink::healthy);
        cell(faulty ? now : "", Ink::faulty);
    };
    row("", "healthy", "faulty");
    row("volts across it", volts(h.across), volts(f.across));
    row("volts lost", volts(h.lost), volts(f.lost));
    row("amperes", amperes(h.run_current), amperes(f.run_current));
    if (h.speed) row("speed", lostvolts::show(*h.speed), f.speed ? lostvolts::show(*f.speed) : "—");
    if (h.stall_current)
        row("rotor held", amperes(*h.stall_current), f.stall_current ? amperes(*f.stall_current) : "—");
    ImGui::EndTable();
}

void Lesson::sentences(Desk& desk) {
    for (const Problem& p : stage_.problems)
        wrapped_text(desk, p.what + (p.write.empty() ? "" : "; " + p.write), Ink::bad);
    if (!demonstration_) {
        if (!stage_.why.empty() && !desk.presenting) heading(desk, "Why");
        if (!desk.presenting)
            for (const std::string& sentence : stage_.why) wrapped_text(desk, sentence);
        heading(desk, "What misleads");
        for (const auto& [key, what, which] :
             {std::tuple{"1", "full volts, no load", 0}, {"2", "the ohmmeter", 1}, {"3", "low current", 2}}) {
            if (ImGui::Button(fmt::format("{}  {}", key, what).c_str())) demonstrate(desk, which);
            flow(110 * desk.unit());
        }
        if (ImGui::Button("4  hide a fault")) act(desk, Act::hide_fault);
        return;
    }
    const Demonstration& d = *demonstration_;
    ImGui::PushFont(desk.host.large());
    wrapped_text(desk, d.title);
    ImGui::PopFont();
    for (const Problem& p : d.problems) wrapped_text(desk, p.what, Ink::bad);
    if (!d.heads.empty() && ImGui::BeginTable("demonstration", static_cast<int>(d.heads.size()))) {
        for (std::size_t k = 0; k < d.heads.size(); ++k)
            ImGui::TableSetupColumn("", ImGuiTableColumnFlags_WidthStretch, k == 0 ? 1.5F : 1.0F);
        const auto line = [&](const std::vector<std::string>& cells, bool tells, bool head) {
            ImGui::TableNextRow();
            for (std::size_t k = 0; k < cells.size(); ++k) {
                ImGui::TableNextColumn();
                if (tells) ImGui::PushFont(desk.host.bold());
                wrapped_text(desk, cells[k],
                             head || k == 0 ? Ink::quiet
                             : k == 1       ? Ink::healthy
                                            : Ink::faulty);
                if (tells) ImGui::PopFont();
            }
        };
        line(d.heads, false, true);
        for (const Demonstration::Row& row : d.rows) line(row.cells, row.tells, false);
        ImGui::EndTable();
    }
    wrapped_text(desk, d.moral);
    if (ImGui::Button("Back to the sliders")) demonstration_.reset();
}

} // namespace lostvolts

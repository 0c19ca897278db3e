// The Bench's readings as a list to change, a recorded start, and what to mind at the machine.
#include <algorithm>

#include <fmt/format.h>

#include "viewer/figures/words.h"
#include "viewer/window/bench.h"

namespace lostvolts {
namespace {

/// "battery + → pump +", "through rinse pump".
std::string where(const Circuit& c, const Reading& r) {
    const auto point = [&](PointId p) { return p == none ? "?" : point_name(c, p); };
    if (between_two_points(r.quantity)) return point(r.red) + " → " + point(r.black);
    return r.through == none ? "?" : c.parts[static_cast<std::size_t>(r.through)].name;
}

} // namespace

void Bench::list_line(Desk& desk, int number) {
    const auto n = static_cast<std::size_t>(number);
    const Circuit& c = desk.session.circuit();
    const Reading& r = desk.session.readings()[n];
    const auto& location = desk.session.findings().location;
    const ReadingCheck* check = nullptr;
    if (location && desk.session.findings().job == desk.session.job())
        for (const ReadingCheck& one : location->readings)
            if (one.index == number) check = &one;

    ImGui::PushID(number);
    const std::string value = r.text.empty() ? value_text(r.quantity, r.value) : r.text;
    const std::string left =
        fmt::format("{}: {}", c.states[static_cast<std::size_t>(r.state)].name, where(c, r));
    const float right = ImGui::GetContentRegionMax().x - ImGui::CalcTextSize(value.c_str()).x;
    if (ImGui::Selectable("##line", chosen_ == number, ImGuiSelectableFlags_AllowItemOverlap)) {
        chosen_ = chosen_ == number ? -1 : number;
        new_value_ = value;
        change_problems_.clear();
    }
    ImGui::SameLine(ImGui::GetStyle().WindowPadding.x);
    const bool odd = check && check->suspect_reading;
    ImGui::TextColored(ink(desk, odd ? Ink::bad : Ink::text), "%s%s", odd ? "✗ " : "", left.c_str());
    ImGui::SameLine(right);
    ImGui::TextColored(ink(desk, Ink::measured), "%s", value.c_str());
    if (odd)
        quiet(desk, "looks wrong" + (check->likely.empty() ? std::string() : ": " + check->likely) +
                        fmt::format("; {} would fit", value_text(r.quantity, check->expected)));
    if (chosen_ == number) {
        if (!r.note.empty()) quiet(desk, r.note);
        const bool entered = blank(desk,
                                   {"##new", "it shows", 110 * desk.unit(),
                                    problem_of(change_problems_, "value"), nullptr, "", false},
                                   new_value_);
        ImGui::SameLine();
        if (button_in_line(desk, "Change") || entered) {
            change_problems_ = desk.session.change(number, new_value_);
            if (change_problems_.empty()) chosen_ = -1;
        }
        ImGui::SameLine();
        if (button_in_line(desk, "Take out") && desk.session.take_out(number).empty()) chosen_ = -1;
    }
    ImGui::PopID();
}

void Bench::list(Desk& desk) {
    const std::size_t count = desk.session.readings().size();
    if (count == 0) return;
    heading(desk, fmt::format("Readings ({})", count).c_str());
    for (int k = static_cast<int>(count) - 1; k >= 0 && k < static_cast<int>(desk.session.readings().size());
         --k)
        list_line(desk, k);
}

void Bench::open_capture(Desk& desk) {
    const Findings& f = desk.session.findings();
    const std::vector<Fault> suspected = f.location && !f.location->suspects.empty()
                                             ? faults_of(f.location->suspects.front())
                                             : std::vector<Fault>{};
    reader_.ask([this, path = capture_path_, clamp = clamp_, job = desk.session.job(),
                 suspected](Watch& watch) -> Worker::Deliver {
        auto got = std::make_shared<Recorded>(look_at_capture(path, clamp, job->circuit, suspected, watch));
        return [this, got] {
            if (!got->view) got->view = std::move(recorded_.view); // a slip of the hand loses no picture
            const bool good = got->problems.empty();
            recorded_ = std::move(*got);
            ++recorded_version_;
            if (good) arrangement_.choose(2);
        };
    });
}

void Bench::capture(Desk& desk) {
    const float u = desk.unit();
    heading(desk, "Recorded start");
    FieldProblem problem;
    if (!recorded_.problems.empty() && recorded_.path == capture_path_)
        problem = {"path", recorded_.problems.front().what, recorded_.problems.front().write};
    const float width = std::max(ImGui::GetContentRegionAvail().x - 100 * u, 120 * u);
    const bool take = std::exchange(to_capture_, false);
    if (take) coming_ = 3;
    const bool path = blank(
        desk, {"##capture", "CSV file", width, problem.what.empty() ? nullptr : &problem, nullptr, "", take},
        capture_path_);
    flow(90 * u);
    const bool clamp = blank(desk, {"##clamp", "clamp, if in volts", 80 * u}, clamp_);
    if (reader_.busy()) {
        quiet(desk, "Reading it … F11 stops.");
    } else if ((ImGui::Button("Show it") || path || clamp) && !capture_path_.empty()) {
        open_capture(desk);
    }
    for (const std::string& caution : recorded_.cautions) quiet(desk, caution);
}

} // namespace lostvolts

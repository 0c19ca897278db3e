#include "viewer/window/bench.h"

#include <algorithm>

#include <fmt/format.h>

#include "solver/circuit/names.h"
#include "solver/locate/written_value.h"
#include "viewer/figures/foretold.h"
#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

/// A stretch of the panel that keeps, for the same readings, the height that it has had: what stands below it
/// does not jump when one answer takes the place of another.
class Reserved {
  public:
    Reserved(const Desk& desk, ReservedRoom& room)
        : room_(room), top_(ImGui::GetCursorPosY()), width_(ImGui::GetContentRegionAvail().x) {
        if (room.version != desk.session.version() || room.width != width_)
            room = {desk.session.version(), 0, width_};
        room.top = ImGui::GetCursorScreenPos().y;
    }
    ~Reserved() {
        room_.height = std::max(room_.height, ImGui::GetCursorPosY() - top_);
        ImGui::SetCursorPosY(top_ + room_.height);
    }
    void at_least(float height) { room_.height = std::max(room_.height, height); }
    Reserved(const Reserved&) = delete;
    Reserved& operator=(const Reserved&) = delete;

  private:
    ReservedRoom& room_;
    float top_, width_;
};

} // namespace

bool Bench::tick() {
    const bool placed = sketch_.tick();
    return reader_.collect() || placed;
}

bool Bench::act(Desk& desk, Act act) {
    switch (act) {
    case Act::type_reading:
        desk.alone = false;
        next_ = Next::first;
        return true;
    case Act::next_state:
        typed_.state = (typed_.state + 1) % static_cast<int>(desk.session.circuit().states.size());
        return true;
    case Act::next_picture:
        arrangement_.next(recorded_.view ? 3 : 2);
        return true;
    case Act::capture:
        desk.alone = false;
        to_capture_ = true;
        return true;
    case Act::stop:
        sketch_.go_on();
        return true;
    case Act::swap_leads:
        std::swap(typed_.red, typed_.black);
        return true;
    case Act::propose:
        if (const Findings& f = desk.session.findings(); f.first_answer || f.job != desk.session.job()) {
            desk.news = "The next reading is still being worked out.";
        } else if (const auto& found = desk.session.findings().location; found && !found->next.empty()) {
            const std::string meter = typed_.meter;
            typed_ = typed(*desk.session.job(), found->next.front());
            if (typed_.meter.empty()) typed_.meter = meter;
            problems_.clear();
            desk.alone = false;
            next_ = Next::value;
        }
        return true;
    default:
        return false;
    }
}

void Bench::keep_reading(Desk& desk) {
    const UnderstoodReading understood = understand(*desk.session.job(), typed_);
    problems_ = understood.problems;
    if (problems_.empty()) problems_ = desk.session.add(understood.reading);
    if (problems_.empty()) {
        const int state = typed_.state;
        const Measurand quantity = typed_.quantity;
        typed_ = {};
        typed_.state = state;
        typed_.quantity = quantity;
        next_ = Next::first;
        return;
    }
    const std::string& key = problems_.front().key;
    next_ = key == "red" || key == "through" ? Next::first : key == "black" ? Next::second : Next::value;
}

void Bench::sentence(Desk& desk) {
    const float u = desk.unit();
    const Circuit& circuit = desk.session.circuit();
    const std::vector<std::string> points = names_of(circuit.points), parts = names_of(circuit.parts);
    choice(desk, "##state", "while the state is", 110 * u, names_of(circuit.states), typed_.state);
    flow(150 * u);
    int quantity = static_cast<int>(typed_.quantity);
    if (choice(desk, "##quantity", "you read", 110 * u, quantity_words(), quantity)) {
        typed_.quantity = static_cast<Measurand>(quantity);
        problems_.clear();
    }

    bool entered = false;
    constexpr int frames_to_take_it = 3;
    const Next next = std::exchange(next_, Next::nothing);
    coming_ = next != Next::nothing ? frames_to_take_it : std::max(coming_ - 1, 0);
    const auto one = [&](const char* id, const char* name, std::string_view key,
                         const std::vector<std::string>* names, std::string& text, bool take) {
        flow(150 * u);
        const bool enter =
            blank(desk, {id, name, 150 * u, problem_of(problems_, key), names, "", take}, text);
        if (enter) next_ = names == &points && key == "red" ? Next::second : Next::value;
    };
    if (between_two_points(typed_.quantity)) {
        one("##red", "red lead on", "red", &points, typed_.red, next == Next::first);
        one("##black", "black lead on", "black", &points, typed_.black, next == Next::second);
    } else {
        one("##through", typed_.quantity == Measurand::current ? "clamp round" : "of", "through", &parts,
            typed_.through, next == Next::first);
    }
    flow(140 * u);
    const std::string unit(usual_unit(typed_.quantity));
    entered = blank(desk,
                    {"##value", "it shows", 90 * u, problem_of(problems_, "value"), nullptr, unit.c_str(),
                     next == Next::value},
                    typed_.value);
    flow(90 * u);
    if (button_in_line(desk, "Note it") || entered) keep_reading(desk);
    for (const FieldProblem& p : problems_)
        if (p.key != "red" && p.key != "black" && p.key != "through" && p.key != "value")
            wrapped_text(desk, "✗ " + p.what + (p.write.empty() ? "" : "; " + p.write), Ink::bad);
}

void Bench::verdict(Desk& desk) {
    const Findings& f = desk.session.findings();
    if (!f.problems.empty()) {
        heading(desk, "The circuit can't be worked out");
        for (const Problem& p : f.problems)
            wrapped_text(desk, p.what + (p.write.empty() ? "" : "; " + p.write), Ink::bad);
        return;
    }
    if (!f.location) {
        if (desk.session.stopped())
            wrapped_text(desk, "✗ Stopped: nothing is worked out. F11 works it out.", Ink::bad);
        else
            quiet(desk, "Working it out …");
        return;
    }
    const Location& l = *f.location;
    const Suspect& first = l.suspects.front();
    const Circuit& c = f.job->circuit;
    std::string head, more;
    if (f.job->readings.empty()) {
        head = "No readings yet";
        more = "The suspects below are the usual odds of such parts.";
    } else if (l.verdict == Verdict::located && first.faults.size() == 1) {
        head = c.parts[static_cast<std::size_t>(first.faults[0].part)].name;
        more = finding(c, first.faults[0]);
    } else if (l.verdict == Verdict::healthy) {
        head = "Nothing wrong";
        more = "as far as these readings tell.";
    } else if (l.verdict == Verdict::contradictory) {
        head = "The readings disagree";
        more = "with one another or with the drawing. No single fault explains them.";
    } else {
        head = "Not settled yet";
        more = fmt::format("{} suspects fit.", std::max<std::size_t>(l.group.size(), 2));
    }
    ImGui::PushFont(desk.host.large());
    wrapped_text(desk, head, l.verdict == Verdict::located ? Ink::suspect : Ink::text);
    ImGui::PopFont();
    wrapped_text(desk, more);
    how_fresh(desk);
}

/// What the answer is worth: always one line, so that nothing moves when the whole answer takes the place of
/// the first.
void Bench::how_fresh(Desk& desk) {
    const bool stopped = desk.session.stopped(), thinking = desk.session.thinking();
    ImGui::PushFont(desk.host.small());
    switch (desk.session.freshness()) {
    case Freshness::before:
        wrapped_text(desk,
                     stopped ? "✗ Stopped: this is from before. F11 works it out."
                             : "✗ This is from before; working it out …",
                     Ink::bad);
        break;
    case Freshness::first:
        if (stopped || !thinking)
            wrapped_text(desk, "✗ Stopped at a first answer. F11 works out the rest.", Ink::bad);
        else
            wrapped_text(desk, "≈ First answer, still being refined …");
        break;
    case Freshness::whole:
        quiet(desk, desk.session.findings().location->too_many_for_pairs
                        ? "Single faults weighed: too many parts for pairs."
                        : "Single faults and pairs of them weighed.");
    }
    ImGui::PopFont();
}

/// Those from one number up to another that are worth a line.
void Bench::suspects(Desk& desk, const char* head, int from, int to) {
    const auto& location = desk.session.findings().location;
    if (!location) return;
    constexpr double worth_a_line = 0.01;
    const Circuit& c = desk.session.findings().job->circuit;
    const Reserved room(desk, from == 0 ? suspects_room_ : further_room_);
    for (int k = from; k < std::min(static_cast<int>(location->suspects.size()), to); ++k) {
        const Suspect& s = location->suspects[static_cast<std::size_t>(k)];
        if (k > 0 && s.probability < worth_a_line) break;
        if (k == from) heading(desk, head);
        const std::string sure = percent(s.probability);
        const float right = ImGui::GetContentRegionMax().x - ImGui::CalcTextSize(sure.c_str()).x;
        const std::string name = suspect_name(c, s);
        ImGui::PushTextWrapPos(right - 8 * desk.unit());
        ImGui::TextUnformatted(name.c_str());
        ImGui::PopTextWrapPos();
        ImGui::SameLine(right);
        ImGui::TextUnformatted(sure.c_str());
        share_bar(desk, s.probability, k == 0 ? Ink::suspect : Ink::quiet);
    }
}

void Bench::proposal(Desk& desk) {
    const auto& location = desk.session.findings().location;
    if (!location) return;
    Reserved room(desk, proposal_room_);
    heading(desk, "Measure next");
    if (desk.session.findings().first_answer) {
        constexpr float usual = 210; // units: a sentence, three outcomes, a button
        quiet(desk, desk.session.stopped() ? "Not worked out." : "Weighing which reading tells most …");
        return room.at_least(usual * desk.unit());
    }
    if (location->next.empty()) return quiet(desk, "No further reading would tell more.");
    const NextReading& n = location->next.front();
    const Circuit& c = desk.session.findings().job->circuit;
    if (between_two_points(n.quantity)) { // a line for each hand
        const auto at = [&](PointId p) { return point_name(c, p); };
        const std::string what = what_to_read(*desk.session.findings().job, n);
        wrapped_text(desk, fmt::format("{}: red on {}", what.substr(0, what.find(", red on")), at(n.red)),
                     Ink::next);
        wrapped_text(desk, "black on " + at(n.black), Ink::next);
    } else {
        wrapped_text(desk, what_to_read(*desk.session.findings().job, n), Ink::next);
    }
    quiet(desk, fmt::format("in state {}, about {:.0f} min", c.states[static_cast<std::size_t>(n.state)].name,
                            std::max(n.minutes, 1.0)));
    constexpr std::size_t most = 5;
    const std::vector<Foretold> rows = foretold_by(*location, n);
    if (ImGui::BeginTable("foretold", 2, ImGuiTableFlags_SizingFixedFit)) {
        ImGui::TableSetupColumn("value", ImGuiTableColumnFlags_WidthFixed);
        ImGui::TableSetupColumn("if", ImGuiTableColumnFlags_WidthStretch);
        for (std::size_t k = 0; k < std::min(rows.size(), most); ++k) {
            ImGui::TableNextRow();
            ImGui::TableNextColumn();
            ImGui::TextUnformatted(expect_text(n.quantity, rows[k].outcome).c_str());
            ImGui::TableNextColumn();
            quiet(desk, "if " + any_of_them(c, *location, rows[k].suspects));
        }
        ImGui::EndTable();
    }
    if (ImGui::Button("Take this one (F9)")) act(desk, Act::propose);
}

} // namespace lostvolts

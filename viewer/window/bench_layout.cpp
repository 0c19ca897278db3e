// Where the Bench has what, and what the pointer does on its pictures.
#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "viewer/window/bench.h"
#include "viewer/window/bench_pictures.h"
#include "viewer/window/pointing.h"

namespace lostvolts {
std::string Bench::key(const Desk& desk, std::string_view picture) const {
    return fmt::format("{} {} {} {} {} {} {} {} {}", picture, sketch_.made(), desk.session.version(),
                       desk.session.findings_version(), static_cast<int>(desk.session.freshness()),
                       typed_.state, typed_.red, typed_.black, typed_.through);
}

void Bench::show(Desk& desk, const Pane& room) {
    constexpr float low = 520; // units: the blanks then stand in one row below everything
    typed_.state = std::clamp(typed_.state, 0, static_cast<int>(desk.session.circuit().states.size()) - 1);
    RoomShares shares = share_room(desk, room, 0.32F, 300, 430);
    const bool below_all = !shares.narrow && room.height < low * desk.unit();
    if (shares.panel) {
        if (below_all) shares.panel->height -= foot_;
        begin_side(desk, "findings", shares);
        if (shares.narrow) sentence(desk);
        verdict(desk);
        const bool is_low = room.height < low * desk.unit(); // what to measure next must still be in sight
        constexpr int most = 5, most_when_low = 3;
        suspects(desk, "Suspects", 0, is_low ? most_when_low : most);
        proposal(desk);
        if (is_low) suspects(desk, "Further suspects", most_when_low, most);
        list(desk);
        capture(desk);
        before_touching(desk);
        end_panel();
    }
    drawing_.hide();
    other_.hide();
    if (!shares.pictures) return;
    Pane middle = *shares.pictures;
    if (shares.panel) {
        const float width = below_all ? room.width : middle.width;
        begin_foot("a reading", room.x, room.y + room.height, width);
        rule(desk, {room.x, ImGui::GetWindowPos().y}, {room.x + width, ImGui::GetWindowPos().y});
        sentence(desk);
        foot_ = ImGui::GetWindowHeight();
        end_panel();
        middle.height -= foot_;
    }
    pictures(desk, middle);
    show_what_matters(desk);
    point_under_pointer(desk);
}

void Bench::pictures(Desk& desk, const Pane& room) {
    const Session& session = desk.session;
    std::vector<const char*> words = {"Drawing", "Staircase"};
    if (recorded_.view) words.push_back("Start");
    const auto rooms = arrangement_.rooms(desk, room, words, session.circuit(), session.circuit_version(),
                                          arrangement_.which() == 0 && drawing_.zoomed() > 1);
    const double ppp = desk.pixels_per_point();
    if (rooms.drawing)
        drawing_.keep(*rooms.drawing, key(desk, "drawing"), desk.type, desk.light(), ppp,
                      [&](double w, double h) {
                          const Sketch* placed = sketch_.of(session, w, h);
                          return placed ? bench_drawing(session, typed_, *placed, w, h)
                                        : nothing_yet(w, h, sketch_.doing(session));
                      });
    if (rooms.other && rooms.which == 1)
        other_.keep(*rooms.other, fmt::format("stairs {} {}", session.findings_version(), typed_.state),
                    desk.type, desk.light(), ppp,
                    [&](double w, double h) { return bench_staircase(session, typed_.state, w, h); });
    if (rooms.other && rooms.which == 2)
        other_.keep(*rooms.other, fmt::format("start {}", recorded_version_), desk.type, desk.light(), ppp,
                    [&](double w, double h) { return fitted_traces(*recorded_.view, w, h); });
}

void Bench::draw(sf::RenderTarget& target) const {
    drawing_.draw(target);
    other_.draw(target);
}

void Bench::point_under_pointer(Desk& desk) {
    const Target* target = pointed_at(desk, {&drawing_, &other_});
    if (!target || !released_on_picture()) return;
    clicked(desk, *target);
    if (next_ == Next::value) desk.alone = false; // its blank is beside the picture
}

/// Where the drawing is too large to be seen whole, the part of it that matters: the leads that are filled
/// in, else, once there is an answer, those of the next reading or the leading suspect. An answer that takes
/// the place of another moves nothing.
void Bench::show_what_matters(const Desk& desk) {
    if (!drawing_.shown() || !sketch_.made()) return;
    const Circuit& c = desk.session.circuit();
    const Pane& room = drawing_.pane();
    std::vector<PointId> points;
    PartId part = none;
    std::string what = fmt::format("{} {:.0f} {:.0f}", sketch_.made(), room.width, room.height);
    if (const std::string filled_in = typed_.red + '\n' + typed_.black + '\n' + typed_.through;
        filled_in.size() > 2) {
        what += filled_in;
        points = {find_point(c, typed_.red), find_point(c, typed_.black)};
        part = find_part(c, typed_.through);
    } else if (const auto& found = desk.session.findings().location;
               found && desk.session.findings_fit() && desk.session.freshness() == Freshness::whole) {
        what += " found";
        if (!found->next.empty()) {
            points = {found->next.front().red, found->next.front().black};
            part = found->next.front().through;
        } else if (!found->suspects.front().faults.empty()) {
            part = found->suspects.front().faults.front().part;
        }
    } else {
        return;
    }
    if (std::exchange(brought_up_, what) != what) drawing_.bring_up(points, part);
}

/// A point takes the next free lead; a part the clamp.
void Bench::clicked(Desk& desk, const Target& target) {
    const Circuit& c = desk.session.circuit();
    problems_.clear();
    if (target.point != none) {
        const std::string& name = point_name(c, target.point);
        if (!between_two_points(typed_.quantity)) typed_.quantity = Measurand::voltage;
        if (typed_.red.empty() || !typed_.black.empty()) {
            typed_.red = name;
            typed_.black.clear();
            next_ = Next::second;
        } else {
            typed_.black = name;
            next_ = Next::value;
        }
    } else if (target.part != none) {
        typed_.through = c.parts[static_cast<std::size_t>(target.part)].name;
        if (between_two_points(typed_.quantity)) typed_.quantity = Measurand::current;
        next_ = Next::value;
    }
}

} // namespace lostvolts

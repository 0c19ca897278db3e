// Where the Bench has what, and what the pointer does on its pictures.
#include <algorithm>

#include <fmt/format.h>

#include "viewer/window/bench.h"
#include "viewer/window/bench_pictures.h"

namespace lostvolts {
std::string Bench::key(const Desk& desk, std::string_view picture) const {
    return fmt::format("{} {} {} {} {} {} {}", picture, desk.session.version(),
                       desk.session.findings_version(), typed_.state, typed_.red, typed_.black,
                       typed_.through);
}

void Bench::show(Desk& desk, const Pane& room) {
    const float u = desk.unit();
    const float side = std::clamp(0.32F * room.width, 300 * u, 430 * u);
    const Pane left{room.x, room.y, room.width - side, room.height},
        right{room.x + left.width, room.y, side, room.height};
    typed_.state = std::clamp(typed_.state, 0, static_cast<int>(desk.session.circuit().states.size()) - 1);

    begin_panel("findings", right, true);
    rule(desk, {right.x, right.y}, {right.x, right.y + right.height});
    verdict(desk);
    proposal(desk);
    suspects(desk);
    list(desk);
    capture(desk);
    before_touching(desk);
    end_panel();

    sentence(desk, left, left.width);
    Pane middle = left;
    middle.height -= foot_;
    pictures(desk, middle);
    point_under_pointer(desk);
}

void Bench::pictures(Desk& desk, const Pane& room) {
    const Session& session = desk.session;
    std::vector<const char*> words = {"Drawing", "Staircase"};
    if (recorded_.view) words.push_back("Start");
    const auto rooms = arrangement_.rooms(desk, room, words, session.circuit(), session.circuit_version());
    const double ppp = desk.pixels_per_point();
    drawing_.hide();
    other_.hide();
    if (rooms.drawing)
        drawing_.keep(*rooms.drawing, key(desk, "drawing"), desk.type, desk.light(), ppp,
                      [&](double w, double h) { return bench_drawing(session, typed_, sketch_, w, h); });
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
    if (target && released_on_picture()) clicked(desk, *target);
}

/// A point takes the next free lead; a part the clamp.
void Bench::clicked(Desk& desk, const Target& target) {
    const Circuit& c = desk.session.circuit();
    problems_.clear();
    if (target.point != none) {
        const std::string& name = c.points[static_cast<std::size_t>(target.point)].name;
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

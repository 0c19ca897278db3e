// Where the Lesson has its pictures, and what the pointer does on them.
#include <cmath>
#include <utility>

#include <fmt/ranges.h>

#include "viewer/window/lesson.h"
#include "viewer/window/lesson_pictures.h"
#include "viewer/window/pointing.h"

namespace lostvolts {

void Lesson::pictures(Desk& desk, const Pane& room) {
    const double ppp = desk.pixels_per_point();
    const Stage& stage = stage_;
    const auto drawn = [&](const auto& draw) {
        return [&, draw](double w, double h) {
            const Sketch* placed = sketch_.of(desk.session, w, h);
            return placed ? draw(*placed, w, h) : nothing_yet(w, h, sketch_.doing(desk.session));
        };
    };
    if (hunt_.on()) {
        const TypedReading& leads = hunt_.leads();
        drawing_.keep(room,
                      fmt::format("hunt {} {} {} {} {} {}", sketch_.made(), desk.session.version(),
                                  leads.state, leads.red, leads.black, leads.through),
                      desk.type, desk.light(), ppp, drawn([&](const Sketch& placed, double w, double h) {
                          return hunt_drawing(desk.session.circuit(), leads, placed, w, h);
                      }));
    } else {
        const auto rooms = arrangement_.rooms(desk, room, {"Drawing", "Staircase", "Start-up"},
                                              desk.session.circuit(), desk.session.circuit_version(),
                                              arrangement_.which() == 0 && drawing_.zoomed() > 1);
        if ((arrangement_.which() == 2) != setting_.starting) ask(desk);
        if (rooms.drawing)
            drawing_.keep(*rooms.drawing, fmt::format("drawing {} {}", sketch_.made(), stage_version_),
                          desk.type, desk.light(), ppp, drawn([&](const Sketch& placed, double w, double h) {
                              return lesson_drawing(stage, placed, w, h);
                          }));
        if (rooms.other)
            other_.keep(*rooms.other, fmt::format("{} {}", rooms.which, stage_version_), desk.type,
                        desk.light(), ppp, [&](double w, double h) {
                            return rooms.which == 1 ? lesson_staircase(stage, w, h)
                                                    : lesson_start(stage, w, h);
                        });
    }
    show_what_matters(desk);
    const Target* target = pointed_at(desk, {&drawing_, &other_});
    if (!target || !released_on_picture()) return;
    if (hunt_.on())
        hunt_.clicked(desk.session.circuit(), *target);
    else if (target->part != none)
        adding_part_ = adding_part_ == target->part ? none : target->part;
}

/// Where the drawing is too large to be seen whole: the leads of a hunt, the part with the fault, or the
/// load.
void Lesson::show_what_matters(const Desk& desk) {
    if (!drawing_.shown() || !sketch_.made()) return;
    const Circuit& c = desk.session.circuit();
    const Pane& room = drawing_.pane();
    std::vector<PointId> points;
    PartId part = none;
    if (hunt_.on()) {
        points = {find_point(c, hunt_.leads().red), find_point(c, hunt_.leads().black)};
        part = find_part(c, hunt_.leads().through);
    } else if (stage_.stand) {
        part = stage_.faulty.faults.empty() ? stage_.stand->load : stage_.faulty.faults.front().part;
    }
    const std::string what = fmt::format("{} {:.0f} {:.0f} {} {}", sketch_.made(), room.width, room.height,
                                         part, fmt::join(points, " "));
    if (std::exchange(brought_up_, what) != what) drawing_.bring_up(points, part);
}

void Lesson::draw(sf::RenderTarget& target) const {
    drawing_.draw(target);
    other_.draw(target);
}

} // namespace lostvolts

#include "viewer/figures/symbols.h"

#include "viewer/figures/shapes.h"

namespace lostvolts {
namespace {

constexpr double line_width = 1.5;

/// Draws along a wire that runs to the right through (0, 0), from the part's `from` end to its `to` end, and
/// turns the result into its place.
class Pen {
  public:
    Pen(Position at, const SymbolLook& look) : at_(at), look_(look) {}

    void stroke(std::vector<Position> path, double width = line_width, Dash dash = Dash::solid) {
        out_.shapes.push_back(Stroke{turned(std::move(path)), look_.ink, width, dash});
    }
    void fill(std::vector<Position> outline) {
        out_.shapes.push_back(Fill{turned(std::move(outline)), look_.ink, 1});
    }
    /// Covers the wire.
    void blank(std::vector<Position> outline) {
        out_.shapes.push_back(Fill{turned(std::move(outline)), Ink::paper, 1});
    }
    void shape(const std::vector<Position>& outline) {
        blank(outline);
        stroke(closed(outline));
    }
    void box(double half, double tall) { shape(rectangle({-half, -tall}, {half, tall})); }
    void letter(std::string text, double size) {
        out_.shapes.push_back(
            words({at_.x, at_.y + size * 0.36}, std::move(text), size, look_.ink, Align::middle, true));
    }
    void sign(Position where, std::string text) {
        const Position p = turned({where})[0];
        out_.shapes.push_back(words({p.x, p.y + 3.5}, std::move(text), 9, look_.ink, Align::middle, true));
    }
    Symbol done(double half, double tall) {
        out_.half = half;
        out_.tall = tall;
        return std::move(out_);
    }
    const SymbolLook& look() const { return look_; }

  private:
    std::vector<Position> turned(std::vector<Position> path) const {
        for (Position& p : path) {
            const double along = look_.from_first ? p.x : -p.x;
            p = look_.upright ? Position{at_.x - p.y, at_.y + along} : Position{at_.x + along, at_.y + p.y};
        }
        return path;
    }

    Position at_;
    SymbolLook look_;
    Symbol out_;
};

constexpr double contact = 11; ///< from the middle of a switch to each of its contacts

void arm(Pen& pen, bool closed_now) {
    pen.blank(rectangle({-contact, -3}, {contact, 3}));
    pen.stroke({{-contact, 0}, closed_now ? Position{contact, -2.5} : Position{contact - 3, -10}}, 2);
    for (const double x : {-contact, contact}) {
        pen.blank(circle({x, 0}, 2.4, 16));
        pen.stroke(closed(circle({x, 0}, 2.4, 16)), 1.2);
    }
}

// One overload per kind: a new part that lacks its own stops the build.
Symbol draw(Pen& pen, const Battery<>& b) {
    const int pairs = b.settings.cells > 1 ? 2 : 1; // of plates
    const double half = 6 * pairs - 3;
    pen.blank(rectangle({-half, -4}, {half, 4}));
    for (int k = 0; k < pairs; ++k) {
        const double x = 12 * k - half;
        pen.stroke({{x, -6}, {x, 6}}, 3.2);
        pen.stroke({{x + 6, -13}, {x + 6, 13}}, 1.6);
    }
    pen.sign({half + 6, -9}, "+");
    return pen.done(half, 14);
}
Symbol draw(Pen& pen, const Charger<>&) {
    pen.box(16, 12);
    pen.stroke({{-7, -3}, {7, -3}});
    for (const double x : {-7.0, -1.5, 4.0}) pen.stroke({{x, 3}, {x + 3, 3}});
    pen.sign({22, -8}, "+");
    return pen.done(16, 13);
}
Symbol draw(Pen& pen, const Wire<>&) { return pen.done(0, 3); }
Symbol draw(Pen& pen, const Fuse<>&) {
    pen.box(13, 5.5);
    pen.stroke({{-13, 0}, {13, 0}}, 1);
    return pen.done(13, 6);
}
Symbol draw(Pen& pen, const Breaker<>&) {
    arm(pen, true);
    pen.stroke({{contact - 3.5, -3.5}, {contact + 3.5, 3.5}});
    pen.stroke({{contact - 3.5, 3.5}, {contact + 3.5, -3.5}});
    pen.stroke({{0, -2}, {0, -8}, {-4, -8}}, 1);
    return pen.done(contact + 3, 9);
}
Symbol draw(Pen& pen, const Switch<>&) {
    arm(pen, pen.look().closed);
    return pen.done(contact + 2, pen.look().closed ? 5 : 10);
}
Symbol draw(Pen& pen, const Relay<>&) {
    if (pen.look().coil) {
        pen.box(7, 14);
        pen.stroke({{-7, -7}, {7, 7}}, 1.2);
        return pen.done(7, 14);
    }
    arm(pen, pen.look().closed);
    pen.stroke({{0, pen.look().closed ? -2.0 : -5.0}, {0, -13}}, 1.2, Dash::dashed); // to its coil
    return pen.done(contact + 2, 13);
}
Symbol draw(Pen& pen, const Connector<>&) {
    pen.blank(rectangle({-4, -2}, {11, 2}));
    pen.stroke(arc({3, 0}, 7, 90, 270));
    pen.fill(rectangle({1, -2.6}, {12, 2.6}));
    return pen.done(12, 7);
}
Symbol draw(Pen& pen, const Splice<>&) {
    pen.shape({{-11, -4.5},
               {-4, -4.5},
               {-4, -2.5},
               {4, -2.5},
               {4, -4.5},
               {11, -4.5},
               {11, 4.5},
               {4, 4.5},
               {4, 2.5},
               {-4, 2.5},
               {-4, 4.5},
               {-11, 4.5}});
    return pen.done(11, 5);
}
Symbol draw(Pen& pen, const Ground<>&) { // a ring under a bolt: the frame's sign within
    pen.shape(circle({0, 0}, 8.5));
    const double down = pen.look().upright && !pen.look().from_first ? -1 : 1; // the widest bar stays on top
    for (const auto& [y, half] : {std::pair{-2.0, 5.0}, std::pair{1.0, 3.2}, std::pair{4.0, 1.4}})
        pen.stroke(pen.look().upright ? std::vector<Position>{{y * down, -half}, {y * down, half}}
                                      : std::vector<Position>{{-half, y}, {half, y}},
                   1.2);
    return pen.done(8.5, 9);
}
Symbol draw(Pen& pen, const Motor<>&) {
    pen.shape(circle({0, 0}, 15));
    pen.letter("M", 14);
    return pen.done(15, 15);
}
Symbol draw(Pen& pen, const Lamp<>&) {
    pen.shape(circle({0, 0}, 11));
    constexpr double d = 7.8;
    pen.stroke({{-d, -d}, {d, d}});
    pen.stroke({{-d, d}, {d, -d}});
    return pen.done(11, 11);
}
Symbol draw(Pen& pen, const Heater<>&) {
    pen.box(16, 7);
    for (const double x : {-8.0, 0.0, 8.0}) pen.stroke({{x, -7}, {x, 7}}, 1.2);
    return pen.done(16, 7);
}
Symbol draw(Pen& pen, const Resistor<>&) {
    pen.box(14, 5);
    return pen.done(14, 5);
}
Symbol draw(Pen& pen, const Electronic<>&) {
    pen.box(14, 12);
    pen.stroke({{-8, 4}, {-4, 4}, {-4, -4}, {1, -4}, {1, 4}, {5, 4}, {5, -4}, {9, -4}}, 1.2);
    return pen.done(14, 12);
}
Symbol draw(Pen& pen, const Solenoid<>&) {
    pen.box(8, 14);
    pen.stroke({{0, -9}, {0, 6}}, 1.6);
    pen.fill({{-3.5, 4}, {3.5, 4}, {0, 10}});
    return pen.done(8, 14);
}
Symbol draw(Pen& pen, const Diode<>&) {
    pen.shape({{-6, -7}, {6, 0}, {-6, 7}});
    pen.stroke({{6, -7}, {6, 7}}, 2);
    return pen.done(7, 7);
}
Symbol draw(Pen& pen, const Capacitor<>&) {
    pen.blank(rectangle({-3, -3}, {3, 3}));
    pen.stroke({{-3, -10}, {-3, 10}}, 2);
    pen.stroke({{3, -10}, {3, 10}}, 2);
    return pen.done(3, 10);
}

} // namespace

Symbol symbol_of(const AnyPart& law, Position at, const SymbolLook& look) {
    Pen pen(at, look);
    return std::visit([&](const auto& part) { return draw(pen, part); }, law);
}

} // namespace lostvolts

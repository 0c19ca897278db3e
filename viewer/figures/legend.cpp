#include "viewer/figures/legend.h"

#include "viewer/figures/shapes.h"

namespace lostvolts {

double Legend::draw(Figure& figure, Position from, double width, double size) const {
    constexpr double sample = 22, gap = 5, between = 18;
    double x = from.x, y = from.y;
    for (const LegendEntry& e : entries_) {
        const std::string name = fitted(e.name, width - sample - gap, size);
        const double wide = sample + gap + text_width(name, size);
        if (x > from.x && x + wide > from.x + width) {
            x = from.x;
            y += size * 1.5;
        }
        const double middle = y - size * 0.33;
        if (e.opacity < 1)
            figure.shapes.push_back(Fill{
                rectangle({x, middle - e.width / 2}, {x + sample, middle + e.width / 2}), e.ink, e.opacity});
        else
            figure.shapes.push_back(Stroke{{{x, middle}, {x + sample, middle}}, e.ink, e.width, e.dash});
        if (e.mark) figure.shapes.push_back(Mark{{x + sample / 2, middle}, *e.mark, 7, e.ink});
        figure.shapes.push_back(words({x + sample + gap, y}, name, size, Ink::text));
        x += wide + between;
    }
    return y;
}

} // namespace lostvolts

#include "viewer/figures/clear_place.h"

#include <algorithm>
#include <limits>

namespace lostvolts {

double length_within(const Box& box, const std::vector<std::vector<Position>>& lines) {
    const auto shared = [](double a, double b, double low, double high) {
        return std::max(0.0, std::min(std::max(a, b), high) - std::max(std::min(a, b), low));
    };
    double sum = 0;
    for (const std::vector<Position>& line : lines)
        for (std::size_t k = 1; k < line.size(); ++k) {
            const Position &p = line[k - 1], &q = line[k];
            if (p.y == q.y ? p.y <= box.low.y || p.y >= box.high.y : p.x <= box.low.x || p.x >= box.high.x)
                continue;
            sum += p.y == q.y ? shared(p.x, q.x, box.low.x, box.high.x)
                              : shared(p.y, q.y, box.low.y, box.high.y);
        }
    return sum;
}

Position clear_place(const std::vector<Position>& places, FlagSize flag, const Box& room,
                     const std::vector<std::vector<Position>>& lines) {
    Position best{};
    double least = std::numeric_limits<double>::infinity();
    for (const Position& p : places) {
        const Position q{std::clamp(p.x, room.low.x + flag.half, room.high.x - flag.half),
                         std::clamp(p.y, room.low.y + flag.tall, room.high.y - flag.tall)};
        const double hidden =
            length_within({{q.x - flag.half, q.y - flag.tall}, {q.x + flag.half, q.y + flag.tall}}, lines);
        if (hidden < least) least = hidden, best = q;
    }
    return best;
}

} // namespace lostvolts

#include "viewer/window/picture.h"

#include <algorithm>
#include <limits>

namespace lostvolts {
namespace {

constexpr double largest_letters = 60; // pixels

double largest_size(const Figure& figure) {
    double size = 8;
    for (const Shape& shape : figure.shapes)
        if (const auto* w = std::get_if<Words>(&shape)) size = std::max(size, w->size);
    return size;
}

} // namespace

void Picture::keep(const Pane& pane, const std::string& key, const Type& type, Light light,
                   double pixels_per_point, const Make& make) {
    shown_ = true;
    const bool same_room = pane.width == pane_.width && pane.height == pane_.height;
    pane_ = pane;
    if (same_room && key == key_ && light == light_ && pixels_per_point == scale_) return;
    const bool anew = !same_room || pixels_per_point != scale_;
    key_ = key;
    light_ = light;
    type_ = &type;
    scale_ = pixels_per_point;
    figure_ = make(static_cast<double>(pane.width) / scale_, static_cast<double>(pane.height) / scale_);
    const double readable = zoom_to_read();
    if (anew || (zoom_ == readable_ && readable != readable_)) zoom_ = whole_ ? 1 : readable;
    readable_ = readable;
    paint_again();
}

/// Pixels at 100 %; common practice, no source. A little below what is wanted counts as readable: the whole
/// is worth more.
double Picture::zoom_to_read() const {
    constexpr double least = 7.5, wanted = 9.5, natural = 1.3;
    const double letters = natural * figure_.type;
    return letters <= 0 || letters >= least ? 1 : wanted / letters;
}

void Picture::paint_again() {
    painting_ = paint(figure_, *type_, light_, scale_ * zoom_);
    pan(0, 0);
}

void Picture::draw(sf::RenderTarget& target) const {
    if (!shown_) return;
    // Its own view cuts off what stands out of the room.
    const sf::View whole = target.getView();
    const auto size = target.getSize();
    const auto w = static_cast<float>(size.x), h = static_cast<float>(size.y);
    sf::View view({0, 0, pane_.width, pane_.height});
    view.setViewport({pane_.x / w, pane_.y / h, pane_.width / w, pane_.height / h});
    target.setView(view);
    lostvolts::draw(target, painting_, moved_);
    target.setView(whole);
}

bool Picture::taller_than_room() const { return painting_.size.y > pane_.height + 1; }

bool Picture::larger_than_room() const { return painting_.size.x > pane_.width + 1 || taller_than_room(); }

void Picture::pan(float dx, float dy) {
    moved_.x = std::clamp(moved_.x + dx, std::min(pane_.width - painting_.size.x, 0.0F), 0.0F);
    moved_.y = std::clamp(moved_.y + dy, std::min(pane_.height - painting_.size.y, 0.0F), 0.0F);
}

void Picture::zoom(double factor, sf::Vector2f about) {
    if (!shown_ || !type_) return;
    const double closest = std::max(1.0, largest_letters / (largest_size(figure_) * scale_));
    const double wanted = std::clamp(zoom_ * factor, 1.0, closest);
    if (wanted == zoom_) return;
    whole_ = wanted == 1;
    const auto grown = static_cast<float>(wanted / zoom_);
    const sf::Vector2f at{about.x - pane_.x, about.y - pane_.y};
    moved_ = at - (at - moved_) * grown;
    zoom_ = wanted;
    paint_again();
}

void Picture::show_whole() {
    whole_ = true;
    if (zoom_ == 1 || !type_) return pan(-moved_.x, -moved_.y);
    zoom_ = 1;
    moved_ = {};
    paint_again();
}

void Picture::bring_up(const std::vector<PointId>& points, PartId part) {
    if (!shown_ || zoom_ == 1) return;
    const auto far = std::numeric_limits<double>::infinity();
    Position low{far, far}, high{-far, -far};
    for (const Target& t : painting_.targets) {
        const bool meant = t.point != none ? std::find(points.begin(), points.end(), t.point) != points.end()
                                           : part != none && t.part == part;
        if (!meant) continue;
        low = {std::min(low.x, t.low.x), std::min(low.y, t.low.y)};
        high = {std::max(high.x, t.high.x), std::max(high.y, t.high.y)};
    }
    if (low.x > high.x) return;
    const auto along = [&](double from, double to, float room, float moved) {
        const float margin = std::min(40.0F, room / 8);
        const auto a = static_cast<float>(from * painting_.scale) + moved - margin,
                   b = static_cast<float>(to * painting_.scale) + moved + margin;
        if (a >= 0 && b <= room) return 0.0F;
        return room / 2 - (a + b) / 2;
    };
    pan(along(low.x, high.x, pane_.width, moved_.x), along(low.y, high.y, pane_.height, moved_.y));
}

std::optional<sf::Vector2f> Picture::place_of(PointId point) const {
    if (!shown_) return std::nullopt;
    for (const Target& t : painting_.targets) {
        if (t.point != point) continue;
        const auto x = static_cast<float>((t.low.x + t.high.x) / 2 * painting_.scale),
                   y = static_cast<float>((t.low.y + t.high.y) / 2 * painting_.scale);
        return sf::Vector2f{pane_.x + moved_.x + x, pane_.y + moved_.y + y};
    }
    return std::nullopt;
}

const Target* Picture::under(float x, float y) const {
    if (!shown_ || !pane_.holds(x, y)) return nullptr;
    return target_at(painting_, {x - pane_.x - moved_.x, y - pane_.y - moved_.y});
}

} // namespace lostvolts

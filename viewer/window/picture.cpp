#include "viewer/window/picture.h"

#include <algorithm>

namespace lostvolts {

void Picture::keep(const Pane& pane, const std::string& key, const Type& type, Light light,
                   double pixels_per_point, const Make& make) {
    shown_ = true;
    const bool same_room = pane.width == pane_.width && pane.height == pane_.height;
    pane_ = pane;
    if (same_room && key == key_ && light == light_ && pixels_per_point == scale_) return;
    key_ = key;
    light_ = light;
    scale_ = pixels_per_point;
    const Figure figure =
        make(static_cast<double>(pane.width) / scale_, static_cast<double>(pane.height) / scale_);
    painting_ = paint(figure, type, light, scale_);
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

bool Picture::larger_than_room() const {
    return painting_.size.x > pane_.width + 1 || painting_.size.y > pane_.height + 1;
}

void Picture::pan(float dx, float dy) {
    moved_.x = std::clamp(moved_.x + dx, std::min(pane_.width - painting_.size.x, 0.0F), 0.0F);
    moved_.y = std::clamp(moved_.y + dy, std::min(pane_.height - painting_.size.y, 0.0F), 0.0F);
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

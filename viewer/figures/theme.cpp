#include "viewer/figures/theme.h"

#include <algorithm>
#include <cmath>

namespace lostvolts {
namespace {

constexpr Colour from_hex(unsigned rgb) {
    return {((rgb >> 16) & 0xff) / 255.0, ((rgb >> 8) & 0xff) / 255.0, (rgb & 0xff) / 255.0};
}

struct Pair {
    unsigned light, dark;
};

// Found by a search for the greatest least distance (CIELAB) under every kind of sight, then rounded by eye.
constexpr Pair inks(Ink ink) {
    switch (ink) {
    case Ink::paper:
        return {0xffffff, 0x191b1f};
    case Ink::text:
        return {0x1b1f24, 0xeef1f4};
    case Ink::quiet:
        return {0x5a626c, 0xa4adb8};
    case Ink::grid:
        return {0xd9dde2, 0x3a414b};
    case Ink::wire:
    case Ink::part:
        return {0x343a42, 0xd3d8de};
    case Ink::predicted:
        return {0x1e6fb8, 0x8cc4f8};
    case Ink::healthy:
        return {0x08305a, 0xcbe6fd};
    case Ink::faulty:
        return {0xc01a9c, 0xf558e2};
    case Ink::measured:
        return {0x54240a, 0xf7cf9e};
    case Ink::suspect:
        return {0xd00504, 0xff684e};
    case Ink::next:
        return {0x7416c9, 0xb673ff};
    case Ink::limit:
        return {0x6b6460, 0x9a9690};
    case Ink::good:
        return {0x05708f, 0x3fc0e8};
    case Ink::bad:
        return {0xb54300, 0xff8a3d};
    }
    return {};
}

double linear(double c) { return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4); }

double luminance(Colour c) {
    return 0.2126 * linear(c.red) + 0.7152 * linear(c.green) + 0.0722 * linear(c.blue);
}

} // namespace

Colour colour_of(Ink ink, Light light) {
    const Pair pair = inks(ink);
    return from_hex(light == Light::light ? pair.light : pair.dark);
}

double contrast(Colour a, Colour b) {
    const double la = luminance(a), lb = luminance(b);
    return (std::max(la, lb) + 0.05) / (std::min(la, lb) + 0.05);
}

} // namespace lostvolts

#include "viewer/figures/theme.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <string>

#include <doctest/doctest.h>

using namespace lostvolts;

namespace {

using Triple = std::array<double, 3>;
using Matrix = std::array<Triple, 3>;

// Sight without one kind of cones, on linear sRGB: G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A
// Physiologically-based Model for Simulation of Color Vision Deficiency", IEEE TVCG 15 (2009), severity 1.0.
// From memory; each row sums to 1, as it must for greys to stay grey.
struct Sight {
    const char* name;
    Matrix matrix;
};
const std::array<Sight, 4> sights{{
    {"all cones", {{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}}},
    {"protanopia",
     {{{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}}}},
    {"deuteranopia",
     {{{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}}}},
    {"tritanopia",
     {{{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}}}},
}};

double linear(double c) { return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4); }

double luminance(const Triple& rgb) { return 0.2126 * rgb[0] + 0.7152 * rgb[1] + 0.0722 * rgb[2]; }

/// CIELAB under D65, from linear sRGB (IEC 61966-2-1; CIE 15).
Triple lab(const Triple& rgb) {
    const double x = (0.4124 * rgb[0] + 0.3576 * rgb[1] + 0.1805 * rgb[2]) / 0.9505;
    const double y = luminance(rgb);
    const double z = (0.0193 * rgb[0] + 0.1192 * rgb[1] + 0.9505 * rgb[2]) / 1.089;
    const auto f = [](double t) { return t > 0.008856 ? std::cbrt(t) : 7.787 * t + 16.0 / 116; };
    return {116 * f(y) - 16, 500 * (f(x) - f(y)), 200 * (f(y) - f(z))};
}

/// Linear sRGB, as that eye has it.
Triple seen(Colour c, const Matrix& m) {
    const Triple rgb{linear(c.red), linear(c.green), linear(c.blue)};
    Triple out{};
    for (std::size_t k = 0; k < 3; ++k)
        out[k] = std::clamp(m[k][0] * rgb[0] + m[k][1] * rgb[1] + m[k][2] * rgb[2], 0.0, 1.0);
    return out;
}

double distance(const Triple& rgb_a, const Triple& rgb_b) {
    const Triple a = lab(rgb_a), b = lab(rgb_b);
    return std::hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);
}

} // namespace

TEST_CASE("contrast is that of WCAG") {
    // Expected: black on white 21 to 1, anything on itself 1 (WCAG 2.1); #777777 on white 4.48, the value
    // that the guideline's commentaries give for the grey that just fails (from memory).
    CHECK(contrast({0, 0, 0}, {1, 1, 1}) == doctest::Approx(21));
    CHECK(contrast({0.3, 0.6, 0.1}, {0.3, 0.6, 0.1}) == doctest::Approx(1));
    const double grey = 0x77 / 255.0;
    CHECK(contrast({grey, grey, grey}, {1, 1, 1}) == doctest::Approx(4.48).epsilon(0.002));
}

TEST_CASE("every ink but the grid stands out from the paper by 4.5 to 1 for every kind of sight") {
    // Expected: WCAG 2.1, 1.4.3; any ink may be that of words. Strokes alone would need 3 to 1 (1.4.11).
    for (const Light light : {Light::light, Light::dark})
        for (const Ink ink :
             {Ink::text, Ink::quiet, Ink::wire, Ink::part, Ink::predicted, Ink::healthy, Ink::faulty,
              Ink::measured, Ink::suspect, Ink::next, Ink::limit, Ink::good, Ink::bad}) {
            CAPTURE(static_cast<int>(ink));
            CHECK(contrast(colour_of(ink, light), colour_of(Ink::paper, light)) >= 4.5);
            for (const Sight& sight : sights) {
                CAPTURE(std::string(sight.name));
                const double a = luminance(seen(colour_of(ink, light), sight.matrix)),
                             b = luminance(seen(colour_of(Ink::paper, light), sight.matrix));
                CHECK((std::max(a, b) + 0.05) / (std::min(a, b) + 0.05) >= 4.5);
            }
        }
}

TEST_CASE("inks that lie side by side keep apart for every kind of sight") {
    // Expected: a distance of 20 in CIELAB is seen at a glance; one of 2.3 is just noticeable (Mahy 1994,
    // from memory). Sights by Machado's matrices.
    const std::array<std::pair<Ink, Ink>, 14> beside{{{Ink::predicted, Ink::measured},
                                                      {Ink::healthy, Ink::faulty},
                                                      {Ink::suspect, Ink::predicted},
                                                      {Ink::suspect, Ink::measured},
                                                      {Ink::suspect, Ink::next},
                                                      {Ink::suspect, Ink::wire},
                                                      {Ink::next, Ink::measured},
                                                      {Ink::next, Ink::predicted},
                                                      {Ink::next, Ink::wire},
                                                      {Ink::good, Ink::bad},
                                                      {Ink::limit, Ink::measured},
                                                      {Ink::limit, Ink::predicted},
                                                      {Ink::limit, Ink::healthy},
                                                      {Ink::limit, Ink::faulty}}};
    for (const Light light : {Light::light, Light::dark})
        for (const Sight& sight : sights)
            for (const auto& two : beside) {
                const Ink a = two.first, b = two.second; // clang 14 takes no binding into CAPTURE
                CAPTURE(std::string(sight.name));
                CAPTURE(static_cast<int>(a));
                CAPTURE(static_cast<int>(b));
                CHECK(distance(seen(colour_of(a, light), sight.matrix),
                               seen(colour_of(b, light), sight.matrix)) >= 20);
            }
}

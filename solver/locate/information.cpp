#include "solver/locate/information.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace lostvolts {
namespace {

/// Bells that lie on one another, and what each rival puts into them.
struct Shape {
    double mean = 0, sigma = 0;
    std::vector<double> weight; // per rival
};

constexpr double same = 0.03; // of a sigma: what no meter and no integral tells apart

std::vector<Shape> shapes_of(const std::vector<Bell>& bells, std::size_t rivals) {
    std::vector<Shape> shapes;
    for (const Bell& b : bells) {
        const double sigma = std::sqrt(b.variance);
        auto at = std::find_if(shapes.begin(), shapes.end(), [&](const Shape& s) {
            return std::abs(s.mean - b.mean) < same * sigma && std::abs(s.sigma - sigma) < same * sigma;
        });
        if (at == shapes.end()) at = shapes.insert(at, {b.mean, sigma, std::vector<double>(rivals, 0.0)});
        at->weight[static_cast<std::size_t>(b.rival)] += b.weight;
    }
    return shapes;
}

/// Where the panels meet: at each bell's own widths, and nowhere much closer than that bell needs.
std::vector<double> panels_of(const std::vector<Shape>& shapes) {
    constexpr std::array<double, 9> widths{-6, -3.5, -2, -1, 0, 1, 2, 3.5, 6};
    std::vector<std::pair<double, double>> cuts; // place, the bell's sigma
    for (const Shape& s : shapes)
        for (const double k : widths) cuts.emplace_back(s.mean + k * s.sigma, s.sigma);
    std::sort(cuts.begin(), cuts.end());
    std::vector<double> panels{cuts.front().first};
    for (const auto& [place, sigma] : cuts)
        if (place - panels.back() > 0.4 * sigma) panels.push_back(place);
    return panels;
}

/// Nats that the numbers tell, of bells whose weights may sum to anything.
double nats_of_numbers(const std::vector<Bell>& bells, std::size_t rivals) {
    static const std::array<double, 3> node{-std::sqrt(0.6), 0.0, std::sqrt(0.6)};
    static constexpr std::array<double, 3> weight{5.0 / 9, 8.0 / 9, 5.0 / 9};
    const std::vector<Shape> shapes = shapes_of(bells, rivals);
    std::vector<double> share(rivals, 0.0), at(rivals);
    double total = 0;
    for (const Bell& b : bells) share[static_cast<std::size_t>(b.rival)] += b.weight, total += b.weight;

    const std::vector<double> panels = panels_of(shapes);
    double nats = 0;
    for (std::size_t k = 0; k + 1 < panels.size(); ++k) {
        const double half = 0.5 * (panels[k + 1] - panels[k]), middle = panels[k] + half;
        for (std::size_t q = 0; q < node.size(); ++q) {
            const double y = middle + half * node[q];
            std::fill(at.begin(), at.end(), 0.0);
            double all = 0;
            for (const Shape& s : shapes) {
                const double z = (y - s.mean) / s.sigma;
                if (std::abs(z) > 8) continue;
                const double d = std::exp(-0.5 * z * z) / (s.sigma * std::sqrt(2 * std::numbers::pi));
                for (std::size_t r = 0; r < rivals; ++r) at[r] += d * s.weight[r], all += d * s.weight[r];
            }
            for (std::size_t r = 0; r < rivals; ++r)
                if (at[r] > 0) nats += half * weight[q] * at[r] * std::log(at[r] / share[r] * total / all);
        }
    }
    return std::max(nats / total, 0.0);
}

/// Nats that the words tell, "a number" among them as one more.
double nats_of_words(const std::vector<Bell>& bells, std::size_t rivals) {
    constexpr std::size_t kinds = most_words + 1;
    std::vector<std::array<double, kinds>> both(rivals);
    for (const Bell& b : bells)
        for (std::size_t k = 0; k < kinds; ++k)
            both[static_cast<std::size_t>(b.rival)][k] +=
                b.weight * (k < most_words ? b.says[k] : chance_of_number(b.says));
    return nats_shared(both);
}

} // namespace

double information(const std::vector<Bell>& bells, std::size_t rivals) {
    if (bells.empty()) return 0;
    if (std::all_of(bells.begin(), bells.end(), [](const Bell& b) { return chance_of_number(b.says) == 1; }))
        return nats_of_numbers(bells, rivals) / std::numbers::ln2;
    std::vector<Bell> shown; // as numbers
    double total = 0, numbers = 0;
    for (Bell b : bells) {
        total += b.weight;
        b.weight *= chance_of_number(b.says);
        if (!(b.weight > 0) || !std::isfinite(b.variance)) continue;
        numbers += b.weight;
        shown.push_back(b);
    }
    const double of_numbers = shown.empty() ? 0 : numbers / total * nats_of_numbers(shown, rivals);
    return (nats_of_words(bells, rivals) + of_numbers) / std::numbers::ln2;
}

double screened_information(const std::vector<Bell>& bells) {
    double weight = 0, mean = 0, most = 0;
    for (const Bell& b : bells) weight += b.weight, mean += b.weight * b.mean;
    mean /= weight;
    for (const Bell& b : bells)
        most += b.weight / weight * std::log1p((b.mean - mean) * (b.mean - mean) / b.variance);
    return 0.5 * most;
}

} // namespace lostvolts

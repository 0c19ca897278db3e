#include "solver/locate/two_sizes.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "solver/locate/ceiling.h"

namespace lostvolts {
namespace {

constexpr int steps = 1 << 10;       // places per side, at the finest
constexpr int most_solves = 400;     // corners, for one pair
constexpr double negligible = 2e-3;  // share of the evidence not worth a cut
constexpr double bend_allowed = 0.2; // standard deviations
constexpr double integrated = 1e-5;  // share of the evidence not worth integrating over finely
constexpr double fine_enough = 1;    // standard deviations from a piece's middle to its edge
constexpr double strongest_pull = 4; // standard deviations
constexpr double most_bend = 1;      // standard deviations: beyond it a surface is no surface
constexpr double jumps = 2;          // times the bend foretold
constexpr double narrowest_piece = 1e-6;
constexpr std::size_t most_asked = 12;
constexpr double impossible = -1e300;

/// A rectangle of places, its corners' predictions (low-low, high-low, low-high, high-high) and, per side,
/// how far the true prediction lies from the straight line half way along.
struct Rectangle {
    int x0 = 0, x1 = 0, y0 = 0, y1 = 0;
    std::array<const Tried*, 4> corner{};
    Eigen::VectorXd bend_x, bend_y;
    double most = impossible; // ln of the mass that it can hold
    double mass = impossible; // … and of what it seems to
    bool open = false;
    bool along_x = true; // which side to cut
    bool torn = false;   // too bent to be bilinear: a relay lets go in it

    double area() const {
        return static_cast<double>(x1 - x0) * static_cast<double>(y1 - y0) / (double(steps) * steps);
    }
};

struct Piece { // of the bilinear surface
    double x0 = 0, x1 = 0, y0 = 0, y1 = 0;
};

/// The surface in a rectangle, or a piece of it: middle and half-changes.
struct Patch {
    Predicted middle;
    Eigen::VectorXd dx, dy;
};

bool possible(const Tried& t) { return t.log_likelihood > impossible; }

Predicted blend(const std::array<const Tried*, 4>& corner, const std::array<double, 4>& weight) {
    Predicted p = corner[0]->predicted;
    p.mean *= weight[0];
    p.tolerance *= weight[0];
    p.told *= weight[0];
    p.told_variance *= weight[0];
    for (std::size_t k = 1; k < 4; ++k) {
        p.mean += weight[k] * corner[k]->predicted.mean;
        p.tolerance += weight[k] * corner[k]->predicted.tolerance;
        p.told += weight[k] * corner[k]->predicted.told;
        p.told_variance += weight[k] * corner[k]->predicted.told_variance;
    }
    return p;
}

/// Of the piece between shares of the rectangle's sides.
Patch patch_of(const Rectangle& r, const Piece& at) {
    const double s = 0.5 * (at.x0 + at.x1), t = 0.5 * (at.y0 + at.y1);
    Patch p{blend(r.corner, {(1 - s) * (1 - t), s * (1 - t), (1 - s) * t, s * t}), {}, {}};
    const auto mean = [&](int k) -> const Eigen::VectorXd& {
        return r.corner[static_cast<std::size_t>(k)]->predicted.mean;
    };
    p.dx = 0.5 * (at.x1 - at.x0) * ((1 - t) * (mean(1) - mean(0)) + t * (mean(3) - mean(2)));
    p.dy = 0.5 * (at.y1 - at.y0) * ((1 - s) * (mean(2) - mean(0)) + s * (mean(3) - mean(1)));
    return p;
}

void widen(Predicted& p, const Eigen::VectorXd& by, double share) {
    p.tolerance.noalias() += share * by * by.transpose();
}

/// How much a move by d changes ln p: its own length in standard deviations, or more where the readings pull
/// at it. A pull beyond a few deviations is a blunder's, or the place holds no mass.
double weight_of(const Eigen::VectorXd& d, const Inverted& c, const Eigen::VectorXd& pull) {
    const double length = std::sqrt(std::max(d.dot(c.inverse * d), 0.0));
    return std::max(length, std::min(std::abs(d.dot(pull)), strongest_pull * length));
}

class Square {
  public:
    Square(Weighing& w, const Hypothesis& h, double least) : w_(w), h_(h), least_(least) {
        words_.told = w.measured.told;
    }

    Evidence weigh();

  private:
    const Tried* at(int x, int y);
    Eigen::MatrixXd with_zero(std::initializer_list<Eigen::VectorXd> columns) const;
    void examine(Rectangle& r);
    void cut(std::size_t k);
    void integrate(const Rectangle& r, const Piece& piece, double worth);
    void take_corners(const Rectangle& r);
    void summarise(Evidence& e) const;

    struct Leaf {
        double x0, x1, y0, y1, log_mass;
    };

    Weighing& w_;
    const Hypothesis& h_;
    double least_;
    Measured words_; // what is told in words, alone
    std::map<std::pair<int, int>, Tried> tried_;
    std::vector<Rectangle> cells_;
    std::vector<Leaf> leaves_;
};

const Tried* Square::at(int x, int y) {
    const auto [found, fresh] = tried_.try_emplace({x, y});
    Tried& t = found->second;
    if (!fresh) return &t;
    t.place = static_cast<double>(x) / steps;
    t.beside = static_cast<double>(y) / steps;
    t.log_likelihood = impossible;
    if (auto predicted = predict_readings(w_, faults_at(h_, t))) {
        t.predicted = std::move(*predicted);
        t.log_likelihood = most_likely(w_.measured, t.predicted);
    }
    return &t;
}

/// The columns, and the clamp's forgotten zero beside them.
Eigen::MatrixXd Square::with_zero(std::initializer_list<Eigen::VectorXd> columns) const {
    const Eigen::VectorXd& zero = w_.measured.zero;
    Eigen::MatrixXd all(w_.measured.value.size(),
                        static_cast<Eigen::Index>(columns.size()) + (zero.size() > 0 ? 1 : 0));
    Eigen::Index k = 0;
    for (const Eigen::VectorXd& column : columns) all.col(k++) = column;
    if (zero.size() > 0) all.col(k) = zero;
    return all;
}

void Square::examine(Rectangle& r) {
    const double log_area = std::log(r.area());
    r.open = false;
    const auto sound =
        std::count_if(r.corner.begin(), r.corner.end(), [](const Tried* t) { return possible(*t); });
    if (sound < 4) { // the border of the working points, to a 64th of the square's sides
        r.most = r.mass = impossible;
        r.along_x = r.x1 - r.x0 >= r.y1 - r.y0;
        r.open = sound > 0 && std::max(r.x1 - r.x0, r.y1 - r.y0) > steps / 64;
        for (const Tried* t : r.corner) r.most = std::max(r.most, t->log_likelihood + log_area);
        return;
    }
    const Patch p = patch_of(r, {0, 1, 0, 1});
    const Eigen::MatrixXd spread = with_zero({p.dx, p.dy, r.bend_x, r.bend_y});
    Predicted wide = p.middle;
    wide.tolerance.diagonal() += spread.rowwise().squaredNorm();
    r.most = r.mass = most_likely(w_.measured, wide) + 2 + log_area;
    if (r.most < least_) return;
    const Inverted c = inverted(w_.measured, p.middle.tolerance);
    const Ceiling ceiling = ceiling_over(w_.measured, c, p.middle.mean, spread);
    double said = log_likelihood(words_, p.middle);
    for (const Tried* t : r.corner) said = std::max(said, log_likelihood(words_, t->predicted));
    r.mass = std::min(r.most, ceiling.mean + log_area) + said;
    r.most = std::min(r.most, ceiling.most + log_area);
    const Eigen::VectorXd pull = c.inverse * (w_.measured.value - p.middle.mean);
    const double across = weight_of(r.bend_x, c, pull), along = weight_of(r.bend_y, c, pull);
    r.along_x = across >= along ? r.x1 - r.x0 > 1 : r.y1 - r.y0 <= 1;
    const double worst = r.along_x ? across : along;
    r.torn = std::max(across, along) > most_bend;
    r.open = worst > bend_allowed && (r.along_x ? r.x1 - r.x0 : r.y1 - r.y0) > 1;
}

/// Cuts a rectangle across and looks at both halves; the new corners tell the bend that it had.
void Square::cut(std::size_t k) {
    const Rectangle r = cells_[k];
    Rectangle low = r, high = r;
    const auto bend = [](const Tried& a, const Tried& m, const Tried& b) -> Eigen::VectorXd {
        if (!possible(a) || !possible(m) || !possible(b)) return Eigen::VectorXd();
        return m.predicted.mean - 0.5 * (a.predicted.mean + b.predicted.mean);
    };
    Eigen::VectorXd first, second;
    if (r.along_x) {
        const int x = (r.x0 + r.x1) / 2;
        const Tried *bottom = at(x, r.y0), *top = at(x, r.y1);
        first = bend(*r.corner[0], *bottom, *r.corner[1]);
        second = bend(*r.corner[2], *top, *r.corner[3]);
        low.x1 = high.x0 = x;
        low.corner[1] = high.corner[0] = bottom;
        low.corner[3] = high.corner[2] = top;
    } else {
        const int y = (r.y0 + r.y1) / 2;
        const Tried *left = at(r.x0, y), *right = at(r.x1, y);
        first = bend(*r.corner[0], *left, *r.corner[2]);
        second = bend(*r.corner[1], *right, *r.corner[3]);
        low.y1 = high.y0 = y;
        low.corner[2] = high.corner[0] = left;
        low.corner[3] = high.corner[1] = right;
    }
    // A parabola's bend falls to a quarter when its width is halved.
    const Eigen::VectorXd& larger =
        second.size() > 0 && (first.size() == 0 || second.norm() > first.norm()) ? second : first;
    // A jump (a relay lets go) does not: its bend then comes out far above what was foretold.
    if (larger.size() > 0) {
        const double foretold = (r.along_x ? r.bend_x : r.bend_y).norm();
        const bool jump = foretold > 0 && larger.norm() > jumps * foretold;
        const Eigen::VectorXd left = larger * (jump ? 1.0 : 0.25);
        (r.along_x ? low.bend_x : low.bend_y) = left;
        (r.along_x ? high.bend_x : high.bend_y) = left;
    }
    examine(low);
    examine(high);
    cells_[k] = std::move(low);
    cells_.push_back(std::move(high));
}

/// ∫ over a piece of the bilinear surface: halved until the prediction moves less than a standard deviation
/// from its middle; there the average of a Gaussian over the piece is that of one widened by a third of the
/// squares of its half-changes.
void Square::integrate(const Rectangle& r, const Piece& piece, double worth) {
    Patch p = patch_of(r, piece);
    const double log_area = std::log((piece.x1 - piece.x0) * (piece.y1 - piece.y0) * r.area());
    const Eigen::MatrixXd spread = with_zero({p.dx, p.dy});
    Predicted wide = p.middle;
    wide.tolerance.diagonal() += spread.rowwise().squaredNorm();
    if (most_likely(w_.measured, wide) + 1 + log_area < worth) return;
    const Inverted c = inverted(w_.measured, p.middle.tolerance);
    if (ceiling_over(w_.measured, c, p.middle.mean, spread).most + log_area < worth) return;
    const Eigen::VectorXd pull = c.inverse * (w_.measured.value - p.middle.mean);
    const double across = weight_of(p.dx, c, pull), along = weight_of(p.dy, c, pull);
    const bool enough = std::max(across, along) < fine_enough;
    if (!enough && (piece.x1 - piece.x0) * (piece.y1 - piece.y0) > narrowest_piece) {
        Piece low = piece, high = piece;
        if (across > along)
            low.x1 = high.x0 = 0.5 * (piece.x0 + piece.x1);
        else
            low.y1 = high.y0 = 0.5 * (piece.y0 + piece.y1);
        integrate(r, low, worth);
        integrate(r, high, worth);
        return;
    }
    widen(p.middle, p.dx, 1.0 / 3);
    widen(p.middle, p.dy, 1.0 / 3);
    const auto x = [&](double share) { return (r.x0 + share * (r.x1 - r.x0)) / steps; };
    const auto y = [&](double share) { return (r.y0 + share * (r.y1 - r.y0)) / steps; };
    leaves_.push_back({x(piece.x0), x(piece.x1), y(piece.y0), y(piece.y1),
                       log_likelihood(w_.measured, p.middle) + log_area});
}

/// A torn rectangle: each quarter as its corner has it.
void Square::take_corners(const Rectangle& r) {
    const double x0 = double(r.x0) / steps, x1 = double(r.x1) / steps, y0 = double(r.y0) / steps,
                 y1 = double(r.y1) / steps, x = 0.5 * (x0 + x1), y = 0.5 * (y0 + y1);
    const double log_quarter = std::log(r.area() / 4);
    const std::array<std::array<double, 4>, 4> quarters{
        {{x0, x, y0, y}, {x, x1, y0, y}, {x0, x, y, y1}, {x, x1, y, y1}}};
    for (std::size_t k = 0; k < 4; ++k)
        leaves_.push_back({quarters[k][0], quarters[k][1], quarters[k][2], quarters[k][3],
                           log_likelihood(w_.measured, r.corner[k]->predicted) + log_quarter});
}

/// One side's posterior: every leaf's mass evenly over its width, a step function with both ends of each
/// step.
template <class Low, class High, class Leaves>
std::vector<SizePoint> marginal(const Leaves& leaves, double log_total, Low low, High high,
                                bool with_the_other) {
    struct Edge {
        double place, density, other;
    };
    std::vector<Edge> edges;
    for (const auto& leaf : leaves) {
        const double density = std::exp(leaf.log_mass - log_total) / (high(leaf) - low(leaf));
        const double other = with_the_other ? density * 0.5 * (leaf.y0 + leaf.y1) : 0;
        edges.push_back({low(leaf), density, other});
        edges.push_back({high(leaf), -density, -other});
    }
    std::sort(edges.begin(), edges.end(), [](const Edge& a, const Edge& b) { return a.place < b.place; });
    std::vector<SizePoint> points;
    double density = 0, other = 0, before = 0;
    for (std::size_t k = 0; k < edges.size();) {
        const double place = edges[k].place;
        if (!points.empty()) {
            before += density * (place - points.back().place);
            points.push_back({place, density, before, points.back().beside});
        }
        for (; k < edges.size() && edges[k].place == place; ++k)
            density += edges[k].density, other += edges[k].other;
        density = std::max(density, 0.0);
        points.push_back({place, density, before, density > 0 ? other / density : 0.5});
    }
    return points;
}

void Square::summarise(Evidence& e) const {
    double total = impossible;
    for (const Leaf& leaf : leaves_) total = log_sum(total, leaf.log_mass);
    e.log_evidence = total;
    e.sizes.resize(2);
    if (total <= impossible) return;
    Evidence side; // the second fault's own, to read its interval from
    e.posterior = marginal(
        leaves_, total, [](const Leaf& l) { return l.x0; }, [](const Leaf& l) { return l.x1; }, true);
    side.posterior = marginal(
        leaves_, total, [](const Leaf& l) { return l.y0; }, [](const Leaf& l) { return l.y1; }, false);
    const auto sizes = [](const Evidence& from, const FaultRange& range) {
        return SizeRange{range.size_at(place_at(from, 0.05)), range.size_at(place_at(from, 0.50)),
                         range.size_at(place_at(from, 0.95))};
    };
    e.sizes[0] = sizes(e, h_.faults[0]);
    e.sizes[1] = sizes(side, h_.faults[1]);
}

Evidence Square::weigh() {
    const Eigen::Index rows = w_.measured.value.size();
    Rectangle whole;
    whole.x1 = whole.y1 = steps;
    whole.corner = {at(0, 0), at(steps, 0), at(0, steps), at(steps, steps)};
    whole.bend_x = whole.bend_y = Eigen::VectorXd::Zero(rows);
    cells_.push_back(std::move(whole));
    for (const bool along_x : {true, false, false}) { // once each way, so that every bend is measured
        const std::size_t k = cells_.size() == 1 ? 0 : cells_.size() == 2 ? 0 : 1;
        cells_[k].along_x = along_x;
        cut(k);
    }
    while (static_cast<int>(tried_.size()) < most_solves) {
        double total = impossible;
        for (const Rectangle& r : cells_) total = std::max(total, r.mass);
        const double worth = std::max(least_, total + std::log(negligible));
        std::size_t worst = cells_.size();
        double most = worth;
        for (std::size_t k = 0; k < cells_.size(); ++k)
            if (cells_[k].open && cells_[k].most > most) most = cells_[k].most, worst = k;
        if (worst == cells_.size()) break;
        cut(worst);
    }
    double total = impossible;
    for (const Rectangle& r : cells_) total = std::max(total, r.mass);
    const double worth = std::max(least_ - 3, total + std::log(integrated));
    for (const Rectangle& r : cells_) {
        if (r.most < worth ||
            !std::all_of(r.corner.begin(), r.corner.end(), [](const Tried* t) { return possible(*t); }))
            continue;
        if (r.torn)
            take_corners(r);
        else
            integrate(r, {0, 1, 0, 1}, worth);
    }
    Evidence e;
    e.hypothesis = h_;
    summarise(e);

    // The likeliest place, with the circuit's own prediction there: that may be far worse than the leaf says
    // where a relay lets go, so the next few are asked too.
    std::vector<Leaf> likeliest = leaves_;
    const std::size_t asked = std::min<std::size_t>(most_asked, likeliest.size());
    const auto density = [](const Leaf& l) { return l.log_mass - std::log((l.x1 - l.x0) * (l.y1 - l.y0)); };
    std::partial_sort(likeliest.begin(), likeliest.begin() + static_cast<std::ptrdiff_t>(asked),
                      likeliest.end(), [&](const Leaf& a, const Leaf& b) { return density(a) > density(b); });
    for (std::size_t k = 0; k < asked; ++k) {
        Tried t;
        t.place = 0.5 * (likeliest[k].x0 + likeliest[k].x1);
        t.beside = 0.5 * (likeliest[k].y0 + likeliest[k].y1);
        auto predicted = predict_readings(w_, faults_at(h_, t));
        if (!predicted) continue;
        t.predicted = std::move(*predicted);
        t.log_likelihood = log_likelihood(w_.measured, t.predicted);
        const bool as_told = t.log_likelihood > density(likeliest[k]) - 1;
        e.tried.push_back(std::move(t));
        if (as_told) break;
    }
    if (e.tried.empty()) e.tried.push_back(*at(0, 0));
    return e;
}

} // namespace

Evidence weigh_two_sizes(Weighing& w, const Hypothesis& hypothesis, double least) {
    return Square(w, hypothesis, least).weigh();
}

} // namespace lostvolts

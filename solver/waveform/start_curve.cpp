#include "solver/waveform/start_curve.h"

#include <algorithm>
#include <cmath>

namespace lostvolts {
namespace {

/// Current i and back emf e, moved along
///   di/dt = (E − R·i − e)/L,  de/dt = a·(i − load(e))
/// with the load's slope frozen over a step (exponential Rosenbrock–Euler, order 2; Hochbruck and Ostermann,
/// Acta Numerica 2010, section 2.4). Exact for a constant load however stiff the winding is.
class Motion {
  public:
    explicit Motion(const CurveNumbers& n) : n_(n) {
        e_run_ = std::max(1e-9 * n.emf, n.emf - n.ohms * n.run_amps);
    }
    double amps() const { return i_; }
    double back_emf() const { return e_; }
    double pace() const { return e_ / e_run_; }

    void closed(double h) {
        const double f1 = (n_.emf - n_.ohms * i_ - e_) / n_.inductance;
        double f2 = n_.rate * (i_ - load(e_)), load_slope = slope(e_);
        if (e_ <= 0 && i_ <= n_.friction_share * n_.run_amps) f2 = load_slope = 0; // held by friction
        // J = [[-R/L, -1/L], [a, -a·load']]; step by phi_1(hJ)·h·f.
        const double p = -n_.ohms / n_.inductance, q = -1 / n_.inductance,
                     r = f2 == 0 && load_slope == 0 ? 0 : n_.rate, s = -n_.rate * load_slope;
        const double mid = 0.5 * (p + s), d2 = 0.25 * (p - s) * (p - s) + q * r;
        double c0, c1; // phi_1(hJ) = c0 + c1·J, by the values at the two eigenvalues
        if (d2 >= 0) {
            const double d = std::sqrt(d2), x = phi(h * (mid + d)), y = phi(h * (mid - d));
            c1 = d * h > 1e-6 ? (x - y) / (2 * d) : h * slope_of_phi(h * mid);
            c0 = 0.5 * (x + y) - c1 * mid;
        } else { // a pair of complex eigenvalues: exp(z) − 1 over z by real and imaginary part
            const double w = std::sqrt(-d2), zr = h * mid, zi = h * w, g = std::exp(zr);
            const double ur = g * std::cos(zi) - 1, ui = g * std::sin(zi), n2 = zr * zr + zi * zi;
            const double re = n2 > 1e-16 ? (ur * zr + ui * zi) / n2 : 1,
                         im = n2 > 1e-16 ? (ui * zr - ur * zi) / n2 : 0.5 * zi;
            c1 = im / w;
            c0 = re - c1 * mid;
        }
        const double g1 = p * f1 + q * f2, g2 = r * f1 + s * f2;
        i_ += h * (c0 * f1 + c1 * g1);
        e_ += h * (c0 * f2 + c1 * g2);
    }
    void open(double h) {
        i_ = 0;
        e_ = std::max(0.0, e_ - n_.rate * load(e_) * h);
    }

  private:
    double load(double e) const {
        const double x = e / e_run_;
        return n_.run_amps * (n_.friction_share + x * (n_.linear_share + square_share() * std::abs(x)));
    }
    double slope(double e) const {
        return n_.run_amps * (n_.linear_share + square_share() * 2 * std::abs(e) / e_run_) / e_run_;
    }
    double square_share() const { return 1 - n_.friction_share - n_.linear_share; }
    static double phi(double z) { return std::abs(z) > 1e-5 ? std::expm1(z) / z : 1 + 0.5 * z; }
    static double slope_of_phi(double z) {
        return std::abs(z) > 1e-3 ? (std::exp(z) * (z - 1) + 1) / (z * z) : 0.5 + z / 3;
    }

    const CurveNumbers& n_;
    double e_run_, i_ = 0, e_ = 0;
};

/// Goes along the start from the onset, minding the openings.
class Walk {
  public:
    Walk(const CurveNumbers& n, const std::vector<OpenSpan>& openings)
        : motion_(n), openings_(openings), now_(n.onset) {
        longest_ = 0.04 * n.ohms / n.rate;
    }
    /// No step is shorter than `finest`: a motor that is up to speed within one is so at once to whoever
    /// looks no closer, and a fit that tries such a motor would walk for ever.
    double to(double t, double finest) {
        while (now_ < t) {
            while (next_ < openings_.size() && openings_[next_].to <= now_) ++next_;
            const bool within = next_ < openings_.size() && openings_[next_].from <= now_;
            double until = t;
            if (next_ < openings_.size())
                until = std::min(t, within ? openings_[next_].to : openings_[next_].from);
            if (until <= now_) until = t;
            const double h = std::min(until - now_, std::max(longest_, finest)), pace = motion_.pace();
            if (within)
                motion_.open(h);
            else
                motion_.closed(h);
            angle_ += 0.5 * h * (pace + motion_.pace());
            now_ = h == until - now_ ? until : now_ + h;
        }
        return t < now_ && motion_.amps() == 0 ? 0 : motion_.amps();
    }
    const Motion& motion() const { return motion_; }
    double angle() const { return angle_; }

  private:
    Motion motion_;
    const std::vector<OpenSpan>& openings_;
    double now_, longest_, angle_ = 0;
    std::size_t next_ = 0;
};

} // namespace

std::vector<BlockMotion> block_motion(const CurveNumbers& n, const StartData& data) {
    std::vector<BlockMotion> all;
    all.reserve(data.blocks.size());
    Walk walk(n, data.openings);
    for (const FitBlock& b : data.blocks) {
        // A block is a small share of its own time since the onset: three points give its mean to 1e-5.
        const int points = std::min(b.samples, 3);
        const double wide = b.step * b.samples / points;
        BlockMotion m;
        for (int j = 0; j < points; ++j) {
            m.amps += walk.to(b.first - 0.5 * b.step + (j + 0.5) * wide, wide / 16) / points;
            if (j == 0) m.begins = walk.angle();
            if (j == points / 2) m.back_emf = walk.motion().back_emf(), m.pace = walk.motion().pace();
        }
        m.ends = walk.angle();
        // The points stand in the middles of equal pieces: half a piece more at either end.
        const double half = 0.5 * wide * m.pace;
        m.begins -= half, m.ends += half;
        all.push_back(m);
    }
    return all;
}

Peak curve_peak(const CurveNumbers& n, const std::vector<OpenSpan>& openings, double until) {
    Walk walk(n, openings);
    Peak peak;
    constexpr int steps = 4000; // geometric: fine where the rise is
    for (int k = 1; k <= steps; ++k) {
        const double t = n.onset + (until - n.onset) * std::pow(1e-5, 1 - static_cast<double>(k) / steps);
        if (const double i = walk.to(t, 1e-6 * (until - n.onset)); i > peak.amps) peak = {i, t};
    }
    return peak;
}

} // namespace lostvolts

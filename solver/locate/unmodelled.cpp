#include "solver/locate/unmodelled.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <numeric>

#include "solver/locate/ceiling.h"

namespace lostvolts {
namespace {

constexpr std::size_t most_listed = 12; // 4096 sets; beyond it those that stand out most
constexpr double nothing = -std::numeric_limits<double>::infinity();
const double log_2pi = std::log(2 * std::numbers::pi);

/// ln of the density of a reading that has nothing to do with the drawing.
double log_foreign(double off, double sigma, double span) {
    const double decades = 1 + std::log(std::max(span / sigma, 1.0));
    return -std::log(2 * std::max(std::abs(off), sigma) * decades);
}

/// std::lgamma leaves a sign in a global, which the threads of a study would share.
double log_gamma(double x) {
    int sign = 0;
    return ::lgamma_r(x, &sign);
}

/// ln of one set's share, `foreign` of `all` readings: any number is as likely, and any set of that number.
double log_share(std::size_t foreign, std::size_t all) {
    const auto out = static_cast<double>(foreign), n = static_cast<double>(all);
    return log_gamma(out + 1) + log_gamma(n - out + 1) - log_gamma(n + 2);
}

double plus(double a, double b) { return a == nothing ? b : b == nothing ? a : log_sum(a, b); }

/// Every set of the readings that are numbers, by halves: this one sound, this one foreign.
struct Sets {
    std::size_t count = 0;
    std::array<double, most_listed> foreign{};           // ln of the density, were it foreign
    std::array<double, most_listed + 1> total{}, best{}; // ln, by size of the set; of the likeliest set
    std::array<std::uint32_t, most_listed + 1> likeliest{};

    void sum(std::size_t at, const Eigen::MatrixXd& k, const Eigen::VectorXd& alpha, double log_p,
             std::size_t out, std::uint32_t set) {
        if (at == count) {
            total[out] = plus(total[out], log_p);
            if (log_p > best[out]) best[out] = log_p, likeliest[out] = set;
            return;
        }
        // What is left of the precision and of α stands from `at` on.
        sum(at + 1, k.bottomRightCorner(k.rows() - 1, k.cols() - 1), alpha.tail(alpha.size() - 1), log_p, out,
            set);
        const double own = k(0, 0);
        const double gain = 0.5 * (log_2pi - std::log(own) + alpha[0] * alpha[0] / own) + foreign[at];
        const Eigen::Index rest = k.rows() - 1;
        const Eigen::VectorXd column = k.col(0).tail(rest) / own;
        const Eigen::MatrixXd less = k.bottomRightCorner(rest, rest) - column * k.row(0).tail(rest);
        sum(at + 1, less, alpha.tail(rest) - column * alpha[0], log_p + gain, out + 1, set | 1U << at);
    }
};

} // namespace

Unmodelled weigh_unmodelled(const Measured& m, const Predicted& sound) {
    const auto n = static_cast<std::size_t>(m.value.size());
    const std::size_t words = m.told.size(), all = n + words;
    const Eigen::VectorXd off = m.value - sound.mean;
    const Inverted inverse = n > 0 ? inverted(m, sound.tolerance) : Inverted{};
    const Eigen::VectorXd alpha = inverse.inverse * off;
    const double log_p = -0.5 * (static_cast<double>(n) * log_2pi + off.dot(alpha) + inverse.log_determinant);

    std::vector<Eigen::Index> listed(n);
    std::iota(listed.begin(), listed.end(), Eigen::Index{0});
    const Eigen::MatrixXd& k = inverse.inverse;
    std::sort(listed.begin(), listed.end(), [&](Eigen::Index a, Eigen::Index b) {
        return alpha[a] * alpha[a] * k(b, b) > alpha[b] * alpha[b] * k(a, a);
    });
    if (listed.size() > most_listed) listed.resize(most_listed);
    Sets sets;
    sets.count = listed.size();
    sets.total.fill(nothing), sets.best.fill(nothing);
    for (std::size_t i = 0; i < listed.size(); ++i) {
        const Eigen::Index r = listed[i];
        const double sigma = std::sqrt(m.variance[r] + sound.tolerance(r, r));
        sets.foreign[i] = log_foreign(off[r], sigma, m.span[r]);
    }
    sets.sum(0, k(listed, listed), alpha(listed), log_p, 0, 0);

    std::vector<double> told(words + 1, nothing); // ln p of the words, by how many of them are foreign
    told[0] = 0;
    std::vector<char> foreign_word(words, 0);
    for (std::size_t w = 0; w < words; ++w) {
        const auto row = static_cast<Eigen::Index>(w);
        const double meant = std::log(std::max(
            chance_of(m.told[w].sense, m.told[w].word, sound.told[row], sound.told_variance[row]), 1e-300));
        const double any = -std::log(words_of(m.told[w].sense));
        foreign_word[w] = any > meant;
        for (std::size_t out = w + 1; out-- > 0;) {
            told[out + 1] = plus(told[out + 1], told[out] + any);
            told[out] += meant;
        }
    }

    Unmodelled u;
    u.log_evidence = nothing;
    double best = nothing;
    std::uint32_t likeliest = 0;
    for (std::size_t out = 0; out <= sets.count; ++out)
        for (std::size_t said = 0; said <= words; ++said) {
            const double share = told[said] + log_share(out + said, all);
            u.log_evidence = plus(u.log_evidence, sets.total[out] + share);
            if (sets.best[out] + share > best) best = sets.best[out] + share, likeliest = sets.likeliest[out];
        }
    u.clash.assign(n, 0);
    for (std::size_t i = 0; i < listed.size(); ++i)
        u.clash[static_cast<std::size_t>(listed[i])] = (likeliest >> i & 1U) != 0;
    u.clash.insert(u.clash.end(), foreign_word.begin(), foreign_word.end());
    return u;
}

} // namespace lostvolts

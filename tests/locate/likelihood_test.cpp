// The density of readings with blunders among them, summed set by set.
#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <vector>

#include <Eigen/Cholesky>
#include <Eigen/LU>

#include "solver/locate/likelihood.h"

using namespace lostvolts;

namespace {

double normal(const Eigen::VectorXd& off, const Eigen::MatrixXd& c) {
    if (off.size() == 0) return 1;
    return std::exp(-0.5 * off.dot(c.inverse() * off)) /
           std::sqrt(std::pow(2 * std::numbers::pi, double(off.size())) * c.determinant());
}

/// Every reading sound, turned round, or anything in its span; at most two are not sound.
double summed(const Measured& m, const Predicted& p) {
    Eigen::MatrixXd c = p.tolerance;
    c.diagonal() += m.variance;
    const Eigen::Index n = m.value.size();
    double sum = 0;
    int ways = 1;
    for (Eigen::Index i = 0; i < n; ++i) ways *= 3;
    for (int way = 0; way < ways; ++way) {
        Eigen::VectorXd value = m.value;
        std::vector<Eigen::Index> rows;
        double share = 1;
        int blunders = 0;
        for (Eigen::Index i = 0, left = way; i < n; ++i, left /= 3) {
            if (left % 3 == 0)
                share *= 1 - blunder_share;
            else if (left % 3 == 1)
                share *= blunder_share * swapped_share, value[i] = -value[i];
            else
                share *= blunder_share * (1 - swapped_share) / m.span[i];
            if (left % 3 != 2) rows.push_back(i);
            blunders += left % 3 != 0;
        }
        if (blunders <= 2) sum += share * normal((value - p.mean)(rows), c(rows, rows));
    }
    return sum;
}

} // namespace

TEST_CASE("one and two blunders of either kind are summed as they stand") {
    // Expected: the multivariate normal's density, set by set, each kind of blunder with its share; no code
    // of the solver. Tolerance: rounding, and terms below e⁻⁴⁰ of the largest left out.
    Measured m;
    m.variance = Eigen::Vector4d(1e-4, 2e-4, 4e-2, 1e-4);
    m.span = Eigen::Vector4d(29, 29, 30, 29);
    Predicted p;
    p.mean = Eigen::Vector4d(11.9, 12.1, 8, 0.05);
    p.tolerance = Eigen::MatrixXd::Constant(4, 4, 0.008);
    p.tolerance.diagonal().array() += 0.003;
    for (const Eigen::Vector4d& value :
         {Eigen::Vector4d(11.95, 12.2, 8.1, 0.04), Eigen::Vector4d(-11.95, 12.2, 8.1, 0.04),
          Eigen::Vector4d(-11.95, -12.2, 8.1, 0.04), Eigen::Vector4d(-11.95, 12.2, 3, 0.04),
          Eigen::Vector4d(4, 12.2, -8.1, 0.04), Eigen::Vector4d(4, 7, 8.1, 0.04)}) {
        m.value = value;
        CHECK(log_likelihood(m, p) == doctest::Approx(std::log(summed(m, p))).epsilon(1e-9));
    }
}

TEST_CASE("two readings with the leads swapped are both named so") {
    Measured m;
    m.variance = Eigen::Vector3d(1e-4, 1e-4, 1e-4);
    m.span = Eigen::Vector3d(29, 29, 29);
    m.value = Eigen::Vector3d(-12.02, -11.9, 0.21);
    Predicted p;
    p.mean = Eigen::Vector3d(12, 11.9, 0.2);
    p.tolerance = 1e-3 * Eigen::Matrix3d::Identity();
    const Scrutiny look = scrutinise(m, p);
    CHECK(look.swapped[0] > 0.9);
    CHECK(look.swapped[1] > 0.9);
    CHECK(look.blunder[2] < 0.1);
}

#include "solver/locate/inverse.h"

#include <cmath>

namespace lostvolts {

double invert(Eigen::MatrixXd& c) {
    const Eigen::Index n = c.rows();
    Eigen::VectorXd pivots(n);
    for (Eigen::Index k = 0; k < n; ++k) {
        const double pivot = pivots[k] = c(k, k), by = 1 / pivot;
        double* const own = c.data() + k * n;
        for (Eigen::Index j = 0; j < n; ++j) {
            if (j == k) continue;
            double* const column = c.data() + j * n;
            const double share = column[k] * by;
            if (share == 0) continue;
            for (Eigen::Index i = 0; i < n; ++i) column[i] -= share * own[i];
            column[k] = share;
        }
        for (Eigen::Index i = 0; i < n; ++i) own[i] *= -by;
        own[k] = by;
    }
    // Swept all over, both halves are the inverse but for rounding.
    for (Eigen::Index j = 0; j < n; ++j)
        for (Eigen::Index i = j + 1; i < n; ++i) c(j, i) = c(i, j) = 0.5 * (c(i, j) + c(j, i));
    return log_product(pivots);
}

double log_product(const Eigen::Ref<const Eigen::VectorXd, 0, Eigen::InnerStride<>>& numbers) {
    double sum = 0, product = 1;
    for (const double x : numbers) {
        product *= x;
        if (product > 1e-150 && product < 1e150) continue;
        sum += std::log(product);
        product = 1;
    }
    return sum + std::log(product);
}

Eigen::MatrixXd squared(const MoveRows& m) {
    const Eigen::Index n = m.rows();
    Eigen::MatrixXd s(n, n);
    for (Eigen::Index i = 0; i < n; ++i)
        for (Eigen::Index j = i; j < n; ++j) s(i, j) = s(j, i) = m.row(i).dot(m.row(j));
    return s;
}

} // namespace lostvolts

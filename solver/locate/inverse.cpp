#include "solver/locate/inverse.h"

#include <cmath>

namespace lostvolts {

double invert(Eigen::MatrixXd& c) {
    const Eigen::Index n = c.rows();
    Eigen::VectorXd pivots(n), column(n);
    for (Eigen::Index k = 0; k < n; ++k) { // the lower half alone
        const double pivot = pivots[k] = c(k, k), by = 1 / pivot;
        for (Eigen::Index j = 0; j < k; ++j) column[j] = c(k, j);
        column.tail(n - k) = c.col(k).tail(n - k);
        for (Eigen::Index j = 0; j < n; ++j) {
            const double share = column[j] * by;
            if (j == k || share == 0) continue;
            double* const to = c.data() + j * n;
            for (Eigen::Index i = j; i < n; ++i) to[i] -= share * column[i];
        }
        for (Eigen::Index j = 0; j < k; ++j) c(k, j) = column[j] * by;
        for (Eigen::Index i = k + 1; i < n; ++i) c(i, k) = column[i] * by;
        c(k, k) = -by;
    }
    for (Eigen::Index j = 0; j < n; ++j) {
        c(j, j) = -c(j, j);
        for (Eigen::Index i = j + 1; i < n; ++i) c(j, i) = c(i, j) = -c(i, j);
    }
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

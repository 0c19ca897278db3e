// The libraries the elimination is measured against, each solving the same nodal matrix with its structure
// analysed beforehand and its matrix values already in place.
#pragma once

#include "tests/network/random_network.h"

#include <Eigen/SparseCholesky>
#include <Eigen/SparseCore>

#include <memory>
#include <vector>

namespace lostvolts::bench {

Eigen::SparseMatrix<double> nodal_matrix(const test::Network& network);

/// KLU of SuiteSparse: pivots chosen once, then klu_refactor and klu_solve. Its row scaling and its search
/// for block triangles are off: a nodal matrix needs neither, and with them it takes about twice as long.
class Klu {
  public:
    explicit Klu(const Eigen::SparseMatrix<double>& matrix);
    ~Klu();
    Klu(const Klu&) = delete;
    Klu& operator=(const Klu&) = delete;

    void refactor();
    void solve(std::vector<double>& amps_to_volts);

  private:
    struct State;
    std::unique_ptr<State> state_;
};

/// Eigen's SimplicialLDLT with its AMD order, lower triangle.
class Ldlt {
  public:
    explicit Ldlt(const Eigen::SparseMatrix<double>& matrix);

    void refactor() { ldlt_.factorize(matrix_); }
    void solve(std::vector<double>& amps_to_volts);

  private:
    Eigen::SparseMatrix<double> matrix_;
    Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>> ldlt_;
};

} // namespace lostvolts::bench

#include "tests/bench/rivals.h"

#include <klu.h>

#include <utility>

namespace lostvolts::bench {

Eigen::SparseMatrix<double> nodal_matrix(const test::Network& network) {
    std::vector<Eigen::Triplet<double>> entries;
    for (std::size_t i = 0; i < network.edges.size(); ++i) {
        const auto [a, b] = network.edges[i];
        const double siemens = network.siemens[i];
        if (a == b) continue;
        if (a != ground_node) entries.emplace_back(a, a, siemens);
        if (b != ground_node) entries.emplace_back(b, b, siemens);
        if (a == ground_node || b == ground_node) continue;
        entries.emplace_back(a, b, -siemens);
        entries.emplace_back(b, a, -siemens);
    }
    Eigen::SparseMatrix<double> matrix(network.nodes, network.nodes);
    matrix.setFromTriplets(entries.begin(), entries.end());
    return matrix;
}

struct Klu::State {
    Eigen::SparseMatrix<double> matrix;
    klu_common common{};
    klu_symbolic* symbolic = nullptr;
    klu_numeric* numeric = nullptr;
};

Klu::Klu(const Eigen::SparseMatrix<double>& matrix) : state_(std::make_unique<State>()) {
    State& s = *state_;
    s.matrix = matrix;
    klu_defaults(&s.common);
    s.common.scale = -1;
    s.common.btf = 0;
    const auto nodes = static_cast<int>(s.matrix.cols());
    s.symbolic = klu_analyze(nodes, s.matrix.outerIndexPtr(), s.matrix.innerIndexPtr(), &s.common);
    s.numeric = klu_factor(s.matrix.outerIndexPtr(), s.matrix.innerIndexPtr(), s.matrix.valuePtr(),
                           s.symbolic, &s.common);
}

Klu::~Klu() {
    klu_free_numeric(&state_->numeric, &state_->common);
    klu_free_symbolic(&state_->symbolic, &state_->common);
}

void Klu::refactor() {
    State& s = *state_;
    klu_refactor(s.matrix.outerIndexPtr(), s.matrix.innerIndexPtr(), s.matrix.valuePtr(), s.symbolic,
                 s.numeric, &s.common);
}

void Klu::solve(std::vector<double>& amps_to_volts) {
    State& s = *state_;
    klu_solve(s.symbolic, s.numeric, static_cast<int>(s.matrix.cols()), 1, amps_to_volts.data(), &s.common);
}

Ldlt::Ldlt(const Eigen::SparseMatrix<double>& matrix) : matrix_(matrix) { ldlt_.analyzePattern(matrix_); }

void Ldlt::solve(std::vector<double>& amps_to_volts) {
    Eigen::Map<Eigen::VectorXd> x(amps_to_volts.data(), matrix_.cols());
    x = ldlt_.solve(x);
}

} // namespace lostvolts::bench

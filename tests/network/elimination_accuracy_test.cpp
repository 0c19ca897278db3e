#include "solver/network/elimination.h"
#include "tests/network/random_network.h"

#include <Eigen/Dense>
#include <Eigen/Sparse>
#include <boost/multiprecision/cpp_bin_float.hpp>
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numeric>

using namespace lostvolts;

namespace {

/// The nodal matrix, summed as anyone would: G on the diagonal, −G off it.
template <class Number>
Eigen::Matrix<Number, Eigen::Dynamic, Eigen::Dynamic> nodal_matrix(const test::Network& network) {
    Eigen::Matrix<Number, Eigen::Dynamic, Eigen::Dynamic> matrix;
    matrix.setZero(network.nodes, network.nodes);
    for (std::size_t i = 0; i < network.edges.size(); ++i) {
        const auto [a, b] = network.edges[i];
        if (a == b) continue;
        const Number siemens = network.siemens[i];
        if (a != ground_node) matrix(a, a) += siemens;
        if (b != ground_node) matrix(b, b) += siemens;
        if (a == ground_node || b == ground_node) continue;
        matrix(a, b) -= siemens;
        matrix(b, a) -= siemens;
    }
    return matrix;
}

std::vector<double> eliminated(const test::Network& network, std::vector<double> amps) {
    const EliminationPlan plan = plan_elimination(network.nodes, network.edges);
    Factor factor;
    eliminate(plan, network.siemens, factor);
    CHECK(factor.floating.empty());
    CHECK(factor.cancelled.empty());
    solve(plan, factor, amps);
    return amps;
}

/// Gives every node a conductance to ground, so that none floats.
test::Network grounded(test::Network network, double siemens) {
    for (std::int32_t node = 0; node < network.nodes; ++node) {
        network.edges.push_back({node, ground_node});
        network.siemens.push_back(siemens);
    }
    return network;
}

/// The greatest error of any node relative to that node's own volts.
template <class Volts, class Reference>
double worst_relative_error(const Volts& volts, const Reference& expected) {
    double worst = 0;
    for (Eigen::Index node = 0; node < expected.size(); ++node)
        worst =
            std::max(worst, std::abs(static_cast<double>((volts[node] - expected[node]) / expected[node])));
    return worst;
}

using FiftyDigits =
    boost::multiprecision::number<boost::multiprecision::cpp_bin_float<50>, boost::multiprecision::et_off>;

/// By Gauss's elimination without pivoting in 50 digits: a matrix of conductances 1e-12 to 1e6 S loses at
/// most some 20 of them.
Eigen::Matrix<FiftyDigits, Eigen::Dynamic, 1> in_fifty_digits(const test::Network& network,
                                                              const std::vector<double>& amps) {
    auto matrix = nodal_matrix<FiftyDigits>(network);
    Eigen::Matrix<FiftyDigits, Eigen::Dynamic, 1> x(network.nodes);
    for (std::int32_t i = 0; i < network.nodes; ++i) x[i] = amps[i];
    for (std::int32_t k = 0; k < network.nodes; ++k)
        for (std::int32_t i = k + 1; i < network.nodes; ++i) {
            if (matrix(i, k) == 0) continue;
            const FiftyDigits factor = matrix(i, k) / matrix(k, k);
            for (std::int32_t j = k; j < network.nodes; ++j) matrix(i, j) -= factor * matrix(k, j);
            x[i] -= factor * x[k];
        }
    for (std::int32_t k = network.nodes; k-- > 0;) {
        for (std::int32_t j = k + 1; j < network.nodes; ++j) x[k] -= matrix(k, j) * x[j];
        x[k] /= matrix(k, k);
    }
    return x;
}

} // namespace

TEST_CASE("random networks agree with Eigen's dense LU with full pivoting") {
    // Expected: Eigen::FullPivLU of the nodal matrix. Tolerance: 200 roundings times the condition, at most
    // 1e4 here, is 4e-10; what is seen is far below, and the bound is relative to the greatest volts.
    MESSAGE("seeds 1 to 200");
    double worst = 0;
    for (std::uint64_t seed = 1; seed <= 200; ++seed) {
        const auto nodes = static_cast<std::int32_t>(1 + seed % 60);
        const auto network =
            grounded(test::any_network(nodes, static_cast<int>(nodes * (1 + seed % 5)), seed), 0.1);
        const auto amps = test::random_amps(nodes, seed);
        const auto volts = eliminated(network, amps);
        const Eigen::VectorXd expected = nodal_matrix<double>(network).fullPivLu().solve(
            Eigen::Map<const Eigen::VectorXd>(amps.data(), nodes));
        const double error =
            (Eigen::Map<const Eigen::VectorXd>(volts.data(), nodes) - expected).lpNorm<Eigen::Infinity>() /
            expected.lpNorm<Eigen::Infinity>();
        CAPTURE(seed);
        CHECK(error < 1e-12);
        worst = std::max(worst, error);
    }
    MESSAGE("greatest error relative to the greatest volts: ", worst);
}

TEST_CASE("negative conductances give what Eigen's dense LU with full pivoting gives") {
    // Expected: Eigen::FullPivLU. A tenth of the conductances are those of constant-power loads, −0.05 S to
    // ground, beside 0.1 S that keeps the matrix far from singular.
    MESSAGE("seeds 1 to 50");
    for (std::uint64_t seed = 1; seed <= 50; ++seed) {
        auto network = grounded(test::tree_with_loops(30, seed), 0.1);
        for (std::int32_t node = 0; node < network.nodes; node += 10) {
            network.edges.push_back({node, ground_node});
            network.siemens.push_back(-0.05);
        }
        const auto amps = test::random_amps(network.nodes, seed);
        const auto volts = eliminated(network, amps);
        const Eigen::VectorXd expected = nodal_matrix<double>(network).fullPivLu().solve(
            Eigen::Map<const Eigen::VectorXd>(amps.data(), network.nodes));
        CAPTURE(seed);
        CHECK(worst_relative_error(volts, expected) < 1e-12);
    }
}

TEST_CASE("each node's volts keep thirteen digits with conductances from 1e-12 to 1e6 siemens") {
    // Expected: Gauss's elimination in 50 digits (Boost.Multiprecision). The diagonal form of the same
    // elimination, Eigen's SimplicialLDLT, is shown beside it: it loses all digits on the same networks.
    MESSAGE("seeds 1 to 40");
    double worst = 0, worst_of_diagonal_form = 0;
    for (std::uint64_t seed = 1; seed <= 40; ++seed) {
        const test::Decades decades{1e-12, 1e6};
        auto network =
            seed % 2 ? test::tree_with_loops(60, seed, decades) : test::any_network(40, 120, seed, decades);
        if (seed % 2 == 0) network = grounded(network, 1e-12);
        const auto amps = test::random_amps(network.nodes, seed);
        const auto expected = in_fifty_digits(network, amps);
        const double error = worst_relative_error(eliminated(network, amps), expected);
        CAPTURE(seed);
        CHECK(error < 1e-13);
        worst = std::max(worst, error);

        const Eigen::SparseMatrix<double> sparse = nodal_matrix<double>(network).sparseView();
        const Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>> diagonal_form(sparse);
        const Eigen::VectorXd volts =
            diagonal_form.solve(Eigen::Map<const Eigen::VectorXd>(amps.data(), network.nodes));
        worst_of_diagonal_form = std::max(worst_of_diagonal_form, worst_relative_error(volts, expected));
    }
    MESSAGE("greatest relative error ", worst, ", of SimplicialLDLT ", worst_of_diagonal_form);
    CHECK(worst_of_diagonal_form > 1e-3);
}

TEST_CASE("a leak of a picosiemens at the end of a stiff harness still fixes its volts") {
    // Expected, by hand: 1 A in at the far end of 1000 links of 1e6 S can only leave through 1e-12 S, so
    // every node stands at 1e12 V and a little; the drop along the links, 1e-3 V, is below its rounding. The
    // diagonal form cannot even see the leak: 1e6 + 1e-12 rounds to 1e6.
    test::Network chain{1001, {{0, ground_node}}, {1e-12}};
    for (std::int32_t node = 1; node <= 1000; ++node) {
        chain.edges.push_back({node - 1, node});
        chain.siemens.push_back(1e6);
    }
    std::vector<double> amps(1001, 0.0);
    amps[1000] = 1.0;
    for (const double volts : eliminated(chain, amps)) CHECK(volts == doctest::Approx(1e12).epsilon(1e-13));
}

TEST_CASE("the order in which conductances are listed changes nothing") {
    // Expected: symmetry. Tolerance: 1e-14 of each node's own volts, since the order of elimination may
    // change.
    MESSAGE("seeds 1 to 20");
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        const auto network = test::tree_with_loops(250, seed, {1e-6, 1e3});
        std::vector<std::size_t> shuffled(network.edges.size());
        std::iota(shuffled.begin(), shuffled.end(), 0);
        std::shuffle(shuffled.begin(), shuffled.end(), std::mt19937_64(seed));
        test::Network other{network.nodes, {}, {}};
        for (const std::size_t edge : shuffled) {
            other.edges.push_back({network.edges[edge].b, network.edges[edge].a});
            other.siemens.push_back(network.siemens[edge]);
        }
        const auto amps = test::random_amps(network.nodes, seed);
        const auto one = eliminated(network, amps), two = eliminated(other, amps);
        CAPTURE(seed);
        CHECK(worst_relative_error(one, Eigen::Map<const Eigen::VectorXd>(two.data(), network.nodes)) <
              1e-14);
    }
}

TEST_CASE("volts at one node for amperes at another are the same the other way round") {
    // Expected: reciprocity, the inverse of a symmetric matrix is symmetric; one solve is its own adjoint.
    MESSAGE("seed 11");
    const auto network = test::tree_with_loops(100, 11, {1e-6, 1e3});
    for (std::int32_t a = 0; a < 100; a += 9)
        for (std::int32_t b = 0; b < a; b += 7) {
            std::vector<double> into_a(100, 0.0), into_b(100, 0.0);
            into_a[a] = into_b[b] = 1.0;
            CHECK(eliminated(network, into_a)[b] ==
                  doctest::Approx(eliminated(network, into_b)[a]).epsilon(1e-14));
        }
}

TEST_CASE("a factor used for one network serves the next") {
    // Expected: the same as with a fresh factor, to the last digit, for a smaller and for a larger network.
    MESSAGE("seeds 1 to 3");
    Factor used;
    for (const auto& network :
         {test::tree_with_loops(80, 1), test::tree_with_loops(20, 2), test::tree_with_loops(200, 3)}) {
        const EliminationPlan plan = plan_elimination(network.nodes, network.edges);
        eliminate(plan, network.siemens, used);
        auto volts = test::random_amps(network.nodes, 1);
        solve(plan, used, volts);
        CHECK(volts == eliminated(network, test::random_amps(network.nodes, 1)));
    }
}

#include "solver/locate/scenes.h"

#include <algorithm>

#include <Eigen/Cholesky>

namespace lostvolts {
namespace {

constexpr double no_load_ohms = 1e15; // the candidate's own meter is put in later, as accuracy only

bool worth_clamping(const AnyPart& law) { return is_load(law) || std::holds_alternative<Battery<>>(law); }

/// What the readings so far leave of the healthy parts' numbers, in units of their deviations: shift and, by
/// its factor, the covariance I − Sᵀ·C⁻¹·S. Readings that are likelier blunders than not have no say.
struct Learned {
    Eigen::MatrixXd spread; // S, right readings × numbers
    Eigen::LLT<Eigen::MatrixXd> factor;
    Eigen::VectorXd shift;
};

Learned learn(const Weighing& w, const Predicted& predicted, const Eigen::MatrixXd& spread) {
    const Scrutiny look = scrutinise(w.measured, predicted);
    std::vector<Eigen::Index> right;
    for (Eigen::Index i = 0; i < look.blunder.size(); ++i)
        if (look.blunder[i] < 0.5) right.push_back(i);
    Learned l;
    l.spread = spread(right, Eigen::all);
    Eigen::MatrixXd c = l.spread * l.spread.transpose();
    const Eigen::VectorXd variance = w.measured.variance(right);
    c.diagonal() += variance;
    l.factor.compute(c);
    const Eigen::VectorXd error = w.measured.value(right) - predicted.mean(right);
    l.shift = l.spread.transpose() * l.factor.solve(error);
    return l;
}

View view(Weighing& w, const Reach& reach, int state, const std::vector<Fault>& faults,
          const std::vector<double>& deviations, const std::vector<std::size_t>& straying,
          const Learned& learned) {
    const Network& n = *w.network;
    View v;
    Setup setup = set_up(n, state, faults);
    if (operate(n, setup, w.work, w.at)) return v;
    std::vector<Probe> probes;
    for (const PointId p : reach.points)
        probes.push_back({ProbeKind::voltage, p, n.circuit->ground, none, no_load_ohms});
    for (const PartId p : reach.clamps) probes.push_back({ProbeKind::current, none, none, p, no_load_ohms});
    const std::vector<double> values = read_probes_with_slopes(n, setup, w.at, w.work, probes, w.slopes);
    const std::vector<int> sections = floating_points(n, w.at, w.work);
    for (const PointId p : reach.points) v.section.push_back(sections[static_cast<std::size_t>(p)]);

    const auto rows = static_cast<Eigen::Index>(probes.size());
    Eigen::MatrixXd g(rows, static_cast<Eigen::Index>(straying.size()));
    for (Eigen::Index k = 0; k < rows; ++k)
        for (std::size_t j = 0; j < straying.size(); ++j)
            g(k, static_cast<Eigen::Index>(j)) =
                w.slopes[straying[j] * probes.size() + static_cast<std::size_t>(k)] * deviations[straying[j]];
    v.mean = Eigen::Map<const Eigen::VectorXd>(values.data(), rows) + g * learned.shift;
    const Eigen::MatrixXd cross = g * learned.spread.transpose();
    v.covariance.noalias() = g * g.transpose();
    v.covariance.noalias() -= cross * learned.factor.solve(cross.transpose());
    return v;
}

} // namespace

Reach reach_of(const Weighing& w, const std::vector<PartId>& suspected) {
    const Circuit& c = *w.network->circuit;
    Reach reach;
    const auto add = [&](PointId p) {
        if (p != none && reach.points.size() < most_points &&
            std::find(reach.points.begin(), reach.points.end(), p) == reach.points.end())
            reach.points.push_back(p);
    };
    add(c.ground);
    for (const PartId p : suspected) {
        const Part& part = c.parts[static_cast<std::size_t>(p)];
        for (const PointId point : {part.from, part.to, part.coil_from, part.coil_to}) add(point);
    }
    for (const Reading& r : w.job->readings) add(r.red), add(r.black);
    for (PointId p = 0; p < static_cast<PointId>(c.points.size()); ++p)
        if (c.points[static_cast<std::size_t>(p)].declared) add(p);
    for (PointId p = 0; p < static_cast<PointId>(c.points.size()); ++p) add(p);
    for (PartId p = 0; p < static_cast<PartId>(c.parts.size()) && reach.clamps.size() < most_points; ++p)
        if (worth_clamping(c.parts[static_cast<std::size_t>(p)].law)) reach.clamps.push_back(p);
    return reach;
}

std::optional<Scene> stage(Weighing& w, const Reach& reach, const std::vector<Fault>& faults) {
    Eigen::MatrixXd spread;
    const auto predicted = predict_readings(w, faults, &spread);
    if (!predicted) return std::nullopt;
    const Learned learned = learn(w, *predicted, spread);
    const std::vector<double> deviations = deviations_with(w, faults);
    const std::vector<std::size_t> straying = straying_numbers(deviations);
    Scene scene;
    for (int s = 0; s < static_cast<int>(w.network->circuit->states.size()); ++s)
        scene.states.push_back(view(w, reach, s, faults, deviations, straying, learned));
    return scene;
}

} // namespace lostvolts

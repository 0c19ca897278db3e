#include "solver/network/ports.h"

#include <algorithm>
#include <cmath>

namespace lostvolts {
namespace {

/// As numbers_of() has them.
void take_deviations(const AnyPart& part, std::optional<double> told, std::array<double, most_numbers>& out) {
    std::visit(
        [&](const auto& p) {
            std::size_t k = 0;
            const auto take = [&](const auto& parameter) {
                const double share = parameter.main && told ? *told : parameter.tolerance;
                out[k++] = std::abs(si(p.*(parameter.member))) * share / 2;
            };
            std::apply([&](const auto&... parameter) { (take(parameter), ...); },
                       std::decay_t<decltype(p)>::parameters());
        },
        part);
}

} // namespace

const AnyPart& PortQuestion::law_of(PartId part) const {
    for (std::size_t k = 0; k < 2; ++k)
        if (faulty_[k] == part) return laws_[k];
    return s_.setup.parts[static_cast<std::size_t>(part)];
}

std::size_t PortQuestion::port_of(PartId part) const {
    const auto at =
        std::find_if(ports_.begin(), ports_.end(), [&](const FaultPort& p) { return p.edge == part; });
    return static_cast<std::size_t>(at - ports_.begin());
}

/// At the answer; of a motor at rest its winding's.
double PortQuestion::slope_of(const FaultPort& port) const {
    const auto* motor = port.law ? std::get_if<Motor<>>(port.law) : nullptr;
    if (!motor || !rests(*motor, port.line.amps)) return port.line.siemens;
    Motor<> held = *motor;
    held.settings.locked = true;
    return line_at(held, port.line_volts, port.own).siemens;
}

/// Of what a tachometer shows; 0 where it shows nothing.
double PortQuestion::speed_slope(std::size_t k, PartId part) const {
    if (k == size() || !ports_[k].law) return 0;
    const FaultPort& p = ports_[k];
    const auto& motor = std::get<Motor<>>(law_of(part));
    return stands_still(motor, p.own[1]) || rests(motor, p.line.amps) ? 0 : p.line.own_slope[1];
}

/// The straight parts' numbers: −share·(the probe's adjoint across the branch)·(effect on its current).
void PortQuestion::take_rows(std::size_t r, double* moved) const {
    const double own_slope = s_.scratch.own_slopes[r], share = s_.scratch.shares[r];
    const std::vector<double>& by = s_.scratch.weights;
    const double* adjoint = s_.adjoints[r].rows.data();
    const std::size_t rows = s_.rows.size();
    for (std::size_t s = 0; s < rows; ++s) moved[s] = own_slope * adjoint[s];
    for (std::size_t k = 0; k < size(); ++k) {
        const double* column = columns_[k]->rows.data();
        const double weight = by[k];
        if (weight != 0)
            for (std::size_t s = 0; s < rows; ++s) moved[s] -= weight * column[s];
    }
    for (std::size_t s = 0; s < rows; ++s) moved[s] *= -share * here_[s];
    for (const int s : s_.direct_rows[r])
        moved[static_cast<std::size_t>(s)] += here_[static_cast<std::size_t>(s)];
    const std::size_t own = rows - s_.rows.column_of_extra.size();
    for (std::size_t k = 0; k < s_.rows.column_of_extra.size(); ++k)
        moved[static_cast<std::size_t>(s_.rows.column_of_extra[k])] += moved[own + k];
}

/// The bent and the faulty parts' numbers, in place of what the sound rows say of them.
template <class Put> void PortQuestion::take_numbers(std::size_t r, Put put) const {
    const double own_slope = s_.scratch.own_slopes[r], share = s_.scratch.shares[r];
    const Probe& probe = s_.probes[r];
    for (std::size_t k = 0; k < size(); ++k) {
        const FaultPort& p = ports_[k];
        if (p.part == none) continue;
        const FaultPortNumbers& numbers = s_.scratch.numbers[k];
        double drop = own_slope * across(n_, s_.adjoints[r].nodes, p.edge);
        for (std::size_t i = 0; i < size(); ++i)
            drop -= s_.scratch.weights[i] * across(n_, columns_[i]->nodes, p.edge);
        const bool own = probe.through == p.part && probe.kind != ProbeKind::voltage;
        const bool speed = own && probe.kind == ProbeKind::speed;
        const auto part = static_cast<std::size_t>(p.part);
        const int first = n_.first_number[part];
        for (int j = first; j < n_.first_number[part + 1]; ++j) {
            const int column = strays_.column_of_number[static_cast<std::size_t>(j)];
            if (column == none) continue;
            const std::int32_t edge = s_.rows.edge[static_cast<std::size_t>(column)];
            if (edge != none && edge != p.edge) continue; // a coil's
            const auto number = static_cast<std::size_t>(j - first);
            double slope = -share * drop * numbers.slopes.amps[number];
            if (own && !(speed && own_slope == 0))
                slope += speed ? numbers.slopes.own[1][number] : numbers.slopes.amps[number];
            put(column, slope * numbers.deviations[number]);
        }
    }
}

/// Of every port's part, at the answer.
void PortQuestion::note_numbers() {
    s_.scratch.numbers.resize(size());
    for (std::size_t k = 0; k < size(); ++k) {
        const FaultPort& p = ports_[k];
        if (p.part == none) continue;
        FaultPortNumbers& numbers = s_.scratch.numbers[k];
        numbers.deviations.fill(0);
        if (p.gone()) { // nothing of it matters
            numbers.slopes.amps.fill(0);
            continue;
        }
        const AnyPart& law = law_of(p.part);
        number_slopes(law, volts_[k], p.own, numbers.slopes);
        if (p.faulty) {
            take_deviations(law, n_.circuit->parts[static_cast<std::size_t>(p.part)].tolerance,
                            numbers.deviations);
            continue;
        }
        const int first = n_.first_number[static_cast<std::size_t>(p.part)];
        for (int j = 0; j < numbers.slopes.count; ++j)
            numbers.deviations[static_cast<std::size_t>(j)] =
                strays_.deviations[static_cast<std::size_t>(first + j)];
    }
}

/// What every probe shows, and how its adjoint has changed: left in `own_slopes`, `by` and `share`.
bool PortQuestion::answer(std::vector<double>& values) {
    const std::size_t n = size(), probes = s_.probes.size();
    values.assign(probes, 0.0);
    s_.scratch.shares.assign(probes, 0.0);
    // (1 + D·Z)·by = D·(adjoint across the ports), every probe a column.
    std::vector<double>&slopes = s_.scratch.slopes, &matrix = m_, &by = s_.scratch.by;
    std::vector<double>& own_slopes = s_.scratch.own_slopes;
    slopes.resize(n), matrix.resize(n * n), by.resize(n * probes), s_.scratch.weights.resize(n);
    own_slopes.assign(probes, 1.0);
    for (std::size_t k = 0; k < n; ++k) slopes[k] = slope_of(ports_[k]) - ports_[k].siemens;
    for (std::size_t k = 0; k < n; ++k)
        for (std::size_t i = 0; i < n; ++i) matrix[k * n + i] = slopes[k] * z(k, i) + (i == k ? 1 : 0);
    for (std::size_t r = 0; r < probes; ++r) {
        const Probe& probe = s_.probes[r];
        const std::size_t k = probe.kind == ProbeKind::voltage ? n : port_of(probe.through);
        if (probe.kind == ProbeKind::contact || s_.apart[r]) own_slopes[r] = 0;
        if (probe.kind == ProbeKind::current) {
            const auto p = static_cast<std::size_t>(probe.through);
            own_slopes[r] = k < n ? slope_of(ports_[k])
                                  : s_.at.edge_siemens[p] - (s_.setup.bridged[p] ? 1 / s_.setup.jumper : 0);
        }
        if (probe.kind == ProbeKind::speed) own_slopes[r] = speed_slope(k, probe.through);
        for (std::size_t i = 0; i < n; ++i)
            by[i * probes + r] = slopes[i] * own_slopes[r] * across(n_, s_.adjoints[r].nodes, ports_[i].edge);
    }
    if (n > 0 && !solve_dense(n, matrix, probes, by)) return false;

    for (std::size_t r = 0; r < probes; ++r) {
        const Probe& probe = s_.probes[r];
        double value = s_.values[r];
        double& share = s_.scratch.shares[r];
        share = s_.apart[r] ? 0 : 1;
        take_weights(r);
        const std::size_t on = probe.kind == ProbeKind::voltage ? n : port_of(probe.through);
        if (probe.kind == ProbeKind::contact) {
            if (held_by_fault(probe.through)) value = 0;
        } else if (probe.kind == ProbeKind::speed) {
            value = own_slopes[r] == 0 ? 0 : ports_[on].own[1];
        } else if (probe.kind == ProbeKind::current && on < n) {
            value = ports_[on].told(volts_[on]);
        } else if (!s_.apart[r]) {
            for (std::size_t k = 0; k < n; ++k)
                value -= own_slopes[r] * across(n_, s_.adjoints[r].nodes, ports_[k].edge) * u_[k];
        }
        if (probe.kind == ProbeKind::voltage && !s_.apart[r]) {
            double source = between(probe, s_.adjoints[r].nodes);
            for (std::size_t k = 0; k < n; ++k)
                source -= s_.scratch.weights[k] * between(probe, columns_[k]->nodes);
            share = share_left(probe, value, source);
        }
        values[r] = value * share;
    }
    note_numbers();
    return true;
}

double PortQuestion::between(const Probe& probe, const std::vector<double>& nodes) const {
    const auto at = [&](PointId p) {
        const auto node = n_.node_of_point[static_cast<std::size_t>(p)];
        return node == ground_node ? 0 : nodes[static_cast<std::size_t>(node)];
    };
    return at(probe.red) - at(probe.black);
}

/// Of one probe: how much of each port's column its adjoint has lost.
void PortQuestion::take_weights(std::size_t r) {
    for (std::size_t k = 0; k < size(); ++k) s_.scratch.weights[k] = s_.scratch.by[k * s_.probes.size() + r];
}

bool PortQuestion::tell(std::vector<double>& values, std::vector<double>& moved) {
    if (!answer(values)) return false;
    const std::size_t rows = s_.rows.size();
    moved.resize(s_.probes.size() * rows);
    here_ = s_.rows.volts;
    for (std::size_t k = 0; k < size(); ++k) {
        const double* column = columns_[k]->rows.data();
        for (std::size_t s = 0; s < rows; ++s) here_[s] -= u_[k] * column[s];
    }
    for (std::size_t s = 0; s < rows; ++s) here_[s] = s_.rows.constant[s] + s_.rows.slope[s] * here_[s];
    for (const FaultPort& p : ports_) { // a coil that is open is not moved by its number
        if (p.part != none || static_cast<std::size_t>(p.edge) >= n_.branches.size()) continue;
        for (std::size_t s = 0; s < rows; ++s)
            if (s_.rows.edge[s] == p.edge) here_[s] = 0;
    }
    for (std::size_t r = 0; r < s_.probes.size(); ++r) {
        double* out = moved.data() + r * rows;
        if (s_.probes[r].kind == ProbeKind::contact || s_.apart[r]) {
            std::fill(out, out + rows, 0.0);
            continue;
        }
        take_weights(r);
        take_rows(r, out);
        take_numbers(r, [&](int column, double move) { out[column] = move; });
    }
    return true;
}

bool PortQuestion::bound(std::vector<double>& values, std::vector<double>& most) {
    if (!answer(values)) return false;
    const std::size_t probes = s_.probes.size();
    most.assign(probes, 0.0);
    for (std::size_t r = 0; r < probes; ++r) {
        if (s_.probes[r].kind == ProbeKind::contact || s_.apart[r]) continue;
        take_weights(r);
        const double slope = std::abs(s_.scratch.own_slopes[r]);
        double sum = slope * s_.norms[r];
        for (std::size_t k = 0; k < size(); ++k) {
            const std::vector<double>& norms = norms_of(s_, *columns_[k]);
            const double weight = std::abs(s_.scratch.weights[k]);
            sum += slope * std::abs(u_[k]) * norms[r] + weight * norms[probes];
            for (std::size_t i = 0; i < size(); ++i)
                sum += weight * std::abs(u_[i]) * norms[probes + 1] * norms_of(s_, *columns_[i])[probes + 1];
        }
        sum *= s_.scratch.shares[r];
        for (const int s : s_.direct_rows[r]) { // of a clamp on a straight part
            const auto row = static_cast<std::size_t>(s);
            double volts = s_.rows.volts[row];
            for (std::size_t k = 0; k < size(); ++k) volts -= u_[k] * columns_[k]->rows[row];
            sum += std::abs(s_.rows.constant[row] + s_.rows.slope[row] * volts);
        }
        double squares = sum * sum;
        take_numbers(r, [&](int, double move) { squares += move * move; });
        most[r] = std::sqrt(squares);
    }
    return true;
}

bool read_with_faults(const Network& network, const StrayingNumbers& strays, SoundState& state,
                      std::span<const Fault> faults, std::vector<double>& values,
                      std::vector<double>& moved) {
    PortQuestion question(network, strays, state);
    return question.pose(faults) && question.settle() && question.tell(values, moved);
}

bool bound_with_faults(const Network& network, const StrayingNumbers& strays, SoundState& state,
                       std::span<const Fault> faults, std::vector<double>& values,
                       std::vector<double>& most) {
    PortQuestion question(network, strays, state);
    return question.pose(faults) && question.settle() && question.bound(values, most);
}

} // namespace lostvolts

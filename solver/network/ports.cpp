#include "solver/network/ports.h"

#include <algorithm>
#include <cmath>

namespace lostvolts {
namespace {

constexpr int most_steps = 40;
constexpr double settled_share = 1e-11, settled_own = 1e-8, own_scale = 1e-3; // as operate() has them
constexpr double splits = 1e-7; // of a branch's conductance: what is left beside it when it goes
constexpr double rounding = 1e-12;
constexpr std::size_t most_ports = 24;

} // namespace

bool solve_dense(std::size_t n, std::vector<double>& m, std::size_t columns, std::vector<double>& b) {
    double largest = 1;
    for (const double x : m) largest = std::max(largest, std::abs(x));
    for (std::size_t k = 0; k < n; ++k) {
        std::size_t best = k;
        for (std::size_t i = k + 1; i < n; ++i)
            if (std::abs(m[i * n + k]) > std::abs(m[best * n + k])) best = i;
        if (!(std::abs(m[best * n + k]) > std::max(splits, rounding * largest))) return false;
        if (best != k) {
            for (std::size_t j = 0; j < n; ++j) std::swap(m[k * n + j], m[best * n + j]);
            for (std::size_t c = 0; c < columns; ++c) std::swap(b[k * columns + c], b[best * columns + c]);
        }
        for (std::size_t i = k + 1; i < n; ++i) {
            const double factor = m[i * n + k] / m[k * n + k];
            if (factor == 0) continue;
            for (std::size_t j = k + 1; j < n; ++j) m[i * n + j] -= factor * m[k * n + j];
            for (std::size_t c = 0; c < columns; ++c) b[i * columns + c] -= factor * b[k * columns + c];
        }
    }
    for (std::size_t k = n; k-- > 0;)
        for (std::size_t c = 0; c < columns; ++c) {
            double& x = b[k * columns + c];
            for (std::size_t j = k + 1; j < n; ++j) x -= m[k * n + j] * b[j * columns + c];
            x /= m[k * n + k];
        }
    return true;
}

double across(const Network& n, const std::vector<double>& nodes, std::int32_t edge) {
    const Edge& e = n.edges[static_cast<std::size_t>(edge)];
    return (e.a == ground_node ? 0 : nodes[static_cast<std::size_t>(e.a)]) -
           (e.b == ground_node ? 0 : nodes[static_cast<std::size_t>(e.b)]);
}

FaultPort& PortQuestion::port_at(std::int32_t edge, PartId part) {
    for (FaultPort& p : ports_)
        if (p.edge == edge) return p;
    FaultPort p;
    p.edge = edge;
    p.part = part;
    p.volts = across(n_, s_.at.node_volts, edge);
    if (static_cast<std::size_t>(edge) < n_.branches.size()) {
        p.amps = s_.at.branch_amps[static_cast<std::size_t>(edge)];
        const bool bridged = part != none && s_.setup.bridged[static_cast<std::size_t>(part)];
        p.siemens = s_.at.edge_siemens[static_cast<std::size_t>(edge)] - (bridged ? 1 / s_.setup.jumper : 0);
    }
    ports_.push_back(p);
    return ports_.back();
}

bool PortQuestion::add(const Fault& fault) {
    const auto p = static_cast<std::size_t>(fault.part);
    if (s_.setup.link[p] != Link::part) return true;
    if (fault.kind == FaultKind::short_to_ground) {
        const int edge = n_.shunt_edge[p];
        if (edge == none) return true;
        FaultPort& port = port_at(edge, none);
        port.line.siemens = 1 / std::max(fault.size, least_ohms);
        port.siemens = 0;
        return true;
    }
    std::size_t slot = faulty_[0] == none || faulty_[0] == fault.part ? 0 : 1;
    if (faulty_[slot] == none) laws_[slot] = s_.setup.parts[p];
    faulty_[slot] = fault.part;
    AnyPart& law = laws_[slot];
    apply_fault(law, fault.kind, fault.size);
    FaultPort& port = port_at(fault.part, fault.part);
    port.faulty = true;
    auto* relay = std::get_if<Relay<>>(&law);
    if (relay && fault.kind != FaultKind::high_resistance) relays_held_[slot] = fault.part;
    if (relay && fault.kind == FaultKind::open) relay->settings.closed = false;
    if (relay && fault.kind == FaultKind::open_coil) {
        if (!s_.setup.held[p]) relay->settings.closed = false;
        port_at(n_.coil_branch[p], none).line = {};
    }
    FaultPort& own = port_at(fault.part, fault.part);
    if (!relay && fault.kind == FaultKind::open) {
        own.law = nullptr;
        own.line = {};
        own.own = {};
        own.line_volts = 0;
    } else if (is_linear(law)) {
        own.line = line_at(law, 0, {});
    } else {
        own.law = &law;
        own.line = line_at(law, own.line_volts, own.own);
    }
    return true;
}

/// Whether nothing is left beside a branch that goes: the circuit then falls apart there.
bool PortQuestion::splits_off(const FaultPort& port) {
    if (port.law || port.siemens <= 0) return false;
    const double self = across(n_, column_of(n_, s_, port.edge).nodes, port.edge);
    return 1 + (port.line.siemens - port.siemens) * self < splits;
}

bool PortQuestion::pose(std::span<const Fault> faults) {
    ports_.reserve(s_.bent.size() + 4);
    columns_.clear();
    for (std::size_t k = 0; k < s_.bent.size(); ++k) {
        const auto p = static_cast<std::size_t>(s_.bent[k]);
        FaultPort& port = port_at(s_.bent[k], s_.bent[k]);
        port.law = &s_.setup.parts[p];
        port.line = s_.bent_lines[k];
        port.line_volts = port.volts;
        port.own = s_.at.own[p];
    }
    for (const Fault& fault : faults) add(fault);
    if (size() > most_ports) return false;
    for (const FaultPort& port : ports_) {
        const Edge& e = n_.edges[static_cast<std::size_t>(port.edge)];
        const auto section = [&](std::int32_t node) {
            return s_.sections.empty() || node == ground_node ? none
                                                              : s_.sections[static_cast<std::size_t>(node)];
        };
        if (section(e.a) != section(e.b) || splits_off(port)) return false;
        columns_.push_back(nullptr);
    }
    z_.resize(size() * size());
    for (std::size_t k = 0; k < size(); ++k) {
        columns_[k] = &column_of(n_, s_, ports_[k].edge);
        for (std::size_t i = 0; i < size(); ++i) z(i, k) = across(n_, columns_[k]->nodes, ports_[i].edge);
    }
    volts_.resize(size());
    u_.resize(size());
    return true;
}

bool PortQuestion::newton() {
    const std::size_t n = size();
    for (int step = 0; step < most_steps; ++step) {
        m_.assign(n * n, 0.0);
        b_.assign(n, 0.0);
        for (std::size_t k = 0; k < n; ++k) {
            const FaultPort& p = ports_[k];
            const double d = p.line.siemens - p.siemens, c = p.told(p.volts) - p.amps;
            for (std::size_t i = 0; i < n; ++i) {
                m_[i * n + k] = z(i, k) * d + (i == k ? 1 : 0);
                b_[i] -= z(i, k) * c;
            }
        }
        if (!solve_dense(n, m_, 1, b_)) return false;
        double largest = 0, wrong = 0;
        bool still = true;
        for (std::size_t k = 0; k < n; ++k) {
            FaultPort& p = ports_[k];
            const double v = volts_[k] = p.volts + b_[k];
            if (!std::isfinite(v)) return false;
            const double told = p.told(v);
            u_[k] = told - p.amps - p.siemens * b_[k];
            if (!p.law) continue;
            for (std::size_t j = 0; j < most_own; ++j)
                p.own[j] = p.line.own[j] + p.line.own_slope[j] * (v - p.line_volts);
            p.line = line_at(*p.law, v, p.own);
            p.line_volts = v;
            largest = std::max({largest, std::abs(p.line.amps), std::abs(told)});
            wrong = std::max(wrong, std::abs(p.line.amps - told));
            for (std::size_t j = 0; j < most_own; ++j)
                still = still && std::abs(p.line.own[j] - p.own[j]) <=
                                     settled_own * (std::abs(p.line.own[j]) + own_scale);
        }
        if (still && wrong <= settled_share * largest + 1e-15) {
            rounding_amps_ = settled_share * std::max(largest, s_.at.largest_branch_amps);
            return true;
        }
    }
    return false;
}

/// The ports share the circuit's rounding: what is left of a current that a fault has cut off is no current.
bool PortQuestion::rests(const Motor<>& motor, double amps) const {
    return held_at_rest(motor, amps) || std::abs(amps) <= rounding_amps_;
}

/// Closed ones still get what pulls them in, open ones less.
bool PortQuestion::relays_stay() const {
    for (const int part : s_.relays) {
        const auto p = static_cast<std::size_t>(part);
        const int coil = n_.coil_branch[p];
        if (held_by_fault(part)) continue;
        const auto& relay = std::get<Relay<>>(s_.setup.parts[p]);
        double volts = across(n_, s_.at.node_volts, coil);
        for (std::size_t k = 0; k < size(); ++k) volts -= u_[k] * across(n_, columns_[k]->nodes, coil);
        if ((std::abs(volts) >= si(relay.settings.pull_in)) != relay.settings.closed) return false;
    }
    return true;
}

/// With every motor's shaft held: theirs is the answer where they then carry nothing.
bool PortQuestion::at_rest() {
    std::vector<AnyPart> held(size());
    std::vector<const AnyPart*> laws(size());
    for (std::size_t k = 0; k < size(); ++k) {
        FaultPort& p = ports_[k];
        laws[k] = p.law;
        if (!p.law) continue;
        held[k] = *p.law;
        if (auto* motor = std::get_if<Motor<>>(&held[k])) motor->settings.locked = true;
        p.law = &held[k];
        p.own = {};
        p.line_volts = 0;
        p.line = line_at(held[k], 0, p.own);
    }
    bool answer = newton();
    for (std::size_t k = 0; k < size(); ++k) {
        FaultPort& p = ports_[k];
        p.law = laws[k];
        const auto* motor = p.law ? std::get_if<Motor<>>(p.law) : nullptr;
        answer = answer && (!motor || rests(*motor, p.line.amps));
    }
    return answer;
}

bool PortQuestion::settle() {
    if (size() == 0) return true;
    if (!newton() && !at_rest()) {
        for (FaultPort& p : ports_) {
            if (!p.law) continue;
            p.own = {};
            p.line_volts = 0;
            p.line = line_at(*p.law, 0, p.own);
        }
        if (!newton()) return false;
    }
    return relays_stay();
}

} // namespace lostvolts

#include "solver/spinup/stepper.h"

#include <algorithm>
#include <cmath>

namespace lostvolts {
namespace {

using Small = std::array<InTime, most_in_time>;

/// Inverse of the leading n×n block, n ≤ 3; a singular one gives 0, the law then holds still.
void invert(const Small& m, int n, Small& out) {
    if (n == 1) {
        out[0][0] = m[0][0] != 0 ? 1 / m[0][0] : 0;
    } else if (n == 2) {
        const double det = m[0][0] * m[1][1] - m[0][1] * m[1][0], f = det != 0 ? 1 / det : 0;
        out[0] = {m[1][1] * f, -m[0][1] * f, 0};
        out[1] = {-m[1][0] * f, m[0][0] * f, 0};
    } else if (n == 3) {
        const double c00 = m[1][1] * m[2][2] - m[1][2] * m[2][1], c01 = m[1][2] * m[2][0] - m[1][0] * m[2][2],
                     c02 = m[1][0] * m[2][1] - m[1][1] * m[2][0];
        const double det = m[0][0] * c00 + m[0][1] * c01 + m[0][2] * c02, f = det != 0 ? 1 / det : 0;
        out[0] = {c00 * f, (m[0][2] * m[2][1] - m[0][1] * m[2][2]) * f,
                  (m[0][1] * m[1][2] - m[0][2] * m[1][1]) * f};
        out[1] = {c01 * f, (m[0][0] * m[2][2] - m[0][2] * m[2][0]) * f,
                  (m[0][2] * m[1][0] - m[0][0] * m[1][2]) * f};
        out[2] = {c02 * f, (m[0][1] * m[2][0] - m[0][0] * m[2][1]) * f,
                  (m[0][0] * m[1][1] - m[0][1] * m[1][0]) * f};
    }
}

/// `per_step` is 1/(γh); `held`: own unknowns with a store don't move at all.
void condense(const TimeSlopes& at, int n, double per_step, bool held, Stepper::Condensed& c) {
    c.siemens = at.amps_v;
    if (n == 0) return;
    Small m;
    InTime row_v = at.row_v;
    for (std::size_t k = 0; k < static_cast<std::size_t>(n); ++k) {
        const bool still = held && at.stores[k] > 0;
        for (std::size_t j = 0; j < static_cast<std::size_t>(n); ++j) m[k][j] = still ? 0 : -at.row_x[k][j];
        m[k][k] += still ? 1 : at.stores[k] * per_step;
        if (still) row_v[k] = 0;
    }
    invert(m, n, c.inverse);
    for (std::size_t j = 0; j < static_cast<std::size_t>(n); ++j) {
        double sum = 0;
        for (std::size_t k = 0; k < static_cast<std::size_t>(n); ++k) sum += at.amps_x[k] * c.inverse[k][j];
        c.through[j] = sum;
        c.siemens += sum * row_v[j];
    }
}

double across(const Port& p, const std::vector<double>& volts) {
    return (p.a < 0 ? 0 : volts[static_cast<std::size_t>(p.a)]) -
           (p.b < 0 ? 0 : volts[static_cast<std::size_t>(p.b)]);
}

void inject(const Port& p, double leaving, std::vector<double>& amps) {
    if (p.a >= 0) amps[static_cast<std::size_t>(p.a)] -= leaving;
    if (p.b >= 0) amps[static_cast<std::size_t>(p.b)] += leaving;
}

void move_emf(Port& p, double seconds) {
    if (p.emf_rate != 0) std::get<Supply>(p.law).emf += from_si<Voltage<>>(p.emf_rate * seconds);
}

} // namespace

Stepper::Stepper(System& s) : system(s) {
    const auto nodes = static_cast<std::size_t>(s.nodes), owns = static_cast<std::size_t>(s.owns);
    slopes.resize(s.ports.size());
    condensed.resize(s.ports.size());
    stage_volts.resize(nodes);
    stage_own.resize(owns);
    for (auto& u : u_volts) u.resize(nodes);
    for (auto& u : u_own) u.resize(owns);
    for (auto& d : dense_volts) d.resize(nodes);
    for (auto& d : dense_own) d.resize(owns);
    end.volts.resize(nodes);
    end.own.resize(owns);
}

void Stepper::begin(const Moment& at) {
    for (std::size_t p = 0; p < system.ports.size(); ++p) {
        const Port& port = system.ports[p];
        look(port.law, across(port, at.volts), at.own.data() + port.first, slopes[p]);
    }
}

bool Stepper::settle(Moment& at) {
    constexpr int most = 200, plain_moves = 20;
    std::vector<double> before;
    for (int turn = 0; turn < most; ++turn) {
        begin(at);
        siemens = system.base_siemens;
        amps = system.base_amps;
        for (std::size_t p = 0; p < system.ports.size(); ++p) {
            const Port& port = system.ports[p];
            const TimeSlopes& s = slopes[p];
            Condensed& c = condensed[p];
            condense(s, port.count, 0, true, c);
            siemens[p] += c.siemens;
            double leaving = s.value.amps - c.siemens * across(port, at.volts);
            for (std::size_t k = 0; k < static_cast<std::size_t>(port.count); ++k)
                if (s.stores[k] == 0) leaving += c.through[k] * s.value.row[k];
            inject(port, leaving, amps);
        }
        eliminate(system.plan, siemens, factor);
        if (!factor.cancelled.empty()) return false;
        solve(system.plan, factor, amps);
        // Bends are met one after the other; late moves are halved, lest two laws swing for ever.
        const double share = turn > plain_moves && turn % 2 == 0 ? 0.5 : 1;
        double moved = 0, largest = 1e-3;
        before = at.volts;
        for (std::size_t n = 0; n < amps.size(); ++n) {
            const double step = amps[n] - before[n];
            if (!std::isfinite(step)) return false;
            at.volts[n] = before[n] + share * step;
            moved = std::max(moved, std::abs(step));
            largest = std::max(largest, std::abs(amps[n]));
        }
        for (std::size_t p = 0; p < system.ports.size(); ++p) {
            const Port& port = system.ports[p];
            const TimeSlopes& s = slopes[p];
            const double dv = across(port, at.volts) - across(port, before);
            for (std::size_t k = 0; k < static_cast<std::size_t>(port.count); ++k) {
                if (s.stores[k] > 0) continue;
                double step = 0;
                for (std::size_t j = 0; j < static_cast<std::size_t>(port.count); ++j)
                    if (s.stores[j] == 0)
                        step += condensed[p].inverse[k][j] * (share * s.value.row[j] + s.row_v[j] * dv);
                at.own[static_cast<std::size_t>(port.first) + k] += step;
                moved = std::max(moved, std::abs(step));
            }
        }
        if (moved <= 1e-12 * largest) break;
        if (turn == most - 1) return moved <= 1e-7 * largest;
    }
    begin(at);
    return true;
}

double Stepper::attempt(const Moment& at, double h) {
    using namespace rosenbrock;
    const std::size_t nodes = at.volts.size(), owns = at.own.size();
    std::vector<Port>& ports = system.ports;
    siemens = system.base_siemens;
    const double per_step = 1 / (rosenbrock::gamma * h);
    for (std::size_t p = 0; p < ports.size(); ++p) {
        condense(slopes[p], ports[p].count, per_step, false, condensed[p]);
        siemens[p] += condensed[p].siemens;
    }
    eliminate(system.plan, siemens, factor);

    for (int i = 0; i < stages; ++i) {
        const auto I = static_cast<std::size_t>(i);
        for (std::size_t n = 0; n < nodes; ++n) stage_volts[n] = at.volts[n];
        for (std::size_t k = 0; k < owns; ++k) stage_own[k] = at.own[k];
        std::vector<double>&rise = u_own[I], &pull = u_volts[I];
        for (std::size_t k = 0; k < owns; ++k) rise[k] = 0;
        for (int j = 0; j < i; ++j) {
            const auto J = static_cast<std::size_t>(j);
            const double aij = a[i][j], cij = c[i][j] / h;
            const double *uv = u_volts[J].data(), *ux = u_own[J].data();
            for (std::size_t n = 0; n < nodes; ++n) stage_volts[n] += aij * uv[n];
            for (std::size_t k = 0; k < owns; ++k) {
                stage_own[k] += aij * ux[k];
                rise[k] += cij * ux[k];
            }
        }
        amps = system.base_amps;
        TimeValue value;
        for (std::size_t p = 0; p < ports.size(); ++p) {
            Port& port = ports[p];
            const double v = across(port, stage_volts);
            const auto first = static_cast<std::size_t>(port.first);
            const bool moves = port.emf_rate != 0;
            if (moves) move_emf(port, alpha[i] * h);
            const TimeValue* now = &slopes[p].value;
            if (port.straight) {
                if (i > 0) {
                    value.amps = slopes[p].value.amps + slopes[p].amps_v * (v - across(port, at.volts));
                    now = &value;
                }
            } else if (i > 0 || moves) {
                look(port.law, v, stage_own.data() + first, value);
                now = &value;
            }
            double leaving = now->amps - condensed[p].siemens * v;
            for (std::size_t k = 0; k < static_cast<std::size_t>(port.count); ++k) {
                rise[first + k] = now->row[k] + slopes[p].stores[k] * rise[first + k];
                leaving += condensed[p].through[k] * rise[first + k];
            }
            if (moves) {
                move_emf(port, -alpha[i] * h);
                leaving += gamma_sum[i] * h * slopes[p].amps_v * port.emf_rate;
            }
            inject(port, leaving, amps);
        }
        solve(system.plan, factor, amps);
        for (std::size_t n = 0; n < nodes; ++n) pull[n] = amps[n] - stage_volts[n];
        for (std::size_t p = 0; p < ports.size(); ++p) {
            const Port& port = ports[p];
            if (port.count == 0) continue;
            const double dv = across(port, pull);
            const auto first = static_cast<std::size_t>(port.first), n = static_cast<std::size_t>(port.count);
            InTime q;
            for (std::size_t k = 0; k < n; ++k) q[k] = rise[first + k] + slopes[p].row_v[k] * dv;
            for (std::size_t k = 0; k < n; ++k) {
                double sum = 0;
                for (std::size_t j = 0; j < n; ++j) sum += condensed[p].inverse[k][j] * q[j];
                rise[first + k] = sum;
            }
        }
    }
    end.volts = amps;
    double error = 0;
    for (std::size_t k = 0; k < owns; ++k) {
        end.own[k] = stage_own[k] + u_own[stages - 1][k];
        error = std::max(error, std::abs(u_own[stages - 1][k]) / system.scale[k]);
    }
    return std::isfinite(error) && factor.cancelled.empty() ? error : 1e9;
}

void Stepper::prepare_dense(const Moment& at) {
    using namespace rosenbrock;
    for (std::size_t r = 0; r < 2; ++r) {
        for (std::size_t n = 0; n < at.volts.size(); ++n) {
            double sum = 0;
            for (std::size_t j = 0; j < stages - 1; ++j) sum += d[r][j] * u_volts[j][n];
            dense_volts[r][n] = sum;
        }
        for (std::size_t k = 0; k < at.own.size(); ++k) {
            double sum = 0;
            for (std::size_t j = 0; j < stages - 1; ++j) sum += d[r][j] * u_own[j][k];
            dense_own[r][k] = sum;
        }
    }
}

} // namespace lostvolts

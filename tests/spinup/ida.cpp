#include "tests/spinup/ida.h"

#include <cmath>
#include <functional>
#include <stdexcept>

#include <ida/ida.h>
#include <nvector/nvector_serial.h>
#include <sundials/sundials_context.hpp>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_dense.h>

namespace lostvolts::testing {
namespace {

struct Item {
    TimeLaw law;
    PartId part;
    std::int32_t a, b;
    int first, count; ///< own unknowns in y
    /// Of an open contact: which way it arcs, 0 not at all. IDA can't step over the bend; it is told of the
    /// arc's end as a root and goes on from there.
    int arcs = 0;
};

/// The text of parts/contact.h on one of its stretches, wherever v is.
void look_along(const Contact& c, int arcs, double volts, TimeValue& at, double& slope) {
    slope = 1 / si(c.closed ? c.closed_resistance : c.open_resistance);
    at.amps = slope * volts;
    if (c.closed || arcs == 0) return;
    slope += 1 / si(c.arc_resistance);
    at.amps += (volts - arcs * si(c.arc)) / si(c.arc_resistance);
}

struct Wire {
    std::int32_t a, b;
    double siemens, amps;
};

void must(int flag, const char* what) {
    if (flag < 0) throw std::runtime_error(std::string("IDA: ") + what + " gave " + std::to_string(flag));
}

} // namespace

struct Ida::Inside {
    const Network& network;
    const SpinUpRequest& request;
    sundials::Context context;
    std::vector<Item> items;
    std::vector<Wire> wires;
    std::vector<double> first_y;
    std::vector<Reader> readers; // of currents: the item in `port`
    bool from_dead = false;
    int size = 0;

    Inside(const Network& n, const SpinUpRequest& r) : network(n), request(r) {
        Workspace work;
        auto model = build_model(n, r, work);
        if (!model) throw std::runtime_error("no model");
        from_dead = model->from_dead;
        size = n.nodes;
        first_y.assign(static_cast<std::size_t>(n.nodes), 0);
        for (std::size_t p = 0; p < model->system.ports.size(); ++p) {
            const Port& port = model->system.ports[p];
            const PartId part = model->part_of_port[p];
            const int branch = std::holds_alternative<RelayCoil>(port.law)
                                   ? n.coil_branch[static_cast<std::size_t>(part)]
                                   : part;
            const Branch& b = n.branches[static_cast<std::size_t>(branch)];
            items.push_back({port.law, part, b.a, b.b, size, port.count, 0});
            for (int k = 0; k < port.count; ++k)
                first_y.push_back(model->start.own[static_cast<std::size_t>(port.first + k)]);
            size += port.count;
        }
        for (const Straight& s : model->straights) {
            const Branch& b = n.branches[static_cast<std::size_t>(s.part)];
            wires.push_back({b.a, b.b, s.siemens, s.amps});
        }
        for (int node = 0; node < n.nodes; ++node) {
            const Weighted& w = model->node_volts[static_cast<std::size_t>(node)];
            double volts = w.constant;
            for (std::size_t k = 0; k < w.weight.size(); ++k) volts += w.weight[k] * model->start.volts[k];
            first_y[static_cast<std::size_t>(node)] = volts;
            wires.push_back({node, ground_node, 1e-12, 0}); // a floating section needs some path
        }
    }

    static double volts(const double* y, std::int32_t node) { return node < 0 ? 0 : y[node]; }

    static void turn(TimeLaw& law, const double* own) {
        if (auto* c = std::get_if<Commutating>(&law))
            c->sector = static_cast<int>(std::floor(own[2] / c->pitch()));
    }

    void residual(const double* y, const double* dy, double* f) {
        for (int k = 0; k < size; ++k) f[k] = 0;
        const auto leave = [&](std::int32_t a, std::int32_t b, double amps) {
            if (a >= 0) f[a] += amps;
            if (b >= 0) f[b] -= amps;
        };
        for (const Wire& w : wires) leave(w.a, w.b, w.siemens * (volts(y, w.a) - volts(y, w.b)) + w.amps);
        TimeValue value;
        for (Item& i : items) {
            turn(i.law, y + i.first);
            double slope = 0;
            if (const auto* c = std::get_if<Contact>(&i.law))
                look_along(*c, i.arcs, volts(y, i.a) - volts(y, i.b), value, slope);
            else
                look(i.law, volts(y, i.a) - volts(y, i.b), y + i.first, value);
            leave(i.a, i.b, value.amps);
            for (int k = 0; k < i.count; ++k)
                f[i.first + k] = value.row[static_cast<std::size_t>(k)] -
                                 stores[static_cast<std::size_t>(i.first + k)] * dy[i.first + k];
        }
    }
    void jacobian(const double* y, double cj, SUNMatrix j) {
        SUNMatZero(j);
        const auto add = [&](std::int32_t r, std::int32_t c, double x) {
            if (r >= 0 && c >= 0) SM_ELEMENT_D(j, r, c) += x;
        };
        const auto conduct = [&](std::int32_t a, std::int32_t b, double g) {
            add(a, a, g), add(b, b, g), add(a, b, -g), add(b, a, -g);
        };
        for (const Wire& w : wires) conduct(w.a, w.b, w.siemens);
        TimeSlopes s;
        for (Item& i : items) {
            turn(i.law, y + i.first);
            if (const auto* c = std::get_if<Contact>(&i.law))
                look_along(*c, i.arcs, volts(y, i.a) - volts(y, i.b), s.value, s.amps_v);
            else
                look(i.law, volts(y, i.a) - volts(y, i.b), y + i.first, s);
            conduct(i.a, i.b, s.amps_v);
            for (int k = 0; k < i.count; ++k) {
                const auto K = static_cast<std::size_t>(k);
                add(i.a, i.first + k, s.amps_x[K]);
                add(i.b, i.first + k, -s.amps_x[K]);
                add(i.first + k, i.a, s.row_v[K]);
                add(i.first + k, i.b, -s.row_v[K]);
                for (int m = 0; m < i.count; ++m)
                    add(i.first + k, i.first + m, s.row_x[K][static_cast<std::size_t>(m)]);
                add(i.first + k, i.first + k, -cj * s.stores[K]);
            }
        }
    }
    std::vector<double> stores; // per y

    void find_stores(const double* y) {
        stores.assign(static_cast<std::size_t>(size), 0);
        TimeSlopes s;
        for (const Item& i : items) {
            look(i.law, volts(y, i.a) - volts(y, i.b), y + i.first, s);
            for (int k = 0; k < i.count; ++k)
                stores[static_cast<std::size_t>(i.first + k)] = s.stores[static_cast<std::size_t>(k)];
        }
    }

    /// Arcs, one after the other: how far each is from going out.
    void roots(const double* y, double* g) const {
        int k = 0;
        for (const Item& i : items)
            if (const auto* c = std::get_if<Contact>(&i.law))
                g[k++] = i.arcs == 0 ? 1 : i.arcs * (volts(y, i.a) - volts(y, i.b)) - si(c->arc);
    }
    int contacts() const {
        int count = 0;
        for (const Item& i : items) count += std::holds_alternative<Contact>(i.law);
        return count;
    }
    /// Arcs that have come to their end, several at once where contacts lie side by side.
    void put_out(const double* y) {
        for (Item& i : items)
            if (const auto* c = std::get_if<Contact>(&i.law); c && i.arcs != 0)
                if (i.arcs * (volts(y, i.a) - volts(y, i.b)) < si(c->arc) * (1 + 1e-4)) i.arcs = 0;
    }
    /// Open contacts that would stand more than the arc's volts arc; true when one does.
    bool strike(const double* y) {
        bool any = false;
        for (Item& i : items)
            if (const auto* c = std::get_if<Contact>(&i.law); c && !c->closed && i.arcs == 0) {
                const double v = volts(y, i.a) - volts(y, i.b);
                if (std::abs(v) > si(c->arc)) i.arcs = v > 0 ? 1 : -1, any = true;
            }
        return any;
    }

    double read(const Probe& probe, const double* y) {
        if (probe.kind == ProbeKind::voltage) {
            const auto node = [&](PointId p) { return network.node_of_point[static_cast<std::size_t>(p)]; };
            return volts(y, node(probe.red)) - volts(y, node(probe.black));
        }
        for (const Item& i : items) {
            if (i.part != probe.through || std::holds_alternative<RelayCoil>(i.law)) continue;
            if (probe.kind == ProbeKind::speed) return y[i.first + 1];
            TimeValue value;
            look(i.law, volts(y, i.a) - volts(y, i.b), y + i.first, value);
            return value.amps;
        }
        return 0;
    }
};

namespace {

int residual_door(realtype, N_Vector y, N_Vector dy, N_Vector f, void* user);
int jacobian_door(realtype, realtype cj, N_Vector y, N_Vector, N_Vector, SUNMatrix j, void* user, N_Vector,
                  N_Vector, N_Vector);

} // namespace

Ida::Ida(const Network& network, const SpinUpRequest& request)
    : inside_(std::make_unique<Inside>(network, request)) {}
Ida::~Ida() = default;

namespace {
// Ida::Inside is private: the doors get it as its two calls.
struct Calls {
    std::function<void(const double*, const double*, double*)> residual;
    std::function<void(const double*, double, SUNMatrix)> jacobian;
    std::function<void(const double*, double*)> roots;
};
int roots_door(realtype, N_Vector y, N_Vector, realtype* g, void* user) {
    static_cast<Calls*>(user)->roots(NV_DATA_S(y), g);
    return 0;
}
int residual_door(realtype, N_Vector y, N_Vector dy, N_Vector f, void* user) {
    static_cast<Calls*>(user)->residual(NV_DATA_S(y), NV_DATA_S(dy), NV_DATA_S(f));
    return 0;
}
int jacobian_door(realtype, realtype cj, N_Vector y, N_Vector, N_Vector, SUNMatrix j, void* user, N_Vector,
                  N_Vector, N_Vector) {
    static_cast<Calls*>(user)->jacobian(NV_DATA_S(y), cj, j);
    return 0;
}
} // namespace

IdaTrace Ida::run(const std::vector<Event>& events, const IdaTolerance& tolerance) {
    Inside& in = *inside_;
    for (Item& i : in.items) {
        i.arcs = 0;
        if (auto* contact = std::get_if<Contact>(&i.law)) contact->closed = false;
    }
    IdaTrace trace;
    const double duration = si(in.request.duration), every = si(in.request.every);
    const auto samples = static_cast<std::size_t>(duration / every * (1 + 1e-12)) + 1;
    trace.columns.resize(in.request.probes.size());

    N_Vector y = N_VNew_Serial(in.size, in.context), dy = N_VNew_Serial(in.size, in.context),
             id = N_VNew_Serial(in.size, in.context);
    for (int k = 0; k < in.size; ++k) NV_Ith_S(y, k) = in.first_y[static_cast<std::size_t>(k)];
    N_VConst(0, dy);
    in.find_stores(NV_DATA_S(y));
    for (int k = 0; k < in.size; ++k) NV_Ith_S(id, k) = in.stores[static_cast<std::size_t>(k)] > 0;
    Calls calls{[&](const double* a, const double* b, double* f) { in.residual(a, b, f); },
                [&](const double* a, double cj, SUNMatrix j) { in.jacobian(a, cj, j); },
                [&](const double* a, double* g) { in.roots(a, g); }};
    SUNMatrix matrix = SUNDenseMatrix(in.size, in.size, in.context);
    SUNLinearSolver solver = SUNLinSol_Dense(y, matrix, in.context);
    void* ida = IDACreate(in.context);
    must(IDAInit(ida, residual_door, 0, y, dy), "init");
    must(IDASetUserData(ida, &calls), "user");
    must(IDASStolerances(ida, tolerance.relative, tolerance.amps_volts), "tolerances");
    must(IDASetLinearSolver(ida, solver, matrix), "solver");
    must(IDASetJacFn(ida, jacobian_door), "jacobian");
    must(IDASetId(ida, id), "id");
    must(IDASetMaxNumSteps(ida, 10'000'000), "steps");
    must(IDARootInit(ida, in.contacts(), roots_door), "roots");
    must(IDASetErrHandlerFn(
             ida, [](int, const char*, const char*, char*, void*) {}, nullptr),
         "handler");

    double t = in.from_dead ? si(in.request.closing) : 0;
    std::size_t sample = 0, event = 0;
    const auto write = [&](bool zero) {
        for (std::size_t p = 0; p < trace.columns.size(); ++p)
            trace.columns[p].push_back(zero ? 0 : in.read(in.request.probes[p], NV_DATA_S(y)));
        ++sample;
    };
    while (static_cast<double>(sample) * every < t) write(true);
    bool ok = true, may_strike = true;
    while (ok && t < duration) {
        for (; event < events.size() && si(events[event].at) <= t + 1e-15; ++event)
            for (Item& i : in.items)
                if (auto* contact = std::get_if<Contact>(&i.law); contact && i.part == events[event].part) {
                    if (events[event].what == Happening::closes) contact->closed = true;
                    if (events[event].what == Happening::opens) contact->closed = false;
                    i.arcs = 0;
                }
        const double until = event < events.size() ? std::min(duration, si(events[event].at)) : duration;
        long before = 0;
        if (t > 0) IDAGetNumSteps(ida, &before);
        trace.steps += before;
        do {
            N_VConst(0, dy);
            must(IDAReInit(ida, t, y, dy), "again");
            IDASetMaxNumItersIC(ida, 200);
            IDASetMaxNumStepsIC(ida, 50);
            ok = IDACalcIC(ida, IDA_YA_YDP_INIT, t + std::min(1e-6, 0.5 * (until - t))) >= 0;
            must(IDAGetConsistentIC(ida, y, dy), "consistent");
        } while (ok && may_strike && in.strike(NV_DATA_S(y)));
        if (!ok) break;
        must(IDASetStopTime(ida, until), "stop");
        bool again = false; // an arc went out: on from there, and it stays out
        if (sample == 0) write(false);
        while (ok && !again && t < until) {
            const double due = static_cast<double>(sample) * every;
            const bool at_end = sample >= samples || due > until;
            realtype reached = t;
            const int went = IDASolve(ida, at_end ? until : due, &reached, y, dy, IDA_NORMAL);
            ok = went >= 0;
            t = reached;
            if (went == IDA_ROOT_RETURN) {
                in.put_out(NV_DATA_S(y));
                again = true;
            } else if (ok && !at_end) {
                write(false);
            }
            if (went == IDA_TSTOP_RETURN || t >= until) t = until;
        }
        may_strike = !again;
    }
    long last = 0;
    IDAGetNumSteps(ida, &last);
    trace.steps += last;
    while (ok && sample < samples) write(false);
    trace.done = ok;
    IDAFree(&ida);
    SUNLinSolFree(solver);
    SUNMatDestroy(matrix);
    N_VDestroy(y);
    N_VDestroy(dy);
    N_VDestroy(id);
    return trace;
}

} // namespace lostvolts::testing

#include "solver/study/cases.h"

#include <algorithm>
#include <cmath>
#include <memory>

#include <fmt/format.h>

#include "solver/locate/instruments.h"
#include "solver/locate/locate.h"
#include "solver/network/measure.h"
#include "solver/sizing/draw.h"
#include "solver/study/variant.h"
#include "solver/units/csv.h"
#include "solver/waveform/waveform.h"

namespace lostvolts {
namespace {

using Cells = std::vector<std::string>;

/// Which circuit and variant a case is of, and which of the variant's own cases it is.
struct Which {
    std::size_t circuit = 0;
    long variant = 0, inner = 0;
};

long inner_cases(const StudyOrder& o, const StudiedCircuit& c) {
    return o.kind == StudyKind::faults ? static_cast<long>(c.conditions.size()) * o.machines : 1;
}

Which which(const StudyOrder& o, long n) {
    Which w;
    for (; w.circuit < o.circuits.size(); ++w.circuit) {
        const long inner = inner_cases(o, o.circuits[w.circuit]), all = inner * o.variants;
        if (n < all) {
            w.variant = n / inner;
            w.inner = n % inner;
            return w;
        }
        n -= all;
    }
    return w;
}

template <class Q> std::string cell(const std::optional<Q>& q) { return q ? csv_number(si(*q)) : ""; }
template <class Q> std::string cell(const std::optional<Estimate<Q>>& e) {
    return e ? csv_number(si(e->value)) : "";
}

const Cells& columns_of(StudyKind kind) {
    static const Cells tolerances{"state",
                                  "load",
                                  "samples",
                                  "solved",
                                  "within_limit",
                                  "lost_p50_V",
                                  "lost_p95_V",
                                  "lost_p99_V",
                                  "lost_max_V",
                                  "worst_case_lost_V",
                                  "at_load_p50_V",
                                  "at_load_p99_V",
                                  "worst_case_at_load_V",
                                  "trouble"};
    static const Cells faults{"condition", "machine", "verdict", "found", "probability", "part",
                              "kind",      "value",   "low",     "high",  "trouble"};
    static const Cells captures{"samples",
                                "step_s",
                                "start_s",
                                "peak_current_A",
                                "stall_current_A",
                                "run_current_A",
                                "resting_voltage_V",
                                "sag_V",
                                "run_voltage_V",
                                "speed_rpm",
                                "bars",
                                "uneven_bars",
                                "bounces",
                                "upstream_ohm",
                                "downstream_ohm",
                                "motor_ohm",
                                "motor_constant_V_s",
                                "motor_time_constant_s",
                                "cautions",
                                "trouble"};
    return kind == StudyKind::tolerances ? tolerances : kind == StudyKind::faults ? faults : captures;
}

/// The reason at the end of a line that is otherwise empty.
Cells given_up(StudyKind kind, const Problems& problems) {
    Cells cells(columns_of(kind).size());
    cells.back() = problems.front().what;
    return cells;
}

// ---- tolerances ----

int first_running_state(const Circuit& c) {
    for (std::size_t s = 0; s < c.states.size(); ++s)
        if (c.states[s].locked.empty()) return static_cast<int>(s);
    return 0;
}

Cells tolerance_cells(const StudyOrder& o, const std::shared_ptr<const Circuit>& circuit) {
    StudyRequest request;
    request.state = o.state.empty() ? first_running_state(*circuit) : find_state(*circuit, o.state);
    request.load = o.load.empty() ? none : find_part(*circuit, o.load);
    request.samples = o.samples;
    request.seed = o.seed;
    request.limit = o.limit.value_or(circuit->limits.drops.whole_loop);
    request.coldest = o.coldest;
    request.warmest = o.warmest;
    const auto s = study_tolerances(analyse(circuit), request);
    if (!s) return given_up(o.kind, s.problems());
    return {circuit->states[static_cast<std::size_t>(s->request.state)].name,
            part_name(*circuit, s->request.load),
            std::to_string(s->request.samples),
            std::to_string(s->solved),
            csv_number(s->within_limit),
            csv_number(s->drop.p50),
            csv_number(s->drop.p95),
            csv_number(s->drop.p99),
            csv_number(s->drop.max),
            csv_number(s->worst_case_drop),
            csv_number(s->at_load.p50),
            csv_number(s->at_load.p99),
            csv_number(s->worst_case_at_load),
            ""};
}

// ---- faults ----

/// What the meters of the template show on one machine with these faults.
Result<Readings> taken_on(const StudyOrder& o, const Readings& where,
                          const std::shared_ptr<const Circuit>& circuit, const std::vector<Fault>& faults,
                          std::uint64_t machine) {
    const Network network = analyse(circuit);
    const Strays strays = strays_of_machines(*circuit);
    Draw draw;
    draw_sample(strays, o.seed, machine, draw);
    Readings job = where;
    job.circuit = *circuit;
    Workspace work;
    for (std::size_t k = 0; k < job.readings.size(); ++k) {
        Reading& reading = job.readings[k];
        Setup setup = set_up(network, reading.state);
        put_draw(strays, draw, setup);
        for (const Fault& fault : faults) add_fault(network, setup, fault);
        Operating at;
        if (const auto problem = operate(network, setup, work, at)) return *problem;
        const Probe probe = probe_of(job, reading);
        const double truth = read_probes(network, setup, at, work, std::span(&probe, 1)).front();
        const Meter meter =
            reading.meter == none ? Meter{} : job.meters[static_cast<std::size_t>(reading.meter)];
        const double half =
            meter.accuracy.share * std::abs(truth) + meter.accuracy.counts * reading.resolution;
        const double off = truth + (2 * counted_share(o.seed, machine, k) - 1) * half;
        reading.value =
            reading.resolution > 0 ? reading.resolution * std::round(off / reading.resolution) : off;
    }
    return job;
}

/// Whether the first suspect is just what is wrong: the same parts, each with a fault of the same kind.
bool is_right(const Suspect& suspect, const std::vector<Fault>& faults) {
    if (suspect.unmodelled || suspect.faults.size() != faults.size()) return false;
    return std::all_of(faults.begin(), faults.end(), [&](const Fault& f) {
        return std::any_of(suspect.faults.begin(), suspect.faults.end(), [&](const FoundFault& found) {
            return found.part == f.part && found.kind == f.kind;
        });
    });
}

Cells fault_cells(const StudyOrder& o, const Which& w, const std::shared_ptr<const Circuit>& circuit) {
    const StudiedCircuit& drawn = o.circuits[w.circuit];
    const int condition = drawn.conditions[static_cast<std::size_t>(w.inner / o.machines)];
    const long machine = w.inner % o.machines;
    const std::vector<Fault> faults = condition == none
                                          ? std::vector<Fault>{}
                                          : circuit->conditions[static_cast<std::size_t>(condition)].faults;
    const auto named = [&](Cells cells) {
        cells[0] =
            condition == none ? "healthy" : circuit->conditions[static_cast<std::size_t>(condition)].name;
        cells[1] = std::to_string(machine + 1);
        return cells;
    };
    const auto number = static_cast<std::uint64_t>(w.variant * o.machines + machine);
    const auto job = taken_on(o, *drawn.readings, circuit, faults, number);
    if (!job) return named(given_up(o.kind, job.problems()));
    const auto found = locate(*job, AtMost::two, Advising::no);
    if (!found) return named(given_up(o.kind, found.problems()));
    const Suspect& first = found->suspects.front();
    Cells cells{"", "", std::string(name_of(found->verdict)), is_right(first, faults) ? "1" : "0",
                csv_number(first.probability)};
    cells.resize(columns_of(o.kind).size());
    if (first.unmodelled) cells[6] = "not modelled";
    if (first.faults.empty()) return named(std::move(cells));
    const FoundFault& f = first.faults.front();
    cells[5] = part_name(*circuit, f.part);
    cells[6] = name_of(f.kind);
    if (size_of(f.kind) != FaultSize::none) {
        cells[7] = csv_number(f.value);
        cells[8] = csv_number(f.low);
        cells[9] = csv_number(f.high);
    }
    return named(std::move(cells));
}

// ---- captures ----

Cells capture_cells(const StudyOrder& o, const std::string& file) {
    const auto capture = read_capture(file, o.reading);
    if (!capture) return given_up(o.kind, capture.problems());
    WaveformOptions options;
    options.bars = o.bars;
    const auto w = analyse(*capture, options);
    if (!w) return given_up(o.kind, w.problems());
    return {std::to_string(w->samples),
            csv_number(si(w->step)),
            cell(w->start),
            cell(w->peak_current),
            cell(w->stall_current),
            cell(w->run_current),
            cell(w->resting_voltage),
            cell(w->sag),
            cell(w->run_voltage),
            w->speed ? csv_number(si(*w->speed) * rpm_per_si) : "",
            w->bars ? std::to_string(*w->bars) : "",
            std::to_string(w->uneven_bars.size()),
            std::to_string(w->bounces.size()),
            cell(w->upstream),
            cell(w->downstream),
            cell(w->motor.resistance),
            cell(w->motor.constant),
            cell(w->motor.time_constant),
            std::to_string(w->cautions.size()),
            ""};
}

} // namespace

long count_cases(const StudyOrder& o) {
    if (o.kind == StudyKind::captures) return static_cast<long>(o.captures.size());
    long all = 0;
    for (const StudiedCircuit& c : o.circuits) all += inner_cases(o, c) * o.variants;
    return all;
}

std::string heading(const StudyOrder& o) {
    Cells cells{"case", o.kind == StudyKind::captures ? "file" : "circuit"};
    for (const Vary& v : o.vary) cells.push_back(v.part.empty() ? v.key : v.part + ": " + v.key);
    const Cells& own = columns_of(o.kind);
    cells.insert(cells.end(), own.begin(), own.end());
    return csv_line(cells);
}

std::string line_of_case(const StudyOrder& o, long n) {
    Cells cells{std::to_string(n + 1)}, own;
    if (o.kind == StudyKind::captures) {
        const std::string& file = o.captures[static_cast<std::size_t>(n)];
        cells.push_back(file);
        own = capture_cells(o, file);
    } else {
        const Which w = which(o, n);
        const StudiedCircuit& drawn = o.circuits[w.circuit];
        const Cells values = values_of(o, w.variant);
        cells.push_back(drawn.file);
        cells.insert(cells.end(), values.begin(), values.end());
        auto circuit = with_values(drawn, o.vary, values);
        if (!circuit) {
            own = given_up(o.kind, circuit.problems());
        } else {
            const auto shared = std::make_shared<const Circuit>(*std::move(circuit));
            own = o.kind == StudyKind::faults ? fault_cells(o, w, shared) : tolerance_cells(o, shared);
        }
    }
    cells.insert(cells.end(), own.begin(), own.end());
    return csv_line(cells);
}

long cases_in_a_block(const StudyOrder& o) { return o.kind == StudyKind::captures ? 1 : 8; }

long count_blocks(const StudyOrder& o) {
    const long size = cases_in_a_block(o);
    return (count_cases(o) + size - 1) / size;
}

std::string lines_of_block(const StudyOrder& o, long block) {
    const long size = cases_in_a_block(o), end = std::min((block + 1) * size, count_cases(o));
    std::string lines;
    for (long n = block * size; n < end; ++n) lines += line_of_case(o, n);
    return lines;
}

} // namespace lostvolts

#include "solver/spinup/spinup.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "solver/spinup/digest.h"
#include "solver/spinup/instrument.h"

namespace lostvolts {
namespace {

constexpr double most_samples = 2e8;

/// Fills the columns while the run goes by.
struct Recorder {
    const Model& model;
    double every, duration;
    std::vector<Reader> readers;
    SpinUp& out;
    std::size_t samples;

    Recorder(const Network& network, const SpinUpRequest& request, const Model& m, SpinUp& to)
        : model(m), every(si(request.every)), duration(si(request.duration)), out(to),
          samples(request.probes.empty() ? 0 : static_cast<std::size_t>(duration / every * (1 + 1e-12)) + 1) {
        for (const Probe& p : request.probes) readers.push_back(reader_of(network, model, p));
        out.seconds.reserve(samples);
        out.columns.resize(readers.size());
        for (auto& c : out.columns) c.reserve(samples);
        if (model.from_dead) // nothing flows until the sources come on
            while (out.seconds.size() < samples && due() < si(request.closing))
                row([](const Reader&) { return 0.0; });
    }

    double due() const { return static_cast<double>(out.seconds.size()) * every; }

    template <class Value> void row(const Value& value) {
        out.seconds.push_back(due());
        for (std::size_t r = 0; r < readers.size(); ++r) out.columns[r].push_back(value(readers[r]));
    }

    void take(const Step& step) {
        const double until = step.from + step.share * step.length;
        const bool last = until >= duration;
        while (out.seconds.size() < samples && (due() < until || last)) {
            const double s = std::clamp((due() - step.from) / step.length, 0.0, step.share);
            row([&](const Reader& r) { return read(r, model, step, s); });
        }
    }
};

} // namespace

Problems check_request(const Circuit& c, const SpinUpRequest& r) {
    Problems problems;
    const auto wrong = [&](std::string what, std::string write) {
        problems.push_back({c.file, {}, std::move(what), std::move(write), ""});
    };
    if (!(si(r.duration) > 0)) wrong("a start needs a duration", "for example 0.5 s");
    if (si(r.closing) < 0)
        wrong("the contacts close before the start begins", "a closing time of 0 s or more");
    if (!(si(r.every) > 0) || si(r.duration) / si(r.every) > most_samples)
        wrong("that is no interval for samples, or too many of them", "for example every 0.1 ms");
    if (!(r.tolerance >= 1e-10 && r.tolerance <= 0.01))
        wrong("the tolerance is outside 1e-10 … 0.01", "for example 1e-4");
    for (const Course& course : r.courses) {
        bool right = course.at.size() == course.emf.size() && !course.at.empty() &&
                     std::is_sorted(course.at.begin(), course.at.end());
        for (std::size_t k = 1; k < course.at.size(); ++k) right = right && course.at[k - 1] < course.at[k];
        if (!right) wrong("the course of a battery's emf needs instants in order, each with its volts", "");
    }
    for (const BadBarOf& b : r.bad_bars) {
        const auto* motor = std::get_if<Motor<>>(&c.parts[static_cast<std::size_t>(b.motor)].law);
        if (!motor || b.bar.bar < 0 || b.bar.bar >= motor->settings.bars)
            wrong(fmt::format("\"{}\" has no commutator bar {}",
                              c.parts[static_cast<std::size_t>(b.motor)].name, b.bar.bar + 1),
                  "give the motor its bars in the circuit, for example bars = 8");
    }
    return problems;
}

std::string_view name_of(Happening what) {
    switch (what) {
    case Happening::closes:
        return "closes";
    case Happening::opens:
        return "opens";
    case Happening::pulls_in:
        return "pulls in";
    case Happening::drops_out:
        return "drops out";
    case Happening::breaks:
        return "fault comes";
    case Happening::sources_on:
        return "sources come on";
    }
    return "";
}

Result<SpinUp> spin_up(const Network& network, const SpinUpRequest& request) {
    if (Problems wrong = check_request(*network.circuit, request); !wrong.empty()) return wrong;
    Workspace work;
    auto model = build_model(network, request, work);
    if (!model) return model.problems();

    SpinUp out;
    Recorder recorder(network, request, *model, out);
    std::optional<Digest> digest;
    if (request.account)
        digest.emplace(network, set_up(network, request.state, request.faults), request, *model);
    RunCount count;
    const Watch watch = [&](const Step& step) {
        recorder.take(step);
        if (digest) digest->take(step);
    };
    if (auto problem = run_model(network, request, *model, watch, out.events, count))
        return *std::move(problem);
    out.steps = count.steps;
    out.rejected = count.rejected;
    out.bars = count.bars;
    if (digest) digest->finish(out);

    for (std::size_t r = 0; r < request.probes.size(); ++r) {
        const auto meter = [&](const auto& i) {
            measure(out.columns[r], si(request.every),
                    {si(i.offset), si(i.noise), si(i.resolution), si(i.lag)}, request.noise_seed + r);
        };
        if (request.probes[r].kind == ProbeKind::voltage) meter(request.voltmeter);
        if (request.probes[r].kind == ProbeKind::current) meter(request.clamp);
    }
    return out;
}

} // namespace lostvolts

// The doors that take text: values, circuits, readings, kept jobs' files.

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <cstdlib>

#include "solver/circuit/read.h"
#include "solver/circuit/walk.h"
#include "solver/locate/readings.h"
#include "solver/network/predict.h"
#include "solver/records/records.h"
#include "solver/units/text.h"
#include "tests/command/folder.h"
#include "tests/fuzz/readers.h"

namespace lostvolts::fuzz {

void must(bool holds, std::string_view what) {
    if (holds) return;
    std::fprintf(stderr, "must hold: %.*s\n", static_cast<int>(what.size()), what.data());
    std::abort();
}

namespace {

/// A message has words, and its place lies within the text that it speaks of.
void must_be_sound(const Problems& problems, std::string_view text) {
    must(!problems.empty(), "a refusal says why");
    const auto lines = 1 + static_cast<int>(std::count(text.begin(), text.end(), '\n'));
    for (const Problem& p : problems) {
        must(!p.what.empty(), "a problem says what is wrong");
        must(p.place.line >= 0 && p.place.column >= 0, "a place is no negative number");
        must(p.place.line <= lines + 1, "a place lies within the file");
        must(!describe(p).empty(), "a problem can be told");
    }
}

template <class Q> void feed_value(std::string_view text) {
    const auto parsed = read_quantity<Q>(text);
    if (const Q* value = std::get_if<Q>(&parsed)) {
        must(std::isfinite(si(*value)), "a value that was read is finite");
        const auto again = read_quantity<Q>(write_quantity(*value));
        const Q* same = std::get_if<Q>(&again);
        must(same && std::bit_cast<std::uint64_t>(si(*same)) == std::bit_cast<std::uint64_t>(si(*value)),
             "a value written reads back bit for bit");
        must(!show(*value).empty(), "a value shows");
    } else {
        must(!std::get<ValueError>(parsed).what.empty(), "a refused value says why");
    }
}

} // namespace

void feed_values(std::string_view text) {
    feed_value<Voltage<>>(text);
    feed_value<Current<>>(text);
    feed_value<Resistance<>>(text);
    feed_value<Power<>>(text);
    feed_value<Length<>>(text);
    feed_value<Area<>>(text);
    feed_value<Temperature<>>(text);
    feed_value<Time<>>(text);
    feed_value<Speed<>>(text);
    feed_value<Torque<>>(text);
    feed_value<Inertia<>>(text);
    feed_value<MotorConstant<>>(text);
    feed_value<Ratio<>>(text);
    const auto size = read_wire_size(text);
    if (const auto* wire = std::get_if<WireSize>(&size)) {
        const auto again = read_wire_size(write_wire_size(*wire));
        const auto* same = std::get_if<WireSize>(&again);
        must(same && same->gauge == wire->gauge && si(same->area) == si(wire->area),
             "a wire size written reads back the same");
    }
    const auto accuracy = read_accuracy(text);
    if (const auto* meter = std::get_if<Accuracy>(&accuracy))
        must(meter->share >= 0 && meter->counts >= 0, "an accuracy is no negative number");
}

void feed_circuit(std::string_view text) {
    auto circuit = read_circuit_text(text, "circuit.toml");
    if (!circuit) return must_be_sound(circuit.problems(), text);
    must(!circuit->states.empty(), "a circuit has a state");
    if (!review(*circuit).errors.empty()) return;
    const Network network = analyse(std::make_shared<const Circuit>(*std::move(circuit)));
    Workspace work;
    for (int state = 0; state < static_cast<int>(network.circuit->states.size()); ++state) {
        const auto at = predict_state(network, state, {}, work);
        if (!at) {
            must_be_sound(at.problems(), text);
            continue;
        }
        double largest = 1; // an ampere: 12 V through ten micro-ohms leave rounding of 0.3 nA
        for (const PartResult& part : at->parts) {
            must(std::isfinite(si(part.current)) && std::isfinite(si(part.drop)),
                 "what is predicted is finite");
            largest = std::max(largest, std::abs(si(part.current)));
        }
        must(std::abs(si(at->leftover)) <= 1e-9 * largest, "Kirchhoff's current law holds");
    }
}

void feed_walk(std::string_view text) {
    const auto walked = circuit_of_walk(text, "walk.txt", "Walk");
    if (!walked) return must_be_sound(walked.problems(), text);
    const auto again = read_circuit_text(walked->toml, "circuit.toml");
    must(static_cast<bool>(again), "the file that is made of a walk can be read");
    must(again->parts.size() == walked->circuit.parts.size(), "and has the same parts");
    must(!again->states.empty(), "and a state to measure in");
}

void feed_readings(std::string_view text) {
    static const Circuit circuit = *read_circuit(LOSTVOLTS_SOURCE "/circuits/orchard_sprayer/circuit.toml");
    const auto readings = read_readings_text(text, "readings.toml", circuit);
    if (!readings) return must_be_sound(readings.problems(), text);
    for (const Reading& r : readings->readings) {
        must(std::isfinite(r.value), "a reading is finite");
        must(r.state >= 0 && r.state < static_cast<int>(circuit.states.size()), "a reading's state exists");
        must(between_two_points(r.quantity) ? r.red >= 0 && r.black >= 0 : r.through >= 0,
             "a reading says where it was taken");
    }
}

void feed_kept_job(std::string_view text) {
    const auto job = read_job(text, job_file);
    if (job) {
        const auto again = read_job(write_job(*job), job_file);
        must(static_cast<bool>(again), "a job that was read can be written and read");
        must(write_job(*again) == write_job(*job), "a job written twice is the same");
    } else {
        must_be_sound(job.problems(), text);
    }
    const command_tests::Folder folder;
    const std::string store = folder.path("store");
    if (!make_store(store)) return;
    std::filesystem::create_directories(store + "/jobs/one");
    folder.write("store/jobs/one/job.toml", text);
    const auto rebuilt = rebuild_index(store);
    must(static_cast<bool>(rebuilt), "an index can be made over any folder");
    must(static_cast<bool>(find_jobs(store, {})), "the kept jobs can be listed");
}

} // namespace lostvolts::fuzz

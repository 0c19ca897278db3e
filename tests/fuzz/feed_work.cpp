// The doors behind which more is done: captures, whole command lines, and `locate` from bytes.

#include <algorithm>
#include <cmath>
#include <filesystem>

#include "solver/circuit/read.h"
#include "solver/locate/locate.h"
#include "solver/waveform/waveform.h"
#include "tests/command/folder.h"
#include "tests/fuzz/readers.h"
#include "viewer/command/command.h"

namespace lostvolts::fuzz {
namespace {

constexpr std::string_view cut = "\n%%\n";
// Beyond these an answer takes longer than a fuzzer should wait; nothing in the code changes there.
constexpr std::size_t most_parts = 8, most_readings = 5, most_states = 4;

/// A folder with a small circuit and readings that the command lines run in; gone when the program ends.
class Place {
  public:
    Place() {
        folder_.write("circuit.toml", small_circuit());
        folder_.write("walk.txt", seeds("walk").front());
        folder_.write("notes.txt", "12.5 V battery + in run # cold\n24 A winch in stall\ndim winch -\n");
        folder_.write("readings.toml", small_readings());
        std::filesystem::current_path(folder_.path("."));
    }
    std::string jobs() const { return folder_.path("jobs"); }

  private:
    command_tests::Folder folder_;
};

void must_be_finite(const std::optional<Current<>>& amps) {
    must(!amps || std::isfinite(si(*amps)), "what a capture tells is finite");
}
template <class Q> void must_be_ordered(const std::optional<Estimate<Q>>& e) {
    if (!e) return;
    must(si(e->low) <= si(e->value) && si(e->value) <= si(e->high), "an estimate lies in its interval");
}

} // namespace

void feed_capture(std::string_view bytes) {
    const auto capture = read_capture_text(bytes, "capture.csv");
    if (!capture) return must(!capture.problems().empty(), "a refused capture says why");
    must(capture->step_seconds > 0, "time goes forward");
    must(capture->volts.empty() || capture->amps.empty() || capture->volts.size() == capture->amps.size(),
         "both channels are as long");
    const auto told = analyse(*capture);
    if (!told) return;
    must_be_finite(told->peak_current);
    must_be_finite(told->run_current);
    must_be_ordered(told->upstream);
    must_be_ordered(told->downstream);
    must_be_ordered(told->stall_current);
}

void feed_words(std::string_view bytes) {
    static const Place place;
    std::vector<std::string> words(1);
    for (const char c : bytes) {
        if (c == '\n')
            words.emplace_back();
        else if (c != '/' && c != '\0')
            words.back() += c; // without it no word leads out of the folder
    }
    if (words.size() > 12) return;
    // A study or a long start is as long as it was asked for.
    for (const std::string& word : words)
        if (word.starts_with("--study") || word.starts_with("--for") || word.starts_with("--times")) return;
    Screen screen;
    screen.kept_jobs = place.jobs();
    const Answer answer = run(words, screen);
    must(answer.code >= exit_done && answer.code <= exit_no_solution, "the exit code is one of four");
    must(answer.code != exit_bad_input || !answer.err.empty(), "bad input is told");
    must(!answer.err.starts_with("lostvolts: a slip"), "no slip of the program's own"); // words are echoed
}

void feed_locate(std::string_view bytes) {
    const std::size_t at = bytes.find(cut);
    if (at == std::string_view::npos) return;
    auto circuit = read_circuit_text(bytes.substr(0, at), "circuit.toml");
    if (!circuit || !review(*circuit).errors.empty()) return;
    if (circuit->parts.size() > most_parts || circuit->states.size() > most_states) return;
    const auto readings =
        read_readings_text(bytes.substr(at + cut.size()), "readings.toml", *std::move(circuit));
    if (!readings || readings->readings.size() > most_readings) return;
    const auto found = locate(*readings);
    if (!found) return must(!found.problems().empty(), "a refusal says why");
    double sum = 0, last = 1;
    for (const Suspect& s : found->suspects) {
        must(s.probability >= 0 && s.probability <= 1, "a probability lies between 0 and 1");
        must(s.probability <= last + 1e-12, "suspects stand by falling probability");
        sum += last = s.probability;
        for (const FoundFault& f : s.faults) must(f.low <= f.high, "a size lies in its interval");
    }
    must(std::abs(sum - 1) < 1e-9, "the probabilities sum to 1");
}

} // namespace lostvolts::fuzz

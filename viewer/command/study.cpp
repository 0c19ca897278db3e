// lostvolts study ORDER: thousands of variants of a harness, or a folder of recorded starts, into a table.
#include <memory>
#include <thread>

#include <fmt/format.h>

#include "solver/study/cases.h"
#include "solver/study/ledger.h"
#include "viewer/command/commands.h"
#include "viewer/command/options.h"
#include "viewer/command/problems.h"
#include "viewer/command/study_text.h"
#include "viewer/command/style.h"

namespace lostvolts {
namespace {

struct Options {
    std::string file, output;
    int threads = 0;
    bool anew = false, look = false, json = false;
};

Answer study(const Options& o, const Screen& screen) {
    if (screen.launched && !screen.crew) {
        Answer answer;
        answer.for_a_crew = true;
        return answer;
    }
    if (o.threads < 0 || o.threads > 256)
        return refuse(exit_bad_input, {{"", {}, "study: --threads takes 1 to 256", "write --threads 2", ""}},
                      o.json);
    const auto order = read_order(o.file, o.output);
    if (!order) return refuse(exit_bad_input, order.problems(), o.json);
    Json json{{"order", o.file},
              {"study", name_of(order->kind)},
              {"output", order->output.string()},
              {"cases", count_cases(*order)},
              {"taken_up", 0},
              {"finished", false}};
    Answer answer;
    if (o.look) {
        answer.out = o.json ? written(json) : wrapped(said(*order) + '.', screen.columns) + '\n';
        return answer;
    }
    auto ledger = Ledger::open(*order, o.anew);
    if (!ledger) return refuse(exit_bad_input, ledger.problems(), o.json);
    const int threads =
        o.threads > 0 ? o.threads : std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
    const Crew crew = screen.crew ? screen.crew : threads_crew(threads);
    auto trouble = crew(*order, *ledger);
    if (!trouble) trouble = ledger->finish();
    if (trouble) return refuse(exit_bad_input, {*trouble}, o.json);
    const long before = std::min(ledger->taken_up() * cases_in_a_block(*order), count_cases(*order));
    json["taken_up"] = before;
    json["finished"] = true;
    if (o.json) {
        answer.out = written(json);
    } else {
        std::string text = said(*order) + '.';
        if (before > 0) text += fmt::format(" {} were done before.", before);
        text += fmt::format(" The table is in {}.", order->output.string());
        answer.out = wrapped(text, screen.columns) + '\n';
    }
    return answer;
}

} // namespace

Command add_study(CLI::App& program) {
    auto o = std::make_shared<Options>();
    CLI::App& app = add_command(
        program, "study", "thousands of variants of a circuit, or a folder of recorded starts, into a table");
    add_file(app, "ORDER", o->file, FileUse::read,
             "what to work through: a file like those in circuits/orchard_sprayer/study_feed.toml", "",
             Needed::yes);
    add_file(app, "-o,--output", o->output, FileUse::replaced,
             "the table, as CSV; without it, the file that the order says", "FILE");
    add_option(app, "--threads", o->threads, "without it, one a core; the table is the same", "N");
    add_flag(app, "--look", o->look, "only read the order: is it right, and how much is it?");
    add_flag(app, "--anew", o->anew,
             "throw away what an earlier run of another order has left beside the table");
    add_flag(app, "--json", o->json, "answer as JSON");
    add_footer(
        app,
        "Example: lostvolts study study_feed.toml   or, on several machines: mpirun -n 8 lostvolts study "
        "study_feed.toml");
    return {&app, [o](const Screen& screen) { return study(*o, screen); }};
}

} // namespace lostvolts

// lostvolts practice CIRCUIT: a hidden fault to find with the fewest minutes, in a conversation over standard
// input, a line a request. Requests that can't be understood cost nothing.

#include <memory>

#include <fmt/format.h>

#include "solver/circuit/read.h"
#include "solver/lesson/request.h"
#include "viewer/command/class_results.h"
#include "viewer/command/commands.h"
#include "viewer/command/files.h"
#include "viewer/command/options.h"
#include "viewer/command/practice_text.h"
#include "viewer/command/problems.h"
#include "viewer/command/style.h"

namespace lostvolts {
namespace {

struct Options {
    std::string file, results, student;
    std::uint64_t seed = 1;
    bool json = false;
};

/// The game as it is talked: what has been said since the last line was read, and where it stands.
class Conversation {
  public:
    Conversation(Game& game, const Screen& screen, bool quiet)
        : game_(game), screen_(screen), quiet_(quiet), state_(first_state(*game.circuit)) {}

    Named until_named() {
        say(opening_text(game_, screen_.columns));
        while (const auto line = next_line()) {
            if (!quiet_ && !screen_.typed) say("> " + *line + '\n'); // a script's lines are not on the screen
            const auto request = read_request(*game_.circuit, state_, *line);
            if (!request) {
                tell(request.problems());
            } else if (const auto* named = std::get_if<Named>(&*request)) {
                return *named;
            } else if (const auto* prospect = std::get_if<Prospect>(&*request)) {
                take(*prospect);
            } else if (std::get<Wish>(*request) == Wish::quit) {
                return {};
            } else {
                grant(std::get<Wish>(*request));
            }
        }
        return {};
    }

    std::string rest() { return std::move(said_); }
    const Problems& problems() const { return problems_; }

  private:
    void say(const std::string& text) {
        if (!quiet_) said_ += text;
    }
    void tell(const Problems& problems) {
        for (const Problem& p : problems) {
            say(wrapped(p.what, screen_.columns, 2, 4) + '\n');
            if (!p.write.empty()) say(wrapped(p.write, screen_.columns, 4, 6) + '\n');
        }
        problems_.insert(problems_.end(), problems.begin(), problems.end());
    }
    std::optional<std::string> next_line() {
        if (!screen_.next_line) return std::nullopt;
        std::string said = screen_.typed && !quiet_ ? said_ + "> " : said_;
        said_.clear();
        return screen_.next_line(finish(said, screen_.colour));
    }
    void take(const Prospect& prospect) {
        const auto taken = ask(game_, prospect);
        if (!taken) return tell(taken.problems());
        state_ = prospect.state;
        say(taken_text(game_, *taken, screen_.columns));
    }
    void grant(Wish wish) {
        const Circuit& c = *game_.circuit;
        const int columns = screen_.columns;
        switch (wish) {
        case Wish::help:
            return say(practice_help(columns));
        case Wish::points:
            return say(points_text(c, columns));
        case Wish::states:
            return say(states_text(c, columns));
        case Wish::parts:
            return say(parts_text(c, columns));
        case Wish::log:
            return say(log_text(game_, columns));
        case Wish::complaint:
            return say(complaint_text(game_, columns));
        case Wish::nothing:
        case Wish::quit:
            return;
        }
    }

    Game& game_;
    const Screen& screen_;
    bool quiet_;
    int state_;
    std::string said_;
    Problems problems_;
};

Answer practice(const Options& o, const Screen& screen) {
    auto read = open_circuit(o.file, "practice");
    if (!read) return refuse(exit_bad_input, read.problems(), o.json);
    if (const Problems errors = review(*read).errors; !errors.empty())
        return refuse(exit_bad_input, errors, o.json);
    if (!o.results.empty() && o.student.empty())
        return refuse(exit_bad_input,
                      {{{}, {}, "--results needs to know whose they are", "add  --student NAME", {}}},
                      o.json);
    if (!o.results.empty())
        if (const auto problem = no_place_for_results(o.results))
            return refuse(exit_bad_input, {*problem}, o.json);
    auto game = start_game(*read, o.seed);
    if (!game) return refuse(exit_no_solution, game.problems(), o.json);

    Conversation talk(*game, screen, o.json);
    const Named named = talk.until_named();
    const Score result = score(*game, named);
    Answer answer;
    if (o.json) {
        Json json = json_of(*game, result);
        json["problems"] = json_of(talk.problems());
        answer.out = written(json);
    } else {
        answer.out = talk.rest() + closing_text(*game, result, screen.columns);
    }
    if (o.results.empty()) return answer;
    const auto kept = append_result(o.results, result_line(*game, result, o.student, now_text()));
    if (!kept) {
        answer.code = exit_bad_input;
        answer.err = report_problems(kept.problems());
    }
    return answer;
}

} // namespace

Command add_practice(CLI::App& program) {
    auto o = std::make_shared<Options>();
    CLI::App& app = add_command(program, "practice", "a hidden fault to find with the fewest minutes");
    add_file(app, "CIRCUIT", o->file, FileUse::read, "the circuit's file", "", Needed::yes);
    add_option(app, "--seed", o->seed, "decides the fault, the machine and its meters (1)", "N");
    add_option(app, "--student", o->student, "whose game it is", "NAME");
    add_file(app, "--results", o->results, FileUse::added_to, "add the result as a line of this CSV file",
             "FILE");
    add_flag(app, "--json", o->json, "answer as JSON, once the game is over");
    add_footer(app,
               "Example: lostvolts practice circuit.toml --seed 7   then: volts battery + to pump + in run");
    return {&app, [o](const Screen& screen) { return practice(*o, screen); }};
}

} // namespace lostvolts

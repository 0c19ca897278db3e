// lostvolts predict CIRCUIT: current, voltage at each point, drop across each part, speed, power, against the
// limits, in every state or one.

#include <algorithm>
#include <memory>

#include <fmt/format.h>

#include "solver/circuit/names.h"
#include "solver/circuit/read.h"
#include "viewer/command/commands.h"
#include "viewer/command/files.h"
#include "viewer/command/options.h"
#include "viewer/command/predict_text.h"
#include "viewer/command/problems.h"
#include "viewer/command/style.h"
#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

struct Options {
    std::string file;
    std::vector<std::string> states;
    std::string condition;
    bool json = false;
    bool strict = false;
};

/// What was asked for, in the circuit's own indices.
struct Question {
    std::vector<int> states;
    int condition = none;
};

Result<Question> understand(const Circuit& circuit, const Options& options) {
    Question question;
    Problems problems;
    for (const std::string& name : options.states) {
        question.states.push_back(find_state(circuit, name));
        if (question.states.back() == none)
            problems.push_back(unknown_name("state", name, names_of(circuit.states), circuit.file));
    }
    if (options.states.empty())
        for (int s = 0; s < static_cast<int>(circuit.states.size()); ++s) question.states.push_back(s);
    if (!options.condition.empty()) {
        question.condition = find_condition(circuit, options.condition);
        if (question.condition == none)
            problems.push_back(
                unknown_name("condition", options.condition, names_of(circuit.conditions), circuit.file));
    }
    if (!problems.empty()) return problems;
    return question;
}

bool over_a_limit(const StatePrediction& s) {
    const auto over = [](const auto& r) { return r.over_limit; };
    return std::any_of(s.parts.begin(), s.parts.end(), over) ||
           std::any_of(s.loads.begin(), s.loads.end(), over) || !s.overloaded_fuses.empty();
}

std::string told(const Circuit& circuit, const Condition& condition) {
    std::string text = "with " + condition.name + ":";
    for (const Fault& f : condition.faults) {
        const std::string size = size_text(f.kind, f.size);
        text += fmt::format(" {}, {}{};", said(circuit.parts[static_cast<std::size_t>(f.part)]),
                            name_of(f.kind), size.empty() ? "" : " " + size);
    }
    text.pop_back();
    return text;
}

Json cautions_of(const Circuit& circuit, const std::vector<StatePrediction>& states) {
    Json list = Json::array();
    for (const StatePrediction& s : states)
        for (const PartId p : s.overloaded_fuses)
            list.push_back(fmt::format("state \"{}\": {} carries more than its rating",
                                       circuit.states[static_cast<std::size_t>(s.state)].name,
                                       said(circuit.parts[static_cast<std::size_t>(p)])));
    return list;
}

Answer predict(const Options& options, const Screen& screen) {
    auto read = open_circuit(options.file, "predict");
    if (!read) return refuse(exit_bad_input, read.problems(), options.json);
    const auto circuit = std::make_shared<const Circuit>(*std::move(read));
    if (const Problems errors = review(*circuit).errors; !errors.empty())
        return refuse(exit_bad_input, errors, options.json);
    const auto question = understand(*circuit, options);
    if (!question) return refuse(exit_bad_input, question.problems(), options.json);

    const Condition* condition = question->condition == none
                                     ? nullptr
                                     : &circuit->conditions[static_cast<std::size_t>(question->condition)];
    const Network network = analyse(circuit);
    Workspace work;
    std::vector<StatePrediction> states;
    Problems unsolved;
    for (const int state : question->states) {
        auto one = predict_state(network, state, condition ? condition->faults : std::vector<Fault>{}, work);
        if (!one) {
            unsolved.insert(unsolved.end(), one.problems().begin(), one.problems().end());
            continue;
        }
        states.push_back(*std::move(one));
    }

    Answer answer;
    if (options.json) {
        Json list = Json::array();
        for (const StatePrediction& s : states) list.push_back(json_of(*circuit, s));
        Json json{{"circuit", circuit->name}};
        if (condition) {
            json["condition"] = condition->name;
            json["faults"] = Json::array();
            for (const Fault& f : condition->faults) json["faults"].push_back(json_of(*circuit, f));
        }
        json["states"] = std::move(list);
        json["cautions"] = cautions_of(*circuit, states);
        if (!unsolved.empty()) json["problems"] = json_of(unsolved);
        answer.out = written(json);
    } else {
        answer.out = strong(circuit->name.empty() ? circuit->file : circuit->name) + '\n';
        if (condition) answer.out += wrapped(told(*circuit, *condition), screen.columns, 0, 2) + '\n';
        for (const StatePrediction& s : states)
            answer.out += '\n' + predict_text(*circuit, s, screen.columns);
    }
    if (!unsolved.empty()) {
        answer.code = exit_no_solution;
        answer.err = report_problems(unsolved);
    } else if (options.strict && std::any_of(states.begin(), states.end(), over_a_limit)) {
        answer.code = exit_finding;
    }
    return answer;
}

} // namespace

Command add_predict(CLI::App& program) {
    auto options = std::make_shared<Options>();
    CLI::App& app =
        add_command(program, "predict",
                    "current, voltage at each point, drop across each part, speed, power, against limits");
    add_file(app, "CIRCUIT", options->file, FileUse::read, "the circuit's file", "", Needed::yes);
    add_option(app, "--state", options->states, "this state only (may be given again); without it, every one",
               "STATE");
    add_option(app, "--condition", options->condition, "with the faults of this condition of the circuit",
               "CONDITION");
    add_flag(app, "--json", options->json, "answer as JSON");
    add_flag(app, "--strict", options->strict, "exit with 1 when something is over its limit");
    add_footer(app,
               "Example: lostvolts predict circuit.toml --state run --condition \"corroded pump ground\"");
    return {&app, [options](const Screen& screen) { return predict(*options, screen); }};
}

} // namespace lostvolts

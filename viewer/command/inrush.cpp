// lostvolts inrush CIRCUIT --state S --csv OUT: the start-up in time, as a capture and in a few numbers.

#include <filesystem>
#include <memory>

#include <fmt/format.h>

#include "solver/circuit/names.h"
#include "solver/circuit/read.h"
#include "solver/circuit/toml_file.h"
#include "viewer/command/commands.h"
#include "viewer/command/files.h"
#include "viewer/command/inrush_text.h"
#include "viewer/command/options.h"
#include "viewer/command/picture.h"
#include "viewer/command/problems.h"
#include "viewer/command/style.h"
#include "viewer/command/waveform_picture.h"
#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

struct Options {
    std::string file, state, condition, csv;
    std::vector<std::string> probes, bad_bars;
    std::string duration = "0.5 s", closing = "5 ms", every = "0.1 ms", closed_for;
    std::string bounce, longest = "1 ms", contact;
    int bounces = 0;
    std::uint64_t seed = 1;
    std::string noise_volts, noise_amps, offset_volts, offset_amps, lag;
    double tolerance = 1e-4;
    bool no_ripple = false, json = false, strict = false;
    PictureOptions picture;
};

Problem complaint(std::string what, std::string write) {
    return {"", {}, std::move(what), std::move(write), ""};
}

struct Question {
    SpinUpRequest request;
    std::vector<InrushColumn> columns;
    const Condition* condition = nullptr;
};

/// Words into the request; every mistake is kept.
struct Reader {
    const Circuit& circuit;
    const Options& o;
    Problems problems{};
    Question q{};

    template <class Q> Q value(std::string_view option, const std::string& text, Q otherwise) {
        if (text.empty()) return otherwise;
        const Parsed<Q> read = read_quantity<Q>(text);
        if (const auto* error = std::get_if<ValueError>(&read)) {
            problems.push_back(complaint(fmt::format("{} {}", option, error->what), error->write));
            return otherwise;
        }
        return std::get<Q>(read);
    }

    PartId part(std::string_view name) {
        const PartId p = find_part(circuit, name);
        if (p == none)
            problems.push_back(
                unknown_name("part", std::string(name), names_of(circuit.parts), circuit.file));
        return p;
    }

    void bounce() {
        SpinUpRequest& r = q.request;
        if (o.bounce.empty() && o.bounces == 0) return;
        Bounce b;
        if (!o.contact.empty()) b.contact = part(o.contact);
        if (o.bounce.empty()) {
            b.openings = random_bounce(o.bounces, value("--longest", o.longest, Time<>{}), o.seed);
        } else {
            std::vector<Time<>> lasts;
            std::size_t from = 0;
            while (from <= o.bounce.size()) {
                std::size_t to = o.bounce.find(',', from);
                if (to == std::string::npos) to = o.bounce.size();
                lasts.push_back(value("--bounce", o.bounce.substr(from, to - from), Time<>{}));
                from = to + 1;
            }
            b.openings = bounce_of(lasts);
        }
        r.bounce.push_back(std::move(b));
    }

    /// "rinse pump: 3: 0.4 ohm", "rinse pump: 3: open"; bars count from 1.
    void bad_bar(const std::string& words) {
        const std::size_t last = words.rfind(':'),
                          first = last == std::string::npos ? last : words.rfind(':', last - 1);
        if (first == std::string::npos || last == 0) {
            problems.push_back(complaint(
                fmt::format("--bad-bar \"{}\" doesn't name a motor, a bar and its resistance", words),
                "for example  --bad-bar \"rinse pump: 3: 0.4 ohm\"  or  \"rinse pump: 3: open\""));
            return;
        }
        const auto text = [&](std::size_t from, std::size_t to) {
            const std::size_t a = words.find_first_not_of(' ', from), b = words.find_last_not_of(' ', to - 1);
            return a >= to ? std::string() : words.substr(a, b - a + 1);
        };
        BadBarOf bad;
        bad.motor = part(text(0, first));
        if (bad.motor == none) return;
        const auto* motor = std::get_if<Motor<>>(&circuit.parts[static_cast<std::size_t>(bad.motor)].law);
        const std::string number = text(first + 1, last), size = text(last + 1, words.size());
        if (motor && !number.empty() && number.find_first_not_of("0123456789") == std::string::npos &&
            number.size() < 5)
            bad.bar.bar = std::stoi(number) - 1;
        else
            bad.bar.bar = -1;
        bad.bar.added = size == "open" && motor ? open_bar(*motor) : value("--bad-bar", size, Resistance<>{});
        q.request.bad_bars.push_back(bad);
    }

    Result<Question> all() {
        SpinUpRequest& r = q.request;
        if (!o.state.empty()) {
            r.state = find_state(circuit, o.state);
            if (r.state == none)
                problems.push_back(unknown_name("state", o.state, names_of(circuit.states), circuit.file));
        }
        if (!o.condition.empty()) {
            const int c = find_condition(circuit, o.condition);
            if (c == none)
                problems.push_back(
                    unknown_name("condition", o.condition, names_of(circuit.conditions), circuit.file));
            else
                q.condition = &circuit.conditions[static_cast<std::size_t>(c)];
        }
        if (q.condition) r.faults = q.condition->faults;
        r.duration = value("--duration", o.duration, r.duration);
        r.closing = value("--closing", o.closing, r.closing);
        r.every = value("--every", o.every, r.every);
        if (!o.closed_for.empty()) r.pulse = value("--closed-for", o.closed_for, Time<>{});
        r.ripple = !o.no_ripple;
        r.tolerance = o.tolerance;
        r.noise_seed = o.seed;
        r.voltmeter = {value("--offset-volts", o.offset_volts, Voltage<>{}),
                       value("--noise-volts", o.noise_volts, Voltage<>{}),
                       {},
                       value("--lag", o.lag, Time<>{})};
        r.clamp = {value("--offset-amps", o.offset_amps, Current<>{}),
                   value("--noise-amps", o.noise_amps, Current<>{}),
                   {},
                   value("--lag", o.lag, Time<>{})};
        bounce();
        for (const std::string& words : o.bad_bars) bad_bar(words);
        for (const std::string& words : o.probes) {
            auto column = read_probe(circuit, words);
            if (column)
                q.columns.push_back(*std::move(column));
            else
                problems.insert(problems.end(), column.problems().begin(), column.problems().end());
        }
        if (o.probes.empty()) q.columns = usual_probes(circuit);
        for (const InrushColumn& c : q.columns) r.probes.push_back(c.probe);
        if (!problems.empty()) return problems;
        return q;
    }
};

Answer inrush(const Options& o, const Screen& screen) {
    if (const Problems wrong = check_picture(o.picture); !wrong.empty())
        return refuse(exit_bad_input, wrong, o.json);
    auto read = open_circuit(o.file, "inrush");
    if (!read) return refuse(exit_bad_input, read.problems(), o.json);
    const auto circuit = std::make_shared<const Circuit>(*std::move(read));
    if (const Problems errors = review(*circuit).errors; !errors.empty())
        return refuse(exit_bad_input, errors, o.json);
    const auto question = Reader{*circuit, o}.all();
    if (!question) return refuse(exit_bad_input, question.problems(), o.json);
    if (const Problems wrong = check_request(*circuit, question->request); !wrong.empty())
        return refuse(exit_bad_input, wrong, o.json);
    const Network network = analyse(circuit);
    const auto run = spin_up(network, question->request);
    if (!run) return refuse(exit_no_solution, run.problems(), o.json);
    if (!o.csv.empty())
        if (const auto saved =
                replace_text_file(std::filesystem::path(o.csv), inrush_csv(*run, question->columns));
            !saved)
            return refuse(exit_bad_input, saved.problems(), o.json);

    if (o.picture.wanted()) {
        std::optional<SpinUp> sound;
        if (question->condition) {
            SpinUpRequest healthy = question->request;
            healthy.faults.clear();
            if (auto other = spin_up(network, healthy)) sound = *std::move(other);
        }
        TracesView view =
            traces_of(*run, question->columns, question->request.closing, sound ? &*sound : nullptr);
        view.title = circuit->name + ", start into \"" +
                     circuit->states[static_cast<std::size_t>(question->request.state)].name + "\"";
        if (question->condition) view.title += ", with " + question->condition->name;
        if (const auto saved = save(traces_figure(view), o.picture); !saved)
            return refuse(exit_bad_input, saved.problems(), o.json);
    }

    Answer answer;
    const std::string& state = circuit->states[static_cast<std::size_t>(question->request.state)].name;
    if (o.json) {
        Json json{{"circuit", circuit->name}, {"state", state}};
        if (question->condition) json["condition"] = question->condition->name;
        json["csv"] = o.csv.empty() ? Json() : Json(o.csv);
        json.update(json_of(*circuit, *run));
        answer.out = written(json);
    } else {
        answer.out = strong(circuit->name.empty() ? circuit->file : circuit->name) + '\n';
        answer.out += fmt::format("state \"{}\"{}\n\n", state,
                                  question->condition ? ", with " + question->condition->name : "");
        answer.out += inrush_text(*circuit, *run, screen.columns);
        if (!o.csv.empty())
            answer.out += wrapped(fmt::format("{} samples of {} probes are in {}.", run->seconds.size(),
                                              question->columns.size(), o.csv),
                                  screen.columns) +
                          '\n';
        if (o.picture.wanted()) answer.out += "The picture is in " + o.picture.file + ".\n";
    }
    if (o.strict && fuse_may_open(*run)) answer.code = exit_finding;
    return answer;
}

} // namespace

Command add_inrush(CLI::App& program) {
    auto o = std::make_shared<Options>();
    CLI::App& app = add_command(program, "inrush", "the start-up in time, as a capture");
    add_file(app, "CIRCUIT", o->file, FileUse::read, "the circuit's file", "", Needed::yes);
    add_option(app, "--state", o->state, "start into this state; without it, the first", "STATE");
    add_option(app, "--condition", o->condition, "with the faults of this condition of the circuit",
               "CONDITION");
    add_file(app, "--csv", o->csv, FileUse::replaced, "write the capture here", "OUT");
    add_option(
        app, "--probe", o->probes,
        "\"A: rinse pump\", \"V: pump + / pump -\" or \"rpm: rinse pump\" (may be given again); without "
        "it, motors and supply",
        "PROBE");
    add_option(app, "--duration", o->duration, "of the run; 0.5 s", "TIME");
    add_option(app, "--closing", o->closing, "when the contacts close; 5 ms", "TIME");
    add_option(app, "--closed-for", o->closed_for, "open the contacts again this long after", "TIME");
    add_option(app, "--every", o->every, "between samples; 0.1 ms", "TIME");
    add_option(app, "--bounces", o->bounces, "how often each closing contact opens again, at random lengths",
               "N", Between{0, 1000});
    add_option(app, "--longest", o->longest, "the longest a random bounce may be; 1 ms", "TIME");
    add_option(app, "--bounce", o->bounce, "bounces of these lengths instead: \"0.8 ms, 0.3 ms\"", "TIMES");
    add_option(app, "--contact", o->contact, "only this switch or relay bounces", "PART");
    add_option(app, "--seed", o->seed, "of random bounces and noise; 1", "N");
    add_option(app, "--bad-bar", o->bad_bars,
               "a commutator bar: \"rinse pump: 3: 0.4 ohm\" or \"rinse pump: 3: open\"", "BAR");
    add_flag(app, "--no-ripple", o->no_ripple, "without commutation");
    add_option(app, "--noise-volts", o->noise_volts, "standard deviation of the voltage channels", "VOLTS");
    add_option(app, "--noise-amps", o->noise_amps, "of the current clamp", "AMPS");
    add_option(app, "--offset-volts", o->offset_volts, "what the voltage channels read too much", "VOLTS");
    add_option(app, "--offset-amps", o->offset_amps, "what the clamp reads too much: its zero", "AMPS");
    add_option(app, "--lag", o->lag, "time constant of the instrument, 1/(2·pi·bandwidth)", "TIME");
    add_option(app, "--tolerance", o->tolerance,
               "largest error, as a share of each quantity's greatest; 1e-4", "SHARE");
    add_picture_options(app, o->picture);
    add_flag(app, "--json", o->json, "answer as JSON");
    add_flag(app, "--strict", o->strict, "exit with 1 when a fuse may open");
    add_footer(app, "Example: lostvolts inrush circuit.toml --state run --bounces 3 --csv start.csv");
    return {&app, [o](const Screen& screen) { return inrush(*o, screen); }};
}

} // namespace lostvolts

// lostvolts size CIRCUIT: wire sizes and fuses for the limits, a bill of material, the circuit's file with
// the new sizes, and with --study how far it all strays.
#include <algorithm>
#include <filesystem>
#include <memory>
#include <thread>

#include <fmt/format.h>

#include "solver/circuit/edit.h"
#include "solver/circuit/names.h"
#include "solver/circuit/read.h"
#include "solver/circuit/toml_file.h"
#include "viewer/command/commands.h"
#include "viewer/command/files.h"
#include "viewer/command/options.h"
#include "viewer/command/picture.h"
#include "viewer/command/problems.h"
#include "viewer/command/size_start.h"
#include "viewer/command/size_text.h"
#include "viewer/command/style.h"
#include "viewer/figures/cautions.h"
#include "viewer/figures/harness.h"

namespace lostvolts {
namespace {

namespace fs = std::filesystem;

struct Options {
    std::string file;
    std::vector<std::string> states, keep;
    std::string limit, marine, ambient, insulation, series, least, bill, write, load, coldest, warmest;
    int bundle = 1;
    int threads = 0;
    long study = 0;
    std::uint64_t seed = 1;
    bool json = false, strict = false, no_starts = false;
    PictureOptions picture;
};

/// What was asked for, in the circuit's own indices.
struct Question {
    SizingRequest sizing;
    StudyRequest study;
};

/// The words after the options, turned into quantities; what is wrong is collected.
struct Reader {
    const Circuit& circuit;
    Problems problems;

    void wrong(const std::string& option, std::string what, std::string write) {
        problems.push_back({"", {}, fmt::format("size: {} {}", option, what), std::move(write), ""});
    }
    template <class Q> std::optional<Q> value(const std::string& option, const std::string& text) {
        if (text.empty()) return std::nullopt;
        const Parsed<Q> read = read_quantity<Q>(text);
        if (const auto* error = std::get_if<ValueError>(&read))
            return wrong(option, error->what, error->write), std::nullopt;
        return std::get<Q>(read);
    }
    template <class Named>
    int named(std::string_view sort, const std::string& name, const std::vector<Named>& all) {
        const auto at =
            std::find_if(all.begin(), all.end(), [&](const Named& one) { return one.name == name; });
        if (at != all.end()) return static_cast<int>(at - all.begin());
        problems.push_back(unknown_name(sort, name, names_of(all), circuit.file));
        return none;
    }
};

DropRule rule_of(Reader& reader, const Options& o) {
    DropRule rule = land_rule(reader.circuit);
    if (!o.marine.empty()) {
        if (o.marine != "critical" && o.marine != "other")
            reader.wrong("--marine", fmt::format("knows no \"{}\"", o.marine),
                         "write --marine critical or --marine other");
        if (!o.limit.empty())
            reader.wrong("--limit", "and --marine both say what may be lost", "keep one of them");
        rule = marine_rule(reader.circuit, o.marine == "critical");
    }
    if (o.limit.empty()) return rule;
    rule.wire.reset();
    rule.source = "as asked";
    if (o.limit.find('%') != std::string::npos) {
        const auto share = reader.value<Ratio<>>("--limit", o.limit);
        rule.whole_loop = nominal_voltage(reader.circuit) * (share ? si(*share) : 1.0);
        rule.source = fmt::format("{} of {:g} V, as asked", o.limit, si(nominal_voltage(reader.circuit)));
    } else if (const auto volts = reader.value<Voltage<>>("--limit", o.limit)) {
        rule.whole_loop = *volts;
    }
    if (si(rule.whole_loop) <= 0)
        reader.wrong("--limit", "leaves nothing to be lost", "write --limit \"0.5 V\" or --limit \"3 %\"");
    return rule;
}

InsulationClass insulation_of(Reader& reader, const Options& o) {
    InsulationClass usual = SizingRequest{}.insulation;
    const auto limit = reader.value<Temperature<>>("--insulation", o.insulation);
    if (!limit) return usual;
    if (const InsulationClass* known = find_insulation(*limit)) return *known;
    std::string all;
    for (const InsulationClass& c : insulation_classes())
        all += fmt::format("{}{:g}", all.empty() ? "" : ", ", in_celsius(c.limit));
    reader.wrong("--insulation", fmt::format("knows no class of {:g} degC", in_celsius(*limit)),
                 fmt::format("write one of {} degC, for example --insulation \"105 degC\"", all));
    return usual;
}

Result<Question> understand(const Circuit& circuit, const Options& o) {
    Reader reader{circuit, {}};
    Question q;
    SizingRequest& s = q.sizing;
    for (const std::string& name : o.states) s.states.push_back(reader.named("state", name, circuit.states));
    for (const std::string& name : o.keep) s.keep.push_back(reader.named("part", name, circuit.parts));
    s.rule = rule_of(reader, o);
    s.ambient = reader.value<Temperature<>>("--ambient", o.ambient).value_or(circuit.temperature);
    s.insulation = insulation_of(reader, o);
    if (s.ambient >= s.insulation.limit)
        reader.wrong("--ambient",
                     fmt::format("of {:g} degC is as warm as the insulation's limit of {:g} degC",
                                 in_celsius(s.ambient), in_celsius(s.insulation.limit)),
                     "take insulation of a higher class with --insulation");
    if (o.bundle < 1)
        reader.wrong("--bundle", "is less than one wire", "write --bundle 6 for six loaded wires together");
    s.bundle = std::max(1, o.bundle);
    if (!o.series.empty() && o.series != "metric" && o.series != "gauge")
        reader.wrong("--series", fmt::format("knows no \"{}\"", o.series),
                     "write --series metric or --series gauge");
    s.series = o.series == "metric"  ? SizeSeries::metric
               : o.series == "gauge" ? SizeSeries::gauge
                                     : SizeSeries::as_drawn;
    if (!o.least.empty()) {
        const Parsed<WireSize> read = read_wire_size(o.least);
        if (const auto* error = std::get_if<ValueError>(&read))
            reader.wrong("--least", error->what, error->write);
        else
            s.least_area = std::get<WireSize>(read).area;
    }
    StudyRequest& t = q.study;
    t.samples = o.study;
    if (o.study < 0 || o.study > 50'000'000)
        reader.wrong("--study", "takes 1 to 50000000 samples", "write --study 100000");
    t.seed = o.seed;
    t.threads =
        o.threads > 0 ? o.threads : std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
    t.coldest = reader.value<Temperature<>>("--coldest", o.coldest).value_or(t.coldest);
    t.warmest = reader.value<Temperature<>>("--warmest", o.warmest).value_or(std::max(t.warmest, s.ambient));
    if (t.coldest > t.warmest)
        reader.wrong("--coldest", "is warmer than --warmest",
                     "write --coldest \"-10 degC\" --warmest \"50 degC\"");
    if (!o.load.empty()) t.load = reader.named("part", o.load, circuit.parts);
    t.limit = s.rule.whole_loop;
    if (!reader.problems.empty()) return reader.problems;
    return q;
}

/// The study runs on the circuit with its new sizes, in the state where a load loses most.
Result<ToleranceStudy> study(const Circuit& drawn, const Sizing& sizing, StudyRequest request) {
    double most = -1;
    for (const StatePrediction& s : sizing.states)
        for (const LoadResult& l : s.loads) {
            const bool asked = request.load == none || request.load == l.part;
            const bool judged = drawn.states[static_cast<std::size_t>(s.state)].locked.empty();
            if (!asked || !judged || si(l.lost) <= most) continue;
            most = si(l.lost);
            request.state = s.state;
        }
    return study_tolerances(analyse(std::make_shared<const Circuit>(with_sizes(drawn, sizing))), request);
}

/// The circuit's text with the new sizes and ratings.
Result<std::string> rewritten(const Circuit& circuit, const Sizing& sizing, const std::string& file) {
    const auto text = read_text_file(fs::path(file));
    if (!text) return text.problems();
    std::vector<ValueEdit> edits;
    for (const SizedWire& w : sizing.wires)
        if (w.chosen && write_wire_size(w.size) != write_wire_size(w.drawn))
            edits.push_back({"part", circuit.parts[static_cast<std::size_t>(w.part)].name, "size",
                             write_wire_size(w.size)});
    for (const SizedFuse& f : sizing.fuses)
        if (f.chosen && f.rating != f.drawn)
            edits.push_back({"part", circuit.parts[static_cast<std::size_t>(f.part)].name, "rating",
                             write_quantity(f.rating)});
    return edit_values(*text, edits, file);
}

bool has_finding(const Sizing& sizing) {
    const auto over = [](const auto& x) { return x.over; };
    return std::any_of(sizing.ratings.begin(), sizing.ratings.end(), over) || !sizing.remarks.empty();
}

Answer size(const Options& o, const Screen& screen) {
    if (const Problems wrong = check_picture(o.picture); !wrong.empty())
        return refuse(exit_bad_input, wrong, o.json);
    auto read = open_circuit(o.file, "size");
    if (!read) return refuse(exit_bad_input, read.problems(), o.json);
    const auto circuit = std::make_shared<const Circuit>(*std::move(read));
    if (const Problems errors = review(*circuit).errors; !errors.empty())
        return refuse(exit_bad_input, errors, o.json);
    auto question = understand(*circuit, o);
    if (!question) return refuse(exit_bad_input, question.problems(), o.json);
    auto sizing = size_harness(analyse(circuit), question->sizing);
    // The starts of what was chosen, in time; then the choice again with them.
    if (sizing && !o.no_starts) {
        question->sizing.starts = simulated_starts(*circuit, *sizing);
        if (!question->sizing.starts.empty()) sizing = size_harness(analyse(circuit), question->sizing);
    }
    if (!sizing) return refuse(exit_no_solution, sizing.problems(), o.json);

    std::optional<ToleranceStudy> strays;
    if (o.study > 0) {
        auto result = study(*circuit, *sizing, question->study);
        if (!result) return refuse(exit_no_solution, result.problems(), o.json);
        strays = *std::move(result);
    }
    if (!o.bill.empty())
        if (const auto saved = replace_text_file(fs::path(o.bill), bill_of_material(*circuit, *sizing));
            !saved)
            return refuse(exit_bad_input, saved.problems(), o.json);
    if (!o.write.empty()) {
        const auto text = rewritten(*circuit, *sizing, o.file);
        if (!text) return refuse(exit_bad_input, text.problems(), o.json);
        if (const auto saved = replace_text_file(fs::path(o.write), *text); !saved)
            return refuse(exit_bad_input, saved.problems(), o.json);
    }

    if (o.picture.wanted()) {
        std::vector<Figure> pages{harness_figure(*circuit, question->sizing, *sizing)};
        for (const SizedFuse& f : sizing->fuses)
            if (si(f.rating) > 0) pages.push_back(fuse_figure(*circuit, question->sizing, *sizing, f));
        if (const auto saved = save(pages, o.picture); !saved)
            return refuse(exit_bad_input, saved.problems(), o.json);
    }

    Answer answer;
    if (o.json) {
        Json json = json_of(*circuit, question->sizing, *sizing);
        json["study"] = strays ? json_of(*circuit, *strays) : Json();
        answer.out = written(json);
    } else {
        answer.out = size_text(*circuit, question->sizing, *sizing, screen.columns);
        if (strays) answer.out += '\n' + study_text(*circuit, *strays, screen.columns);
        if (o.picture.wanted()) answer.out += "\npicture: " + o.picture.file + '\n';
        if (!o.bill.empty()) answer.out += "\nbill of material: " + o.bill + '\n';
        if (!o.write.empty()) answer.out += "\ncircuit with the new sizes: " + o.write + '\n';
        answer.out += '\n' + wrapped(faint(sizing_deference()), screen.columns) + '\n';
    }
    if (o.strict && (has_finding(*sizing) || (strays && strays->within_limit < 0.95)))
        answer.code = exit_finding;
    return answer;
}

} // namespace

Command add_size(CLI::App& program) {
    auto o = std::make_shared<Options>();
    CLI::App& app =
        add_command(program, "size", "wire sizes and fuses for the limits: least copper, heat, protection");
    add_file(app, "CIRCUIT", o->file, FileUse::read, "the circuit's file", "", Needed::yes);
    add_option(app, "--state", o->states,
               "size for this state only (may be given again); without it, for every one", "STATE");
    add_option(app, "--limit", o->limit,
               "most that may be lost from the source to a load and back: \"0.5 V\", \"3 %\"", "LIMIT");
    add_option(app, "--marine", o->marine, "3 % for critical circuits, 10 % for other", "critical|other");
    add_option(app, "--ambient", o->ambient, "temperature round the wires; without it, the circuit's",
               "TEMP");
    add_option(app, "--insulation", o->insulation,
               "its steady limit: 70, 85 (usual), 90, 100, 105, 125, 150 degC", "TEMP");
    add_option(app, "--bundle", o->bundle, "loaded wires that lie together (1)", "N");
    add_option(app, "--series", o->series, "sizes to choose from; without it, each wire's own",
               "metric|gauge");
    add_option(app, "--least", o->least, "no wire thinner than this: \"1 mm2\", \"16 AWG\"", "SIZE");
    add_option(app, "--keep", o->keep, "a wire or fuse that stays as drawn (may be given again)", "PART");
    add_file(app, "--bill", o->bill, FileUse::replaced, "write a bill of material as CSV", "FILE");
    add_file(app, "--write", o->write, FileUse::rewritten,
             "write the circuit with the new sizes, all else untouched", "FILE");
    add_option(app, "--study", o->study, "draw so many circuits within their tolerances", "N");
    add_option(app, "--seed", o->seed, "of the draws (1)", "N");
    add_option(app, "--load", o->load, "study this load; without it, the one that loses most", "PART");
    add_option(app, "--coldest", o->coldest, "surroundings of the study (-10 degC)", "TEMP");
    add_option(app, "--warmest", o->warmest, "surroundings of the study (50 degC)", "TEMP");
    add_option(app, "--threads", o->threads, "for the study; without it, one a core", "N");
    add_flag(app, "--no-starts", o->no_starts, "reckon starts in closed form instead of in time");
    add_picture_options(app, o->picture);
    add_flag(app, "--json", o->json, "answer as JSON");
    add_flag(app, "--strict", o->strict, "exit with 1 when something is left to mind");
    add_footer(app, "Example: lostvolts size circuit.toml --marine critical --insulation \"105 degC\" --bill "
                    "harness.csv");
    return {&app, [o](const Screen& screen) { return size(*o, screen); }};
}

} // namespace lostvolts

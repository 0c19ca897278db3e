// lostvolts note READINGS READING…: a reading as it stands in a notebook, added to the file of readings. The
// value's unit tells the quantity, and the places are named in the words of `practice`.
//
//   lostvolts note readings.toml 0.068 V battery + to relay 87 in run

#include <cctype>
#include <filesystem>
#include <memory>
#include <span>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "solver/circuit/folder_lock.h"
#include "solver/circuit/toml_file.h"
#include "solver/lesson/request.h"
#include "solver/locate/write_readings.h"
#include "solver/locate/written_value.h"
#include "solver/units/lines.h"
#include "solver/units/mistyped.h"
#include "viewer/command/commands.h"
#include "viewer/command/files.h"
#include "viewer/command/options.h"
#include "viewer/command/problems.h"
#include "viewer/command/style.h"
#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

struct Options {
    std::string readings, circuit, notebook, meter, remark;
    std::vector<std::string> words;
    bool json = false;
};

/// A line of a notebook: what was read, and after a # what there is to say of it.
struct NotedLine {
    std::string text, remark;
    int number = 0; ///< in the notebook; 0: from the command line
};

constexpr std::string_view marks = " ,:"; // about a value
constexpr const char* example = "0.068 V battery + to relay 87 in run";

std::vector<NotedLine> lines_of(std::string_view notebook) {
    std::vector<NotedLine> lines;
    int number = 0;
    while (!notebook.empty()) {
        const std::string_view line = take_line(notebook);
        const std::size_t hash = std::min(line.find('#'), line.size());
        ++number;
        const std::string_view text = trimmed(line.substr(0, hash));
        const std::string_view remark = trimmed(line.substr(std::min(hash + 1, line.size())));
        if (!text.empty()) lines.push_back({std::string(text), std::string(remark), number});
    }
    return lines;
}

/// A line in two: "0.068 V", "1.84V", "dim", and where that was read.
struct InTwo {
    std::string value, place;
};

std::string joined(std::span<const std::string_view> words) {
    return fmt::format("{}", fmt::join(words, " "));
}

/// The value comes first, or last, or is the only number with a unit between; nothing where there are two.
std::optional<InTwo> in_two(std::string_view line) {
    const std::vector<std::string_view> all = split_words(line);
    const std::span words(all);
    std::optional<InTwo> found;
    for (std::size_t k = 0; k < words.size(); ++k)
        for (const std::size_t n : {2, 1}) { // its number and unit apart, or in one
            if (k + n > words.size()) continue;
            const std::string text = joined(words.subspan(k, n));
            const std::string_view value = trimmed(text, marks);
            const bool at_an_end = k == 0 || k + n == words.size();
            if (!quantity_of_value(value) ||
                (!at_an_end && std::isalpha(static_cast<unsigned char>(value.front()))))
                continue;
            if (found) return std::nullopt;
            const std::string before = joined(words.first(k)), after = joined(words.subspan(k + n));
            found = InTwo{std::string(value),
                          fmt::format("{} {}", trimmed(before, marks), trimmed(after, marks))};
            if (k == 0) return found;
            break;
        }
    return found;
}

/// The lines as readings, each in the state of the one before it unless it names another.
class Notebook {
  public:
    explicit Notebook(const Readings& job, const Options& options)
        : job_(job), options_(options),
          state_(job.readings.empty() ? first_state(job.circuit) : job.readings.back().state) {}

    std::optional<WrittenReading> read(const NotedLine& line) {
        const auto in = in_two(line.text);
        if (!in) return no_value(line), std::nullopt;
        const Measurand quantity = *quantity_of_value(in->value);
        const auto place = read_place(job_.circuit, state_, quantity, in->place);
        if (!place) {
            for (const Problem& p : place.problems()) wrong(line, p.what, p.write);
            return std::nullopt;
        }
        state_ = place->state;
        WrittenReading reading;
        reading.state = name(job_.circuit.states, place->state);
        reading.quantity = name_of(quantity);
        reading.red = name(job_.circuit.points, place->red);
        reading.black = name(job_.circuit.points, place->black);
        reading.through = name(job_.circuit.parts, place->through);
        reading.value = in->value;
        reading.meter = options_.meter.empty() ? last_meter(job_, quantity) : options_.meter;
        reading.note = line.remark;
        return reading;
    }

    const Problems& problems() const { return problems_; }

  private:
    template <class All> static std::string name(const All& all, int id) {
        return id == none ? std::string() : all[static_cast<std::size_t>(id)].name;
    }

    void wrong(const NotedLine& line, const std::string& what, const std::string& write) {
        const std::string file = options_.notebook == "-" ? "standard input" : options_.notebook;
        problems_.push_back({line.number ? file : "",
                             {line.number, line.number ? 1 : 0, static_cast<int>(line.text.size())},
                             line.number ? what : fmt::format("\"{}\": {}", line.text, what),
                             write,
                             line.number ? line.text : ""});
    }

    void no_value(const NotedLine& line) {
        const std::vector<std::string_view> words = split_words(line.text);
        for (std::size_t k = 0; k < words.size(); ++k)
            for (const std::size_t n : {2, 1}) {
                if (k + n > words.size()) continue;
                const std::string text = joined(std::span(words).subspan(k, n));
                if (const auto meant = value_mistyped(text))
                    return wrong(line, fmt::format("\"{}\" is no value", text),
                                 fmt::format("did you mean \"{}\"?", *meant));
            }
        const std::string value = line.text.substr(0, line.text.find(' ', line.text.find(' ') + 1));
        const bool number = value.find_first_of("0123456789") == 0;
        const auto error = number ? value_error(Measurand::voltage, value) : std::nullopt;
        const bool comma = error && error->what.find("comma") != std::string::npos;
        wrong(line,
              comma ? fmt::format("the value {}", error->what)
                    : "one value with its unit is needed, and where it was read",
              comma ? error->write : fmt::format("for example:  {}", example));
    }

    const Readings& job_;
    const Options& options_;
    int state_;
    Problems problems_;
};

std::string said(const Readings& job, std::size_t noted, const std::string& file, int columns) {
    const std::size_t all = job.readings.size();
    std::string text =
        wrapped(fmt::format("{}: {} noted, {} in all", file, noted, all), columns, 0, 2) + '\n';
    for (std::size_t k = all - noted; k < all; ++k) {
        const Reading& r = job.readings[k];
        text += wrapped(fmt::format("{}. {}: {}: {}", k + 1,
                                    job.circuit.states[static_cast<std::size_t>(r.state)].name,
                                    what_is_read(job.circuit, r.quantity, r.red, r.black, r.through), r.text),
                        columns, 2, 5) +
                '\n';
    }
    return text + wrapped(fmt::format("Next: lostvolts locate {}", file), columns, 0, 2) + '\n';
}

Json json_of(const std::vector<WrittenReading>& noted, const Readings& job, const std::string& file) {
    Json list = Json::array();
    std::size_t index = job.readings.size() - noted.size();
    for (const WrittenReading& r : noted) {
        Json one{{"index", ++index}, {"state", r.state}, {"quantity", r.quantity}, {"value", r.value}};
        for (const auto& [key, value] :
             {std::pair{"red", &r.red}, std::pair{"black", &r.black}, std::pair{"through", &r.through},
              std::pair{"meter", &r.meter}, std::pair{"note", &r.note}})
            one[key] = value->empty() ? Json() : Json(*value);
        list.push_back(std::move(one));
    }
    return {{"file", file}, {"noted", std::move(list)}, {"readings", job.readings.size()}};
}

Problem complaint(std::string what, std::string write) {
    return {"", {}, std::move(what), std::move(write), ""};
}

/// The file as it is, or its first lines where there is none.
Result<std::string> text_so_far(const Options& o) {
    auto text = readings_to_add_to(o.readings, "note takes a file of readings, or a new name for one");
    if (!text || !text->empty()) return text;
    if (o.circuit.empty())
        return complaint(
            fmt::format("there is no {} yet, so a circuit is needed", o.readings),
            fmt::format("say which, once:  lostvolts note {} --circuit circuit.toml …", o.readings));
    const auto name = circuit_seen_from(o.readings, o.circuit);
    if (!name) return name.problems();
    return first_lines(*name);
}

/// A file of readings is taken on one circuit; its own may be named again.
std::optional<Problem> is_of_another(const Readings& job, const Options& o) {
    std::error_code gone;
    if (o.circuit.empty() || std::filesystem::equivalent(job.circuit.file, o.circuit, gone))
        return std::nullopt;
    return complaint(fmt::format("{} are readings of {}, not of {}", o.readings, job.circuit.file, o.circuit),
                     "leave --circuit out, or give the new readings a file of their own");
}

Answer note(const Options& o, const Screen& screen) {
    if (o.words.empty() == o.notebook.empty())
        return refuse(
            exit_bad_input,
            {complaint(o.words.empty() ? "what was read?" : "readings came twice: as words and by --notebook",
                       o.words.empty() ? fmt::format("write it after the file:  {}", example)
                                       : "give one of them")},
            o.json);
    if (!o.notebook.empty() && !o.remark.empty())
        return refuse(exit_bad_input,
                      {complaint("--remark is for one reading, and a notebook may have many",
                                 "write it in the notebook, behind the reading and a #")},
                      o.json);
    std::vector<NotedLine> lines{{fmt::format("{}", fmt::join(o.words, " ")), o.remark, 0}};
    if (!o.notebook.empty()) {
        const auto notebook = read_text_file(std::filesystem::path(o.notebook));
        if (!notebook) return refuse(exit_bad_input, notebook.problems(), o.json);
        lines = lines_of(*notebook);
        if (lines.empty())
            return refuse(exit_bad_input, {complaint("the notebook has no readings", "write one a line")},
                          o.json);
    }
    const auto held = keep_for_edit(o.readings);
    if (!held) return refuse(exit_bad_input, held.problems(), o.json);
    const auto before = text_so_far(o);
    if (!before) return refuse(exit_bad_input, before.problems(), o.json);
    const auto folder = folder_beside(o.readings);
    const auto job = read_readings_beside(*before, o.readings, folder);
    if (!job) return refuse(exit_bad_input, job.problems(), o.json);
    if (const auto other = is_of_another(*job, o)) return refuse(exit_bad_input, {*other}, o.json);

    Notebook notebook(*job, o);
    std::vector<WrittenReading> noted;
    std::string text = *before;
    for (const NotedLine& line : lines)
        if (const auto reading = notebook.read(line)) {
            noted.push_back(*reading);
            text = add_reading(text, *reading);
        }
    if (!notebook.problems().empty()) return refuse(exit_bad_input, notebook.problems(), o.json);
    const auto after = read_readings_beside(text, o.readings, folder);
    if (!after) return refuse(exit_bad_input, after.problems(), o.json);
    if (const auto saved = replace_text_file(std::filesystem::path(o.readings), text); !saved)
        return refuse(exit_bad_input, saved.problems(), o.json);
    if (o.json) return {exit_done, written(json_of(noted, *after, o.readings)), {}};
    return {exit_done, said(*after, noted.size(), o.readings, screen.columns), {}};
}

} // namespace

Command add_note(CLI::App& program) {
    auto o = std::make_shared<Options>();
    CLI::App& app =
        add_command(program, "note", "a reading as it stands in a notebook, added to the readings");
    add_file(app, "READINGS", o->readings, FileUse::edited, "the file of readings; a new one needs --circuit",
             "", Needed::yes);
    add_argument(
        app, "READING", o->words,
        "a value and where it was read: two points, or a part, and the state; without a state, the last "
        "one stays",
        Needed::no);
    add_file(app, "--circuit", o->circuit, FileUse::read, "what a new file of readings is taken on",
             "CIRCUIT");
    add_file(app, "--notebook", o->notebook, FileUse::read,
             "a text with a reading a line instead; what follows a # is its note", "FILE");
    add_option(app, "--meter", o->meter, "the meter it was read with (the last one for its quantity)",
               "NAME");
    add_option(app, "--remark", o->remark, "a note to the reading", "TEXT");
    add_flag(app, "--json", o->json, "answer as JSON");
    add_footer(app, "Example: lostvolts note readings.toml 0.068 V battery + to relay 87 in run");
    return {&app, [o](const Screen& screen) { return note(*o, screen); }};
}

} // namespace lostvolts

// lostvolts check FILE…: is each circuit, reading or order right? Every mistake of every file, in one pass.

#include <algorithm>
#include <filesystem>
#include <memory>
#include <set>
#include <tuple>

#include <fmt/format.h>

#include "solver/circuit/read.h"
#include "solver/circuit/toml_file.h"
#include "viewer/command/commands.h"
#include "viewer/command/files.h"
#include "viewer/command/options.h"
#include "viewer/command/problems.h"
#include "viewer/command/study_text.h"
#include "viewer/command/style.h"

namespace lostvolts {
namespace {

struct Options {
    std::vector<std::string> files;
    bool json = false;
    bool strict = false;
};

struct Checked {
    std::string file;
    std::string kind; ///< empty: the file could not be read at all
    Problems problems;
    Problems remarks;
    std::string contents; ///< "14 parts, 13 points, 4 states", of a file that is right
};

std::string plural(std::size_t n, std::string_view one) {
    return fmt::format("{} {}{}", n, one, n == 1 ? "" : "s");
}

void review_into(const Circuit& circuit, Checked& checked) {
    Review found = review(circuit);
    checked.problems.insert(checked.problems.end(), found.errors.begin(), found.errors.end());
    checked.remarks = std::move(found.remarks);
}

void check_circuit(const std::string& text, Checked& checked) {
    const auto circuit = circuit_in(text, checked.file, "check");
    if (!circuit) {
        checked.problems = circuit.problems();
        return;
    }
    review_into(*circuit, checked);
    checked.contents =
        fmt::format("{}, {}, {}", plural(circuit->parts.size(), "part"),
                    plural(circuit->points.size(), "point"), plural(circuit->states.size(), "state"));
    if (!circuit->conditions.empty())
        checked.contents += ", " + plural(circuit->conditions.size(), "condition");
}

void check_readings(const std::string& text, Checked& checked) {
    const auto readings = readings_in(text, checked.file, "check");
    if (!readings) {
        checked.problems = readings.problems();
        return;
    }
    review_into(readings->circuit, checked);
    checked.contents = fmt::format("{}, {}, on {}", plural(readings->readings.size(), "reading"),
                                   plural(readings->meters.size(), "meter"), readings->circuit.file);
}

/// Its circuits and readings among it.
void check_order(const std::string& text, Checked& checked) {
    const auto order = read_order_text(text, checked.file);
    if (!order) {
        checked.problems = order.problems();
        return;
    }
    for (const StudiedCircuit& studied : order->circuits) review_into(studied.circuit, checked);
    checked.contents = fmt::format("a study of {}, {}", name_of(order->kind), said(*order));
}

Checked check_file(const std::string& file) {
    Checked checked;
    checked.file = file;
    const auto text = read_text_file(std::filesystem::path(file));
    if (!text) {
        checked.problems = text.problems();
        return checked;
    }
    if (is_order(*text)) {
        checked.kind = "study";
        check_order(*text, checked);
    } else if (kind_of_text(*text) == FileKind::circuit) {
        checked.kind = "circuit";
        check_circuit(*text, checked);
    } else {
        checked.kind = "readings";
        check_readings(*text, checked);
    }
    return checked;
}

Json json_of(const Checked& checked) {
    return {{"file", checked.file},
            {"kind", checked.kind.empty() ? Json() : Json(checked.kind)},
            {"ok", checked.problems.empty()},
            {"problems", json_of(checked.problems)},
            {"remarks", json_of(checked.remarks)}};
}

/// A circuit that is named twice, by itself and by its readings, has its mistakes told once.
class Told {
  public:
    Problems news(const Problems& problems) {
        Problems fresh;
        std::copy_if(problems.begin(), problems.end(), std::back_inserter(fresh), [&](const Problem& p) {
            std::error_code unknown;
            auto file = std::filesystem::weakly_canonical(p.file, unknown).string();
            return told_.emplace(std::move(file), p.place.line, p.place.column, p.what).second;
        });
        return fresh;
    }

  private:
    std::set<std::tuple<std::string, int, int, std::string>> told_;
};

Answer check(const Options& options, const Screen& screen) {
    Answer answer;
    Json files = Json::array();
    Problems mistakes;
    Told told;
    bool any_remark = false;
    std::string right;
    for (const std::string& file : options.files) {
        const Checked checked = check_file(file);
        any_remark = any_remark || !checked.remarks.empty();
        if (options.json) files.push_back(json_of(checked));
        const Problems fresh = told.news(checked.problems);
        mistakes.insert(mistakes.end(), fresh.begin(), fresh.end());
        if (checked.problems.empty())
            right +=
                wrapped(fmt::format("{}: right. {}", file, checked.contents), screen.columns, 0, 2) + '\n';
        for (const Problem& remark : told.news(checked.remarks))
            right += strong("worth knowing: ") + describe(remark) + '\n';
    }
    answer.out = options.json ? written(Json{{"files", std::move(files)}}) : right;
    if (!mistakes.empty()) {
        answer.code = exit_bad_input;
        answer.err = report_problems(mistakes) + count_mistakes(mistakes) + '\n';
    } else if (options.strict && any_remark) {
        answer.code = exit_finding;
    }
    return answer;
}

} // namespace

Command add_check(CLI::App& program) {
    auto options = std::make_shared<Options>();
    CLI::App& app = add_command(program, "check", "is this file right? All mistakes at once, not the first");
    add_file(app, "FILE", options->files, FileUse::read,
             "circuits, readings and studies' orders, told apart by their content", "", Needed::yes);
    add_flag(app, "--json", options->json, "answer as JSON");
    add_flag(app, "--strict", options->strict,
             "exit with 1 when something is worth knowing, though not wrong");
    add_footer(app, "Example: lostvolts check circuit.toml readings.toml");
    return {&app, [options](const Screen& screen) { return check(*options, screen); }};
}

} // namespace lostvolts

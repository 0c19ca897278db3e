#include "solver/records/job.h"

#include <algorithm>
#include <charconv>
#include <chrono>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "solver/circuit/edit.h"
#include "solver/units/text.h"

namespace lostvolts {
namespace {

constexpr std::string_view role_names[] = {"circuit", "readings", "capture", "report", "notes", "other"};
constexpr std::size_t longest_line = 300, longest_prose = 20'000; // bytes

/// The first line of a new job.toml.
constexpr std::string_view heading = "# A kept job. Every file beside this one can be read without "
                                     "Lostvolts. Change the words here by hand as\n"
                                     "# you like; after changes to many jobs, `lostvolts records rebuild` "
                                     "brings the index up to date at once.\n"
                                     "format = 1\n";

std::string text_of(const TomlValue& table, std::string_view key) {
    const TomlValue* value = table.find(key);
    return value && (value->kind == TomlValue::Kind::text || value->kind == TomlValue::Kind::number)
               ? value->text
               : std::string();
}

std::vector<std::string> split_labels(std::string_view text) {
    std::vector<std::string> labels;
    while (!text.empty()) {
        const std::size_t end = std::min(text.find(','), text.size());
        std::string_view label = text.substr(0, end);
        while (label.starts_with(' ')) label.remove_prefix(1);
        while (label.ends_with(' ')) label.remove_suffix(1);
        if (!label.empty() && std::find(labels.begin(), labels.end(), label) == labels.end())
            labels.emplace_back(label);
        text.remove_prefix(std::min(end + 1, text.size()));
    }
    return labels;
}

/// A name of a file in the job's own folder, and nothing else.
bool stays_inside(std::string_view name) {
    return !name.empty() && name != "." && name != ".." && name != job_file &&
           name.find('/') == std::string_view::npos && name.find('\0') == std::string_view::npos;
}

double real_of(const std::string& text) {
    double value = 0;
    std::from_chars(text.data(), text.data() + text.size(), value);
    return value;
}

template <class Q> std::optional<double> quantity_of(const std::string& text) {
    const Parsed<Q> read = read_quantity<Q>(text);
    const Q* q = std::get_if<Q>(&read);
    return q ? std::optional(si(*q)) : std::nullopt;
}

enum class Unit { ampere, volt, turning };
Unit unit_of(const std::string& what) {
    return what == "speed" ? Unit::turning : what == "sag" || what == "volts" ? Unit::volt : Unit::ampere;
}

std::optional<double> read_figure(const std::string& what, const std::string& text) {
    switch (unit_of(what)) {
    case Unit::ampere:
        return quantity_of<Current<>>(text);
    case Unit::volt:
        return quantity_of<Voltage<>>(text);
    case Unit::turning:
        return quantity_of<Speed<>>(text);
    }
    return std::nullopt;
}

void read_tables(const TomlValue& root, const std::string& file, Job& job, Problems& problems) {
    for (const TomlValue* t : tables_of(root, "file", file, problems)) {
        KeptFile kept;
        const std::string role = text_of(*t, "role");
        const auto known = std::find(std::begin(role_names), std::end(role_names), role);
        kept.role = known == std::end(role_names) ? FileRole::other
                                                  : static_cast<FileRole>(known - std::begin(role_names));
        kept.name = text_of(*t, "name");
        kept.sha256 = text_of(*t, "sha256");
        kept.bytes = static_cast<std::uintmax_t>(real_of(text_of(*t, "bytes")));
        if (stays_inside(kept.name))
            job.files.push_back(std::move(kept));
        else
            problems.push_back({file, t->place, fmt::format("\"{}\" is no file of this folder", kept.name),
                                "write the name of a file that lies beside job.toml", ""});
    }
    for (const TomlValue* t : tables_of(root, "located", file, problems))
        job.verdicts.push_back({text_of(*t, "readings"), text_of(*t, "verdict"), text_of(*t, "part"),
                                text_of(*t, "fault"), text_of(*t, "size"),
                                real_of(text_of(*t, "probability"))});
    for (const TomlValue* t : tables_of(root, "measured", file, problems)) {
        KeptFigure figure{text_of(*t, "what"), text_of(*t, "where"), 0, text_of(*t, "source")};
        const auto value = read_figure(figure.what, text_of(*t, "value"));
        const auto& kinds = figure_kinds();
        if (!value || std::find(kinds.begin(), kinds.end(), figure.what) == kinds.end()) {
            problems.push_back({file, t->place, fmt::format("[[measured]] \"{}\" has no value", figure.what),
                                "write for example  what = \"run current\"  and  value = \"9.05 A\"", ""});
            continue;
        }
        figure.value = *value;
        job.figures.push_back(std::move(figure));
    }
    for (const TomlValue* t : tables_of(root, "captured", file, problems))
        for (const TomlValue& item : t->items) job.capture_options.emplace_back(item.key, item.text);
}

} // namespace

std::string_view name_of(Known known) {
    return known == Known::good ? "good" : known == Known::bad ? "bad" : "";
}
std::string_view name_of(FileRole role) { return role_names[static_cast<std::size_t>(role)]; }

const std::vector<std::string>& figure_kinds() {
    static const std::vector<std::string> kinds{"stall current", "run current", "speed",
                                                "sag",           "ripple",      "volts"};
    return kinds;
}

std::string write_figure(const std::string& what, double value) {
    switch (unit_of(what)) {
    case Unit::ampere:
        return write_quantity(from_si<Current<>>(value));
    case Unit::volt:
        return write_quantity(from_si<Voltage<>>(value));
    case Unit::turning:
        return write_quantity(from_si<Speed<>>(value));
    }
    return {};
}

std::string show_figure(const std::string& what, double value) {
    switch (unit_of(what)) {
    case Unit::ampere:
        return show(from_si<Current<>>(value));
    case Unit::volt:
        return show(from_si<Voltage<>>(value), std::abs(value) >= 10 ? 4 : 3);
    case Unit::turning:
        return show(from_si<Speed<>>(value), 4);
    }
    return {};
}

std::string write_job(const Job& job) {
    const JobWords& w = job.words;
    std::vector<ValueEdit> edits;
    const auto key = [&](std::string name, std::string value) {
        edits.push_back({"", "", std::move(name), std::move(value)});
    };
    key("id", job.id);
    key("title", w.title);
    key("machine", w.machine);
    key("date", w.date);
    key("labels", fmt::format("{}", fmt::join(w.labels, ", ")));
    key("known", std::string(name_of(w.known)));
    key("complaint", w.complaint);
    key("finding", w.finding);
    key("content", job.content);
    key("drawing", job.drawing);
    key("version", job.version);
    const auto begun = edit_values(heading, edits, job_file);
    std::string text = begun ? *begun : std::string(heading);
    for (const KeptFile& f : job.files)
        text = append_table(text, "file",
                            {{"role", std::string(name_of(f.role))},
                             {"name", f.name},
                             {"bytes", std::to_string(f.bytes)},
                             {"sha256", f.sha256}});
    if (!job.capture_options.empty()) {
        std::vector<Field> fields;
        for (const auto& [name, value] : job.capture_options) fields.push_back({name, value});
        text = append_table(text, "captured", fields);
    }
    for (const KeptVerdict& v : job.verdicts)
        text = append_table(text, "located",
                            {{"readings", v.readings},
                             {"verdict", v.verdict},
                             {"part", v.part},
                             {"fault", v.fault},
                             {"size", v.size},
                             {"probability", fmt::format("{:.4f}", v.probability)}});
    for (const KeptFigure& f : job.figures)
        text = append_table(text, "measured",
                            {{"what", f.what},
                             {"where", f.where},
                             {"value", write_figure(f.what, f.value)},
                             {"source", f.source}});
    return text;
}

Result<Job> read_job(std::string_view text, const std::string& file) {
    const TomlFile toml = parse_toml(text, file);
    if (!toml.problems.empty()) return tidy(toml.problems, text);
    Job job;
    Problems problems;
    job.id = text_of(toml.root, "id");
    job.words.title = text_of(toml.root, "title");
    job.words.machine = text_of(toml.root, "machine");
    job.words.date = text_of(toml.root, "date");
    job.words.labels = split_labels(text_of(toml.root, "labels"));
    const std::string known = text_of(toml.root, "known");
    job.words.known = known == "good" ? Known::good : known == "bad" ? Known::bad : Known::unsaid;
    job.words.complaint = text_of(toml.root, "complaint");
    job.words.finding = text_of(toml.root, "finding");
    job.content = text_of(toml.root, "content");
    job.drawing = text_of(toml.root, "drawing");
    job.version = text_of(toml.root, "version");
    if (job.id.empty())
        problems.push_back({file, {}, "has no id", "write for example  id = \"3f2a9c1b\"", ""});
    if (known != name_of(job.words.known))
        problems.push_back(
            {file, toml.root.find("known")->place, "known is neither \"good\" nor \"bad\"", "", ""});
    if (!is_date(job.words.date))
        problems.push_back({file,
                            {},
                            fmt::format("date \"{}\" is no date", job.words.date),
                            "write it as  date = \"2026-11-25\"",
                            ""});
    read_tables(toml.root, file, job, problems);
    if (!problems.empty()) return tidy(problems, text);
    return job;
}

bool is_date(std::string_view text) {
    if (text.size() != 10 || text[4] != '-' || text[7] != '-') return false;
    const auto number = [&](std::size_t at, std::size_t n) {
        int value = -1;
        const auto read = std::from_chars(text.data() + at, text.data() + at + n, value);
        return read.ptr == text.data() + at + n ? value : -1;
    };
    using namespace std::chrono;
    return year_month_day(year(number(0, 4)), month(static_cast<unsigned>(number(5, 2))),
                          day(static_cast<unsigned>(number(8, 2))))
               .ok() &&
           number(0, 4) > 0;
}

Problems mistakes_in(const JobWords& w) {
    Problems problems;
    const auto say = [&](std::string what, std::string write) {
        problems.push_back({"", {}, std::move(what), std::move(write), ""});
    };
    const auto check = [&](std::string_view what, const std::string& text, std::size_t longest) {
        if (text.size() > longest)
            say(fmt::format("the {} is longer than {} bytes", what, longest),
                "shorten it; keep the rest as notes");
        if (not_text(text, "")) say(fmt::format("the {} is not UTF-8 text", what), "type it again");
    };
    check("title", w.title, longest_line);
    check("machine", w.machine, longest_line);
    check("complaint", w.complaint, longest_prose);
    check("finding", w.finding, longest_prose);
    for (const std::string& label : w.labels) {
        check("label", label, longest_line);
        if (label.empty() || label.find(',') != std::string::npos)
            say(fmt::format("\"{}\" is no label", label), "write each label for itself, without a comma");
    }
    if (!is_date(w.date))
        say(fmt::format("\"{}\" is no date", w.date), "write year, month and day, for example  2026-11-25");
    return problems;
}

} // namespace lostvolts

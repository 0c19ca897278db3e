#include "viewer/window/fitting.h"

#include <algorithm>
#include <charconv>
#include <exception>

#include <fmt/format.h>

#include "solver/circuit/edit.h"
#include "solver/circuit/read.h"
#include "solver/circuit/toml_file.h"
#include "solver/reference/heat.h"
#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

void read_limit(const Circuit& c, const std::string& text, UnderstoodFitting& u) {
    DropRule& rule = u.request.rule;
    rule = land_rule(c);
    if (text.empty()) return;
    rule.wire.reset();
    rule.source = "as asked";
    if (text.find('%') != std::string::npos) {
        const auto share = read_quantity<Ratio<>>(text);
        if (const auto* error = std::get_if<ValueError>(&share))
            return u.problems.push_back({"limit", error->what, error->write});
        rule.whole_loop = nominal_voltage(c) * si(std::get<Ratio<>>(share));
    } else {
        const auto volts_read = read_quantity<Voltage<>>(text);
        if (const auto* error = std::get_if<ValueError>(&volts_read))
            return u.problems.push_back({"limit", error->what, "0.5 V or 3 %"});
        rule.whole_loop = std::get<Voltage<>>(volts_read);
    }
    if (si(rule.whole_loop) <= 0)
        u.problems.push_back({"limit", "leaves nothing to be lost", "0.5 V or 3 %"});
}

/// The circuit's text with every size and rating that is asked for.
Result<std::string> with_values(const std::string& text, const Circuit& c,
                                const std::map<PartId, std::string>& values) {
    std::vector<ValueEdit> edits;
    for (const auto& [part, value] : values) {
        const bool fuse = is_any<Fuse<>, Breaker<>>(c.parts[static_cast<std::size_t>(part)].law);
        edits.push_back({"part", part_name(c, part), fuse ? "rating" : "size", value});
    }
    return edit_values(text, edits, c.file);
}

std::map<PartId, std::string> chosen_values(const Sizing& s) {
    std::map<PartId, std::string> values;
    for (const SizedWire& w : s.wires)
        if (w.chosen) values[w.part] = write_wire_size(w.size);
    for (const SizedFuse& f : s.fuses)
        if (f.chosen) values[f.part] = write_quantity(f.rating);
    return values;
}

/// What is over a limit, told part by part.
std::vector<std::string> broken(const Circuit& c, const SizingRequest& request, const Sizing& s) {
    std::vector<std::string> all = s.remarks;
    if (s.worst_drop > s.allowed)
        all.push_back(fmt::format("{} lost of {} allowed", drop(s.worst_drop), drop(s.allowed)));
    for (const SizedWire& w : s.wires) {
        const std::string& name = part_name(c, w.part);
        if (w.temperature > w.limit)
            all.push_back(fmt::format("{} gets {:.0f} °C hot; its insulation stands {:.0f} °C", name,
                                      in_celsius(w.temperature), in_celsius(w.limit)));
        if (request.rule.wire && w.drop > *request.rule.wire)
            all.push_back(fmt::format("{} drops {} of {} allowed for a wire", name, drop(w.drop),
                                      drop(*request.rule.wire)));
    }
    for (const SizedFuse& f : s.fuses) {
        const std::string& name = part_name(c, f.part);
        if (f.loaded > 1)
            all.push_back(fmt::format("{} carries {:.0f} % of what it can", name, 100 * f.loaded));
        if (!f.survives_start) all.push_back(fmt::format("{} may open at a start", name));
    }
    std::sort(all.begin(), all.end());
    all.erase(std::unique(all.begin(), all.end()), all.end());
    return all;
}

void work(Fitting& out, const Circuit& drawn, const std::string& text, const Watch& watch) {
    const UnderstoodFitting understood = understand(drawn, out.wish);
    out.request = understood.request;
    out.circuit = std::make_shared<const Circuit>(drawn);
    if (!understood.problems.empty()) return;

    std::map<PartId, std::string> values = out.wish.by_hand;
    if (!values.empty() && !out.wish.others_follow) {
        // The others stay as they would be chosen without the hand.
        const auto chosen = size_harness(analyse(out.circuit), out.request);
        if (chosen)
            for (const auto& [part, value] : chosen_values(*chosen)) values.emplace(part, value);
        for (const auto& [part, value] : values) out.request.keep.push_back(part);
    }
    for (const auto& [part, value] : out.wish.by_hand)
        if (out.wish.others_follow) out.request.keep.push_back(part);
    if (watch.stopped()) return;
    if (!values.empty()) {
        const auto edited = with_values(text, drawn, values);
        if (!edited) return void(out.problems = edited.problems());
        auto circuit = read_circuit_text(*edited, drawn.file);
        if (!circuit) return void(out.problems = circuit.problems());
        out.circuit = std::make_shared<const Circuit>(*std::move(circuit));
    }
    auto sizing = size_harness(analyse(out.circuit), out.request);
    if (!sizing) return void(out.problems = sizing.problems());
    out.breaks = broken(*out.circuit, out.request, *sizing);
    out.values = std::move(values);
    for (const auto& [part, value] : chosen_values(*sizing)) out.values[part] = value;
    out.sizing = *std::move(sizing);
}

} // namespace

UnderstoodFitting understand(const Circuit& circuit, const FittingWish& wish) {
    UnderstoodFitting u;
    read_limit(circuit, wish.limit, u);
    u.request.ambient = circuit.temperature;
    const auto classes = insulation_classes();
    const auto k =
        static_cast<std::size_t>(std::clamp(wish.insulation, 0, static_cast<int>(classes.size()) - 1));
    u.request.insulation = classes[k];
    if (!wish.ambient.empty()) {
        const auto read = read_quantity<Temperature<>>(wish.ambient);
        if (const auto* error = std::get_if<ValueError>(&read))
            u.problems.push_back({"ambient", error->what, "40 degC"});
        else
            u.request.ambient = std::get<Temperature<>>(read);
    }
    if (u.request.ambient >= u.request.insulation.limit)
        u.problems.push_back({"ambient", "is as warm as the insulation stands", "take a higher class"});
    const char* end = wish.bundle.data() + wish.bundle.size();
    if (const auto read = std::from_chars(wish.bundle.data(), end, u.request.bundle);
        read.ec != std::errc{} || read.ptr != end || u.request.bundle < 1 || u.request.bundle > 500) {
        u.problems.push_back({"bundle", "is no number of wires", "1 to 500"});
        u.request.bundle = 1;
    }
    u.request.series = wish.series;
    return u;
}

Fitting fit(const Circuit& circuit, const std::string& text, const FittingWish& wish, const Watch& watch) {
    const auto begun = std::chrono::steady_clock::now();
    Fitting out;
    out.wish = wish;
    try {
        work(out, circuit, text, watch);
    } catch (const std::exception& slip) {
        out.problems.push_back({"", {}, std::string("a slip of the program's own: ") + slip.what(), "", ""});
    }
    out.milliseconds =
        std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - begun).count();
    return out;
}

Result<std::string> with_sizes_of(const std::string& text, const Fitting& fitting) {
    return with_values(text, *fitting.circuit, fitting.values);
}

std::filesystem::path usual_name(const std::filesystem::path& circuit) {
    return circuit.stem().string() + " sized.toml";
}

SavedSizes save_sizes(const std::filesystem::path& circuit, const std::string& typed, const std::string& text,
                      const Fitting& fitting) {
    const auto refused = [](std::string what, std::string write) {
        return SavedSizes{{}, FieldProblem{"file", std::move(what), std::move(write)}};
    };
    if (typed.empty()) return refused("has no name", usual_name(circuit).string());
    std::filesystem::path file = circuit.parent_path() / typed;
    std::error_code ignored;
    if (typed == usual_name(circuit).string())
        file = free_name(file);
    else if (std::filesystem::exists(file, ignored))
        return refused("is there already", "another name");
    const auto sized = with_sizes_of(text, fitting);
    if (!sized) return refused(sized.problems().front().what, sized.problems().front().write);
    if (const auto saved = replace_text_file(file, *sized); !saved)
        return refused(saved.problems().front().what, "another place, if this one stays so");
    return {file, std::nullopt};
}

std::vector<std::string> sizes_for(const WireSize& like, SizeSeries series) {
    std::vector<std::string> all;
    const bool gauge = series == SizeSeries::gauge || (series == SizeSeries::as_drawn && like.gauge);
    if (gauge)
        for (const int g : gauge_sizes()) all.push_back(write_wire_size({gauge_area(g), g}));
    else
        for (const double mm2 : metric_sizes_mm2())
            all.push_back(write_wire_size({from_si<Area<>>(mm2 * 1e-6), std::nullopt}));
    return all;
}

} // namespace lostvolts

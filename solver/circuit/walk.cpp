#include "solver/circuit/walk.h"

#include <algorithm>
#include <cctype>
#include <unordered_map>
#include <unordered_set>

#include <fmt/format.h>

#include "solver/circuit/names.h"
#include "solver/circuit/read.h"
#include "solver/circuit/toml_file.h"
#include "solver/circuit/walked_route.h"
#include "solver/units/lines.h"

namespace lostvolts {
namespace {

/// What a source gives or a load is made for; 0 where it is not told.
double volts_of(const WalkLine& line) {
    for (const char* key : {"emf", "regulated", "rated"})
        if (const std::string* told = line.value(key)) {
            const auto read = read_quantity<Voltage<>>(*told);
            if (const auto* volts = std::get_if<Voltage<>>(&read)) return si(*volts);
        }
    return 0;
}

/// The lines with their parts and points named.
class Walk {
  public:
    Walk(std::string_view text, const std::string& file, const std::string& title)
        : text_(text), file_(file) {
        route_.title = title;
    }

    /// As far as it can be told; empty where nothing can.
    WalkedRoute route() {
        read_lines();
        const bool whole = problems_.empty();
        if (lines_.empty()) return {};
        name_parts();
        const auto so_far = std::ssize(problems_);
        give_ends();
        if (!whole) { // a line that can't be read may have named the point that another asks for
            for (auto p = problems_.begin() + so_far; p != problems_.end(); ++p)
                unsure_.insert(p->place.line);
            problems_.erase(problems_.begin() + so_far, problems_.end());
        }
        if (whole && std::ssize(problems_) == so_far) find_dead_ends();
        return std::move(route_);
    }
    Problems problems() { return std::move(problems_); }
    /// Lines whose ends hang on one that can't be read.
    const std::unordered_set<int>& unsure() const { return unsure_; }

  private:
    void wrong(Place place, std::string what, std::string write) {
        problems_.push_back({file_, place, std::move(what), std::move(write), ""});
    }

    void read_lines() {
        int number = 0;
        for (std::string_view rest = text_; !rest.empty();) {
            auto line = read_walk_line(take_line(rest), ++number, file_, problems_);
            if (line && line->says == WalkLine::Says::name)
                route_.title = line->name;
            else if (line)
                lines_.push_back(*std::move(line));
        }
        if (!problems_.empty()) return;
        constexpr const char* battery = "battery 12.6 V 9 mohm";
        if (lines_.empty())
            wrong({}, "the walk has no parts",
                  fmt::format("begin at the battery, a line a part:  {}", battery));
        else if (!is_source(lines_.front().kind))
            wrong(lines_.front().place, "a walk begins at a source",
                  fmt::format("write the battery's line first:  {}", battery));
        else if (lines_.size() == 1)
            wrong(lines_.front().place, "the walk has nothing but a source",
                  "add the parts it feeds, a line a part");
    }

    /// What has no name is called by its kind, and by a number where there are several.
    void name_parts() {
        std::unordered_map<std::string, int> unnamed, given;
        for (const WalkLine& line : lines_) {
            if (line.says != WalkLine::Says::part) continue;
            if (line.name.empty()) {
                ++unnamed[line.kind];
                continue;
            }
            const auto [there, fresh] = line_of_part_.emplace(line.name, line.number);
            if (!fresh)
                wrong(line.place,
                      fmt::format("part \"{}\" is there twice, first in line {}", line.name, there->second),
                      "give each its own name");
        }
        for (WalkLine& line : lines_) {
            if (line.says != WalkLine::Says::part || !line.name.empty()) continue;
            do {
                const int k = ++given[line.kind];
                const bool alone = unnamed[line.kind] == 1 && k == 1;
                line.name = alone ? line.kind : fmt::format("{} {}", line.kind, k);
            } while (!line_of_part_.emplace(line.name, line.number).second);
        }
    }

    std::string new_part(const std::string& wanted, int line) {
        std::string name = wanted;
        for (int k = 2; !line_of_part_.emplace(name, line).second; ++k)
            name = fmt::format("{} {}", wanted, k);
        return name;
    }
    std::string new_point(const std::string& wanted, Place place) {
        std::string name = wanted;
        for (int k = 2; points_.find(name) >= 0; ++k) name = fmt::format("{} {}", wanted, k);
        points_.find_or_add(name, place);
        return name;
    }

    /// Between a part and the next of its branch.
    std::string point_after(const WalkLine& part, const WalkLine& next) {
        const auto called = [&](const std::string& name) { return new_point(name, part.place); };
        if (is_source(part.kind)) return called(part.name + " +");
        if (is_source(next.kind)) return called(next.name + " -");
        if (is_load(next.kind)) return called(next.name + " +");
        if (is_load(part.kind)) return called(part.name + " -");
        if (next.kind == "relay") return called(next.name + " 30");
        if (part.kind == "relay") return called(part.name + " 87");
        return called(fmt::format("{} / {}", part.name, next.name));
    }

    void give_ends() {
        std::string here = route_.minus = new_point(lines_.front().name + " -", lines_.front().place);
        for (std::size_t k = 0; k < lines_.size(); ++k) {
            const WalkLine& line = lines_[k];
            if (line.says == WalkLine::Says::from) {
                if (points_.find(line.name) < 0)
                    wrong(line.place, fmt::format("the walk has no point \"{}\" so far", line.name),
                          points_.advice(line.name));
                here = line.name;
                continue;
            }
            const bool goes_on = k + 1 < lines_.size() && lines_[k + 1].says == WalkLine::Says::part;
            std::string there = line.point;
            if (!there.empty())
                points_.find_or_add(there, line.place);
            else
                there = goes_on ? point_after(line, lines_[k + 1]) : route_.minus;
            if (there == here)
                wrong(line.place,
                      fmt::format("both ends of {} \"{}\" would be at \"{}\"", line.kind, line.name, here),
                      "write to, and the point at its other end");
            route_.volts = std::max(route_.volts, volts_of(line));
            tell_of_point(there, line);
            route_.legs.push_back({line, here, there, {}});
            here = there;
        }
        for (Leg& leg : route_.legs)
            if (leg.line.kind == "relay") guess_coil(leg);
    }

    void guess_coil(Leg& leg) {
        const std::string& relay = leg.line.name;
        leg.coil = {new_point(relay + " 86", leg.line.place), new_point(relay + " 85", leg.line.place),
                    new_part(relay + " switch", leg.line.number),
                    new_part(relay + " coil ground", leg.line.number)};
    }

    void tell_of_point(const std::string& name, const WalkLine& line) {
        if (line.access.empty() && line.note.empty()) return;
        const auto [at, fresh] = told_.emplace(name, route_.points.size());
        if (fresh)
            route_.points.push_back({name, line.access, line.note, line.number});
        else
            wrong(line.place,
                  fmt::format("the way to \"{}\" is told twice, first in line {}", name,
                              route_.points[at->second].line),
                  "tell it once");
    }

    /// A branch that ends at a point of its own leads nowhere.
    void find_dead_ends() {
        std::unordered_map<std::string, int> ends;
        for (const Leg& leg : route_.legs) ++ends[leg.from], ++ends[leg.to];
        for (const Leg& leg : route_.legs)
            if (ends[leg.to] == 1)
                wrong(leg.line.place,
                      fmt::format("{} \"{}\" ends at \"{}\", where nothing goes on", leg.line.kind,
                                  leg.line.name, leg.to),
                      fmt::format("a branch may end at a point of the walk; without to it ends at \"{}\"",
                                  route_.minus));
    }

    std::string_view text_;
    const std::string& file_;
    Problems problems_;
    std::unordered_set<int> unsure_;
    std::vector<WalkLine> lines_; ///< parts and where a branch begins
    std::unordered_map<std::string, int> line_of_part_;
    std::unordered_map<std::string, std::size_t> told_; ///< points, by their place in the route's
    Names points_{"point"};
    WalkedRoute route_;
};

/// `size = "4 mm2"` is "4 mm2" in a walk.
std::string without_keys(std::string_view text) {
    std::string plain;
    for (;;) {
        const std::size_t is = text.find(" = \"");
        const std::size_t end = is == std::string_view::npos ? is : text.find('"', is + 4);
        if (end == std::string_view::npos) return plain.append(text);
        std::size_t key = is;
        while (key > 0 && (std::isalnum(static_cast<unsigned char>(text[key - 1])) || text[key - 1] == '_'))
            --key;
        plain.append(text.substr(0, key)).append(text.substr(is + 4, end - is - 4));
        text.remove_prefix(end + 1);
    }
}

/// The file's mistakes at the walk's lines that they come from, values without their keys.
Problems in_words_of_the_walk(Problems problems, const WalkedRoute& route, const WrittenRoute& written) {
    std::unordered_map<int, Place> places;
    for (const Leg& leg : route.legs) places.emplace(leg.line.number, leg.line.place);
    for (Problem& p : problems) {
        const auto line = static_cast<std::size_t>(std::max(0, p.place.line));
        const auto at = line < written.walked.size() ? places.find(written.walked[line]) : places.end();
        p.place = at == places.end() ? Place{} : at->second;
        p.write = without_keys(p.write);
    }
    return problems;
}

/// What the circuit's reader says of lines in which the walk itself found nothing; all of it, when that is so
/// of every line. What has no line may come of the lines that are wrong, as may what it says of the unsure.
void add_to(Problems& of_the_walk, Problems of_the_file, std::unordered_set<int> unsure) {
    std::unordered_set<int> told = std::move(unsure);
    for (const Problem& p : of_the_walk) told.insert(p.place.line);
    for (Problem& p : of_the_file)
        if (told.empty() || (p.place.line > 0 && !told.contains(p.place.line)))
            of_the_walk.push_back(std::move(p));
}

} // namespace

bool is_walk(std::string_view text) {
    while (!text.empty()) {
        const std::string_view line = take_line(text);
        Problems ignored;
        const auto read =
            line.find('=') == std::string_view::npos ? read_walk_line(line, 1, "", ignored) : std::nullopt;
        if (read && read->says == WalkLine::Says::name) continue;
        if (read) return is_source(read->kind);
        if (line.find_first_not_of(" \t\r") != line.find('#')) return false; // neither blank nor a comment
    }
    return false;
}

Result<WalkedCircuit> circuit_of_walk(std::string_view walk, const std::string& file,
                                      const std::string& title) {
    Walk walked(walk, file, title);
    const WalkedRoute route = walked.route();
    Problems problems = walked.problems();
    if (route.legs.empty()) return tidy(std::move(problems), walk);
    WrittenRoute written = write_route(route);
    auto circuit = read_circuit_text(written.toml, file);
    if (!circuit) add_to(problems, in_words_of_the_walk(circuit.problems(), route, written), walked.unsure());
    if (!problems.empty()) return tidy(std::move(problems), walk);
    return WalkedCircuit{std::move(written.toml), *std::move(circuit), std::move(written.guesses)};
}

} // namespace lostvolts

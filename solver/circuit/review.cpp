// Mistakes that only show when the parts are seen together.
#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>
#include <unordered_map>

#include <fmt/format.h>

#include "solver/circuit/read.h"
#include "solver/parts/equation.h"

namespace lostvolts {
namespace {

constexpr double same_volts = 1e-6;           // two emf that are told apart no further
constexpr std::size_t most_suggestions = 200; // names looked up, and among how many: keeps a review of a
constexpr std::size_t most_candidates = 1000; // large circuit short

/// Which points hang together, by union-find with path halving.
class Groups {
  public:
    explicit Groups(std::size_t points) : up_(points) { std::iota(up_.begin(), up_.end(), 0); }
    PointId of(PointId p) {
        while (up_[static_cast<std::size_t>(p)] != p) {
            PointId& up = up_[static_cast<std::size_t>(p)];
            up = up_[static_cast<std::size_t>(up)];
            p = up;
        }
        return p;
    }
    void join(PointId a, PointId b) { up_[static_cast<std::size_t>(of(a))] = of(b); }

  private:
    std::vector<PointId> up_;
};

// The resistance of a part that is a plain conductor; nothing for a source and for what works by other laws.
std::optional<Resistance<>> conductor_ohms(const AnyPart& law) {
    return std::visit(
        [](const auto& part) -> std::optional<Resistance<>> {
            using Kind = std::decay_t<decltype(part)>;
            if constexpr (std::is_same_v<Kind, Relay<>>)
                return part.contact;
            else if constexpr (std::is_same_v<Kind, Fuse<>>)
                return part.cold;
            else if constexpr (std::is_same_v<Kind, Wire<>> || std::is_same_v<Kind, Breaker<>> ||
                               std::is_same_v<Kind, Switch<>> || std::is_same_v<Kind, Connector<>> ||
                               std::is_same_v<Kind, Splice<>> || std::is_same_v<Kind, Ground<>> ||
                               std::is_same_v<Kind, Resistor<>> || std::is_same_v<Kind, Heater<>>)
                return part.resistance;
            else
                return std::nullopt;
        },
        law);
}

bool ideal(Resistance<> r) { return si(r) <= least_ohms; }

struct Source {
    PartId part;
    Voltage<> emf;
    Resistance<> inside;
};

std::optional<Source> source(const Circuit& c, PartId id) {
    const AnyPart& law = c.parts[static_cast<std::size_t>(id)].law;
    if (const auto* battery = std::get_if<Battery<>>(&law))
        return Source{id, battery->emf, battery->resistance};
    if (const auto* charger = std::get_if<Charger<>>(&law))
        return Source{id, charger->regulated, charger->droop};
    return std::nullopt;
}

std::string called(const Circuit& c, PartId id) { return said(c.parts[static_cast<std::size_t>(id)]); }

Problem about(const Circuit& c, PartId id, std::string what, std::string write) {
    return {c.file, c.parts[static_cast<std::size_t>(id)].place, std::move(what), std::move(write), ""};
}

/// One state's ideal links: 0 ohm parts that carry current in it.
struct Links {
    std::vector<PartId> parts;
    Groups groups;
};

Links ideal_links(const Circuit& c, const State& state) {
    std::vector<char> out(c.parts.size(), 0), closed(c.parts.size(), 0);
    for (const PartId p : state.removed) out[static_cast<std::size_t>(p)] = 1;
    for (const PartId p : state.closed) closed[static_cast<std::size_t>(p)] = 1;
    for (const PartId p : state.bridged) // a bridged relay is out of its socket, and its jumper is not ideal
        if (std::holds_alternative<Relay<>>(c.parts[static_cast<std::size_t>(p)].law))
            out[static_cast<std::size_t>(p)] = 1;
    Links links{{}, Groups(c.points.size())};
    for (std::size_t p = 0; p < c.parts.size(); ++p) {
        const Part& part = c.parts[p];
        const bool contact =
            std::holds_alternative<Switch<>>(part.law) || std::holds_alternative<Relay<>>(part.law);
        const auto ohms = conductor_ohms(part.law);
        if (!ohms || !ideal(*ohms) || out[p] || (contact && !closed[p])) continue;
        links.parts.push_back(static_cast<PartId>(p));
        links.groups.join(part.from, part.to);
    }
    return links;
}

/// Up to three of the ideal parts that tie a source's two ends together, along the shortest way.
std::vector<PartId> way_between(const Circuit& c, const std::vector<PartId>& links, PointId from,
                                PointId to) {
    std::vector<std::vector<PartId>> at(c.points.size());
    for (const PartId p : links) {
        at[static_cast<std::size_t>(c.parts[static_cast<std::size_t>(p)].from)].push_back(p);
        at[static_cast<std::size_t>(c.parts[static_cast<std::size_t>(p)].to)].push_back(p);
    }
    std::vector<PartId> came(c.points.size(), none);
    std::vector<PointId> queue{from};
    for (std::size_t k = 0; k < queue.size() && queue[k] != to; ++k)
        for (const PartId p : at[static_cast<std::size_t>(queue[k])]) {
            const Part& part = c.parts[static_cast<std::size_t>(p)];
            const PointId other = part.from == queue[k] ? part.to : part.from;
            if (other == from || came[static_cast<std::size_t>(other)] != none) continue;
            came[static_cast<std::size_t>(other)] = p;
            queue.push_back(other);
        }
    std::vector<PartId> way;
    for (PointId at_point = to; at_point != from && came[static_cast<std::size_t>(at_point)] != none;) {
        const PartId p = came[static_cast<std::size_t>(at_point)];
        way.push_back(p);
        const Part& part = c.parts[static_cast<std::size_t>(p)];
        at_point = part.from == at_point ? part.to : part.from;
    }
    std::reverse(way.begin(), way.end());
    return way;
}

std::string listed(const Circuit& c, const std::vector<PartId>& parts) {
    std::string text;
    for (std::size_t k = 0; k < parts.size() && k < 3; ++k)
        text += (k ? ", " : "") + fmt::format("\"{}\"", c.parts[static_cast<std::size_t>(parts[k])].name);
    if (parts.size() > 3) text += fmt::format(" and {} more", parts.size() - 3);
    return text;
}

/// Shorted and clashing sources of one state; a source that was complained of is not named again.
void check_sources(const Circuit& c, const State& state, const std::vector<PartId>& sources,
                   std::vector<char>& said, Problems& errors) {
    Links links = ideal_links(c, state);
    std::vector<PartId> in;
    for (const PartId id : sources)
        if (!said[static_cast<std::size_t>(id)] && !holds(state.removed, id)) in.push_back(id);
    struct Stiff {
        PointId minus, plus;
        Source source;
    };
    std::vector<Stiff> stiff;
    for (const PartId id : in) {
        const Part& part = c.parts[static_cast<std::size_t>(id)];
        const PointId minus = links.groups.of(part.from), plus = links.groups.of(part.to);
        if (minus == plus) {
            const auto way = way_between(c, links.parts, part.from, part.to);
            errors.push_back(
                about(c, id,
                      fmt::format("state \"{}\": {} is shorted by {} (0 ohm): no current that can "
                                  "be worked out",
                                  state.name, called(c, id), listed(c, way)),
                      fmt::format("give {} a resistance, or check both of its ends",
                                  listed(c, {way.begin(), way.begin() + !way.empty()}))));
            said[static_cast<std::size_t>(id)] = 1;
            continue;
        }
        const Source s = *source(c, id);
        if (ideal(s.inside)) stiff.push_back({minus, plus, s});
    }
    // Sources without resistance between the same two groups, either way round.
    std::sort(stiff.begin(), stiff.end(), [](const Stiff& a, const Stiff& b) {
        return std::minmax(a.minus, a.plus) < std::minmax(b.minus, b.plus);
    });
    for (std::size_t k = 1; k < stiff.size(); ++k) {
        const Stiff &a = stiff[k - 1], &b = stiff[k];
        if (std::minmax(a.minus, a.plus) != std::minmax(b.minus, b.plus)) continue;
        const bool turned = a.minus != b.minus;
        const double difference = si(a.source.emf) - (turned ? -1 : 1) * si(b.source.emf);
        if (std::abs(difference) <= same_volts) continue;
        errors.push_back(about(
            c, b.source.part,
            fmt::format("state \"{}\": {} ({}) and {} ({}) are tied together{} with nothing between them",
                        state.name, called(c, a.source.part), show(a.source.emf, 4), called(c, b.source.part),
                        show(b.source.emf, 4), turned ? ", plus to minus," : ""),
            "give one of them a resistance, for example resistance = \"10 mohm\""));
        said[static_cast<std::size_t>(b.source.part)] = 1;
    }
}

/// Every way that current could ever take: all contacts closed, coils included.
Groups all_joined(const Circuit& c) {
    Groups groups(c.points.size());
    for (const Part& part : c.parts) {
        groups.join(part.from, part.to);
        if (part.coil_from != none && part.coil_to != none) groups.join(part.coil_from, part.coil_to);
    }
    return groups;
}

void remark_on_islands(const Circuit& c, Problems& remarks) {
    if (c.ground == none) return;
    Groups groups = all_joined(c);
    const std::string& ground = point_name(c, c.ground);
    std::vector<char> said(c.points.size(), 0);
    for (std::size_t p = 0; p < c.parts.size(); ++p) {
        const PointId island = groups.of(c.parts[p].from);
        if (island == groups.of(c.ground) || said[static_cast<std::size_t>(island)]) continue;
        said[static_cast<std::size_t>(island)] = 1;
        const auto id = static_cast<PartId>(p);
        remarks.push_back(about(c, id, fmt::format("{} has no path to \"{}\"", called(c, id), ground),
                                "add the ground wire, or check the names of the points it is between"));
    }
}

/// Terminal numbers and polarity: points that differ in these are not each other's misspelling.
std::string marks(std::string_view name) {
    std::string kept;
    std::copy_if(name.begin(), name.end(), std::back_inserter(kept),
                 [](char c) { return std::string_view("0123456789+-").find(c) != std::string_view::npos; });
    return kept;
}

void remark_on_single_ends(const Circuit& c, Problems& remarks) {
    std::vector<int> touches(c.points.size(), 0);
    std::vector<PartId> by(c.points.size(), none);
    for (std::size_t p = 0; p < c.parts.size(); ++p) {
        const Part& part = c.parts[p];
        for (const PointId point : std::array{part.from, part.to, part.coil_from, part.coil_to}) {
            if (point == none) continue;
            ++touches[static_cast<std::size_t>(point)];
            by[static_cast<std::size_t>(point)] = static_cast<PartId>(p);
        }
    }
    std::unordered_map<std::string, std::vector<std::string>> with_marks;
    for (const Point& point : c.points) {
        auto& names = with_marks[marks(point.name)];
        if (names.size() < most_candidates) names.push_back(point.name);
    }
    std::size_t looked_up = 0;
    for (std::size_t p = 0; p < c.points.size() && looked_up < most_suggestions; ++p) {
        const Point& point = c.points[p];
        if (touches[p] != 1 || point.declared) continue;
        ++looked_up;
        std::vector<std::string> others = with_marks[marks(point.name)];
        std::erase(others, point.name);
        const auto near = nearest(point.name, others);
        if (!near) continue;
        remarks.push_back(about(
            c, by[p], fmt::format("point \"{}\" is touched by {} only", point.name, called(c, by[p])),
            fmt::format("did you mean \"{}\"? If the end is free on purpose, give it a [[point]]", *near)));
    }
}

} // namespace

Review review(const Circuit& circuit) {
    Review found;
    std::vector<PartId> sources;
    for (std::size_t p = 0; p < circuit.parts.size(); ++p)
        if (source(circuit, static_cast<PartId>(p))) sources.push_back(static_cast<PartId>(p));
    const bool any_ideal = std::any_of(circuit.parts.begin(), circuit.parts.end(), [](const Part& part) {
        const auto ohms = conductor_ohms(part.law);
        return ohms && ideal(*ohms);
    });
    const bool any_stiff = sources.size() > 1 && std::any_of(sources.begin(), sources.end(), [&](PartId id) {
                               return ideal(source(circuit, id)->inside);
                           });
    std::vector<char> said(circuit.parts.size(), 0);
    if (any_ideal || any_stiff)
        for (const State& state : circuit.states) check_sources(circuit, state, sources, said, found.errors);
    remark_on_islands(circuit, found.remarks);
    remark_on_single_ends(circuit, found.remarks);
    return found;
}

} // namespace lostvolts

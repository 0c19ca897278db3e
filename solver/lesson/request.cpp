#include "solver/lesson/request.h"

#include <algorithm>
#include <array>
#include <cctype>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "solver/circuit/names.h"

namespace lostvolts {
namespace {

constexpr std::size_t longest_line = 1000; // bytes
constexpr std::size_t most_listed = 8;

/// Lower case, without quotes and commas, single blanks; a typographic minus becomes a plain one.
std::string plain(std::string_view text) {
    std::string out;
    for (std::size_t k = 0; k < text.size(); ++k) {
        if (text.substr(k).starts_with("\xE2\x88\x92")) {
            out += '-';
            k += 2;
            continue;
        }
        const auto ch = static_cast<unsigned char>(text[k]);
        if (ch == '"' || ch == '\'' || ch == ',') continue;
        if (std::isspace(ch) || ch < 0x20) {
            if (!out.empty() && out.back() != ' ') out += ' ';
        } else {
            out += ch < 0x80 ? static_cast<char>(std::tolower(ch)) : text[k];
        }
    }
    while (!out.empty() && out.back() == ' ') out.pop_back();
    return out;
}

std::string some_of(std::string_view sort, std::vector<std::string> names) {
    const bool more = names.size() > most_listed;
    if (more) names.resize(most_listed);
    return fmt::format("the {}s are \"{}\"{}", sort, fmt::join(names, "\", \""), more ? " …" : "");
}

/// What a name can mean.
struct Match {
    std::vector<int> indices; // one: found; several: ambiguous; none: unknown
};

std::string without_blanks(std::string text) {
    std::erase(text, ' ');
    return text;
}

/// Exact, else exact but for blanks ("pump+"), else those that begin with it, else those that hold it.
Match match(const std::vector<std::string>& plain_names, const std::string& text) {
    Match m;
    if (text.empty()) return m;
    const auto gather = [&](auto fits) {
        for (std::size_t k = 0; k < plain_names.size() && m.indices.size() <= most_listed; ++k)
            if (fits(plain_names[k])) m.indices.push_back(static_cast<int>(k));
        return !m.indices.empty();
    };
    if (gather([&](const std::string& n) { return n == text; })) return m;
    if (gather([&, bare = without_blanks(text)](const std::string& n) { return without_blanks(n) == bare; }))
        return m;
    if (gather([&](const std::string& n) { return n.starts_with(text); })) return m;
    gather([&](const std::string& n) { return n.find(text) != std::string::npos; });
    return m;
}

template <class Named_> std::vector<std::string> plain_names(const std::vector<Named_>& all) {
    std::vector<std::string> names;
    names.reserve(all.size());
    for (const Named_& one : all) names.push_back(plain(one.name));
    return names;
}

struct Reader {
    const Circuit& c;
    int state;
    bool in_a_game; ///< there one may ask for lists of names
    std::vector<std::string> points = plain_names(c.points), parts = plain_names(c.parts),
                             states = plain_names(c.states);

    Result<Request> read(const std::string& line);
    Result<Prospect> where(Measurand quantity, std::string words, bool part_first = false);
    Result<Prospect> between(Measurand quantity, const std::string& rest);
    Result<Prospect> through(Measurand quantity, const std::string& rest);
    Result<Request> named(const std::string& rest);

    Problem wrong(std::string what, std::string write) const {
        return {{}, {}, std::move(what), std::move(write), {}};
    }
    template <class All>
    Problem not_found(std::string_view sort, const std::string& text, const Match& m, const All& all) const {
        if (m.indices.size() > 1) {
            std::vector<std::string> names;
            for (const int k : m.indices) names.push_back(all[static_cast<std::size_t>(k)].name);
            const bool more = names.size() > most_listed;
            if (more) names.pop_back();
            return wrong(fmt::format("\"{}\" could be several", text),
                         fmt::format("say which: \"{}\"{}", fmt::join(names, "\", \""), more ? " …" : ""));
        }
        std::vector<std::string> names = names_of(all);
        const auto near = nearest(text, names);
        return wrong(text.empty() ? fmt::format("a {} is missing", sort)
                                  : fmt::format("there is no {} \"{}\"", sort, text),
                     near        ? fmt::format("did you mean \"{}\"?", *near)
                     : in_a_game ? fmt::format("\"{}s\" lists them", sort)
                                 : some_of(sort, std::move(names)));
    }

    /// Takes "in STATE" off the end and remembers it; a problem when that state is ambiguous.
    std::optional<Problem> take_state(std::string& text);
    Match load_or_part(const std::string& text) const;
};

std::optional<Problem> Reader::take_state(std::string& text) {
    for (const std::string_view link : {" in ", " at ", " state "}) {
        const std::size_t at = text.rfind(link);
        if (at == std::string::npos) continue;
        std::string name = text.substr(at + link.size());
        if (name.starts_with("state ")) name = name.substr(6);
        const Match m = match(states, name);
        if (m.indices.empty()) continue;
        if (m.indices.size() > 1) return not_found("state", name, m, c.states);
        state = m.indices.front();
        text.resize(at);
        return std::nullopt;
    }
    return std::nullopt;
}

/// A part; of those that only hold the text, the load where there is just one.
Match Reader::load_or_part(const std::string& text) const {
    Match loads;
    for (std::size_t k = 0; k < parts.size() && !text.empty(); ++k) {
        if (parts[k] == text) return {{static_cast<int>(k)}};
        if (is_load(c.parts[k].law) && parts[k].find(text) != std::string::npos)
            loads.indices.push_back(static_cast<int>(k));
    }
    return loads.indices.size() == 1 ? loads : match(parts, text);
}

Result<Prospect> Reader::between(Measurand quantity, const std::string& rest) {
    if (rest.starts_with("across ") || rest.starts_with("over ")) {
        const std::string name = rest.substr(rest.find(' ') + 1);
        const Match m = match(parts, name);
        if (m.indices.size() != 1) return not_found("part", name, m, c.parts);
        const Part& part = c.parts[static_cast<std::size_t>(m.indices.front())];
        return Prospect{state, quantity, part.from, part.to, none};
    }
    // Of the places where two points may be parted, the first that gives two known ones.
    Match red = match(points, rest), black;
    std::string red_text = rest, black_text;
    if (red.indices.size() == 1) return Prospect{state, quantity, red.indices.front(), c.ground, none};
    for (const std::string_view link : {" to ", " and ", " against ", " / "})
        for (std::size_t at = rest.find(link); at != std::string::npos; at = rest.find(link, at + 1)) {
            red_text = rest.substr(0, at);
            black_text = rest.substr(at + link.size());
            red = match(points, red_text);
            black = match(points, black_text);
            if (black_text == "ground") black.indices = {c.ground};
            if (red.indices.size() == 1 && black.indices.size() == 1)
                return Prospect{state, quantity, red.indices.front(), black.indices.front(), none};
        }
    if (red.indices.size() != 1 || black_text.empty()) return not_found("point", red_text, red, c.points);
    return not_found("point", black_text, black, c.points);
}

Result<Prospect> Reader::through(Measurand quantity, const std::string& rest) {
    const std::string name = rest.starts_with("through ")                         ? rest.substr(8)
                             : rest.starts_with("of ") || rest.starts_with("to ") ? rest.substr(3)
                                                                                  : rest;
    const Match m = load_or_part(name);
    if (m.indices.size() != 1) return not_found("part", name, m, c.parts);
    return Prospect{state, quantity, none, none, m.indices.front()};
}

Result<Request> Reader::named(const std::string& rest) {
    Named named;
    std::string name = rest;
    const auto exact = [&](const std::string& text) {
        return std::find(parts.begin(), parts.end(), text) != parts.end();
    };
    for (const std::string_view kind : fault_names()) {
        if (exact(name) || !name.ends_with(kind)) continue;
        named.kind = fault_kind(kind);
        name.resize(name.size() - kind.size());
        while (name.ends_with(' ') || name.ends_with(':')) name.pop_back();
    }
    const Match m = match(parts, name);
    if (m.indices.size() != 1) return not_found("part", name, m, c.parts);
    named.part = m.indices.front();
    return Request(named);
}

Result<Request> Reader::read(const std::string& line) {
    static const std::array<std::pair<std::string_view, Wish>, 12> wishes{{{"help", Wish::help},
                                                                           {"?", Wish::help},
                                                                           {"points", Wish::points},
                                                                           {"states", Wish::states},
                                                                           {"parts", Wish::parts},
                                                                           {"log", Wish::log},
                                                                           {"readings", Wish::log},
                                                                           {"complaint", Wish::complaint},
                                                                           {"quit", Wish::quit},
                                                                           {"exit", Wish::quit},
                                                                           {"q", Wish::quit},
                                                                           {"give up", Wish::quit}}};
    for (const auto& [word, wish] : wishes)
        if (line == word) return Request(wish);
    const std::size_t blank = line.find(' ');
    const std::string verb = line.substr(0, blank);
    std::string rest = blank == std::string::npos ? "" : line.substr(blank + 1);
    const auto is = [&](std::initializer_list<std::string_view> words) {
        return std::find(words.begin(), words.end(), verb) != words.end();
    };
    if (is({"part", "name", "fault", "it"})) {
        if (rest.starts_with("is ")) rest = rest.substr(3);
        if (rest.starts_with("the ")) rest = rest.substr(4);
        return named(rest);
    }
    std::optional<Measurand> quantity;
    if (is({"volts", "volt", "voltage", "drop", "v"})) quantity = Measurand::voltage;
    if (is({"amps", "amperes", "current", "clamp", "a"})) quantity = Measurand::current;
    if (is({"speed", "rpm", "turns"})) quantity = Measurand::speed;
    if (is({"ohms", "ohm", "resistance"})) quantity = Measurand::resistance;
    if (is({"lamp", "light"})) quantity = Measurand::lamp;
    if (is({"sound", "listen", "hear"})) quantity = Measurand::sound;
    if (!quantity)
        return wrong(fmt::format("\"{}\" is no word of this game", verb),
                     "write volts, amps, speed, ohms, lamp, listen or part and a name; \"help\" says more");
    const auto place = where(*quantity, rest, verb == "drop");
    if (!place) return place.problems();
    return Request(*place);
}

Result<Prospect> Reader::where(Measurand quantity, std::string words, bool part_first) {
    if (auto problem = take_state(words)) return *problem;
    const auto find = [&](const std::string& place) {
        if (!between_two_points(quantity)) return through(quantity, place);
        const bool across =
            part_first && !place.starts_with("across ") && match(parts, place).indices.size() == 1;
        return between(quantity, across ? "across " + place : place);
    };
    auto found = find(words);
    for (std::size_t s = 0; s < states.size() && !found; ++s) { // "battery +, run", "run: battery +"
        const std::string& name = states[s];
        const bool ahead = words.starts_with(name + " ") || words.starts_with(name + ": ");
        if (!ahead && !words.ends_with(" " + name)) continue;
        state = static_cast<int>(s);
        found = find(ahead ? words.substr(words.find(' ', name.size()) + 1)
                           : words.substr(0, words.size() - name.size() - 1));
    }
    return found;
}

} // namespace

Result<Request> read_request(const Circuit& circuit, int state, std::string_view line) {
    if (line.size() > longest_line)
        return Problem{{}, {}, "the line is too long", "ask for one reading a line", {}};
    const std::string text = plain(line);
    if (text.empty() || text.starts_with('#')) return Request(Wish::nothing);
    return Reader{circuit, state, true}.read(text);
}

Result<Prospect> read_place(const Circuit& circuit, int state, Measurand quantity, std::string_view words) {
    if (words.size() > longest_line)
        return Problem{{}, {}, "the line is too long", "write one reading a line", {}};
    return Reader{circuit, state, false}.where(quantity, plain(words));
}

std::optional<std::string> place_words(const Circuit& c, const Prospect& p) {
    const std::string place = between_two_points(p.quantity)
                                  ? fmt::format("{} to {}", point_name(c, p.red), point_name(c, p.black))
                                  : part_name(c, p.through);
    std::string words = fmt::format("{} in {}", place, c.states[static_cast<std::size_t>(p.state)].name);
    const auto read = read_place(c, none, p.quantity, words);
    const bool same = read && read->state == p.state && read->red == p.red && read->black == p.black &&
                      read->through == p.through;
    return same ? std::optional(std::move(words)) : std::nullopt;
}

int first_state(const Circuit& circuit) {
    for (std::size_t s = 0; s < circuit.states.size(); ++s) {
        const State& state = circuit.states[s];
        if (state.locked.empty() && state.bridged.empty() && state.removed.empty() && !state.closed.empty())
            return static_cast<int>(s);
    }
    return 0;
}

} // namespace lostvolts

#include "solver/study/variant.h"

#include <algorithm>
#include <charconv>

#include <fmt/format.h>

#include "solver/circuit/edit.h"
#include "solver/circuit/read.h"
#include "solver/sizing/draw.h"

namespace lostvolts {
namespace {

struct Written {
    double number = 0;
    std::string unit;
};

std::optional<Written> in_two(const std::string& text) {
    Written w;
    const std::size_t from = text.find_first_not_of(" \t");
    if (from == std::string::npos) return std::nullopt;
    const auto [end, error] = std::from_chars(text.data() + from, text.data() + text.size(), w.number);
    if (error != std::errc{}) return std::nullopt;
    w.unit.assign(end, text.data() + text.size());
    w.unit.erase(0, std::min(w.unit.find_first_not_of(" \t"), w.unit.size()));
    return w;
}

} // namespace

std::optional<std::string> between_ends(const Vary& vary, double share) {
    const auto low = in_two(vary.values.front()), high = in_two(vary.values.back());
    if (!low || !high || low->unit != high->unit) return std::nullopt;
    return fmt::format("{} {}", low->number + (high->number - low->number) * share, low->unit);
}

std::vector<std::string> values_of(const StudyOrder& order, long n) {
    std::vector<std::string> values(order.vary.size());
    long left = n;
    for (std::size_t k = order.vary.size(); k-- > 0;) {
        const Vary& vary = order.vary[k];
        const auto count = static_cast<long>(vary.values.size());
        if (!order.drawn) {
            values[k] = vary.values[static_cast<std::size_t>(left % count)];
            left /= count;
            continue;
        }
        const double share = counted_share(order.seed, static_cast<std::uint64_t>(n), k);
        if (vary.even)
            values[k] = between_ends(vary, share).value_or(vary.values.front());
        else
            values[k] = vary.values[static_cast<std::size_t>(
                std::min(count - 1, static_cast<long>(share * static_cast<double>(count))))];
    }
    return values;
}

Result<Circuit> with_values(const StudiedCircuit& drawn, const std::vector<Vary>& vary,
                            const std::vector<std::string>& values) {
    if (vary.empty()) return drawn.circuit;
    std::vector<ValueEdit> edits;
    for (std::size_t k = 0; k < vary.size(); ++k)
        edits.push_back({vary[k].part.empty() ? "" : "part", vary[k].part, vary[k].key, values[k]});
    const auto text = edit_values(drawn.text, edits, drawn.file);
    if (!text) return text.problems();
    return read_circuit_text(*text, drawn.file);
}

} // namespace lostvolts

#include "solver/circuit/names.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace lostvolts {
namespace {

constexpr std::size_t most_comparisons = 300'000; // about a tenth of a second
constexpr std::size_t few = 12;

} // namespace

int Names::find(std::string_view name) const {
    const auto at = known_.find(name);
    return at == known_.end() ? -1 : at->second.index;
}

int Names::find_or_add(std::string_view name, Place place) {
    if (const auto at = known_.find(name); at != known_.end()) return at->second.index;
    const int index = static_cast<int>(all_.size());
    known_.emplace(std::string(name), Known{index, place});
    all_.emplace_back(name);
    return index;
}

std::optional<Problem> Names::add_new(const std::string& name, Place place, const std::string& file) {
    if (const auto at = known_.find(name); at != known_.end()) {
        all_.push_back(name); // keeps indices in step; the name finds the first
        return Problem{
            file, place,
            fmt::format("{} \"{}\" is there twice, first in line {}", sort_, name, at->second.place.line),
            "give one of them another name", ""};
    }
    find_or_add(name, place);
    return std::nullopt;
}

std::string Names::advice(std::string_view name) {
    comparisons_ += all_.size();
    if (comparisons_ <= most_comparisons)
        if (const auto near = nearest(name, all_)) return fmt::format("did you mean \"{}\"?", *near);
    if (all_.empty()) return fmt::format("there is no {} in this file yet", sort_);
    if (all_.size() <= few) return fmt::format("the {}s are: {}", sort_, fmt::join(all_, ", "));
    return "";
}

} // namespace lostvolts

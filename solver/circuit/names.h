// The names of one sort of thing in a file (its parts, its points): found by name, first place kept for the
// message about a second one, and the nearest suggested for one that does not exist.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "solver/units/result.h"

namespace lostvolts {

/// The names of a circuit's parts, points, states or conditions, in its order.
template <class Named> std::vector<std::string> names_of(const std::vector<Named>& all) {
    std::vector<std::string> names;
    names.reserve(all.size());
    for (const Named& one : all) names.push_back(one.name);
    return names;
}

class Names {
  public:
    /// `sort` is what messages call one of them: "part", "point".
    explicit Names(std::string sort) : sort_(std::move(sort)) {}

    /// The index of a name, or -1.
    int find(std::string_view name) const;
    /// The index of a name, adding it at the end when it is new.
    int find_or_add(std::string_view name, Place place);
    /// Adds a name that must be new; the problem otherwise names the first one's line.
    std::optional<Problem> add_new(const std::string& name, Place place, const std::string& file);
    /// For a name that find() doesn't know: "did you mean …?", or the names there are when they are few.
    /// A hostile file can't make this dear: after some hundred thousand comparisons it stops suggesting.
    std::string advice(std::string_view name);

  private:
    struct Hash : std::hash<std::string_view> {
        using is_transparent = void;
    };
    struct Known {
        int index;
        Place place;
    };
    std::string sort_;
    std::vector<std::string> all_; // each once
    int next_ = 0;                 // index of the next new one
    std::unordered_map<std::string, Known, Hash, std::equal_to<>> known_;
    std::size_t comparisons_ = 0;
};

} // namespace lostvolts

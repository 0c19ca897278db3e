// Which single faults these readings can't tell apart, whatever they say: by how the circuit is joined up.
//
// Two resistances in one chain, nobody's lead and no other branch between them, carry the same current: it
// makes no difference which of them rose or came open. What hangs on the rest by one point, with no lead on
// it, carries nothing away and shows nothing: a fault there is as good as none. Both hold exactly, for bent
// parts and for the tolerances too, and with any other fault beside it, but for a short to ground: that is a
// branch of its own, which may stand between two parts of a chain or wake what hangs.
//   By Kirchhoff's current law. The graph is that of every state measured in: a switch that is open and a
//   part that is out are not in it, a relay's contact always is. Blocks that hang by one point: R. Tarjan,
//   SIAM J. Computing 1 (1972), from memory.
// So one of a group is weighed and speaks for all of them, and of pairs one for each two groups.
// Inside this room only.
#pragma once

#include <array>
#include <compare>
#include <cstdint>

#include "solver/locate/weighing.h"

namespace lostvolts {

/// Where the parts stand in one measured state.
struct ChainMap {
    static constexpr int idle = -1;          ///< in place of a chain: whatever happens there shows nowhere
    std::vector<int> chain;                  ///< per part
    std::vector<int> place;                  ///< … and where in it
    std::vector<int> node_chain, node_place; ///< per node inside a chain: after which place; else none
    std::vector<char> hangs;                 ///< per node: it carries nothing
};

struct Alike {
    std::vector<int> group;       ///< per single: the first of its group; those of one have one evidence
    std::vector<int> speaker;     ///< per single: of its group, the likeliest beforehand
    std::vector<char> idle;       ///< per single: its evidence is that of nothing wrong
    std::vector<ChainMap> states; ///< per measured state
    std::vector<int> shorted;     ///< per single: the node it grounds, or none
    std::vector<PartId> part;     ///< per single; none: nothing wrong
};
Alike alike_of(const Weighing& w, const std::vector<Hypothesis>& singles);

/// Two singles at once: pairs with the same key have one evidence. Of an idle one it says so.
struct PairKey {
    std::array<int, 2> group{};          ///< of each: its group
    std::array<bool, 2> own{};           ///< … or it stands for itself alone: the single
    std::array<std::uint64_t, 2> side{}; ///< of a short inside its chain, state by state
    std::array<bool, 2> idle{};
    auto operator<=>(const PairKey&) const = default;
};
/// The two are turned round where one key has to do for both orders.
PairKey key_of(const Alike& alike, std::array<int, 2>& pair);

} // namespace lostvolts

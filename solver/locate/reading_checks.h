// What a reading can't be, seen against its circuit: a current through a part that is out, a lead on a point
// that hangs in the air, both leads on one point. Inside this room only.
#pragma once

#include <optional>
#include <string>
#include <unordered_map>
#include <unordered_set>

#include "solver/locate/readings.h"

namespace lostvolts {

/// Points that only removed parts touch, state by state: worked out when a state is first asked for.
class DanglingPoints {
  public:
    explicit DanglingPoints(const Circuit& circuit) : circuit_(circuit) {}
    bool dangles(PointId point, int state);

  private:
    const Circuit& circuit_;
    std::vector<int> touches_; // terminals at each point
    std::unordered_map<int, std::unordered_set<PointId>> by_state_;
};

/// Adds to the entry what is wrong with the reading.
void check_sense(const Circuit& circuit, const Reading& reading, DanglingPoints& dangling, Entry& entry);

/// One unit of the last digit of a value as written, with its unit: "0.01 V" for "1.84 V", "1 mV" for "250
/// mV", "1e2 rpm" for "3.4e3 rpm". Empty when the text starts with no number.
std::string last_digit(std::string_view text);

} // namespace lostvolts

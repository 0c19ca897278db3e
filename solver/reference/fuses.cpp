// Blade fuses: cold resistance, voltage at the rating, operating time.
#include <limits>

#include "solver/reference/loglog.h"
#include "solver/reference/tables.h"

namespace lostvolts {
namespace {

// Medium blade fuse, typical: maker data sheets, from memory; 1 to 3 A of low confidence, the others medium.
struct ElementRow {
    double rating_amps;
    double cold_milliohms;
    double drop_millivolts;
};
constexpr ElementRow elements[] = {
    {1, 123, 176},  {2, 53.5, 141}, {3, 31.1, 137}, {5, 17.9, 128}, {7.5, 10.9, 116},
    {10, 7.7, 109}, {15, 4.8, 102}, {20, 3.4, 98},  {25, 2.5, 92},  {30, 2.0, 84},
};
constexpr std::string_view element_source = "maker data sheets, typical (from memory)";

// Blade fuse types C (medium) and F (miniature): ISO 8820-3 [ISO8820], from memory; 160 % and above of medium
// confidence (older sheets give 0.08 s to 0.25 s at 350 %). At 110 % it holds for at least 100 h.
struct TimeRow {
    double multiple;
    double shortest_seconds;
    double longest_seconds;
};
constexpr double holds_to = 1.10;
constexpr double opens_from = 1.35;
constexpr double never = std::numeric_limits<double>::infinity();
constexpr TimeRow times[] = {
    {holds_to, 360000, never}, {opens_from, 0.75, 600}, {1.60, 0.25, 50},
    {2.00, 0.15, 5},           {3.50, 0.04, 0.5},       {6.00, 0.02, 0.1},
};

// Ratings of ISO 8820-3 type C, from memory.
constexpr double ratings[] = {1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 35, 40};

} // namespace

FuseElement blade_fuse(Current<> rating) {
    const std::span<const ElementRow> rows(elements);
    const double milliohms = log_log(rows, &ElementRow::rating_amps, &ElementRow::cold_milliohms, si(rating));
    const double millivolts =
        log_log(rows, &ElementRow::rating_amps, &ElementRow::drop_millivolts, si(rating));
    return {from_si<Resistance<>>(milliohms / 1000), from_si<Voltage<>>(millivolts / 1000), element_source};
}

OperatingTime blade_fuse_operating_time(double multiple) {
    const auto seconds = [](double value) { return from_si<Time<>>(value); };
    if (multiple <= holds_to) return {seconds(never), seconds(never)};
    const TimeRow& last = *std::rbegin(times);
    if (multiple > last.multiple) { // adiabatic: I²t is constant
        const double faster = (last.multiple / multiple) * (last.multiple / multiple);
        return {seconds(last.shortest_seconds * faster), seconds(last.longest_seconds * faster)};
    }
    const std::span<const TimeRow> rows(times);
    const double shortest = log_log(rows, &TimeRow::multiple, &TimeRow::shortest_seconds, multiple);
    const double longest = multiple < opens_from ? never
                                                 : log_log(rows.subspan(1), &TimeRow::multiple,
                                                           &TimeRow::longest_seconds, multiple);
    return {seconds(shortest), seconds(longest)};
}

std::span<const double> blade_fuse_ratings_amps() { return ratings; }

} // namespace lostvolts

// What the Harness shows, without any drawing: limits as a person writes them, the sizes that meet them, and
// what breaks when a size is changed by hand.
#pragma once

#include <map>
#include <memory>
#include <string>
#include <vector>

#include "solver/sizing/sizing.h"
#include "viewer/window/session.h"
#include "viewer/window/worker.h"

namespace lostvolts {

struct FittingWish {
    std::string limit;        ///< "0.5 V", "3 %"; empty: the circuit's own or the usual one
    std::string ambient;      ///< "40 degC"; empty: the circuit's
    int insulation = 1;       ///< index of insulation_classes()
    std::string bundle = "1"; ///< loaded wires that lie together
    SizeSeries series = SizeSeries::as_drawn;
    std::map<PartId, std::string> by_hand; ///< wire or fuse: "2.5 mm2", "16 AWG", "20 A"
    bool others_follow = false; ///< the rest is chosen anew round what is set by hand; else it stays
};

/// The wish as the solver takes it; `problems` are told beside their fields: limit, ambient, bundle.
struct UnderstoodFitting {
    SizingRequest request;
    FieldProblems problems;
};
UnderstoodFitting understand(const Circuit& circuit, const FittingWish& wish);

struct Fitting {
    FittingWish wish;
    std::shared_ptr<const Circuit> circuit; ///< with what was set by hand
    SizingRequest request;
    std::optional<Sizing> sizing; ///< nothing: problems say which limit nothing meets
    Problems problems;
    std::map<PartId, std::string> values; ///< sizes and ratings that differ from the file's
    std::vector<std::string> breaks;      ///< what is over its limit now that something is set by hand
    double milliseconds = 0;
};

/// `text` is the circuit's file. Throws nothing.
Fitting fit(const Circuit& circuit, const std::string& text, const FittingWish& wish, const Watch& watch);

/// The circuit's text with the fitting's sizes and ratings, all else untouched.
Result<std::string> with_sizes_of(const std::string& text, const Fitting& fitting);

/// "circuit sized.toml" for "circuit.toml".
std::filesystem::path usual_name(const std::filesystem::path& circuit);

struct SavedSizes {
    std::filesystem::path file;
    std::optional<FieldProblem> problem; ///< of the field "file"; nothing has been written then
};
/// Writes a circuit with the fitting's sizes into a file named from the circuit's folder, in one step. A file
/// that is there already stays as it is: under the usual name the next free one is taken, any other is
/// refused.
SavedSizes save_sizes(const std::filesystem::path& circuit, const std::string& typed, const std::string& text,
                      const Fitting& fitting);

/// Sizes to choose from by hand, written as in files, in the series of a wire.
std::vector<std::string> sizes_for(const WireSize& like, SizeSeries series);

} // namespace lostvolts

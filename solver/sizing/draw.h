// One drawn circuit: which numbers stray, by how much, and how a draw is put into a setup.
#pragma once

#include <cstdint>
#include <vector>

#include "solver/sizing/study.h"

namespace lostvolts {

/// A number of a part that strays; deviates are in its standard deviations.
struct Stray {
    PartId part;
    int index; ///< among the part's numbers
    std::string_view name;
    double value, deviation;                 ///< as drawn in the file
    double per_kelvin = 0;                   ///< grows with the surroundings: windings and wire
    bool ages = false;                       ///< a source's resistance
    void (*put)(AnyPart&, double) = nullptr; ///< sets it, SI
};

struct EmfStray {
    PartId part;
    double emf, full_volts;
    int cells;
};

/// All that is drawn: normal deviates of the numbers, then three shares of their ranges, 0 … 1.
struct Draw {
    std::vector<double> deviates;
    double temperature = 0.5, charge = 0.5, age = 0.5;
};

struct Strays {
    std::vector<Stray> numbers;
    std::vector<EmfStray> batteries;
    StudyRequest request;
    Temperature<> drawn_temperature{};
};

Strays find_strays(const Circuit& circuit, const Setup& setup, const StudyRequest& request);
/// Sample `n` of a seed; the same whoever draws it.
void draw_sample(const Strays& strays, std::uint64_t seed, std::uint64_t n, Draw& draw);
/// The k-th even draw of case `n` of a seed, between 0 and 1; it depends on nothing else.
double counted_share(std::uint64_t seed, std::uint64_t n, std::uint64_t k);
void put_draw(const Strays& strays, const Draw& draw, Setup& setup);

/// What strays from one machine to the next of the same drawing: the parts' own tolerances only.
/// Surroundings, charge and age are as the file says.
Strays strays_of_machines(const Circuit& circuit);

/// The deviate below which a share 0 < p < 1 of a normal lies (Acklam's rational approximation, from memory;
/// relative error below 1.2e-9).
double normal_deviate(double p);

} // namespace lostvolts

// What a run comes to, gathered while it runs: energy, fuse heat, motors, the supply.
#pragma once

#include "solver/spinup/run.h"

namespace lostvolts {

class Digest {
  public:
    Digest(const Network& network, const Setup& setup, const SpinUpRequest& request, const Model& model);

    void take(const Step& step);
    void finish(SpinUp& out) const;

  private:
    struct MotorTrace {
        PartId part;
        int first; ///< own unknowns: amperes, rad/s and with ripple the angle
        bool turns;
        std::vector<double> seconds, amps, speed, angle;
    };
    struct FuseTrace {
        FuseHeat heat;
        Reader reader;
        double rating;
    };
    struct SupplyTrace {
        SupplyDip dip;
        Reader reader;
    };
    void add_energy(const Step& step, double share, double seconds);
    double stored(const Moment& at) const;

    const SpinUpRequest& request_;
    const Model& model_;
    std::vector<MotorTrace> motors_;
    std::vector<FuseTrace> fuses_;
    std::vector<SupplyTrace> supplies_;
    std::vector<char> source_; ///< per part
    double given_ = 0, heat_ = 0, work_ = 0, stored_first_ = 0, stored_last_ = 0;
};

/// A reader at share s of a step.
double read(const Reader& reader, const Model& model, const Step& step, double s);

} // namespace lostvolts

// The same equations given to SUNDIALS IDA: every node of the network and every own unknown, nothing reduced
// and nothing eliminated. Contacts move at the instants of a finished run.
#pragma once

#include <memory>
#include <vector>

#include "solver/spinup/model.h"

namespace lostvolts::testing {

struct IdaTolerance {
    double relative = 1e-9;
    double amps_volts = 1e-10; ///< absolute
};

struct IdaTrace {
    bool done = false;
    long steps = 0;
    std::vector<std::vector<double>> columns; ///< per probe
};

class Ida {
  public:
    /// Probes of currents through parts with own unknowns or laws, of speeds and of volts.
    Ida(const Network& network, const SpinUpRequest& request);
    ~Ida();
    IdaTrace run(const std::vector<Event>& events, const IdaTolerance& tolerance);

  private:
    struct Inside;
    std::unique_ptr<Inside> inside_;
};

} // namespace lostvolts::testing

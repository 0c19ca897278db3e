#include <cmath>
#include <memory>
#include <mutex>
#include <numbers>

#include <fftw3.h>

#include "solver/waveform/overview.h"
#include "solver/waveform/revolution.h"

namespace lostvolts {
namespace {

struct Free {
    void operator()(void* p) const { fftw_free(p); }
};

/// Of all FFTW only fftw_execute may run in several threads at once (its manual, "Thread safety").
std::mutex planning;

class Plan {
  public:
    Plan(int length, double* in, fftw_complex* out) {
        const std::lock_guard hold(planning);
        plan_ = fftw_plan_dft_r2c_1d(length, in, out, FFTW_ESTIMATE);
    }
    ~Plan() {
        const std::lock_guard hold(planning);
        fftw_destroy_plan(plan_);
    }
    Plan(const Plan&) = delete;
    Plan& operator=(const Plan&) = delete;
    void execute() const { fftw_execute(plan_); }

  private:
    fftw_plan plan_ = nullptr;
};

} // namespace

Spectrum spectrum_of(const std::vector<double>& values, double step) {
    const std::size_t n = values.size();
    std::size_t padded = 64;
    while (padded < 2 * n) padded *= 2;
    const std::unique_ptr<double[], Free> in(fftw_alloc_real(padded));
    const std::unique_ptr<fftw_complex[], Free> out(fftw_alloc_complex(padded / 2 + 1));
    const Plan plan(static_cast<int>(padded), in.get(), out.get());
    const double middle = mean_of(values);
    for (std::size_t k = 0; k < padded; ++k) in[k] = 0;
    for (std::size_t k = 0; k < n; ++k) {
        const double hann = 0.5 - 0.5 * std::cos(2 * std::numbers::pi * (static_cast<double>(k) + 0.5) /
                                                 static_cast<double>(n));
        in[k] = hann * (values[k] - middle);
    }
    plan.execute();
    Spectrum s;
    s.power.resize(padded / 2 + 1);
    for (std::size_t k = 0; k < s.power.size(); ++k)
        s.power[k] = out[k][0] * out[k][0] + out[k][1] * out[k][1];
    s.hertz_per_line = 1 / (step * static_cast<double>(padded));
    s.lines_per_width = 2 * static_cast<double>(padded) / static_cast<double>(n);
    return s;
}

} // namespace lostvolts

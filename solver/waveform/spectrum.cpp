#include <cmath>
#include <memory>
#include <numbers>

#include <fftw3.h>

#include "solver/waveform/overview.h"
#include "solver/waveform/revolution.h"

namespace lostvolts {
namespace {

struct Free {
    void operator()(void* p) const { fftw_free(p); }
};

} // namespace

Spectrum spectrum_of(const std::vector<double>& values, double step) {
    const std::size_t n = values.size();
    std::size_t padded = 64;
    while (padded < 2 * n) padded *= 2;
    const std::unique_ptr<double[], Free> in(fftw_alloc_real(padded));
    const std::unique_ptr<fftw_complex[], Free> out(fftw_alloc_complex(padded / 2 + 1));
    const int length = static_cast<int>(padded);
    const fftw_plan plan = fftw_plan_dft_r2c_1d(length, in.get(), out.get(), FFTW_ESTIMATE);
    const double middle = mean_of(values);
    for (std::size_t k = 0; k < padded; ++k) in[k] = 0;
    for (std::size_t k = 0; k < n; ++k) {
        const double hann = 0.5 - 0.5 * std::cos(2 * std::numbers::pi * (static_cast<double>(k) + 0.5) /
                                                 static_cast<double>(n));
        in[k] = hann * (values[k] - middle);
    }
    fftw_execute(plan);
    Spectrum s;
    s.power.resize(padded / 2 + 1);
    for (std::size_t k = 0; k < s.power.size(); ++k)
        s.power[k] = out[k][0] * out[k][0] + out[k][1] * out[k][1];
    fftw_destroy_plan(plan);
    s.hertz_per_line = 1 / (step * static_cast<double>(padded));
    s.lines_per_width = 2 * static_cast<double>(padded) / static_cast<double>(n);
    return s;
}

} // namespace lostvolts

// The state of one analysis as it goes from step to step. Inner header.
#pragma once

#include "solver/waveform/channel.h"
#include "solver/waveform/revolution.h"
#include "solver/waveform/start.h"
#include "solver/waveform/start_fit.h"
#include "solver/waveform/waveform.h"

namespace lostvolts {

struct Study {
    Study(const Capture& c, const WaveformOptions& o) : capture(c), options(o) {}

    const Capture& capture;
    const WaveformOptions& options;
    Channel amps, volts;
    std::optional<Start> start;
    double begin = 0;    ///< sample where the motor is switched on, or where the capture begins
    std::size_t end = 0; ///< sample where it is switched off, or where the capture ends

    // Of find_levels:
    bool settled = false; ///< the current no longer falls in [run_from, run_to)
    std::size_t run_from = 0, run_to = 0;
    double run_amps = 0, run_volts = 0, ripple_amps = 0, ripple_volts = 0;
    double raw_peak = 0, peak_place = 0, peak_sigma = 0; ///< clean amperes, sample
    double fall_seconds = 0; ///< from the peak to 1/e of its height over the run current
    double low_volts = 0, low_place = 0, low_sigma = 0;
    bool behind_switch = false; ///< the probe reads next to nothing before the start

    std::vector<OpenStretch> openings; ///< samples
    Revolution turning;
    std::optional<StartFit> fit;
    std::string no_fit; ///< why there is none

    Waveform report;

    void unknown(std::string key, std::string reason) {
        report.unknown.push_back({std::move(key), std::move(reason)});
    }
    void caution(std::string sentence) { report.cautions.push_back(std::move(sentence)); }
    double clock(double place) const { return capture.start_seconds + capture.step_seconds * place; }
};

void find_levels(Study& s); ///< peak, run, rest, lowest
void find_bounces(Study& s);
void find_turning(Study& s);
void fit_the_start(Study& s);
void conclude(Study& s); ///< typed quantities, reasons, cautions

} // namespace lostvolts

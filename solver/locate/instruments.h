// What each instrument is to the circuit: how it loads it, how far it may be off, and for a word which number
// stands behind it.
#pragma once

#include <optional>

#include "solver/locate/readings.h"
#include "solver/locate/told.h"
#include "solver/network/measure.h"

namespace lostvolts {

/// The usual instrument for a quantity when the readings name none. Common practice, no source: clamp 2 % + 5
/// counts, tachometer 0.5 % + 1 count, ohmmeter 0.8 % + 3 counts, voltmeter 0.5 % + 2 counts.
Accuracy usual_accuracy(Measurand quantity);

/// The accuracy of the meter that a reading was taken with.
Accuracy accuracy_of(const Readings& job, const Reading& reading);

/// Standard deviation of an instrument's error: its accuracy is a half-width, taken as evenly likely
/// throughout (JCGM 100, 4.3.7: a/√3), with the last digit's rounding (its width/√12) beside it.
double instrument_sigma(const Accuracy& accuracy, double resolution, double value);

/// Of that variance the part that all readings of one meter on one range have in common, as a standard
/// deviation. What an accuracy gives in per cent of the reading is the gain: the reference and the divider
/// that the range switches in, set once and drifting with the years. So three quarters of the per cent's
/// variance are one gain; the rest is left for what changes from reading to reading (linearity, warmth,
/// ripple), as are the counts. A clamp's per cent are by half where the conductor lies in the jaws, and that
/// changes. Judgement, no source; makers state no such split.
double shared_sigma(const Accuracy& accuracy, Measurand quantity, double value);

/// Of an ohmmeter's reading: the same, and what its leads may differ from what is told of them.
double ohmmeter_sigma(const Readings& job, const Reading& reading);
double ohmmeter_sigma(const Accuracy& accuracy, double resolution, double lead_ohms, double value);
/// Ohms of the leads, which a reading carries.
double lead_ohms(const Readings& job, const Reading& reading);

/// A test lamp is made for the circuit's nominal volts: 6, 12, 24, 36 or 48, by the volts that are there.
double nominal_volts(double supply_volts);

/// How the instrument of one reading stands in the circuit; an ohmmeter stands in none (network/dead.h).
Probe probe_of(const Readings& job, const Reading& reading, double supply_volts = 12);

/// For a reading told in words what it senses; nothing for one that is a number.
std::optional<Sense> sense_of(const Readings& job, const Reading& reading);

} // namespace lostvolts

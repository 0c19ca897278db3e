// The pictures of the Lesson, made of what its stage has.
#pragma once

#include "viewer/figures/sketch.h"
#include "viewer/window/entry.h"
#include "viewer/window/stage.h"

namespace lostvolts {

/// The drawing with the faulty circuit's volts and amperes; `leads` are those of a reading asked for.
Figure lesson_drawing(const Stage& stage, const Sketch& sketch, double width, double height);
/// The drawing alone, with the leads as typed: nothing of it gives a hidden fault away.
Figure hunt_drawing(const Circuit& circuit, const TypedReading& leads, const Sketch& sketch, double width,
                    double height);
/// Healthy and faulty staircase on the same axes.
Figure lesson_staircase(const Stage& stage, double width, double height);
/// Healthy and faulty start on the same axes.
Figure lesson_start(const Stage& stage, double width, double height);

} // namespace lostvolts

// Contact: what a switch or a relay is while it moves, in time.
//   current   i = v/R closed; open: v/R_open, and past ±V_arc (|v| − V_arc)/R_arc more
// An open contact leaks like a dirty one, and gives an inductive current somewhere to go: it flows on through
// the arc at V_arc until the inductance is empty. One curve without memory, monotone, so that every instant
// has one answer and what the arc takes stands in the energy account. V_arc lies above every source in the
// circuit, else the arc would burn on. 1 MΩ: common practice, no source; a real arc starts at some 12 V and
// lengthens.
#pragma once

#include "solver/parts/equation.h"

namespace lostvolts {

struct Contact {
    template <class S> using Own = Nothing;

    Resistance<> closed_resistance{}; ///< with what a fault added
    bool closed = false;
    Voltage<> arc = from_si<Voltage<>>(60.0);
    Resistance<> arc_resistance = from_si<Resistance<>>(0.1);
    Resistance<> open_resistance = from_si<Resistance<>>(1e6);
};

template <class S> constexpr auto balance(const Contact& c, const Voltage<S>& v, const Nothing&) {
    if (c.closed) return balanced<S>(Current<S>(v / c.closed_resistance));
    const Current<S> leak = v / c.open_resistance;
    if (plain(si(v)) > si(c.arc)) return balanced<S>(Current<S>(leak + (v - c.arc) / c.arc_resistance));
    if (plain(si(v)) < -si(c.arc)) return balanced<S>(Current<S>(leak + (v + c.arc) / c.arc_resistance));
    return balanced<S>(leak);
}

/// Which stretch: closed, open, arcing either way.
inline int region(const Contact& c, double volts, const Nothing&) {
    if (c.closed) return 0;
    return volts > si(c.arc) ? 3 : volts < -si(c.arc) ? 2 : 1;
}

} // namespace lostvolts

#include "viewer/command/study_text.h"

#include <fmt/format.h>

#include "solver/study/cases.h"

namespace lostvolts {
namespace {

std::string plural(long n, std::string_view one) { return fmt::format("{} {}{}", n, one, n == 1 ? "" : "s"); }

} // namespace

std::string said(const StudyOrder& o) {
    const long cases = count_cases(o);
    if (o.kind == StudyKind::captures) return fmt::format("{} in {}", plural(cases, "capture"), o.file);
    std::string text = fmt::format("{}: {} of {}", plural(cases, "case"), plural(o.variants, "variant"),
                                   plural(static_cast<long>(o.circuits.size()), "circuit"));
    if (o.kind == StudyKind::tolerances) text += fmt::format(", each drawn {} times", o.samples);
    if (o.kind == StudyKind::faults)
        text += fmt::format(", {} of each condition", plural(o.machines, "machine"));
    return text;
}

} // namespace lostvolts

// Figures on paper: SVG, PDF and PNG, drawn by Cairo; no display is needed. What is drawn is all in the
// Figure; here it only gets its colours.
#pragma once

#include <filesystem>
#include <optional>
#include <span>
#include <string>

#include "solver/units/result.h"
#include "viewer/figures/theme.h"

namespace lostvolts {

enum class PaperKind { svg, pdf, png };

/// By the end of a file's name: .svg, .pdf or .png, in either case.
std::optional<PaperKind> paper_kind(const std::filesystem::path& path);

struct PaperOptions {
    Light light = Light::light;
    double scale = 1; ///< of everything: 2 for a projector
    double dpi = 144; ///< of a PNG: pixels per inch of 72 points
};

/// The bytes of the file; of several figures, a page each (PDF only, else the first). The same figure always
/// gives the same SVG and PNG. Errors: a picture of no size, or one larger than Cairo draws.
Result<std::string> painted(std::span<const Figure> pages, PaperKind kind, const PaperOptions& options = {});
Result<std::string> painted(const Figure& figure, PaperKind kind, const PaperOptions& options = {});

/// Writes the picture in one step, the kind by the file's name: the old file stays on any error. Errors:
/// those of painted(), another ending, a folder that can't be written to.
Result<bool> save_picture(std::span<const Figure> pages, const std::filesystem::path& path,
                          const PaperOptions& options = {});
Result<bool> save_picture(const Figure& figure, const std::filesystem::path& path,
                          const PaperOptions& options = {});
/// What is wrong with a name for a picture; nothing when it ends as one should.
std::optional<Problem> check_picture_name(const std::filesystem::path& path);

} // namespace lostvolts

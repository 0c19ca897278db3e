// The options by which a command draws its answer to a file.
#pragma once

#include <string>
#include <vector>

#include "viewer/command/commands.h"
#include "viewer/paper/paper.h"

namespace lostvolts {

struct PictureOptions {
    std::string file; ///< empty: no picture
    bool dark = false;
    double scale = 1;

    bool wanted() const { return !file.empty(); }
};

/// Adds --picture, --dark and --scale.
void add_picture_options(CLI::App& app, PictureOptions& options);

/// What is wrong with them, before anything is worked out; nothing when they are fine or none is wanted.
Problems check_picture(const PictureOptions& options);
Result<bool> save(const Figure& figure, const PictureOptions& options);
/// A page each in a PDF; another kind holds the first.
Result<bool> save(const std::vector<Figure>& pages, const PictureOptions& options);

} // namespace lostvolts

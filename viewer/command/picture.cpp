#include "viewer/command/picture.h"
#include "viewer/command/options.h"

namespace lostvolts {

void add_picture_options(CLI::App& app, PictureOptions& options) {
    add_file(app, "--picture", options.file, FileUse::replaced, "draw it to this file: .png, .svg or .pdf",
             "OUT");
    add_flag(app, "--dark", options.dark, "the picture on a dark ground");
    add_option(app, "--scale", options.scale, "of the picture; 2 for a projector", "FACTOR",
               Between{0.1, 10.0});
}

Problems check_picture(const PictureOptions& options) {
    if (!options.wanted()) return {};
    if (auto problem = check_picture_name(options.file)) return {*problem};
    return {};
}

Result<bool> save(const Figure& figure, const PictureOptions& options) {
    return save(std::vector<Figure>{figure}, options);
}

Result<bool> save(const std::vector<Figure>& pages, const PictureOptions& options) {
    return save_picture(pages, options.file,
                        {.light = options.dark ? Light::dark : Light::light, .scale = options.scale});
}

} // namespace lostvolts

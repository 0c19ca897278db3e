// Circuits as large as they are wanted: a barn's lights, each with a fuse and a wire of its own.
#pragma once

#include <string>

#include <fmt/format.h>

namespace lostvolts::window_tests {

/// 3·branches + 2 parts.
inline std::string many_lamps(int branches) {
    std::string text =
        "format = 1\nname = \"Barn lights\"\nground = \"battery -\"\n"
        "[[part]]\nname = \"battery\"\nkind = \"battery\"\nfrom = \"battery -\"\nto = \"battery +\"\n"
        "emf = \"12.6 V\"\nresistance = \"5 mohm\"\n"
        "[[part]]\nname = \"main\"\nkind = \"wire\"\nfrom = \"battery +\"\nto = \"bus\"\n"
        "size = \"25 mm2\"\nlength = \"2 m\"\n";
    for (int k = 1; k <= branches; ++k)
        text += fmt::format("[[part]]\nname = \"fuse {0}\"\nkind = \"fuse\"\nfrom = \"bus\"\nto = \"out "
                            "{0}\"\nrating = \"10 A\"\n"
                            "[[part]]\nname = \"wire {0}\"\nkind = \"wire\"\nfrom = \"out {0}\"\nto = \"lamp "
                            "{0}\"\nsize = \"1.5 mm2\"\nlength = \"4 m\"\n"
                            "[[part]]\nname = \"light {0}\"\nkind = \"lamp\"\nfrom = \"lamp {0}\"\nto = "
                            "\"battery -\"\nrated = \"12 V\"\npower = \"10 W\"\n",
                            k);
    return text;
}

} // namespace lostvolts::window_tests

// A display of the tests' own, without a screen: Xvfb on a free number, and software OpenGL.
#pragma once

#include <string>

namespace lostvolts::window_tests {

/// Started once per test program, ended with it; DISPLAY and LIBGL_ALWAYS_SOFTWARE are set. Throws when Xvfb
/// is not there.
void need_display();

} // namespace lostvolts::window_tests

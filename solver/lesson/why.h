// Why a faulty circuit does what it does, in plain sentences made of its own numbers: where each volt goes,
// why the current is what it is, what holding the rotor shows, and what the fuse has to do with it.
#pragma once

#include <string>
#include <vector>

#include "solver/lesson/signature.h"

namespace lostvolts {

/// Sentences, in the order to say them; none for a signature with trouble. `healthy` is the sound circuit's.
/// No sentence ever proposes a heavier fuse: it says what one would change, by reckoning, and what it risks.
std::vector<std::string> why(const Stand& stand, const Signature& healthy, const Signature& sig);

} // namespace lostvolts

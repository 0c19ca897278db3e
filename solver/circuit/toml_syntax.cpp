#include "solver/circuit/toml_syntax.h"

namespace lostvolts {

SyntaxAdvice explain_syntax(const std::vector<std::string_view>&, const SyntaxStop& stop) {
    return {{stop.line, stop.column, 1}, stop.said, "", 0, "", false};
}

} // namespace lostvolts

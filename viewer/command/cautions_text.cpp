#include "viewer/command/cautions_text.h"

#include "viewer/command/style.h"

namespace lostvolts {

std::string cautions_text(const Circuit& circuit, int columns) {
    std::string text = '\n' + strong("Before you touch the machine") + '\n';
    for (const std::string& caution : cautions(circuit))
        text += wrapped("- " + caution, columns, 2, 4) + '\n';
    return text;
}

} // namespace lostvolts

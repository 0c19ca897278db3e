// The lists of an order: its circuits, what varies in them, and the faults that are looked for. Inside this
// room only.
#pragma once

#include "solver/circuit/toml_file.h"
#include "solver/study/order.h"

namespace lostvolts {

struct OrderReader {
    StudyOrder order;
    std::filesystem::path folder; ///< of the order: the files that it names are beside it
    Problems problems;
    Problems of_files{}; ///< mistakes of the files that it names
};

void read_circuits(OrderReader& reader, Entry& head, const TomlValue& root);
/// After the circuits: each value is tried in each of them.
void read_vary(OrderReader& reader, Entry& head, const TomlValue& root);
void read_faults(OrderReader& reader, Entry& head, const TomlValue& root);

} // namespace lostvolts

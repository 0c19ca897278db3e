// What the steps of reading one circuit share. Inside this room only.
#pragma once

#include <string>
#include <vector>

#include "solver/circuit/circuit.h"
#include "solver/circuit/names.h"
#include "solver/circuit/toml_file.h"

namespace lostvolts {

struct CircuitReader {
    std::string file;
    Circuit circuit;
    Problems problems;
    Names parts{"part"};
    Names points{"point"};
    Names states{"state"};
    Names conditions{"condition"};
    std::vector<char> understood; ///< per part: its kind is known and its law was read

    /// Takes an entry's problems over, its unknown keys among them.
    void finish(Entry& entry);
};

/// The [[key]] tables of a file; a problem when something else stands there.
std::vector<const TomlValue*> tables_of(const TomlValue& root, std::string_view key, const std::string& file,
                                        Problems& problems);

void read_points(CircuitReader& reader, const TomlValue& root);
void read_states(CircuitReader& reader, const TomlValue& root);
void read_conditions(CircuitReader& reader, const TomlValue& root);
void read_limits(CircuitReader& reader, const TomlValue& root);

} // namespace lostvolts

// One program a reader: libFuzzer's door to it. `program --seeds FOLDER` writes what it is first fed with.

#include <cstdint>
#include <filesystem>
#include <fstream>
#include <string_view>

#include "tests/fuzz/readers.h"

namespace {

const lostvolts::fuzz::Reader& reader() {
    for (const auto& r : lostvolts::fuzz::readers)
        if (r.name == LOSTVOLTS_READER) return r;
    std::abort();
}

} // namespace

extern "C" int LLVMFuzzerInitialize(int* count, char*** words) {
    if (*count == 3 && std::string_view((*words)[1]) == "--seeds") {
        const std::filesystem::path folder = (*words)[2];
        std::filesystem::create_directories(folder);
        int n = 0;
        for (const std::string& seed : lostvolts::fuzz::seeds(reader().name))
            std::ofstream(folder / ("seed-" + std::to_string(n++)), std::ios::binary) << seed;
        std::exit(0);
    }
    return 0;
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size) {
    reader().feed({reinterpret_cast<const char*>(bytes), size});
    return 0;
}

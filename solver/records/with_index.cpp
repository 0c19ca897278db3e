#include "solver/records/with_index.h"

#include <cerrno>
#include <system_error>

#include <fmt/format.h>

namespace lostvolts {

namespace fs = std::filesystem;

Problem index_trouble(const Store& store, const DatabaseError& error) {
    Problem problem{
        store.index().string(), {}, fmt::format("the index can't be used: {}", error.what()), "", ""};
    if (error.full()) problem = trouble_with(store.index(), "the index can't be written", ENOSPC);
    if (error.busy())
        problem.what = "another process has been busy with the index for half a minute",
        problem.write = "do it again when that one is done";
    return problem;
}

void remove_index(const Store& store) {
    std::error_code ignored;
    for (const char* ending : {"", "-wal", "-shm", "-journal"})
        fs::remove(store.index().string() + ending, ignored);
}

} // namespace lostvolts

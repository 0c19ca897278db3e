// The way to a store's index: opened, brought up to date with the folders, and made again from them when it
// is damaged. Inner header.
#pragma once

#include <filesystem>
#include <functional>

#include "solver/records/index.h"

namespace lostvolts {

/// A DatabaseError in words.
Problem index_trouble(const Store& store, const DatabaseError& error);
/// Deletes the index with what SQLite keeps beside it. Only with the store's folder locked alone.
void remove_index(const Store& store);

/// Opens a store's index, up to date, and does something with it. An index that is damaged is made again from
/// the folders, once, and a remark says so; where the disk is full or fails it is only read.
template <class T>
Result<T> with_index(const std::filesystem::path& folder, Problems& remarks,
                     const std::function<Result<T>(const Store&, Index&)>& work) {
    const auto store = open_store(folder);
    if (!store) return store.problems();
    bool again = false;
    for (auto access = Index::Access::write;;) {
        bool ready = false;
        // Shared while the index is in use; alone to throw a damaged one away.
        const auto lock =
            FolderLock::wait(store->folder, again ? FolderLock::Kind::alone : FolderLock::Kind::shared);
        if (!lock)
            return Problem{store->folder.string(),
                           {},
                           "another process has held this store for half a minute",
                           "do it again when that one is done",
                           ""};
        try {
            if (again) remove_index(*store);
            Index index(*store, access);
            index.follow();
            ready = true;
            return work(*store, index);
        } catch (const DatabaseError& error) {
            if (!ready && error.no_writing() && access == Index::Access::write) {
                access = Index::Access::read;
                continue;
            }
            if (again || !error.damaged()) return index_trouble(*store, error);
            again = true;
            remarks.push_back({store->index().string(),
                               {},
                               "the index was damaged; it was made again from the folders",
                               "",
                               ""});
        }
    }
}

} // namespace lostvolts

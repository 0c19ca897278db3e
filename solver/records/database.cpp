#include "solver/records/database.h"

#include <fmt/format.h>
#include <sqlite3.h>

namespace lostvolts {
namespace {

constexpr int wait_milliseconds = 20'000; // for another process's rebuild

/// file:PATH with what a URI gives a meaning to escaped.
std::string uri_of(const std::string& path) {
    std::string uri = "file:";
    for (const char c : path) {
        if (c == '%' || c == '?' || c == '#')
            uri += fmt::format("%{:02x}", static_cast<unsigned char>(c));
        else
            uri += c;
    }
    return uri;
}

[[noreturn]] void fail(sqlite3* handle, int code) {
    const char* said = handle ? sqlite3_errmsg(handle) : sqlite3_errstr(code);
    throw DatabaseError(code & 0xFF, said);
}

} // namespace

bool DatabaseError::damaged() const { return code == SQLITE_CORRUPT || code == SQLITE_NOTADB; }
bool DatabaseError::busy() const { return code == SQLITE_BUSY || code == SQLITE_LOCKED; }
bool DatabaseError::full() const { return code == SQLITE_FULL; }
bool DatabaseError::no_writing() const { return full() || code == SQLITE_IOERR; }
bool DatabaseError::read_only() const {
    return code == SQLITE_READONLY || code == SQLITE_CANTOPEN || code == SQLITE_PERM;
}

void Database::Close::operator()(sqlite3* handle) const { sqlite3_close_v2(handle); }
void Statement::Finalize::operator()(sqlite3_stmt* statement) const { sqlite3_finalize(statement); }

Database::Database(const std::string& path, Mode mode) {
    std::string uri = uri_of(path);
    if (mode == Mode::frozen) uri += "?immutable=1";
    const int flags =
        SQLITE_OPEN_URI | SQLITE_OPEN_NOMUTEX |
        (mode == Mode::write ? SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE : SQLITE_OPEN_READONLY);
    sqlite3* handle = nullptr;
    const int code = sqlite3_open_v2(uri.c_str(), &handle, flags, nullptr);
    handle_.reset(handle);
    if (code != SQLITE_OK) fail(handle, code);
    sqlite3_busy_timeout(handle, wait_milliseconds);
}

void Database::run(const char* sql) {
    if (const int code = sqlite3_exec(handle(), sql, nullptr, nullptr, nullptr); code != SQLITE_OK)
        fail(handle(), code);
}

std::int64_t Database::last_row() const { return sqlite3_last_insert_rowid(handle()); }

Statement::Statement(const Database& database, const std::string& sql) : database_(database) {
    sqlite3_stmt* statement = nullptr;
    const int code =
        sqlite3_prepare_v2(database.handle(), sql.data(), static_cast<int>(sql.size()), &statement, nullptr);
    handle_.reset(statement);
    if (code != SQLITE_OK) fail(database.handle(), code);
}

Statement& Statement::set(int parameter, std::string_view text) {
    sqlite3_bind_text64(handle_.get(), parameter + 1, text.data() ? text.data() : "", text.size(),
                        SQLITE_TRANSIENT, SQLITE_UTF8);
    return *this;
}
Statement& Statement::set(int parameter, std::int64_t number) {
    sqlite3_bind_int64(handle_.get(), parameter + 1, number);
    return *this;
}
Statement& Statement::set(int parameter, double number) {
    sqlite3_bind_double(handle_.get(), parameter + 1, number);
    return *this;
}

bool Statement::step() {
    const int code = sqlite3_step(handle_.get());
    if (code == SQLITE_ROW) return true;
    if (code == SQLITE_DONE) return false;
    sqlite3_reset(handle_.get());
    fail(database_.handle(), code);
}

void Statement::again() { sqlite3_reset(handle_.get()); }

std::string Statement::text(int column) const {
    const auto* bytes = reinterpret_cast<const char*>(sqlite3_column_text(handle_.get(), column));
    return bytes ? std::string(bytes, static_cast<std::size_t>(sqlite3_column_bytes(handle_.get(), column)))
                 : std::string();
}
std::int64_t Statement::whole(int column) const { return sqlite3_column_int64(handle_.get(), column); }
double Statement::real(int column) const { return sqlite3_column_double(handle_.get(), column); }

Transaction::Transaction(Database& database) : database_(&database) { database.run("BEGIN IMMEDIATE"); }
Transaction::~Transaction() {
    if (database_) sqlite3_exec(database_->handle(), "ROLLBACK", nullptr, nullptr, nullptr);
}
void Transaction::commit() {
    database_->run("COMMIT");
    database_ = nullptr;
}

} // namespace lostvolts

// SQLite as this room uses it: a connection, statements, and errors as values of one kind. Inner header.
#pragma once

#include <cstdint>
#include <memory>
#include <stdexcept>
#include <string>
#include <string_view>

struct sqlite3;
struct sqlite3_stmt;

namespace lostvolts {

/// What SQLite said. Thrown inside this room and turned into a Problem at its doors.
struct DatabaseError : std::runtime_error {
    DatabaseError(int code_, const std::string& said) : std::runtime_error(said), code(code_) {}
    int code; ///< SQLite's primary result code
    bool damaged() const;
    bool busy() const;
    bool full() const;
    bool no_writing() const; ///< the disk is full or fails: reading may still go on
    bool read_only() const;
};

class Database {
  public:
    enum class Mode { write, read, frozen }; ///< frozen: a read-only place; nobody else writes there either
    /// Opens or, to write, creates.
    Database(const std::string& path, Mode mode);
    void run(const char* sql);
    std::int64_t last_row() const;
    sqlite3* handle() const { return handle_.get(); }

  private:
    struct Close {
        void operator()(sqlite3* handle) const;
    };
    std::unique_ptr<sqlite3, Close> handle_;
};

/// One prepared statement; parameters and columns count from 0.
class Statement {
  public:
    Statement(const Database& database, const std::string& sql);
    Statement& set(int parameter, std::string_view text); ///< copied
    Statement& set(int parameter, std::int64_t number);
    Statement& set(int parameter, double number);
    bool step();  ///< true: there is a row
    void again(); ///< ready for new parameters
    void finish() { step(), again(); }
    std::string text(int column) const;
    std::int64_t whole(int column) const;
    double real(int column) const;

  private:
    struct Finalize {
        void operator()(sqlite3_stmt* statement) const;
    };
    const Database& database_;
    std::unique_ptr<sqlite3_stmt, Finalize> handle_;
};

/// BEGIN IMMEDIATE … COMMIT; undone unless committed.
class Transaction {
  public:
    explicit Transaction(Database& database);
    ~Transaction();
    Transaction(const Transaction&) = delete;
    Transaction& operator=(const Transaction&) = delete;
    void commit();

  private:
    Database* database_;
};

} // namespace lostvolts

// The ledger on SQLite: the tables of soci_ledger.cc in one file.
#include <soci/soci.h>
#include <soci/sqlite3/soci-sqlite3.h>

#include <chrono>
#include <filesystem>
#include <thread>

#include "ledger/soci_ledger.h"

namespace dwell::ledger {
namespace {

int sqlite_code(const soci::soci_error& error) {
  const auto* sqlite = dynamic_cast<const soci::sqlite3_soci_error*>(&error);
  constexpr int primary = 0xFF;  // extended codes carry detail above the low byte
  return sqlite ? sqlite->result() & primary : SQLITE_ERROR;
}

/// SQLite's own words are for engineers; these are for whoever stands at the bedside.
FieldErrors sqlite_spoken(const std::string& path, const soci::soci_error& error) {
  switch (sqlite_code(error)) {
    case SQLITE_FULL: return {{"/ledger", path, "free space on the disk; nothing was written"}};
    case SQLITE_READONLY:
    case SQLITE_PERM:
    case SQLITE_CANTOPEN: return {{"/ledger", path, "a file and folder that can be written; nothing was written"}};
    case SQLITE_NOTADB:
    case SQLITE_CORRUPT: return {{"/ledger", path, "a ledger of Dwell; this file is something else, or damaged"}};
    case SQLITE_BUSY:
    case SQLITE_LOCKED: return {{"/ledger", path, "a ledger that no other program holds; try again"}};
    case SQLITE_IOERR:
      return {{"/ledger", path, "a disk that takes writes (full, failing or at its quota?); nothing was written"}};
    default: return {{"/ledger", path, std::string("a ledger that can be used (") + error.what() + ")"}};
  }
}

class SqliteLedger final : public SociLedger {
 public:
  explicit SqliteLedger(const std::string& path) : path_(path) {
    sql().open(soci::sqlite3, "db=\"" + path + "\" timeout=10");
  }

  Checked<void> prepare() {
    if (auto ours = recognise(); !ours) return ours;
    use_write_ahead_log();
    sql() << "PRAGMA synchronous=FULL";
    // IMMEDIATE: others that open a new ledger at this moment wait. When this throws, the session ends and with it all.
    sql() << "BEGIN IMMEDIATE";
    migrate("INTEGER");
    sql() << "COMMIT";
    prepare_statements();
    return {};
  }

 protected:
  /// IMMEDIATE: the chain's head is read under the write lock.
  void begin_writing() override { sql() << "BEGIN IMMEDIATE"; }
  void begin_view() override { sql() << "BEGIN"; }
  const char* among_ids() const override {
    return "id IN (SELECT value FROM json_each('[\"' || replace(:ids, ',', '\",\"') || '\"]'))";
  }
  void before_commit(std::int64_t) override {}
  void be_ready() override {}
  std::string damage() override {
    std::string found;
    sql() << "PRAGMA quick_check(1)", soci::into(found);
    return found == "ok" ? "" : found;
  }
  FieldErrors spoken(const soci::soci_error& error) const override { return sqlite_spoken(path_, error); }
  /// Source: SQLite, "Result and Error Codes": TOOBIG is a text or row beyond a limit, MISMATCH a value of another
  /// type.
  Blame blame(const soci::soci_error& error) const override {
    switch (sqlite_code(error)) {
      case SQLITE_TOOBIG:
      case SQLITE_MISMATCH: return Blame::entry;
      case SQLITE_ERROR:
      case SQLITE_CONSTRAINT:
      case SQLITE_RANGE: return Blame::unclear;
      default: return Blame::record;
    }
  }

  void walk(const std::function<bool(const Row&, bool)>& check) override {
    Row row;
    int indexed = 0;
    soci::statement select =
        (sql().prepare << "SELECT sequence, id, line, kind, received, json, previous, hash, "
                          "e.sequence IS (SELECT sequence FROM event WHERE id = e.id) AND EXISTS (SELECT 1 FROM event "
                          "INDEXED BY event_line WHERE line = e.line AND sequence = e.sequence) "
                          "FROM event e ORDER BY sequence",
         soci::into(row.sequence), soci::into(row.id), soci::into(row.line), soci::into(row.kind),
         soci::into(row.received), soci::into(row.json), soci::into(row.previous), soci::into(row.hash),
         soci::into(indexed));
    select.execute();
    while (select.fetch())
      if (!check(row, indexed != 0)) return;
  }

 private:
  /// Looks without writing, so that another program's database, or a newer Dwell's, is left as it was.
  Checked<void> recognise() {
    int ours = 0, all = 0, schema = 0;
    sql() << "SELECT count(*) FILTER (WHERE type = 'table' AND name IN ('meta', 'event')), count(*) FROM sqlite_master",
        soci::into(ours), soci::into(all);
    if (all == 0) return {};
    const auto foreign = refuse("/ledger", path_, "a ledger of Dwell; this is another program's database");
    if (ours != 2) return foreign;
    try {
      sql() << "SELECT CAST(value AS INTEGER) FROM meta WHERE name = 'schema'", soci::into(schema);
    } catch (const soci::soci_error& e) {
      if (sqlite_code(e) == SQLITE_ERROR) return foreign;  // its meta has other columns
      throw;
    }
    if (schema < 1) return foreign;
    if (schema > ledger_schema)
      return refuse("/ledger", path_ + " (schema " + std::to_string(schema) + ")",
                    "schema " + std::to_string(ledger_schema) + " or older; this ledger was made by a newer Dwell");
    return {};
  }

  /// Kept in the file once set. SQLite does not wait for another program that opens a new ledger at the same moment.
  void use_write_ahead_log() {
    constexpr int most_attempts = 100;
    for (int attempt = 1;; ++attempt) {
      try {
        sql() << "PRAGMA journal_mode=WAL";
        return;
      } catch (const soci::soci_error& e) {
        if (sqlite_code(e) != SQLITE_BUSY || attempt == most_attempts) throw;
        std::this_thread::sleep_for(std::chrono::milliseconds(20));
      }
    }
  }

  std::string path_;
};

}  // namespace

Checked<std::unique_ptr<Ledger>> open_sqlite(const std::string& path) {
  if (path.find('"') != std::string::npos) return refuse("/ledger", path, "a path without quotation marks");
  const auto folder = std::filesystem::path(path).parent_path();
  if (!folder.empty() && !std::filesystem::is_directory(folder)) return refuse("/ledger", path, "a folder that exists");
  // SQLite takes a stump shorter than its header for an empty file, and would begin a new ledger on it.
  constexpr std::uintmax_t sqlite_header = 100;
  std::error_code unknown_size;
  if (const auto size = std::filesystem::file_size(path, unknown_size);
      !unknown_size && size > 0 && size < sqlite_header)
    return refuse("/ledger", path, "a ledger of Dwell; this file is something else, or damaged");
  try {
    auto ledger = std::make_unique<SqliteLedger>(path);
    if (auto ready = ledger->prepare(); !ready) return refuse(ready.error());
    return ledger;
  } catch (const soci::soci_error& e) {
    return refuse(sqlite_spoken(path, e));
  }
}

}  // namespace dwell::ledger

#pragma once
// Ways to open a record. Only what charts, serves or fills a record may make one: a record that a mistyped name made
// would be an empty ward that looks whole.
#include "ledger/disk.h"
#include "ledger/ledger.h"

namespace dwell::ledger {

enum class Access {
  untouched,  ///< existing, and nothing is written, neither in the files nor beside them. Right only while nobody
              ///< writes: whoever reads so compares stamp() before and after.
  reading,    ///< existing, while others may write to it; entries are read only
  existing,   ///< existing, to chart in
  made,       ///< the same, and made when there is none
};

struct Opened {
  std::unique_ptr<Ledger> ledger;
  bool is_new = false;
  /// What others than the owner could read until now ("…, now its owner's alone"), or still can.
  std::vector<std::string> notices;
};

/// SQLite: WAL, synchronous=FULL; what is made is its owner's alone. Refuses a ledger of a newer schema, a file that is
/// not a ledger, a folder that cannot be written, and to write to a file of several names (hard links): SQLite keeps
/// what it has not yet put into the file under one name only. Without writing it refuses an older schema as well.
[[nodiscard]] Checked<Opened> open_sqlite(const std::string& path, Access access, Disk& disk = machine_disk());
/// As open_postgresql.
[[nodiscard]] Checked<Opened> open_postgresql(const std::string& address, Access access);
[[nodiscard]] Checked<Opened> open_ledger(const std::string& where, Access access);

/// How SQLite is asked for a file. Without a write-ahead log beside it (`log_beside`) a file that is not to be written
/// is all there is. With one, and nobody writing, the log's index is made in memory instead of in a file; that wants
/// SQLite's lock for itself alone, which a file that cannot be written does not give, so it is read without locks.
/// Source: SQLite, "Uniform Resource Identifiers" (immutable, mode, vfs) and "Write-Ahead Logging", sections 8 and 9.
[[nodiscard]] std::string sqlite_connection(const std::string& path, Access access, bool log_beside);

/// What changes when anybody writes to this file, by size and time; empty for a database.
[[nodiscard]] std::string stamp(const std::string& where);

/// Does a server hold this file (ServeLock)? To be asked before the record is opened in this process.
[[nodiscard]] bool is_served(const std::string& ledger_path);

}  // namespace dwell::ledger

// The ledger on SQLite: the tables of soci_ledger.cc in one file.
#include <soci/soci.h>
#include <soci/sqlite3/soci-sqlite3.h>

#include <sys/stat.h>

#include <array>
#include <chrono>
#include <filesystem>
#include <thread>

#include "exchange/said/said.h"
#include "ledger/open.h"
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
    case SQLITE_FULL: return {{"/ledger", path, in_english_only("free space on the disk; nothing was written")}};
    case SQLITE_READONLY:
    case SQLITE_PERM:
    case SQLITE_CANTOPEN:
      return {{"/ledger", path, in_english_only("a file and folder that can be written; nothing was written")}};
    case SQLITE_NOTADB:
    case SQLITE_CORRUPT:
      return {{"/ledger", path, in_english_only("a ledger of Dwell; this file is something else, or damaged")}};
    case SQLITE_BUSY:
    case SQLITE_LOCKED: return {{"/ledger", path, in_english_only("a ledger that no other program holds; try again")}};
    case SQLITE_IOERR:
      return {{"/ledger", path,
               in_english_only("a disk that takes writes (full, failing or at its quota?); nothing was written")}};
    default:
      return {{"/ledger", path, in_english_only(std::string("a ledger that can be used (") + error.what() + ")")}};
  }
}

}  // namespace

std::string sqlite_connection(const std::string& path, Access access, bool log_beside) {
  const std::string options = " timeout=10";
  const bool writes = access == Access::existing || access == Access::made;
  // A path that begins with "file:" would be taken for an address.
  if (writes) return "db=\"" + (path.starts_with("file:") ? "./" + path : path) + "\"" + options;
  std::string address = "file:";
  for (const char c : std::filesystem::absolute(path).string()) {
    constexpr std::string_view with_meaning = "%?#";
    constexpr std::array<std::string_view, 3> escaped{"%25", "%3f", "%23"};
    const auto at = with_meaning.find(c);
    address += at == std::string_view::npos ? std::string(1, c) : std::string(escaped.at(at));
  }
  address += access == Access::reading ? "?mode=ro" : log_beside ? "?mode=ro&vfs=unix-none" : "?immutable=1";
  return "db=\"" + address + "\" readonly=true" + options;
}

namespace {

class SqliteLedger final : public SociLedger {
 public:
  SqliteLedger(const std::string& path, std::string place, Access access, bool log_beside)
      : path_(path), place_(std::move(place)) {
    sql().open(soci::sqlite3, sqlite_connection(path, access, log_beside));
    if (access == Access::untouched) sql() << "PRAGMA locking_mode=EXCLUSIVE";
  }

  /// Whether the record was made now.
  Checked<bool> prepare(Access access) {
    const auto schema = recognise();
    if (!schema) return refuse(schema.error());
    const bool is_new = *schema == 0;
    if (is_new && access != Access::made)
      return refuse("/ledger", path_, in_english_only("a record; this file is empty"));
    if (access == Access::reading || access == Access::untouched) {
      if (*schema < ledger_schema)
        return refuse(
            "/ledger", path_ + " (schema " + std::to_string(*schema) + ")",
            in_english_only("schema " + std::to_string(ledger_schema) +
                            "; an older record is brought forward when it is served, charted in or restored"));
      prepare_statements();
      return false;
    }
    use_write_ahead_log();
    sql() << "PRAGMA synchronous=FULL";
    // IMMEDIATE: others that open a new ledger at this moment wait. When this throws, the session ends and with it all.
    sql() << "BEGIN IMMEDIATE";
    migrate("INTEGER");
    sql() << "COMMIT";
    prepare_statements();
    return is_new;
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
  std::string where_it_lies() override {
    return place_.empty() ? "memory " + std::to_string(reinterpret_cast<std::uintptr_t>(this)) : place_;
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
  /// Looks without writing, so that another program's database, or a newer Dwell's, is left as it was. The schema; 0
  /// for an empty file.
  Checked<int> recognise() {
    int ours = 0, all = 0, schema = 0;
    sql() << "SELECT count(*) FILTER (WHERE type = 'table' AND name IN ('meta', 'event')), count(*) FROM sqlite_master",
        soci::into(ours), soci::into(all);
    if (all == 0) return 0;
    const auto foreign =
        refuse("/ledger", path_, in_english_only("a ledger of Dwell; this is another program's database"));
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
                    in_english_only("schema " + std::to_string(ledger_schema) +
                                    " or older; this ledger was made by a newer Dwell"));
    return schema;
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

  std::string path_, place_;
};

constexpr std::array<const char*, 2> beside{"-wal", "-shm"};

/// SQLite's name for a database in memory, each one another.
constexpr const char* in_memory = ":memory:";

/// The file as it must be before SQLite sees it; it gives what it makes beside it the same mode.
Checked<FileFacts> file_for(const std::string& path, Access access, Disk& disk) {
  if (path == in_memory) return FileFacts{};
  if (path.find('"') != std::string::npos)
    return refuse("/ledger", path, in_english_only("a path without quotation marks"));
  const auto folder = std::filesystem::path(path).parent_path();
  const auto folder_facts = folder.empty() ? Checked<std::optional<FileFacts>>() : disk.facts(folder.string());
  if (!folder.empty() && (!folder_facts || !*folder_facts || !(*folder_facts)->is_folder))
    return refuse("/ledger", path, in_english_only("a folder that exists"));
  const auto unreadable = [&](const FieldErrors& errors) {
    return refuse("/ledger", path,
                  in_english_only(said::in_english(errors.front().expected) + "; nothing was written"));
  };
  auto facts = disk.facts(path);
  if (facts && !*facts && access != Access::made)
    return refuse("/ledger", path, in_english_only("a record; there is none here"));
  if (facts && !*facts) {
    if (auto made = disk.create(path, ""); !made) return unreadable(made.error());
    facts = disk.facts(path);
  }
  if (!facts) return unreadable(facts.error());
  if (!*facts) return refuse("/ledger", path, in_english_only("a file that stays where it is"));
  // SQLite takes a stump shorter than its header for an empty file, and would begin a new ledger on it.
  constexpr std::uintmax_t sqlite_header = 100;
  if ((*facts)->is_folder || ((*facts)->size > 0 && (*facts)->size < sqlite_header))
    return refuse("/ledger", path, in_english_only("a ledger of Dwell; this file is something else, or damaged"));
  return **facts;
}

/// What others could read of the record is taken from them, where it may be written; what is not is named.
std::vector<std::string> tightened(const std::string& path, bool writes, Disk& disk) {
  std::vector<std::string> notices;
  for (const std::string& name : {path, path + beside[0], path + beside[1]}) {
    const auto facts = disk.facts(name);
    if (!facts || !*facts || (*facts)->is_private) continue;
    notices.push_back(name + (writes && disk.make_private(name) ? " could be read by others; now only its owner can"
                                                                : " can be read by others than its owner"));
  }
  return notices;
}

}  // namespace

Checked<Opened> open_sqlite(const std::string& path, Access access, Disk& disk) {
  const auto file = file_for(path, access, disk);
  if (!file) return refuse(file.error());
  const bool writes = access == Access::existing || access == Access::made;
  if (writes && file->names > 1)
    return refuse("/ledger", path + ", a file of " + std::to_string(file->names) + " names (hard links)",
                  in_english_only(
                      "a record under one name; under another, entries that SQLite keeps beside it would not be seen"));
  Opened opened;
  opened.notices = tightened(path, writes, disk);
  const auto log = disk.facts(path + beside[0]);
  try {
    auto ledger = std::make_unique<SqliteLedger>(path, file->identity, access, log && *log && (*log)->size > 0);
    const auto is_new = ledger->prepare(access);
    if (!is_new) return refuse(is_new.error());
    opened.is_new = *is_new;
    opened.ledger = std::move(ledger);
    return opened;
  } catch (const soci::soci_error& e) {
    return refuse(sqlite_spoken(path, e));
  }
}

Checked<std::unique_ptr<Ledger>> open_sqlite(const std::string& path) {
  return open_sqlite(path, Access::made).map([](Opened opened) { return std::move(opened.ledger); });
}

std::string stamp(const std::string& where) {
  if (is_postgresql(where)) return "";
  std::string all;
  for (const std::string& name : {where, where + beside[0]}) {
    struct stat about {};
    if (::stat(name.c_str(), &about) != 0) continue;
    for (const auto value : {static_cast<std::int64_t>(about.st_size), static_cast<std::int64_t>(about.st_mtim.tv_sec),
                             static_cast<std::int64_t>(about.st_mtim.tv_nsec), static_cast<std::int64_t>(about.st_ino)})
      all += std::to_string(value) + " ";
    all += "/";
  }
  return all;
}

}  // namespace dwell::ledger

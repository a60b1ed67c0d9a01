// The ledger on SQLite. Two tables: `meta` (schema, made_at) and `event`, whose `json` is the canonical JSON that the
// hash covers. `id` and `line` repeat what that JSON says, for the indexes alone; verify() compares them.
#include <soci/soci.h>
#include <soci/sqlite3/soci-sqlite3.h>

#include <chrono>
#include <filesystem>
#include <mutex>
#include <thread>

#include "json/codec.h"
#include "ledger/chain.h"
#include "ledger/ledger.h"

namespace dwell::ledger {
namespace {

constexpr int ledger_schema = 1;

int sqlite_code(const soci::soci_error& error) {
  const auto* sqlite = dynamic_cast<const soci::sqlite3_soci_error*>(&error);
  constexpr int primary = 0xFF;  // extended codes carry detail above the low byte
  return sqlite ? sqlite->result() & primary : SQLITE_ERROR;
}

/// SQLite's own words are for engineers; these are for whoever stands at the bedside.
FieldErrors spoken(const std::string& path, const soci::soci_error& error) {
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

/// Rolls back unless it was committed. IMMEDIATE: the chain's head is read under the write lock.
class Transaction {
 public:
  explicit Transaction(soci::session& sql) : sql_(sql) { sql_ << "BEGIN IMMEDIATE"; }
  Transaction(const Transaction&) = delete;
  Transaction& operator=(const Transaction&) = delete;
  ~Transaction() {
    if (!open_) return;
    try {
      sql_ << "ROLLBACK";
    } catch (const soci::soci_error&) {
      // After some errors SQLite has rolled back by itself, and says so.
      return;
    }
  }
  void commit() {
    sql_ << "COMMIT";
    open_ = false;
  }

 private:
  soci::session& sql_;
  bool open_ = true;
};

struct Row {
  long long sequence = 0;
  std::string id, line, json, previous, hash;
};

/// What was written by us must be readable by us.
line::Event decode(const std::string& text) {
  auto event = json::parse_text(text).and_then([](const json::Value& v) { return json::decode<line::Event>(v); });
  if (!event)
    throw std::runtime_error("an entry of the ledger cannot be read: " + event.error().front().path + ", " +
                             event.error().front().expected);
  return std::move(*event);
}

/// The columns that serve the indexes say what the hashed content says.
bool columns_fit(const Row& row) {
  const auto content = json::parse_text(row.json);
  const auto says = [&](const char* member, const std::string& column) {
    const auto* value = content && content->is_object() ? content->as_object().if_contains(member) : nullptr;
    return value && value->is_string() && std::string_view(value->as_string()) == column;
  };
  return says("id", row.id) && says("line", row.line);
}

std::string fault_of(const Row& row, int indexed, const Verification& so_far) {
  if (row.sequence != so_far.entries + 1) return "an entry is missing before it";
  if (row.previous != so_far.head) return "it does not follow the entry before";
  if (chain_hash(row.previous, row.json) != row.hash) return "its content does not fit its hash";
  if (!columns_fit(row)) return "its id or line was changed beside its content";
  if (indexed == 0) return "it is missing from an index of the file";
  return "";
}

class SqliteLedger final : public Ledger {
 public:
  explicit SqliteLedger(const std::string& path) : path_(path), sql_(soci::sqlite3, "db=\"" + path + "\" timeout=10") {}

  Checked<void> prepare() {
    if (auto ours = recognise(); !ours) return ours;
    use_write_ahead_log();
    sql_ << "PRAGMA synchronous=FULL";
    Transaction making(sql_);
    sql_ << "CREATE TABLE IF NOT EXISTS meta (name TEXT PRIMARY KEY, value TEXT NOT NULL)";
    sql_ << "CREATE TABLE IF NOT EXISTS event (sequence INTEGER PRIMARY KEY, id TEXT NOT NULL UNIQUE, "
            "line TEXT NOT NULL, json TEXT NOT NULL, previous TEXT NOT NULL, hash TEXT NOT NULL)";
    sql_ << "CREATE INDEX IF NOT EXISTS event_line ON event (line, sequence)";
    sql_ << "INSERT OR IGNORE INTO meta VALUES ('schema', " + std::to_string(ledger_schema) + ")";
    sql_ << "INSERT OR IGNORE INTO meta VALUES ('made_at', strftime('%Y-%m-%dT%H:%M:%SZ', 'now'))";
    making.commit();
    prepare_statements();
    return {};
  }

  Checked<Appended> append(const std::vector<line::Event>& events, Instant now) override {
    FieldErrors errors;
    for (std::size_t i = 0; i < events.size(); ++i)
      for (auto& e : line::check(events[i], now))
        errors.push_back({"/" + std::to_string(i) + e.path, e.found, e.expected});
    if (!errors.empty()) return refuse(std::move(errors));

    const std::lock_guard lock(mutex_);
    try {
      Transaction transaction(sql_);
      auto appended = append_in_transaction(events);
      if (appended) transaction.commit();
      return appended;
    } catch (const soci::soci_error& e) {
      return refuse(spoken(path_, e));
    }
  }

  std::vector<Entry> read_after(std::int64_t sequence, std::size_t limit) override {
    const std::lock_guard lock(mutex_);
    Row row;
    const auto most = static_cast<long long>(limit);
    const long long after = sequence;
    soci::statement select =
        (sql_.prepare << "SELECT sequence, json, previous, hash FROM event WHERE sequence > :after "
                         "ORDER BY sequence LIMIT :most",
         soci::use(after), soci::use(most), soci::into(row.sequence), soci::into(row.json), soci::into(row.previous),
         soci::into(row.hash));
    std::vector<Entry> entries;
    select.execute();
    while (select.fetch()) entries.push_back({row.sequence, decode(row.json), row.previous, row.hash});
    return entries;
  }

  std::vector<line::Event> read_line(const std::string& line) override {
    const std::lock_guard lock(mutex_);
    std::string json;
    soci::statement select = (sql_.prepare << "SELECT json FROM event WHERE line = :line ORDER BY sequence",
                              soci::use(line), soci::into(json));
    std::vector<line::Event> events;
    select.execute();
    while (select.fetch()) events.push_back(decode(json));
    return events;
  }

  std::int64_t last_sequence() override {
    const std::lock_guard lock(mutex_);
    return last().sequence;
  }

  Verification verify(const std::function<void(VerifyProgress)>& progress) override {
    const std::lock_guard lock(mutex_);
    Verification result;
    result.head = genesis_hash();
    Row row;
    const auto broken = [&](std::int64_t sequence, std::string reason) {
      result.first_bad = sequence;
      result.reason = std::move(reason);
      return result;
    };
    try {
      const std::int64_t total = last().sequence;
      int indexed = 0;
      soci::statement select =
          (sql_.prepare << "SELECT sequence, id, line, json, previous, hash, "
                           "e.sequence IS (SELECT sequence FROM event WHERE id = e.id) AND EXISTS (SELECT 1 FROM event "
                           "INDEXED BY event_line WHERE line = e.line AND sequence = e.sequence) "
                           "FROM event e ORDER BY sequence",
           soci::into(row.sequence), soci::into(row.id), soci::into(row.line), soci::into(row.json),
           soci::into(row.previous), soci::into(row.hash), soci::into(indexed));
      select.execute();
      while (select.fetch()) {
        if (auto fault = fault_of(row, indexed, result); !fault.empty()) return broken(row.sequence, std::move(fault));
        ++result.entries;
        result.head = row.hash;
        if (result.entries % 1000 == 0) progress({result.entries, total});
      }
      progress({result.entries, total});
    } catch (const soci::soci_error& e) {
      return broken(result.entries + 1, std::string("the file cannot be read here: ") + e.what());
    }
    return result;
  }

 private:
  /// Looks without writing, so that another program's database, or a newer Dwell's, is left as it was.
  Checked<void> recognise() {
    int ours = 0, all = 0, schema = 0;
    sql_ << "SELECT count(*) FILTER (WHERE type = 'table' AND name IN ('meta', 'event')), count(*) FROM sqlite_master",
        soci::into(ours), soci::into(all);
    if (all == 0) return {};
    const auto foreign = refuse("/ledger", path_, "a ledger of Dwell; this is another program's database");
    if (ours != 2) return foreign;
    try {
      sql_ << "SELECT CAST(value AS INTEGER) FROM meta WHERE name = 'schema'", soci::into(schema);
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
        sql_ << "PRAGMA journal_mode=WAL";
        return;
      } catch (const soci::soci_error& e) {
        if (sqlite_code(e) != SQLITE_BUSY || attempt == most_attempts) throw;
        std::this_thread::sleep_for(std::chrono::milliseconds(20));
      }
    }
  }

  void prepare_statements() {
    insert_.emplace((sql_.prepare << "INSERT INTO event (sequence, id, line, json, previous, hash) "
                                     "VALUES (:sequence, :id, :line, :json, :previous, :hash)",
                     soci::use(row_.sequence), soci::use(row_.id), soci::use(row_.line), soci::use(row_.json),
                     soci::use(row_.previous), soci::use(row_.hash)));
    find_.emplace((sql_.prepare << "SELECT json FROM event WHERE id = :id", soci::use(row_.id), soci::into(found_)));
    last_.emplace((sql_.prepare << "SELECT sequence, hash FROM event ORDER BY sequence DESC LIMIT 1",
                   soci::into(head_.sequence), soci::into(head_.hash)));
  }

  /// A prepared query of one row, read to its end: a statement left half-way would hold its view of the file.
  static bool fetch_one(soci::statement& statement) {
    statement.execute();
    const bool found = statement.fetch();
    while (found && statement.fetch()) continue;
    return found;
  }

  Row last() {
    if (!fetch_one(*last_)) head_ = {0, "", "", "", "", genesis_hash()};
    return head_;
  }

  Checked<Appended> append_in_transaction(const std::vector<line::Event>& events) {
    Appended out;
    Row at = last();
    for (std::size_t i = 0; i < events.size(); ++i) {
      row_.id = events[i].id;
      row_.line = events[i].line;
      row_.json = canonical_json(events[i]);
      // Sees this batch too.
      if (fetch_one(*find_)) {
        if (found_ != row_.json)
          return refuse("/" + std::to_string(i) + "/id", row_.id,
                        "an id of its own; another entry already has this one");
        out.already_there.push_back(row_.id);
        continue;
      }
      row_.sequence = at.sequence + 1;
      row_.previous = at.hash;
      row_.hash = chain_hash(row_.previous, row_.json);
      insert_->execute(true);
      at = row_;
      out.entries.push_back({row_.sequence, events[i], row_.previous, row_.hash});
    }
    return out;
  }

  std::string path_;
  soci::session sql_;
  std::mutex mutex_;
  Row row_, head_;  ///< what the prepared statements are bound to
  std::string found_;
  std::optional<soci::statement> insert_, find_, last_;  ///< after the session: they end before it
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
    return refuse(spoken(path, e));
  }
}

}  // namespace dwell::ledger

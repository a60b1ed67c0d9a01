#include <soci/soci.h>
#include <soci/sqlite3/soci-sqlite3.h>

#include <filesystem>
#include <map>
#include <mutex>
#include <set>

#include "json/codec.h"
#include "ledger/chain.h"
#include "ledger/ledger.h"

namespace dwell::ledger {
namespace {

constexpr int ledger_schema = 1;

/// SQLite's own words are for engineers; these are for whoever stands at the bedside.
FieldErrors spoken(const std::string& path, const std::string& message) {
  const auto holds = [&](const char* part) { return message.find(part) != std::string::npos; };
  if (holds("full")) return {{"/ledger", path, "free space on the disk; nothing was written"}};
  if (holds("readonly") || holds("read-only") || holds("unable to open"))
    return {{"/ledger", path, "a file and folder that can be written; nothing was written"}};
  if (holds("not a database") || holds("malformed"))
    return {{"/ledger", path, "a ledger of Dwell; this file is something else, or damaged"}};
  if (holds("locked") || holds("busy")) return {{"/ledger", path, "a ledger that no other program holds; try again"}};
  return {{"/ledger", path, "a ledger that can be used (" + message + ")"}};
}

class SqliteLedger final : public Ledger {
 public:
  SqliteLedger(const std::string& path) : path_(path), sql_(soci::sqlite3, "db=\"" + path + "\" timeout=10") {
    // The order matters: a journal mode is kept in the file, synchronous is not.
    sql_ << "PRAGMA journal_mode=WAL";
    sql_ << "PRAGMA synchronous=FULL";
  }

  Checked<void> prepare() {
    sql_ << "BEGIN IMMEDIATE";
    int tables = 0;
    sql_ << "SELECT count(*) FROM sqlite_master WHERE type='table' AND name='meta'", soci::into(tables);
    if (tables == 0) {
      int others = 0;
      sql_ << "SELECT count(*) FROM sqlite_master", soci::into(others);
      if (others > 0) {
        sql_ << "ROLLBACK";
        return refuse("/ledger", path_, "a ledger of Dwell; this is another program's database");
      }
      sql_ << "CREATE TABLE meta (name TEXT PRIMARY KEY, value TEXT NOT NULL)";
      sql_ << "INSERT INTO meta VALUES ('schema', " + std::to_string(ledger_schema) + ")";
      sql_ << "CREATE TABLE event (sequence INTEGER PRIMARY KEY, id TEXT NOT NULL UNIQUE, line TEXT NOT NULL, "
              "json TEXT NOT NULL, previous TEXT NOT NULL, hash TEXT NOT NULL)";
      sql_ << "CREATE INDEX event_line ON event (line, sequence)";
    }
    int schema = 0;
    sql_ << "SELECT CAST(value AS INTEGER) FROM meta WHERE name='schema'", soci::into(schema);
    sql_ << "COMMIT";
    if (schema > ledger_schema)
      return refuse("/ledger", path_ + " (schema " + std::to_string(schema) + ")",
                    "schema " + std::to_string(ledger_schema) + " or older; this ledger was made by a newer Dwell");
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
      sql_ << "BEGIN IMMEDIATE";
      auto appended = append_in_transaction(events);
      sql_ << (appended ? "COMMIT" : "ROLLBACK");
      return appended;
    } catch (const soci::soci_error& e) {
      roll_back();
      return refuse(spoken(path_, e.what()));
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
    const std::int64_t total = last().sequence;
    Row row;
    soci::statement select =
        (sql_.prepare << "SELECT sequence, json, previous, hash FROM event ORDER BY sequence", soci::into(row.sequence),
         soci::into(row.json), soci::into(row.previous), soci::into(row.hash));
    select.execute();
    while (select.fetch()) {
      const auto fault = fault_of(row, result);
      if (!fault.empty()) {
        result.first_bad = row.sequence;
        result.reason = fault;
        return result;
      }
      ++result.entries;
      result.head = row.hash;
      if (result.entries % 1000 == 0) progress({result.entries, total});
    }
    progress({result.entries, total});
    return result;
  }

 private:
  struct Row {
    long long sequence = 0;
    std::string json, previous, hash;
  };

  static std::string fault_of(const Row& row, const Verification& so_far) {
    if (row.sequence != so_far.entries + 1) return "an entry is missing before it";
    if (row.previous != so_far.head) return "it does not follow the entry before";
    if (chain_hash(row.previous, row.json) != row.hash) return "its content does not fit its hash";
    return "";
  }

  /// What was written by us must be readable by us.
  static line::Event decode(const std::string& text) {
    auto event = json::parse_text(text).and_then([](const json::Value& v) { return json::decode<line::Event>(v); });
    if (!event)
      throw std::runtime_error("an entry of the ledger cannot be read: " + event.error().front().path + ", " +
                               event.error().front().expected);
    return std::move(*event);
  }

  Row last() {
    Row row;
    row.hash = genesis_hash();
    soci::indicator present = soci::i_null;
    sql_ << "SELECT sequence, hash FROM event ORDER BY sequence DESC LIMIT 1", soci::into(row.sequence, present),
        soci::into(row.hash);
    if (!sql_.got_data()) return {0, "", "", genesis_hash()};
    return row;
  }

  Checked<Appended> append_in_transaction(const std::vector<line::Event>& events) {
    Appended out;
    Row at = last();
    std::string id, line, json, previous, hash;
    long long sequence = 0;
    soci::statement insert =
        (sql_.prepare << "INSERT INTO event (sequence, id, line, json, previous, hash) "
                         "VALUES (:sequence, :id, :line, :json, :previous, :hash)",
         soci::use(sequence), soci::use(id), soci::use(line), soci::use(json), soci::use(previous), soci::use(hash));
    std::map<std::string, std::string> in_this_batch;
    for (std::size_t i = 0; i < events.size(); ++i) {
      id = events[i].id;
      line = events[i].line;
      json = canonical_json(events[i]);
      if (const auto held = held_json(id, in_this_batch)) {
        if (*held != json)
          return refuse("/" + std::to_string(i) + "/id", id, "an id of its own; another entry already has this one");
        out.already_there.push_back(id);
        continue;
      }
      previous = at.hash;
      hash = chain_hash(previous, json);
      sequence = at.sequence + 1;
      insert.execute(true);
      at = {sequence, "", "", hash};
      in_this_batch.emplace(id, json);
      out.entries.push_back({sequence, events[i], previous, hash});
    }
    return out;
  }

  std::optional<std::string> held_json(const std::string& id, const std::map<std::string, std::string>& in_this_batch) {
    if (const auto found = in_this_batch.find(id); found != in_this_batch.end()) return found->second;
    std::string json;
    sql_ << "SELECT json FROM event WHERE id = :id", soci::use(id), soci::into(json);
    if (sql_.got_data()) return json;
    return std::nullopt;
  }

  /// After an error SQLite may have ended the transaction itself; a second ROLLBACK then complains, and may.
  void roll_back() {
    try {
      sql_ << "ROLLBACK";
    } catch (const soci::soci_error&) {
      return;
    }
  }

  std::string path_;
  soci::session sql_;
  std::mutex mutex_;
};

}  // namespace

Checked<std::unique_ptr<Ledger>> open_sqlite(const std::string& path) {
  if (path.find('"') != std::string::npos) return refuse("/ledger", path, "a path without quotation marks");
  const auto folder = std::filesystem::path(path).parent_path();
  if (!folder.empty() && !std::filesystem::is_directory(folder)) return refuse("/ledger", path, "a folder that exists");
  try {
    auto ledger = std::make_unique<SqliteLedger>(path);
    if (auto ready = ledger->prepare(); !ready) return refuse(ready.error());
    return ledger;
  } catch (const soci::soci_error& e) {
    return refuse(spoken(path, e.what()));
  }
}

}  // namespace dwell::ledger

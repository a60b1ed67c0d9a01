#include "accounts/store.h"

#include <soci/postgresql/soci-postgresql.h>
#include <soci/sqlite3/soci-sqlite3.h>

#include <filesystem>

#include "ledger/disk.h"
#include "ledger/open.h"

namespace dwell::accounts {
namespace {

/// 1: the first.
constexpr int schema = 1;

constexpr const char* tables[] = {
    "CREATE TABLE IF NOT EXISTS meta (name TEXT PRIMARY KEY, value TEXT NOT NULL)",
    "CREATE TABLE IF NOT EXISTS person (id TEXT PRIMARY KEY, sign_in TEXT NOT NULL UNIQUE, name TEXT NOT NULL UNIQUE, "
    "initials TEXT NOT NULL, role TEXT NOT NULL, wards TEXT NOT NULL, active INTEGER NOT NULL, password TEXT NOT NULL, "
    "pin TEXT NOT NULL)",
    "CREATE TABLE IF NOT EXISTS invitation (token TEXT PRIMARY KEY, person TEXT NOT NULL, ends BIGINT NOT NULL)",
    "CREATE TABLE IF NOT EXISTS session (token TEXT PRIMARY KEY, person TEXT NOT NULL, begun BIGINT NOT NULL, "
    "seen BIGINT NOT NULL, locked INTEGER NOT NULL, pin_failures INTEGER NOT NULL)",
    "CREATE TABLE IF NOT EXISTS opened (person TEXT NOT NULL, ward TEXT NOT NULL, until BIGINT NOT NULL)",
    "CREATE TABLE IF NOT EXISTS passkey (id TEXT PRIMARY KEY, person TEXT NOT NULL, name TEXT NOT NULL, "
    "algorithm INTEGER NOT NULL, public_key TEXT NOT NULL, count BIGINT NOT NULL, made BIGINT NOT NULL)",
    "CREATE TABLE IF NOT EXISTS challenge (challenge TEXT PRIMARY KEY, person TEXT NOT NULL, ends BIGINT NOT NULL)",
    "CREATE TABLE IF NOT EXISTS attempt (who TEXT PRIMARY KEY, failures INTEGER NOT NULL, wait_until BIGINT NOT NULL)",
    "CREATE TABLE IF NOT EXISTS audit (sequence BIGINT PRIMARY KEY, at TEXT NOT NULL, who TEXT NOT NULL, "
    "role TEXT NOT NULL, act TEXT NOT NULL, lines TEXT NOT NULL, status INTEGER NOT NULL, previous TEXT NOT NULL, "
    "hash TEXT NOT NULL)",
};

std::string file_of(const std::string& record) {
  std::error_code unknown;
  const auto itself = std::filesystem::canonical(record, unknown);
  return (unknown ? record : itself.string()) + ".accounts";
}

/// A write-ahead log that somebody left beside the file holds its newest rows.
void open_untouched_file(soci::session& sql, const std::string& file) {
  std::error_code unknown;
  const auto left = std::filesystem::file_size(file + "-wal", unknown);
  sql.open(soci::sqlite3, ledger::sqlite_connection(file, ledger::Access::untouched, !unknown && left > 0));
  sql << "PRAGMA locking_mode=EXCLUSIVE";
}

auto cannot_be_used(const soci::soci_error& error) {
  return in_english_only(std::string("accounts that can be used (") + error.what() + ")");
}

}  // namespace

bool Store::exists(const std::string& record) {
  if (!ledger::is_postgresql(record)) return std::filesystem::exists(file_of(record));
  soci::session sql(soci::postgresql, record);
  int there = 0;
  sql << "SELECT count(*) FROM information_schema.schemata WHERE schema_name = 'dwell_accounts'", soci::into(there);
  return there > 0;
}

Checked<std::shared_ptr<Store>> Store::open(const std::string& record) {
  std::shared_ptr<Store> store(new Store(record, false));
  if (!ledger::is_postgresql(record)) {
    const auto made = ledger::machine_disk().create(file_of(record), "");
    if (!made) return refuse("/accounts", file_of(record), made.error().front().expected);
    if (const auto tightened = ledger::machine_disk().make_private(file_of(record)); !tightened)
      return refuse("/accounts", file_of(record), tightened.error().front().expected);
  }
  try {
    store->connect();
    store->make_tables();
    if (const auto known = store->recognise(); !known) return refuse(known.error());
  } catch (const soci::soci_error& e) {
    return refuse("/accounts", ledger::shown(record), cannot_be_used(e));
  }
  return store;
}

Checked<std::shared_ptr<Store>> Store::open_untouched(const std::string& record) {
  std::shared_ptr<Store> store(new Store(record, true));
  try {
    store->connect();
    if (const auto known = store->recognise(); !known) return refuse(known.error());
  } catch (const soci::soci_error& e) {
    return refuse("/accounts", ledger::shown(record), cannot_be_used(e));
  }
  return store;
}

Checked<void> Store::recognise() {
  int found = 0;
  *sql_ << "SELECT CAST(value AS INTEGER) FROM meta WHERE name = 'schema'", soci::into(found);
  if (found <= schema) return {};
  return refuse("/accounts", ledger::shown(record_),
                in_english_only("accounts of this Dwell or an older one; these were made by a newer Dwell"));
}

void Store::connect() {
  auto sql = std::make_unique<soci::session>();
  if (ledger::is_postgresql(record_)) {
    sql->open(soci::postgresql, record_);
    *sql << "SET lock_timeout = '20s'";
    *sql << "SET client_min_messages = warning";
    *sql << "SET search_path = dwell_accounts";
    if (untouched_) *sql << "SET default_transaction_read_only = on";
  } else if (untouched_) {
    open_untouched_file(*sql, file_of(record_));
  } else {
    sql->open(soci::sqlite3, "db=\"" + file_of(record_) + "\" timeout=10");
    std::string mode;
    *sql << "PRAGMA journal_mode=WAL", soci::into(mode);
    // What is looked at is written down by the hundred: a power cut may take the last moments of the audit, a killed
    // process takes nothing, and neither breaks its chain.
    *sql << "PRAGMA synchronous=NORMAL";
  }
  sql_ = std::move(sql);
}

void Store::make_tables() {
  const bool database = ledger::is_postgresql(record_);
  *sql_ << (database ? "BEGIN" : "BEGIN IMMEDIATE");
  if (database) {
    *sql_ << "SELECT pg_advisory_xact_lock(hashtext('dwell_accounts'))";
    *sql_ << "CREATE SCHEMA IF NOT EXISTS dwell_accounts";
  }
  for (const char* table : tables) *sql_ << table;
  *sql_ << "INSERT INTO meta (name, value) VALUES ('schema', '" + std::to_string(schema) + "') ON CONFLICT DO NOTHING";
  *sql_ << "COMMIT";
}

void Store::begin_writing() {
  if (!ledger::is_postgresql(record_)) {
    *sql_ << "BEGIN IMMEDIATE";
    return;
  }
  *sql_ << "BEGIN";
  *sql_ << "LOCK TABLE meta IN EXCLUSIVE MODE";
}

void Store::give_up() noexcept {
  try {
    *sql_ << "ROLLBACK";
  } catch (const soci::soci_error&) {
    sql_.reset();
  }
}

ledger::Unreachable Store::told(const soci::soci_error& error) {
  // A database's connection may be lost: the next use begins with a new one.
  if (ledger::is_postgresql(record_)) sql_.reset();
  return ledger::Unreachable("the accounts cannot be reached (" + error.get_error_message() + ")");
}

}  // namespace dwell::accounts

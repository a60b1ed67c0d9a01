// The ledger of a hospital, on PostgreSQL. The same two tables as on SQLite. Several servers may write: each takes the
// table's write lock before it reads the head of the chain, so that the chain stays one. A commit returns when the
// database says it is durable (synchronous_commit; with a synchronous standby, when that has it too).
#include <soci/postgresql/soci-postgresql.h>
#include <soci/soci.h>

#include <boost/url/parse.hpp>
#include <boost/url/url.hpp>
#include <string_view>
#include <vector>

#include "json/codec.h"
#include "ledger/open.h"
#include "ledger/soci_ledger.h"

namespace dwell::ledger {
namespace {

/// The address without its password, for messages and logs.
std::string without_password(const std::string& address) {
  const auto parsed = boost::urls::parse_uri(boost::urls::string_view(address.data(), address.size()));
  if (!parsed) return "the PostgreSQL database";
  boost::urls::url url(*parsed);
  url.remove_password();
  // A password may also stand among the parameters.
  url.remove_query();
  return std::string(url.data(), url.size());
}

std::string state_of(const soci::soci_error& error) {
  const auto* of_postgresql = dynamic_cast<const soci::postgresql_soci_error*>(&error);
  return of_postgresql ? of_postgresql->sqlstate() : "";
}

/// PostgreSQL's states, said for whoever stands at the bedside. Source: PostgreSQL 15 manual, appendix A.
FieldErrors postgresql_spoken(const std::string& where, const soci::soci_error& error) {
  const std::string state = state_of(error);
  const auto is = [&](std::string_view prefix) { return state.starts_with(prefix); };
  if (is("53100") || is("53200"))
    return {{"/ledger", where, in_english_only("free space for the database; nothing was written")}};
  if (is("25006"))
    return {{"/ledger", where, in_english_only("a database that takes writes; this one is a standby or read-only")}};
  if (is("28") || is("42501"))
    return {{"/ledger", where, in_english_only("a database that lets this user in and write")}};
  if (is("3D000")) return {{"/ledger", where, in_english_only("a database that exists")}};
  if (is("55P03") || is("57014") || is("40"))
    return {{"/ledger", where, in_english_only("a database that is not held up; try again")}};
  if (state.empty() || state.front() == ' ' || state.front() == '\0' || is("08") || is("57"))
    return {{"/ledger", where,
             in_english_only("a database that can be reached; what was not confirmed must be sent again")}};
  return {{"/ledger", where, in_english_only("a database that can be used (state " + state + ")")}};
}

/// Class 22 is a fault of the data, 54 a limit of the program that they go beyond; 23 and 42 (a constraint, a
/// statement) do not say whose fault it is. Source: PostgreSQL 15 manual, appendix A.
Blame postgresql_blame(std::string_view state) {
  if (state.starts_with("22") || state.starts_with("54")) return Blame::entry;
  if (state.starts_with("23") || state.starts_with("42")) return Blame::unclear;
  return Blame::record;
}

class PostgresqlLedger final : public SociLedger {
 public:
  explicit PostgresqlLedger(const std::string& address) : where_(without_password(address)) {
    sql().open(soci::postgresql, address);
    settle();
  }

  /// Whether the record was made now.
  Checked<bool> prepare(Access access) {
    const auto schema = recognise();
    if (!schema) return refuse(schema.error());
    if (*schema == 0 && access != Access::made)
      return refuse("/ledger", where_, in_english_only("a record; this database holds none"));
    if (access == Access::reading || access == Access::untouched) {
      if (*schema < ledger_schema)
        return refuse("/ledger", where_ + " (schema " + std::to_string(*schema) + ")",
                      in_english_only("schema " + std::to_string(ledger_schema) +
                                      "; an older record is brought forward when it is served or charted in"));
      read_only_ = true;
      settle();
      prepare_statements();
      return false;
    }
    soci::transaction making(sql());
    // Two servers that start at once make the tables once.
    sql() << "SELECT pg_advisory_xact_lock(hashtext('dwell ledger'))";
    migrate("BIGINT");
    making.commit();
    prepare_statements();
    return *schema == 0;
  }

 protected:
  void begin_writing() override {
    sql() << "BEGIN";
    // Readers go on; other writers, ours and foreign, wait for this transaction.
    sql() << "LOCK TABLE event IN SHARE ROW EXCLUSIVE MODE";
  }
  void begin_view() override { sql() << "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY"; }
  /// All in one statement: each would otherwise be a journey to the database and back.
  void insert_many(const Rows& rows) override {
    json::Array all;
    for (std::size_t i = 0; i < rows.sequence.size(); ++i)
      all.push_back(json::Object{{"sequence", rows.sequence[i]},
                                 {"id", rows.id[i]},
                                 {"line", rows.line[i]},
                                 {"kind", rows.kind[i]},
                                 {"received", rows.received[i]},
                                 {"json", rows.json[i]},
                                 {"previous", rows.previous[i]},
                                 {"hash", rows.hash[i]}});
    const std::string text = json::to_text(all);
    sql() << "INSERT INTO event (sequence, id, line, kind, received, json, previous, hash) "
             "SELECT sequence, id, line, kind, received, json, previous, hash FROM json_to_recordset(CAST(:rows AS "
             "json)) AS row (sequence bigint, id text, line text, kind text, received text, json text, previous text, "
             "hash text)",
        soci::use(text);
  }
  const char* among_ids() const override { return "id = ANY (string_to_array(:ids, ','))"; }
  void before_commit(std::int64_t last) override { sql() << "NOTIFY dwell_entries, '" + std::to_string(last) + "'"; }

  void be_ready() override {
    if (PQstatus(connection()) == CONNECTION_OK) return;
    drop_statements();
    sql().reconnect();
    settle();
    prepare_statements();
  }

  /// The cluster, the database and the schema in it: every address that leads there says the same.
  std::string where_it_lies() override {
    std::string place;
    sql()
        << "SELECT system_identifier::text || '/' || (SELECT oid FROM pg_database WHERE datname = current_database()) "
           "|| '/' || current_schema() FROM pg_control_system()",
        soci::into(place);
    return place;
  }

  /// The database looks after its own pages.
  std::string damage() override { return ""; }
  FieldErrors spoken(const soci::soci_error& error) const override { return postgresql_spoken(where_, error); }
  Blame blame(const soci::soci_error& error) const override { return postgresql_blame(state_of(error)); }

  void walk(const std::function<bool(const Row&, bool)>& check) override {
    // In pages: the library would otherwise hold the whole result in memory.
    constexpr std::size_t page = 2000;
    Rows rows;
    long long after = 0;
    for (std::size_t read = page; read == page;) {
      rows.sequence.resize(page);
      for (auto* column : {&rows.id, &rows.line, &rows.kind, &rows.received, &rows.json, &rows.previous, &rows.hash})
        column->resize(page);
      sql() << std::string("SELECT ") + row_columns + " FROM event WHERE sequence > :after ORDER BY sequence LIMIT " +
                   std::to_string(page),
          soci::use(after), soci::into(rows.sequence), soci::into(rows.id), soci::into(rows.line),
          soci::into(rows.kind), soci::into(rows.received), soci::into(rows.json), soci::into(rows.previous),
          soci::into(rows.hash);
      read = rows.sequence.size();
      for (std::size_t i = 0; i < read; ++i) {
        const Row row{rows.sequence[i], rows.id[i],   rows.line[i],     rows.kind[i],
                      rows.received[i], rows.json[i], rows.previous[i], rows.hash[i]};
        if (!check(row, true)) return;
        after = row.sequence;
      }
    }
  }

 private:
  /// None after a reconnect that failed; libpq then says that it is bad.
  PGconn* connection() {
    const auto* backend = static_cast<soci::postgresql_session_backend*>(sql().get_backend());
    return backend ? backend->conn_ : nullptr;
  }

  /// What every connection needs: durability as promised, and no waiting for ever on a lock or a dead peer.
  void settle() {
    sql() << "SET synchronous_commit = on";
    sql() << "SET lock_timeout = '20s'";
    sql() << "SET tcp_user_timeout = '15s'";
    sql() << "SET client_min_messages = warning";
    // A statement that is prepared while the record is empty would else read all of it for ever after.
    sql() << "SET enable_seqscan = off";
    if (read_only_) sql() << "SET default_transaction_read_only = on";
  }

  /// Looks without writing, so that another program's database, or a newer Dwell's, is left as it was. The schema; 0
  /// where there is no record.
  Checked<int> recognise() {
    int tables = 0, columns = 0;
    sql() << "SELECT count(*) FROM information_schema.tables WHERE table_schema = current_schema() "
             "AND table_name IN ('meta', 'event')",
        soci::into(tables);
    if (tables == 0) return 0;
    sql() << "SELECT count(*) FROM information_schema.columns WHERE table_schema = current_schema() AND "
             "((table_name = 'meta' AND column_name IN ('name', 'value')) OR (table_name = 'event' AND column_name IN "
             "('sequence', 'id', 'line', 'json', 'previous', 'hash')))",
        soci::into(columns);
    constexpr int ours = 8;
    if (tables != 2 || columns != ours)
      return refuse("/ledger", where_,
                    in_english_only("a database of Dwell's own; `meta` or `event` here belong to another program"));
    int schema = 0;
    sql() << "SELECT value::int FROM meta WHERE name = 'schema'", soci::into(schema);
    if (schema > ledger_schema)
      return refuse("/ledger", where_ + " (schema " + std::to_string(schema) + ")",
                    in_english_only("schema " + std::to_string(ledger_schema) +
                                    " or older; this ledger was made by a newer Dwell"));
    return schema;
  }

  std::string where_;
  bool read_only_ = false;
};

}  // namespace

bool is_postgresql(const std::string& where) {
  return where.starts_with("postgresql://") || where.starts_with("postgres://");
}

std::string shown(const std::string& where) { return is_postgresql(where) ? without_password(where) : where; }

Checked<Opened> open_postgresql(const std::string& address, Access access) {
  try {
    auto ledger = std::make_unique<PostgresqlLedger>(address);
    const auto is_new = ledger->prepare(access);
    if (!is_new) return refuse(is_new.error());
    Opened opened;
    opened.is_new = *is_new;
    opened.ledger = std::move(ledger);
    return opened;
  } catch (const soci::soci_error& e) {
    return refuse(postgresql_spoken(without_password(address), e));
  }
}

Checked<std::unique_ptr<Ledger>> open_postgresql(const std::string& address) {
  return open_postgresql(address, Access::made).map([](Opened opened) { return std::move(opened.ledger); });
}

Checked<Opened> open_ledger(const std::string& where, Access access) {
  return is_postgresql(where) ? open_postgresql(where, access) : open_sqlite(where, access);
}

Checked<std::unique_ptr<Ledger>> open_ledger(const std::string& where) {
  return is_postgresql(where) ? open_postgresql(where) : open_sqlite(where);
}

}  // namespace dwell::ledger

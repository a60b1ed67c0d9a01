#include "tests/faults/engine_check.h"

#include <soci/postgresql/soci-postgresql.h>
#include <soci/soci.h>
#include <soci/sqlite3/soci-sqlite3.h>

#include "ledger/ledger.h"

namespace dwell::faults {
namespace {

std::string damage_in_database(const std::string& address) {
  soci::session sql(soci::postgresql, address);
  sql << "SET client_min_messages = warning";
  sql << "CREATE EXTENSION IF NOT EXISTS amcheck SCHEMA public";
  // Throws at the first index that does not fit its table; the second argument also looks for rows that an index lacks.
  int indexes = 0;
  sql << "SELECT count(*) FROM (SELECT public.bt_index_check(i.indexrelid, true) FROM pg_index i JOIN pg_class c "
         "ON c.oid = i.indexrelid WHERE c.relnamespace = current_schema()::regnamespace) AS checked",
      soci::into(indexes);
  if (indexes == 0) return "no index was looked at";
  std::string found;
  soci::indicator any = soci::i_null;
  sql << "SELECT min(c.relname || ': ' || h.msg) FROM pg_class c, LATERAL public.verify_heapam(c.oid) h "
         "WHERE c.relkind = 'r' AND c.relnamespace = current_schema()::regnamespace",
      soci::into(found, any);
  return any == soci::i_ok ? found : "";
}

std::string damage_in_file(const std::string& path) {
  soci::session sql(soci::sqlite3, "db=\"" + path + "\"");
  std::string found;
  sql << "PRAGMA integrity_check", soci::into(found);
  return found == "ok" ? "" : found;
}

}  // namespace

std::string damage_found_by_engine(const std::string& where) {
  try {
    return ledger::is_postgresql(where) ? damage_in_database(where) : damage_in_file(where);
  } catch (const soci::soci_error& e) {
    return e.what();
  }
}

}  // namespace dwell::faults

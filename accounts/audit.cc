#include "accounts/audit.h"

#include "ledger/chain.h"

namespace dwell::accounts {
namespace {

using soci::into;
using soci::use;

std::string hash_of(const std::string& previous, const AuditRow& row) {
  return ledger::chain_hash(previous, "audit", std::to_string(row.sequence),
                            json::to_text(json::encode(static_cast<const Act&>(row))));
}

}  // namespace

void Audit::add(const Act& act) {
  store_->writing([&](soci::session& sql) {
    AuditRow row{act, 0, ledger::genesis_hash(), ""};
    long long sequence = 0;
    sql << "SELECT sequence, hash FROM audit ORDER BY sequence DESC LIMIT 1", into(sequence), into(row.previous);
    row.sequence = ++sequence;
    row.hash = hash_of(row.previous, row);
    const std::string at = iso(row.at), lines = json::to_text(json::encode(row.lines));
    sql << "INSERT INTO audit (sequence, at, who, role, act, lines, status, previous, hash) "
           "VALUES (:a, :b, :c, :d, :e, :f, :g, :h, :i)",
        use(sequence), use(at), use(row.who), use(row.role), use(row.act), use(lines), use(row.status),
        use(row.previous), use(row.hash);
    return true;
  });
}

AuditVerdict Audit::walk(const std::function<void(const AuditRow&)>& look) {
  constexpr int at_once = 1000;
  AuditVerdict verdict{0, ledger::genesis_hash(), 0};
  for (;;) {
    const auto rows = store_->reading([&](soci::session& sql) {
      std::vector<AuditRow> some;
      AuditRow row;
      std::string at, lines;
      long long sequence = 0;
      const long long after = verdict.rows;
      soci::statement select =
          (sql.prepare << "SELECT sequence, at, who, role, act, lines, status, previous, hash FROM audit "
                          "WHERE sequence > :after ORDER BY sequence LIMIT " +
                              std::to_string(at_once),
           use(after), into(sequence), into(at), into(row.who), into(row.role), into(row.act), into(lines),
           into(row.status), into(row.previous), into(row.hash));
      select.execute();
      while (select.fetch()) {
        row.sequence = sequence;
        row.at = parse_instant(at).value_or(Instant{});
        const auto list = json::parse_text(lines).and_then(
            [](const json::Value& value) { return json::decode<std::vector<std::string>>(value); });
        row.lines = list ? *list : std::vector<std::string>();
        some.push_back(row);
      }
      return some;
    });
    if (rows.empty()) return verdict;
    for (const auto& row : rows) {
      const bool follows =
          row.sequence == verdict.rows + 1 && row.previous == verdict.head && row.hash == hash_of(row.previous, row);
      if (!follows && verdict.broken == 0) verdict.broken = row.sequence;
      verdict.rows = row.sequence;
      verdict.head = row.hash;
      look(row);
    }
  }
}

}  // namespace dwell::accounts

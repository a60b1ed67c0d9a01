#include "accounts/copy.h"

#include <array>
#include <string>
#include <vector>

namespace dwell::accounts {
namespace {

using soci::into;
using soci::use;

/// A row of the audit as the store keeps it: nothing is read from it, so nothing is lost on the way.
struct StoredRow {
  long long sequence = 0;
  std::string at, who, role, act, lines, previous, hash;
  int status = 0;
};

constexpr int at_once = 1000;

std::vector<StoredRow> rows_after(Store& store, long long after) {
  return store.reading([&](soci::session& sql) {
    std::vector<StoredRow> rows;
    StoredRow row;
    soci::statement select =
        (sql.prepare << "SELECT sequence, at, who, role, act, lines, status, previous, hash FROM audit "
                        "WHERE sequence > :after ORDER BY sequence LIMIT " +
                            std::to_string(at_once),
         use(after), into(row.sequence), into(row.at), into(row.who), into(row.role), into(row.act), into(row.lines),
         into(row.status), into(row.previous), into(row.hash));
    select.execute();
    while (select.fetch()) rows.push_back(row);
    return rows;
  });
}

void add_rows(Store& store, const std::vector<StoredRow>& rows) {
  store.writing([&](soci::session& sql) {
    for (const auto& row : rows)
      sql << "INSERT INTO audit (sequence, at, who, role, act, lines, status, previous, hash) "
             "VALUES (:a, :b, :c, :d, :e, :f, :g, :h, :i)",
          use(row.sequence), use(row.at), use(row.who), use(row.role), use(row.act), use(row.lines), use(row.status),
          use(row.previous), use(row.hash);
    return true;
  });
}

/// One person as the store keeps her: sign-in, name, password and all.
using StoredPerson = std::array<std::string, 8>;
struct Kept {
  StoredPerson texts;
  int active = 0;
};

std::vector<Kept> people_of(Store& store) {
  return store.reading([](soci::session& sql) {
    std::vector<Kept> all;
    Kept one;
    auto& [id, sign_in, name, initials, role, wards, password, pin] = one.texts;
    soci::statement select =
        (sql.prepare
             << "SELECT id, sign_in, name, initials, role, wards, password, pin, active FROM person ORDER BY id",
         into(id), into(sign_in), into(name), into(initials), into(role), into(wards), into(password), into(pin),
         into(one.active));
    select.execute();
    while (select.fetch()) all.push_back(one);
    return all;
  });
}

void put_people(Store& store, const std::vector<Kept>& people) {
  store.writing([&](soci::session& sql) {
    for (const char* table : {"session", "invitation", "opened", "challenge", "person"})
      sql << std::string("DELETE FROM ") + table;
    for (const auto& one : people) {
      const auto& [id, sign_in, name, initials, role, wards, password, pin] = one.texts;
      sql << "INSERT INTO person (id, sign_in, name, initials, role, wards, active, password, pin) "
             "VALUES (:a, :b, :c, :d, :e, :f, :g, :h, :i)",
          use(id), use(sign_in), use(name), use(initials), use(role), use(wards), use(one.active), use(password),
          use(pin);
    }
    return true;
  });
}

struct KeptPasskey {
  std::string id, person, name, key;
  int algorithm = 0;
  long long count = 0, made = 0;
};

std::vector<KeptPasskey> passkeys_of(Store& store) {
  return store.reading([](soci::session& sql) {
    std::vector<KeptPasskey> all;
    KeptPasskey one;
    soci::statement select =
        (sql.prepare << "SELECT id, person, name, public_key, algorithm, count, made FROM passkey ORDER BY id",
         into(one.id), into(one.person), into(one.name), into(one.key), into(one.algorithm), into(one.count),
         into(one.made));
    select.execute();
    while (select.fetch()) all.push_back(one);
    return all;
  });
}

void put_passkeys(Store& store, const std::vector<KeptPasskey>& passkeys) {
  store.writing([&](soci::session& sql) {
    sql << "DELETE FROM passkey";
    for (const auto& one : passkeys)
      sql << "INSERT INTO passkey (id, person, name, public_key, algorithm, count, made) "
             "VALUES (:a, :b, :c, :d, :e, :f, :g)",
          use(one.id), use(one.person), use(one.name), use(one.key), use(one.algorithm), use(one.count), use(one.made);
    return true;
  });
}

/// Nothing, or why the audit of `to` is not the beginning of `from`'s.
Checked<long long> common_beginning(Store& from, const std::shared_ptr<Store>& to) {
  const auto there = Audit(to).walk([](const AuditRow&) {});
  if (there.broken != 0)
    return refuse("/audit", "row " + std::to_string(there.broken),
                  in_english_only("an audit there whose rows follow each other"));
  if (there.rows == 0) return 0;
  const auto same = rows_after(from, there.rows - 1);
  if (same.empty() || same.front().sequence != there.rows || same.front().hash != there.head)
    return refuse("/audit", "row " + std::to_string(there.rows),
                  in_english_only("an earlier copy of the same accounts there, or none"));
  return there.rows;
}

}  // namespace

Checked<CopiedAccounts> copy_accounts(const std::shared_ptr<Store>& from, const std::shared_ptr<Store>& to) {
  const auto begun = common_beginning(*from, to);
  if (!begun) return refuse(begun.error());
  const auto people = people_of(*from);
  put_people(*to, people);
  put_passkeys(*to, passkeys_of(*from));
  for (auto rows = rows_after(*from, *begun); !rows.empty(); rows = rows_after(*from, rows.back().sequence))
    add_rows(*to, rows);
  return CopiedAccounts{static_cast<std::int64_t>(people.size()), Audit(to).walk([](const AuditRow&) {})};
}

}  // namespace dwell::accounts

#pragma once
// How SociLedger's parts use its session: one at a time, in a transaction when they write, with the engine's errors
// said for people.
#include "exchange/said/said.h"
#include "ledger/soci_ledger.h"

namespace dwell::ledger {

/// Rolls back unless it was committed.
class SociLedger::Transaction {
 public:
  explicit Transaction(SociLedger& ledger) : ledger_(ledger) { ledger_.begin_writing(); }
  Transaction(const Transaction&) = delete;
  Transaction& operator=(const Transaction&) = delete;
  ~Transaction() {
    if (!open_) return;
    try {
      ledger_.sql() << "ROLLBACK";
    } catch (const soci::soci_error&) {
      // After some errors the engine has rolled back by itself, or is gone; either way nothing is kept.
      return;
    }
  }
  void commit(std::int64_t last) {
    ledger_.before_commit(last);
    ledger_.sql() << "COMMIT";
    open_ = false;
  }

 private:
  SociLedger& ledger_;
  bool open_ = true;
};

inline StoredEntry stored(const Row& row) {
  return {row.sequence, row.id, row.line, row.kind, row.received, row.json, row.previous, row.hash};
}

/// A view of the record at one moment; it ends with this.
class SociLedger::View {
 public:
  explicit View(SociLedger& ledger) : ledger_(ledger) { ledger_.begin_view(); }
  View(const View&) = delete;
  View& operator=(const View&) = delete;
  ~View() {
    try {
      ledger_.sql() << "ROLLBACK";
    } catch (const soci::soci_error&) {
      return;  // as above; nothing was written
    }
  }

 private:
  SociLedger& ledger_;
};

template <class Work>
auto SociLedger::reading(Work work) {
  const std::lock_guard lock(mutex_);
  try {
    get_ready();
    return work();
  } catch (const soci::soci_error& e) {
    drop_statements();
    throw unreachable(e);
  }
}

template <class Work>
Checked<void> SociLedger::writing(Work work) {
  const std::lock_guard lock(mutex_);
  try {
    get_ready();
    Transaction transaction(*this);
    auto done = work();
    if (done) transaction.commit(last().sequence);
    return done;
  } catch (const soci::soci_error& e) {
    drop_statements();
    if (blame(e) != Blame::entry) throw unreachable(e);
    return refuse("", "what the record's engine does not take",
                  in_english_only("what it takes (" + said::in_english(spoken(e).front().expected) + ")"));
  }
}

template <class Value>
std::vector<StoredEntry> SociLedger::stored_where(const std::string& condition, const Value& value) {
  Row row;
  soci::statement select =
      (sql_.prepare << std::string("SELECT ") + row_columns + " FROM event WHERE " + condition, soci::use(value),
       soci::into(row.sequence), soci::into(row.id), soci::into(row.line), soci::into(row.kind),
       soci::into(row.received), soci::into(row.json), soci::into(row.previous), soci::into(row.hash));
  std::vector<StoredEntry> entries;
  select.execute();
  while (select.fetch()) entries.push_back(stored(row));
  return entries;
}

}  // namespace dwell::ledger

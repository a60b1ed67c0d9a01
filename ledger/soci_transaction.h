#pragma once
// How SociLedger's parts use its session: one at a time, in a transaction when they write, with the engine's errors
// said for people.
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

template <class Work>
auto SociLedger::reading(Work work) {
  const std::lock_guard lock(mutex_);
  try {
    be_ready();
    return work();
  } catch (const soci::soci_error& e) {
    const auto words = spoken(e).front();
    throw Unreachable(words.found + ": " + words.expected);
  }
}

template <class Work>
Checked<void> SociLedger::writing(Work work) {
  const std::lock_guard lock(mutex_);
  try {
    be_ready();
    Transaction transaction(*this);
    auto done = work();
    if (done) transaction.commit(last().sequence);
    return done;
  } catch (const soci::soci_error& e) {
    return refuse(spoken(e));
  }
}

}  // namespace dwell::ledger

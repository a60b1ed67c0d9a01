#pragma once
// One record into another, word for word: backup, restore, and the move of a grown ward to a database.
#include <functional>

#include "ledger/ledger.h"

namespace dwell::ledger {

/// The chain alone: adds to `to` what it lacks of `from`'s, stored text, hashes and all, readable or not. Refuses when
/// `to` holds a chain that `from`'s does not begin with. Returns how many entries `to` then holds.
[[nodiscard]] Checked<std::int64_t> copy_chain(Ledger& from, Ledger& to,
                                               const std::function<void(VerifyProgress)>& progress);

/// What a copy came to.
struct Copied {
  std::int64_t pictures = 0;  ///< copied now
  Verification proof;         ///< of the copy, chain and pictures, as it lies there
  [[nodiscard]] bool is_proven() const { return !proof.first_bad && proof.lost_pictures.empty(); }
};

/// Adds to `to` what it lacks of `from`, and then proves what lies there. Can be stopped and begun again: until it has
/// come to its end, `to` says of itself that it is unfinished. Refuses two names of one record, an unfinished `from`,
/// and a `to` that holds a chain that `from`'s does not begin with. A picture that `from` has lost is among the proof's
/// lost ones; the rest is copied. With `take_unfinished`, an interrupted copy is copied as far as it goes: it may be
/// all that is left of a record.
[[nodiscard]] Checked<Copied> copy_record(Ledger& from, Ledger& to, const std::function<void(VerifyProgress)>& progress,
                                          bool take_unfinished = false);

/// Was a copy into this record begun and not ended?
[[nodiscard]] bool is_unfinished_copy(Ledger& ledger);

}  // namespace dwell::ledger

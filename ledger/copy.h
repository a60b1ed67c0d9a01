#pragma once
// One chain from one ledger to another, word for word: backup, restore, and the move of a grown ward to a database.
#include <functional>

#include "ledger/ledger.h"

namespace dwell::ledger {

/// Adds to `to` what it lacks of `from`'s chain; stored text, hashes and all. Can be stopped and begun again. Refuses
/// when `to` holds a chain that `from`'s does not begin with. Returns how many entries `to` then holds.
[[nodiscard]] Checked<std::int64_t> copy_chain(Ledger& from, Ledger& to,
                                               const std::function<void(VerifyProgress)>& progress);

/// The pictures that `to` lacks; each fits its hash or is refused. Returns how many were copied.
[[nodiscard]] Checked<std::int64_t> copy_photos(Ledger& from, Ledger& to);

}  // namespace dwell::ledger

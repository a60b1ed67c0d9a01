#pragma once
// Accounts and audit of one record beside another: for backup, restore, and the move of a grown ward to a database.
#include <cstdint>
#include <memory>

#include "accounts/audit.h"
#include "accounts/store.h"

namespace dwell::accounts {

/// What a copy of the accounts came to.
struct CopiedAccounts {
  std::int64_t people = 0;  ///< in the copy
  AuditVerdict audit;       ///< of the copy, as it lies there
  [[nodiscard]] bool is_proven() const { return audit.broken == 0; }
};

/// Makes the people of `to` those of `from`, with what is kept of their passwords and passkeys, and adds the rows of
/// the audit that `to` lacks, word for word; then walks what lies there. Sessions and links stay behind: nobody is
/// signed in by a copy, and whoever had a link that was not followed yet is sent another. Refuses an audit in `to` that
/// `from`'s does not begin with, and one that is broken. A row of `from` that does not follow is copied too, and named
/// in the verdict.
[[nodiscard]] Checked<CopiedAccounts> copy_accounts(const std::shared_ptr<Store>& from,
                                                    const std::shared_ptr<Store>& to);

}  // namespace dwell::accounts

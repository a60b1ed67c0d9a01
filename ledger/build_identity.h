#pragma once
// Which build this is. The cache of lines is made anew by a build that could make another one, and whoever reports a
// fault can say what was running.
#include <string>

namespace dwell::ledger {

struct BuildIdentity {
  std::string version;
  std::string commit;   ///< as git describes it, "-dirty" when files were changed; "unknown" without git
  std::string sources;  ///< SHA-256 over the files of core/, ledger/ and data/ with their names, 64 hex digits
};

/// Made at build time (cmake/build_identity.cmake).
[[nodiscard]] const BuildIdentity& build_identity();

/// "0.1.0 (commit 0465a37, sources 1f3870be274f)"
[[nodiscard]] std::string shown(const BuildIdentity& identity);

}  // namespace dwell::ledger

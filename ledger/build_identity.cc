#include "ledger/build_identity.h"

namespace dwell::ledger {

std::string shown(const BuildIdentity& identity) {
  constexpr std::size_t enough = 12;
  return identity.version + " (commit " + identity.commit + ", sources " + identity.sources.substr(0, enough) + ")";
}

}  // namespace dwell::ledger

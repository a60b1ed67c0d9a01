#pragma once
// Who looked at which patient and who charted, one row an act, in a chain of hashes of its own. It names lines, never
// patients.
#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "accounts/store.h"
#include "json/codec.h"
#include "quantity/time.h"

namespace dwell::accounts {

struct Act {
  Instant at{};
  std::string who;   ///< id of a person; empty: nobody who is known
  std::string role;  ///< hers at that moment
  std::string act;   ///< "GET /api/lines/{line}", or what was done to an account
  std::vector<std::string> lines;
  int status = 0;  ///< as HTTP has it
};
BOOST_DESCRIBE_STRUCT(Act, (), (at, who, role, act, lines, status))

struct AuditRow : Act {
  std::int64_t sequence = 0;
  std::string previous, hash;
};
BOOST_DESCRIBE_STRUCT(AuditRow, (Act), (sequence, previous, hash))

struct AuditVerdict {
  std::int64_t rows = 0;
  std::string head;         ///< hash of the last
  std::int64_t broken = 0;  ///< the first row that does not follow; 0: all do
};

class Audit {
 public:
  explicit Audit(std::shared_ptr<Store> store) : store_(std::move(store)) {}

  /// Returns when it is written.
  void add(const Act& act);
  /// Each row in order, and then whether every one follows the one before.
  [[nodiscard]] AuditVerdict walk(const std::function<void(const AuditRow&)>& look);

 private:
  std::shared_ptr<Store> store_;
};

}  // namespace dwell::accounts

#pragma once
// What the rows of the cache come to, so that a row that is gone, added or changed shows at the next start. Open rows
// and closed ones apart, because a start reads the open ones only. It finds faults, not forgers: whoever can write the
// rows can write the seal too; those are found by holding the rows against the entries (projection.h).
#include <array>
#include <string>

#include "ledger/ledger.h"

namespace dwell::ledger {

/// The BLAKE2b-256 of each row, taken together by exclusive or: in any order, and a row can be put in and taken out.
class RowsDigest {
 public:
  RowsDigest() = default;
  /// From hex(); anything else is taken for nothing, which fits no rows but none.
  explicit RowsDigest(const std::string& hex);
  /// Puts a row in that is not there, and takes one out that is.
  void toggle(const ProjectedLine& row);
  [[nodiscard]] std::string hex() const;  ///< 64 hex digits

 private:
  std::array<unsigned char, 32> bytes_{};
};

struct CacheDigest {
  RowsDigest open, closed;
  void toggle(const ProjectedLine& row) { (row.open ? open : closed).toggle(row); }
};

/// Over the mark and both digests: none of them can change alone.
[[nodiscard]] std::string seal_of(const ProjectionMark& mark, const CacheDigest& digest);

}  // namespace dwell::ledger

#pragma once
// From the record to its cache of lines: what is open, whose clocks strike when, and one row a line for Learn. Made
// from the events alone, so that it can be thrown away and made again.
#include <functional>

#include "care/board.h"
#include "ledger/ledger.h"
#include "statistics/lines.h"

namespace dwell::ledger {

/// What decides the cache beside the events: the policy and the drugs by which clocks run, and the sources of this
/// program that make it.
[[nodiscard]] std::string made_with(const policy::Policy& policy, const infusate::Formulary& formulary);

/// Puts an entry of a line to its others; one that cannot be read is set aside.
void take_in(LineEntries& entries, Entry entry);

/// The line as its entries say; those that cannot be read are named in it.
[[nodiscard]] line::State folded(const std::string& line, const LineEntries& entries, const policy::Policy& policy);

[[nodiscard]] ProjectedLine project(const line::State& state, const policy::Policy& policy,
                                    const infusate::Formulary& formulary, Instant now);

/// The clocks and the row as they were kept; refuses what this program did not write.
[[nodiscard]] Checked<care::DueClocks> clocks_of(const ProjectedLine& line);
[[nodiscard]] Checked<std::optional<statistics::LineRow>> row_of(const ProjectedLine& line);

struct Rebuilt {
  std::int64_t sequence = 0, lines = 0, open = 0;
};

/// Throws the cache away and makes it from all events, in one stream of lines. Refuses when another rebuild takes over.
[[nodiscard]] Checked<Rebuilt> rebuild(Ledger& ledger, const policy::Policy& policy,
                                       const infusate::Formulary& formulary, Instant now,
                                       const std::function<void(VerifyProgress)>& progress);

/// What a look at the whole cache came to.
struct CacheCheck {
  ProjectionMark mark;    ///< nothing in it: no cache was ever kept
  bool as_kept = false;   ///< the rows are those that were kept, by their digest
  bool compared = false;  ///< held against the entries; false when the next start makes it anew anyway
  std::int64_t lines = 0;
  std::vector<std::string> wrong;         ///< lines whose row says something else than their entries, or is missing
  std::vector<line::SetAside> set_aside;  ///< entries and papers of the record that this program cannot read
};

/// Folds each line again up to where the cache reaches and holds it against its row. Changes nothing.
[[nodiscard]] CacheCheck check_cache(Ledger& ledger, const policy::Policy& policy, const infusate::Formulary& formulary,
                                     Instant now, const std::function<void(VerifyProgress)>& progress);

}  // namespace dwell::ledger

#pragma once
// From the record to its cache of lines: what is open, whose clocks strike when, and one row a line for Learn. Made
// from the events alone, so that it can be thrown away and made again.
#include <functional>

#include "care/board.h"
#include "ledger/ledger.h"
#include "statistics/lines.h"

namespace dwell::ledger {

/// What decides the cache beside the events: the policy and the drugs by which clocks run, and this program.
[[nodiscard]] std::string made_with(const policy::Policy& policy, const infusate::Formulary& formulary);

[[nodiscard]] ProjectedLine project(const line::State& state, const policy::Policy& policy,
                                    const infusate::Formulary& formulary, Instant now);

/// The clocks and the row as they were kept; refuses what this program did not write.
[[nodiscard]] Checked<care::DueClocks> clocks_of(const ProjectedLine& line);
[[nodiscard]] Checked<std::optional<statistics::LineRow>> row_of(const ProjectedLine& line);

struct Rebuilt {
  std::int64_t sequence = 0, lines = 0, open = 0;
};

/// Throws the cache away and makes it from all events, in one stream of lines.
[[nodiscard]] Checked<Rebuilt> rebuild(Ledger& ledger, const policy::Policy& policy,
                                       const infusate::Formulary& formulary, Instant now,
                                       const std::function<void(VerifyProgress)>& progress);

}  // namespace dwell::ledger

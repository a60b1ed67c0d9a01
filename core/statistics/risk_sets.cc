#include "statistics/risk_sets.h"

#include <numeric>

namespace dwell::statistics {
namespace {

/// Lays rows into lists, one a slot: slot_of(row) says into which, below 0 into none; put(row, place) puts it there.
template <class Slot, class Put>
std::vector<int> lay(std::size_t slots, std::size_t rows, const Slot& slot_of, const Put& put) {
  std::vector<int> from(slots + 1, 0);
  for (std::size_t i = 0; i < rows; ++i)
    if (const int slot = slot_of(i); slot >= 0) ++from[static_cast<std::size_t>(slot) + 1];
  std::partial_sum(from.begin(), from.end(), from.begin());
  std::vector<int> next(from.begin(), from.end());
  for (std::size_t i = 0; i < rows; ++i)
    if (const int slot = slot_of(i); slot >= 0)
      put(i, static_cast<std::size_t>(next[static_cast<std::size_t>(slot)]++));
  return from;
}

}  // namespace

RiskSets::RiskSets(const Lifetimes& rows, int cause, const Numbered& strata, const std::vector<int>& pattern)
    : from(rows.stop.size()), to(rows.stop.size()) {
  const Passage passage(rows, strata);
  for (int s = 0; s < passage.groups(); ++s) {
    first_slot.push_back(slots());
    passage.each_row_at_start(s, [&](int row) { from[static_cast<std::size_t>(row)] = slots(); });
    passage.each_time(
        s,
        [&](int at, int, const int* first, const int* last) {
          int ended = 0;
          for (const int* row = first; row != last; ++row) ended += rows.cause[static_cast<std::size_t>(*row)] == cause;
          if (ended > 0) {
            time.push_back(at);
            stratum.push_back(s);
            ends.push_back(ended);
          }
          for (const int* row = first; row != last; ++row) to[static_cast<std::size_t>(*row)] = slots();
        },
        [&](int row) { from[static_cast<std::size_t>(row)] = slots(); });
  }
  first_slot.push_back(slots());

  const std::size_t n = rows.stop.size(), k = time.size();
  const auto last_slot = [&](std::size_t i) { return to[i] > from[i] ? to[i] - 1 : -1; };
  leaving.resize(n);
  // Those that end by the cause first: they go ahead in two rounds.
  leaving_from = lay(k, n, last_slot, [](std::size_t, std::size_t) {});
  std::vector<int> ends_next(leaving_from.begin(), leaving_from.end()), rest_next(ends_next);
  for (std::size_t slot = 0; slot < k; ++slot) rest_next[slot] += ends[slot];
  for (std::size_t i = 0; i < n; ++i)
    if (const int slot = last_slot(i); slot >= 0) {
      auto& place = (rows.cause[i] == cause ? ends_next : rest_next)[static_cast<std::size_t>(slot)];
      leaving[static_cast<std::size_t>(place++)] = pattern[i];
    }
  leaving.resize(static_cast<std::size_t>(leaving_from.back()));

  coming.resize(rows.start.empty() ? 0 : n);
  coming_from = lay(
      k, rows.start.size(), [&](std::size_t i) { return to[i] > from[i] && !first_of_stratum(from[i]) ? from[i] : -1; },
      [&](std::size_t i, std::size_t place) { coming[place] = pattern[i]; });
  coming.resize(static_cast<std::size_t>(coming_from.back()));
}

}  // namespace dwell::statistics

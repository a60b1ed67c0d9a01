#pragma once
// The newest of a long line, so that an answer costs what it shows and not what was ever charted.
#include <cstddef>

#include "line/state.h"

namespace dwell::line {

struct Newest {
  State state;
  std::size_t earlier = 0;  ///< entries of the history that are left out
};

/// A line as it stands with the newest of its history, at most `most` entries, and the looks, pictures and deviations
/// since the oldest of these.
[[nodiscard]] Newest newest(const State& state, std::size_t most);

}  // namespace dwell::line

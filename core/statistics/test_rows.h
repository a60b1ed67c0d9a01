#pragma once
// Any rows, for the tests of this room: short times, so that ties are many.
#include <rapidcheck/gtest.h>

#include <algorithm>

#include <vector>

#include "statistics/lifetimes.h"

namespace dwell::statistics {

inline constexpr int latest = 25;

/// At least four rows, some of them late, ends of causes 0 … causes.
inline Lifetimes any_rows(int most, int causes) {
  Lifetimes rows;
  const auto count = *rc::gen::inRange(4, most);
  for (int i = 0; i < count; ++i) {
    const int start = *rc::gen::inRange(-10, latest - 1);
    rows.start.push_back(std::max(0, start));
    rows.stop.push_back(*rc::gen::inRange(rows.start.back() + 1, latest + 1));
    rows.cause.push_back(*rc::gen::inRange(0, causes + 1));
  }
  return rows;
}

inline std::vector<int> any_column(const Lifetimes& rows, int values) {
  std::vector<int> out;
  for (std::size_t i = 0; i < rows.stop.size(); ++i) out.push_back(*rc::gen::inRange(0, values));
  return out;
}

}  // namespace dwell::statistics

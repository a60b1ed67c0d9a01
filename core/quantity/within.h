#pragma once
// One range check, worded alike in every function.
#include <string>

#include "quantity/checked.h"
#include "quantity/display.h"
#include "say/common.h"

namespace dwell {

/// Adds a field error unless low <= value <= high; not-a-number is outside.
template <class Q>
void check_within(const std::string& path, Q value, Q low, Q high, FieldErrors& errors) {
  if (!(value >= low && value <= high)) errors.push_back({path, show(value), say::from_to(shown(low), shown(high))});
}

}  // namespace dwell

#include "document/note.h"

namespace dwell::document {

std::chrono::minutes LocalTime::offset(Instant instant) const {
  if (changes.empty()) return std::chrono::minutes{0};
  int minutes = changes.front().minutes;
  for (const auto& change : changes)
    if (change.from <= instant) minutes = change.minutes;
  return std::chrono::minutes{minutes};
}

std::string LocalTime::show(Instant instant) const { return show_local(instant, offset(instant)); }

}  // namespace dwell::document

#include "document/note.h"

namespace dwell::document {

std::chrono::minutes LocalTime::offset(Instant instant) const {
  if (changes.empty()) return std::chrono::minutes{0};
  int minutes = changes.front().minutes;
  for (const auto& change : changes)
    if (change.from <= instant) minutes = change.minutes;
  return std::chrono::minutes{minutes};
}

std::vector<Instant> LocalTime::midnights(Instant from, Instant until) const {
  using std::chrono::days;
  std::vector<Instant> found;
  for (auto day = std::chrono::floor<days>(from + offset(from)) + days{1};; day += days{1}) {
    // The offset of that day's noon: clocks change at night.
    const Instant at = Instant{day} - offset(Instant{day} + std::chrono::hours{12});
    if (at > until) return found;
    found.push_back(at);
  }
}

std::string LocalTime::show(Instant instant) const { return show_local(instant, offset(instant)); }

Date LocalTime::day(Instant instant) const { return utc_date(instant + offset(instant)); }
std::string LocalTime::time(Instant instant) const { return iso(instant + offset(instant)).substr(11, 5); }

}  // namespace dwell::document

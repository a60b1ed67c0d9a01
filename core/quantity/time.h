#pragma once
// Moments and intervals. core/ has no clock: now is always an argument. Moments are UTC; the ward's local time is put
// on at the edge, where the time-zone rules live.
#include <chrono>
#include <string>
#include <string_view>
#include <vector>

#include "quantity/checked.h"
#include "quantity/number_text.h"
#include "quantity/quantity.h"

namespace dwell {

using Instant = std::chrono::sys_time<std::chrono::milliseconds>;
using Interval = std::chrono::seconds;
using Date = std::chrono::year_month_day;

[[nodiscard]] constexpr Duration to_duration(Interval interval) {
  return static_cast<double>(interval.count()) * second;
}
/// Nearest whole second.
[[nodiscard]] Interval to_interval(Duration duration);
/// The interval from a to b, in whole seconds, rounded down; negative when b is earlier.
[[nodiscard]] Interval between(Instant a, Instant b);

/// The moments that are read: 1900 to 2199 by the clock of any time zone. What lies within is also what iso() writes so
/// that it is read again.
inline constexpr Instant first_moment{std::chrono::sys_days{std::chrono::year{1899} / 12 / 31}};
inline constexpr Instant last_moment{std::chrono::sys_days{std::chrono::year{2200} / 1 / 2} -
                                     std::chrono::milliseconds{1}};
/// The longest interval that is read.
inline constexpr Interval longest_interval{10'000'000'000};

/// "2026-11-25T08:19:02.000Z", and the same with an offset: "2026-11-25T09:19:02+01:00". Anything else is refused.
[[nodiscard]] Checked<Instant> parse_instant(std::string_view text);
[[nodiscard]] std::string iso(Instant instant);

/// "2026-11-25"
[[nodiscard]] Checked<Date> parse_date(std::string_view text);
[[nodiscard]] std::string iso(Date date);
/// "25 Nov 2026": day, month in letters, four-digit year, so that no country reads it differently.
[[nodiscard]] std::string show(Date date);
/// "25 Nov 2026 08:19" of a moment already shifted to the ward's local time by its offset from UTC.
[[nodiscard]] std::string show_local(Instant instant, std::chrono::minutes utc_offset);

/// "4 h", "90 s", "1 h 30 min", "7 d", "2 hr"; whole seconds, at most longest_interval.
[[nodiscard]] Checked<Interval> parse_interval(std::string_view text, DecimalSign sign = DecimalSign::point);
/// The same in seconds, with parts of a second and a minus sign before all of it, as a duration may have them.
[[nodiscard]] Checked<double> parse_seconds(std::string_view text, DecimalSign sign = DecimalSign::point);
/// Whole units, the two largest: "7 h 43 min", "30 s", "2 d 4 h". Negative intervals carry a leading minus.
[[nodiscard]] std::string show(Interval interval);
/// The same for a message.
[[nodiscard]] std::vector<message::Part> parts_of(Interval interval);

/// Whole years from birth to the given day; the birthday of 29 February counts on 1 March in common years.
[[nodiscard]] int age_in_years(Date birth, Date today);
/// Whole months from birth, for infants.
[[nodiscard]] int age_in_months(Date birth, Date today);
[[nodiscard]] Date utc_date(Instant instant);

}  // namespace dwell

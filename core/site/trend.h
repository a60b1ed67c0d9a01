#pragma once
// One look says how the site is; several say where it is going. A swelling that grows is another matter than the same
// swelling at rest, and the speed says when to come back.
#include <boost/describe.hpp>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "quantity/figure.h"
#include "quantity/quantity.h"
#include "quantity/time.h"
#include "signs/scale.h"

namespace dwell::site {

/// What one look found, in the measures that can be followed.
struct Look {
  Instant at{};
  std::optional<int> grade;  ///< worst of the scales in force; absent: not graded, or unmatched
  std::optional<int> pain;   ///< 0 to 10
  std::optional<Length> swelling;
  std::optional<Length> cord;
  friend bool operator==(const Look&, const Look&) = default;
};
BOOST_DESCRIBE_STRUCT(Look, (), (at, grade, pain, swelling, cord))

enum class Course { not_known, better, steady, worse };
BOOST_DESCRIBE_ENUM(Course, not_known, better, steady, worse)

/// A length that grows or shrinks: the change of the fitted line over the time looked at.
struct Growth {
  Length change;  ///< below 0: shrinks
  Interval over{};
  std::optional<Length> next_limit;  ///< where the next grade begins, when it grows towards one
  std::optional<Instant> reaches_limit_at;
};
BOOST_DESCRIBE_STRUCT(Growth, (), (change, over, next_limit, reaches_limit_at))

struct Trend {
  Course course = Course::not_known;  ///< worse when anything is worse; better when something is and nothing is worse
  Course grade = Course::not_known, pain = Course::not_known, swelling = Course::not_known, cord = Course::not_known;
  std::optional<Growth> swelling_growth;
  Message text;  ///< "Worse: grade 1 to 2, swelling grows 12 mm in 2 h"
  std::vector<Finding> findings;
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(Trend, (), (course, grade, pain, swelling, cord, swelling_growth, text, findings, workings))

/// How far back a trend looks from the last look. Common practice, no source.
inline constexpr Interval trend_window = std::chrono::hours{24};

/// Course of each measure from the first to the last look of the window that has it; a change of pain by 1 point is
/// still steady (common practice, no source), a change of length within `length_tolerance` too. The swelling's growth
/// is the least-squares line through its measurements (Boost.Math); the next limit is the nearest
/// swelling_from or swelling_below above the last measurement in `scales`. `looks` oldest first.
[[nodiscard]] Trend trend(std::span<const Look> looks, std::span<const Scale> scales, Length length_tolerance);

}  // namespace dwell::site

#include "site/trend.h"

#include <algorithm>
#include <boost/math/statistics/linear_regression.hpp>

#include "json/codec.h"
#include "quantity/display.h"
#include "say/common.h"
#include "say/site.h"

namespace dwell::site {
namespace {

/// The first and the last look that have a measure.
template <class T>
struct Ends {
  const Look* first = nullptr;
  const Look* last = nullptr;
  std::optional<T> Look::*measure = nullptr;
  [[nodiscard]] bool known() const { return first && first != last; }
  [[nodiscard]] const T& from() const { return *(first->*measure); }
  [[nodiscard]] const T& to() const { return *(last->*measure); }
};

template <class T>
Ends<T> ends_of(std::span<const Look> looks, std::optional<T> Look::*measure) {
  Ends<T> ends;
  ends.measure = measure;
  for (const auto& look : looks) {
    if (!(look.*measure)) continue;
    if (!ends.first) ends.first = &look;
    ends.last = &look;
  }
  return ends;
}

template <class T>
Course course_of(const Ends<T>& ends, T tolerance) {
  if (!ends.known()) return Course::not_known;
  const T change = ends.to() - ends.from();
  if (change > tolerance) return Course::worse;
  return change < -tolerance ? Course::better : Course::steady;
}

Course together(std::initializer_list<Course> courses) {
  const auto any = [&](Course c) { return std::find(courses.begin(), courses.end(), c) != courses.end(); };
  for (const Course c : {Course::worse, Course::better, Course::steady})
    if (any(c)) return c;
  return Course::not_known;
}

std::optional<Length> next_limit_above(Length swelling, std::span<const Scale> scales) {
  std::optional<Length> next;
  for (const auto& scale : scales)
    for (const auto& grade : scale.grades)
      for (const auto& limit : {grade.swelling_from, grade.swelling_below})
        if (limit && *limit > swelling && (!next || *limit < *next)) next = limit;
  return next;
}

std::optional<Growth> growth_of(std::span<const Look> looks, std::span<const Scale> scales) {
  std::vector<double> seconds, metres;
  const Look* last = nullptr;
  for (const auto& look : looks) {
    if (!look.swelling) continue;
    seconds.push_back(to_duration(between(looks.front().at, look.at)).value());
    metres.push_back(look.swelling->value());
    last = &look;
  }
  if (seconds.size() < 2 || seconds.front() == seconds.back()) return std::nullopt;
  const auto [intercept, slope] = boost::math::statistics::simple_ordinary_least_squares(seconds, metres);
  Growth growth;
  growth.over = to_interval(Duration::from_value(seconds.back() - seconds.front()));
  growth.change = Length::from_value(slope * (seconds.back() - seconds.front()));
  if (slope > 0) {
    growth.next_limit = next_limit_above(*last->swelling, scales);
    if (growth.next_limit) {
      const auto wait =
          to_interval(Duration::from_value((growth.next_limit->value() - last->swelling->value()) / slope));
      if (wait <= trend_window) growth.reaches_limit_at = last->at + wait;
    }
  }
  return growth;
}

Message change_of(const Growth& growth) {
  return growth.change > Length() ? say::swelling_grows(growth.change, growth.over)
                                  : say::swelling_shrinks(Length(-growth.change), growth.over);
}

Working working_of(const Growth& growth, std::span<const Look> looks) {
  Working working{say::speed_of_swelling(),
                  say::slope_by_time(),
                  {},
                  growth.change < Length() ? say::length_less_in_time(Length(-growth.change), growth.over)
                                           : say::length_in_time(growth.change, growth.over),
                  {"least squares", Mark::computed}};
  int number = 0;
  for (const auto& look : looks)
    if (look.swelling)
      working.inputs.push_back(
          {say::look_after(++number, between(looks.front().at, look.at)), say::quantity(shown(*look.swelling))});
  return working;
}

}  // namespace

Trend trend(std::span<const Look> looks, std::span<const Scale> scales, Length length_tolerance) {
  Trend out;
  if (!looks.empty()) {
    const auto from = std::find_if(looks.begin(), looks.end(),
                                   [&](const Look& look) { return looks.back().at - look.at <= trend_window; });
    looks = looks.subspan(static_cast<std::size_t>(from - looks.begin()));
  }
  const auto grade = ends_of(looks, &Look::grade), pain = ends_of(looks, &Look::pain);
  const auto swelling = ends_of(looks, &Look::swelling), cord = ends_of(looks, &Look::cord);
  out.grade = course_of(grade, 0);
  out.pain = course_of(pain, 1);
  out.swelling = course_of(swelling, length_tolerance);
  out.cord = course_of(cord, length_tolerance);
  out.course = together({out.grade, out.pain, out.swelling, out.cord});
  if (out.course == Course::not_known) {
    out.text = say::two_looks_are_needed();
    return out;
  }

  std::vector<Message> changes;
  if (grade.known() && out.grade != Course::steady) changes.push_back(say::grade_from_to(grade.from(), grade.to()));
  if (pain.known() && out.pain != Course::steady) changes.push_back(say::pain_from_to(pain.from(), pain.to()));
  if (cord.known() && out.cord != Course::steady) changes.push_back(say::cord_from_to(cord.from(), cord.to()));
  out.swelling_growth = growth_of(looks, scales);
  if (out.swelling_growth && out.swelling != Course::steady) {
    changes.push_back(change_of(*out.swelling_growth));
    out.workings.push_back(working_of(*out.swelling_growth, looks));
  }
  out.text = changes.empty() ? say::course(out.course) : say::course_of_what(out.course, std::move(changes));
  if (out.course == Course::worse)
    out.findings.push_back({Severity::caution,
                            "site_getting_worse",
                            say::site_gets_worse(),
                            {"common practice, no source", Mark::practice}});
  if (out.swelling_growth && out.swelling_growth->reaches_limit_at)
    out.findings.push_back({Severity::caution,
                            "swelling_reaches_next_grade",
                            say::swelling_reaches(*out.swelling_growth->next_limit,
                                                  between(looks.back().at, *out.swelling_growth->reaches_limit_at)),
                            {"straight line through the measurements", Mark::computed}});
  return out;
}

}  // namespace dwell::site

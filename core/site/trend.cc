#include "site/trend.h"

#include <algorithm>
#include <boost/math/statistics/linear_regression.hpp>

#include "json/codec.h"
#include "quantity/display.h"

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

std::string capital(std::string text) {
  if (!text.empty() && text.front() >= 'a' && text.front() <= 'z') text.front() = static_cast<char>(text.front() - 32);
  return text;
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
    out.text = "Not known: two looks are needed";
    return out;
  }

  std::vector<std::string> parts;
  if (grade.known() && out.grade != Course::steady)
    parts.push_back("grade " + std::to_string(grade.from()) + " to " + std::to_string(grade.to()));
  if (pain.known() && out.pain != Course::steady)
    parts.push_back("pain " + std::to_string(pain.from()) + " to " + std::to_string(pain.to()));
  if (cord.known() && out.cord != Course::steady)
    parts.push_back("cord " + show(cord.from()) + " to " + show(cord.to()));
  out.swelling_growth = growth_of(looks, scales);
  if (out.swelling_growth && out.swelling != Course::steady) {
    const auto& growth = *out.swelling_growth;
    const bool grows = growth.change > Length();
    parts.push_back(std::string("swelling ") + (grows ? "grows " : "shrinks ") +
                    show(grows ? growth.change : Length(-growth.change)) + " in " + show(growth.over));
    Working working{
        "speed of swelling", "slope of the least-squares line × time", {}, "", {"least squares", Mark::computed}};
    int number = 0;
    for (const auto& look : looks)
      if (look.swelling)
        working.inputs.push_back(
            {"look " + std::to_string(++number) + ", after " + show(between(looks.front().at, look.at)),
             show(*look.swelling)});
    working.result =
        (grows ? "" : "−") + show(grows ? growth.change : Length(-growth.change)) + " in " + show(growth.over);
    out.workings.push_back(std::move(working));
  }
  out.text = capital(std::string(json::name_of(out.course)));
  for (std::size_t i = 0; i < parts.size(); ++i) out.text += (i ? "; " : ": ") + parts[i];
  if (out.course == Course::worse)
    out.findings.push_back({Severity::caution,
                            "site_getting_worse",
                            "The site is getting worse: come back sooner.",
                            {"common practice, no source", Mark::practice}});
  if (out.swelling_growth && out.swelling_growth->reaches_limit_at)
    out.findings.push_back({Severity::caution,
                            "swelling_reaches_next_grade",
                            "At this speed the swelling reaches " + show(*out.swelling_growth->next_limit) +
                                " within " + show(between(looks.back().at, *out.swelling_growth->reaches_limit_at)) +
                                ".",
                            {"straight line through the measurements", Mark::computed}});
  return out;
}

}  // namespace dwell::site

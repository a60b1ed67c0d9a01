#include "growth/weight_question.h"

#include <algorithm>
#include <cmath>

#include "quantity/display.h"
#include "quantity/within.h"
#include "say/age.h"
#include "say/common.h"
#include "say/growth.h"

namespace dwell::growth {
namespace {

using std::chrono::days;

// The outermost lines of the WHO's charts, and the bounds outside which its program flags a weight for age as an error
// (flag_threshold in z-score-weight-for-age.R, read).
constexpr double outermost = 3, too_low = -6, too_high = 5;
/// A child born in the 22nd week comes 18 weeks early, and is told by its corrected age up to two years (value from
/// memory).
constexpr days earliest_birth{126}, corrected_until{730};
/// Newborns lose weight first; by then they have it again.
constexpr days birth_weight_again{14};
constexpr int grown_from = 16;
// Common practice, no source.
constexpr Weight heaviest_child = 120.0 * kilogram, lightest_adult = 30.0 * kilogram, heaviest_adult = 250.0 * kilogram;

const Source& charts() {
  static const Source source{
      "World Health Organization: growth standards 2006 (to 5 years) and growth reference 2007 (to 10 years), weight "
      "for age",
      Mark::read};
  return source;
}

std::vector<Curve> curves_of(line::Sex sex) {
  if (sex == line::Sex::female) return {Curve::girls};
  if (sex == line::Sex::male) return {Curve::boys};
  return {Curve::girls, Curve::boys};
}

/// Would the weight be possible, had the child been born as early as children are born?
bool may_be_early(Curve curve, days age, Weight weight) {
  if (age >= corrected_until) return false;
  if (age < earliest_birth + birth_weight_again) return true;
  return z_score(*weight_for_age(curve, age - earliest_birth), weight) >= too_low;
}

Finding question(Severity severity, Message text, Source source = charts()) {
  return {severity, "weight_for_age", say::sentences({std::move(text), say::weigh_again()}), std::move(source)};
}

std::optional<Finding> by_curve(Curve curve, Weight weight, const Age& age) {
  const auto youngest = weight_for_age(curve, age.least);
  const auto oldest = weight_for_age(curve, std::min(age.most, last_day));
  if (!youngest || !oldest) return std::nullopt;
  if (const double z = z_score(*youngest, weight); z < -outermost) {
    const Weight line = weight_at(*youngest, -outermost);
    if (may_be_early(curve, age.least, weight))
      return question(Severity::caution, say::weight_below_chart_if_not_early(weight, age.text, line));
    return z < too_low ? question(Severity::stop, say::weight_far_below_chart(weight, age.text, line))
                       : question(Severity::caution, say::weight_below_chart(weight, age.text, line));
  }
  if (const double z = z_score(*oldest, weight); z > outermost) {
    const Weight line = weight_at(*oldest, outermost);
    return z > too_high ? question(Severity::stop, say::weight_far_above_chart(weight, age.text, line))
                        : question(Severity::caution, say::weight_above_chart(weight, age.text, line));
  }
  return std::nullopt;
}

/// Nobody is lighter than children of ten years by growing older.
std::optional<Finding> after_ten(Curve curve, Weight weight, const Age& age) {
  const Lms at_ten = *weight_for_age(curve, last_day);
  const Weight line = weight_at(at_ten, -outermost);
  if (z_score(at_ten, weight) < too_low)
    return question(Severity::stop, say::weight_far_below_chart_of_ten(weight, age.text, line));
  if (z_score(at_ten, weight) < -outermost)
    return question(Severity::caution, say::weight_below_chart_of_ten(weight, age.text, line));
  const bool grown = age.most >= days{static_cast<int>(grown_from * 365.25)};
  const Source practice{"common practice, no source", Mark::practice};
  const Weight highest = grown ? heaviest_adult : heaviest_child;
  if (grown && weight < lightest_adult)
    return question(Severity::caution, say::weight_unusually_low(weight, age.text, lightest_adult), practice);
  if (weight > highest)
    return question(Severity::caution, say::weight_unusually_high(weight, age.text, highest), practice);
  return std::nullopt;
}

}  // namespace

void check_birth_date(const std::optional<Date>& birth_date, Date today, const std::string& path, FieldErrors& errors) {
  if (birth_date && *birth_date > today) errors.push_back({path, show(*birth_date), say::a_day_that_has_come()});
}

void check_birth_date(const std::optional<Date>& birth_date, Instant now, const std::string& path,
                      FieldErrors& errors) {
  constexpr std::chrono::hours easternmost{14};
  check_birth_date(birth_date, utc_date(now + easternmost), path, errors);
}

void check_person(const std::optional<Person>& person, FieldErrors& errors) {
  if (person) check_birth_date(person->birth_date, person->today, "/person/birth_date", errors);
}

Age age_between(Date birth_date, Date today) {
  const auto old = std::max(std::chrono::sys_days(today) - std::chrono::sys_days(birth_date), days{0});
  const int years = age_in_years(birth_date, today);
  if (old < days{60}) return {old, old, say::age_in_days(old.count())};
  if (years < 2) return {old, old, say::age_in_months(age_in_months(birth_date, today))};
  return {old, old, say::age_in_years(years)};
}

Age age_in_whole_months(int months) {
  const auto at = [](int n) { return days{static_cast<int>(n * 30.4375)}; };
  return {at(months), at(months + 1), say::age_in_months(months)};
}

Age age_in_whole_years(int years) {
  const auto at = [](int n) { return days{static_cast<int>(n * 365.25)}; };
  return {at(years), at(years + 1), say::age_in_years(years)};
}

std::optional<Finding> question_weight(Weight weight, const Age& age, line::Sex sex) {
  std::optional<Finding> gravest;
  for (const Curve curve : curves_of(sex)) {
    const auto found = age.least < last_day ? by_curve(curve, weight, age) : after_ten(curve, weight, age);
    if (found && (!gravest || found->severity > gravest->severity)) gravest = found;
  }
  return gravest;
}

std::optional<Finding> question_weight(const line::Patient& patient, Date today) {
  if (!patient.weight || !patient.birth_date || *patient.birth_date > today) return std::nullopt;
  return question_weight(*patient.weight, age_between(*patient.birth_date, today), patient.sex);
}

std::optional<Finding> question_weight(const line::Patient& patient, Instant now) {
  // A child that was born today east of here is of today.
  return question_weight(patient, std::max(utc_date(now), patient.birth_date.value_or(utc_date(now))));
}

void ask_about_weight(const std::optional<Person>& person, const std::optional<Weight>& weight,
                      std::vector<Finding>& findings) {
  if (!person || !person->birth_date || !weight) return;
  if (auto found = question_weight(*weight, age_between(*person->birth_date, person->today), person->sex))
    findings.push_back(std::move(*found));
}

Checked<WeightLook> look_at_weight(const WeightInput& input) {
  const auto& patient = input.patient;
  FieldErrors errors;
  check_birth_date(patient.birth_date, input.today, "/patient/birth_date", errors);
  if (patient.weight) check_within("/patient/weight", *patient.weight, 0.3 * kilogram, 400.0 * kilogram, errors);
  if (!errors.empty()) return refuse(std::move(errors));
  WeightLook out;
  if (!patient.weight || !patient.birth_date) {
    out.findings.push_back({Severity::caution,
                            "weight_or_age_unknown",
                            say::weight_or_age_unknown(),
                            {"unknown is not safe", Mark::practice}});
    return out;
  }
  const Age age = age_between(*patient.birth_date, input.today);
  if (auto found = question_weight(patient, input.today)) out.findings.push_back(std::move(*found));
  for (const Curve curve : curves_of(patient.sex)) {
    const auto at = weight_for_age(curve, age.least);
    if (!at) break;
    const double z = z_score(*at, *patient.weight);
    if (out.z && std::abs(z) <= std::abs(*out.z)) continue;
    out.z = z;
    out.low = weight_at(*at, -outermost);
    out.median = at->m;
    out.high = weight_at(*at, outermost);
    out.workings = {{say::weight_for_age(),
                     say::weight_for_age_formula(),
                     {{say::weight_name(), say::quantity(shown(*patient.weight))},
                      {say::age_name(), age.text},
                      {say::symbol("L"), say::quantity(shown_number(at->l, 4))},
                      {say::symbol("M"), say::quantity(shown(at->m))},
                      {say::symbol("S"), say::quantity(shown_number(at->s, 5))}},
                     say::standard_deviations(shown_number(z, 2)),
                     charts()}};
  }
  return out;
}

}  // namespace dwell::growth

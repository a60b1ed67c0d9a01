#pragma once
// Does this weight fit this age? Doses, rates and volumes go by weight, and a slip of the decimal point, pounds for
// kilograms or another child's weight is seen here first. It is a question, never a refusal: children of every size are
// looked after, and the scales may be right.
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <vector>

#include "growth/weight_for_age.h"
#include "patient/patient.h"
#include "quantity/checked.h"
#include "quantity/figure.h"

namespace dwell::growth {

/// Whose weight it is, for the sums that know no patient.
struct Person {
  std::optional<Date> birth_date;
  line::Sex sex = line::Sex::unknown;
  Date today;  ///< on the ward
};
BOOST_DESCRIBE_STRUCT(Person, (), (birth_date, sex, today))

/// The one rule for a birth date: a day that is still to come is refused, wherever it is given.
void check_birth_date(const std::optional<Date>& birth_date, Date today, const std::string& path, FieldErrors& errors);
/// The same with no ward at hand: what is today nowhere on earth is still to come.
void check_birth_date(const std::optional<Date>& birth_date, Instant now, const std::string& path, FieldErrors& errors);
/// The same for a person beside a sum, under /person.
void check_person(const std::optional<Person>& person, FieldErrors& errors);

/// An age that may be known to the day, or only in whole months or years.
struct Age {
  std::chrono::days least{}, most{};
  Message text;  ///< "12 d", "5 months", "4 y"
};
[[nodiscard]] Age age_between(Date birth_date, Date today);
[[nodiscard]] Age age_in_whole_months(int months);
[[nodiscard]] Age age_in_whole_years(int years);

/// Nothing when the weight fits. Else a finding "weight_for_age":
///   - up to 10 years a caution outside the lines of 3 standard deviations of the WHO's curves, and a stop below −6 or
///     above +5, where the WHO itself takes a weight for an error;
///   - a light child who may have been born early, as early as in the 22nd week, is asked about with a caution only;
///   - from 10 years on, for which the WHO has no weight for age, below the lowest line of ten years (stop: −6), below
///     30 kg from 16 years on, and above 120 kg, or 250 kg from 16 years on (common practice, no source).
/// An unknown sex is asked by both curves; the graver answer counts. Weight > 0.
[[nodiscard]] std::optional<Finding> question_weight(Weight weight, const Age& age, line::Sex sex);
/// Nothing either when the weight or the birth date is missing, or the birth date is to come.
[[nodiscard]] std::optional<Finding> question_weight(const line::Patient& patient, Date today);
[[nodiscard]] std::optional<Finding> question_weight(const line::Patient& patient, Instant now);

/// Adds the question to the findings of a sum.
void ask_about_weight(const std::optional<Person>& person, const std::optional<Weight>& weight,
                      std::vector<Finding>& findings);

struct WeightInput {
  line::Patient patient;
  Date today;
};
BOOST_DESCRIBE_STRUCT(WeightInput, (), (patient, today))

struct WeightLook {
  std::optional<double> z;                  ///< of the graver curve when the sex is unknown
  std::optional<Weight> low, median, high;  ///< the lines −3, 0 and +3; nothing from 10 years on
  std::vector<Finding> findings;
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(WeightLook, (), (z, low, median, high, findings, workings))

/// The same with its numbers. Without a weight or a birth date that is said, not passed over.
/// Errors: a birth date to come, weight outside 0.3 to 400 kg.
[[nodiscard]] Checked<WeightLook> look_at_weight(const WeightInput& input);

}  // namespace dwell::growth

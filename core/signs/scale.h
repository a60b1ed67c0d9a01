#pragma once
// Signs are ticked, never a grade; the grade follows. A scale is data: what each grade asks for. So a ward can put its
// own scale in force, and an old record keeps the scale and version it was graded on.
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <vector>

#include "quantity/figure.h"
#include "quantity/quantity.h"

namespace dwell::site {

enum class Sign {
  pain,
  pain_along_path,
  redness,
  swelling,
  induration,
  streak,
  palpable_cord,
  pus,
  fever,
  warmth,
  blanching,
  coolness,
  tightness,
  leaking,
  bruising,
  discolouration,
  numbness,
  poor_circulation,
  blister_or_skin_loss
};
BOOST_DESCRIBE_ENUM(Sign, pain, pain_along_path, redness, swelling, induration, streak, palpable_cord, pus, fever,
                    warmth, blanching, coolness, tightness, leaking, bruising, discolouration, numbness,
                    poor_circulation, blister_or_skin_loss)

/// What the nurse found. An empty list with `assessed` means looked and nothing found; not assessed is not "none".
struct Signs {
  bool assessed = false;
  std::vector<Sign> present;
  std::optional<int> pain_score;          ///< 0 to 10, as the patient says
  std::optional<Length> swelling_extent;  ///< longest diameter
  std::optional<Length> cord_length;
  friend bool operator==(const Signs&, const Signs&) = default;
};
BOOST_DESCRIBE_STRUCT(Signs, (), (assessed, present, pain_score, swelling_extent, cord_length))

/// A grade holds when all of `all_of` are present, at least `count` of `count_of`, and the measures reach their bounds.
struct GradeCriteria {
  int grade = 0;
  Wording meaning;  ///< our paraphrase
  std::vector<Sign> all_of;
  std::vector<Sign> count_of;
  std::optional<int> count;
  std::optional<Length> swelling_from, swelling_below;
  std::optional<Length> cord_from;
  std::optional<bool> also_any_leak_of_irritant_or_vesicant;  ///< any leaked amount of such a drug takes this grade
  std::optional<std::string> advice;                          ///< name of a policy response, or empty
};
BOOST_DESCRIBE_STRUCT(GradeCriteria, (),
                      (grade, meaning, all_of, count_of, count, swelling_from, swelling_below, cord_from,
                       also_any_leak_of_irritant_or_vesicant, advice))

/// What kind of trouble a scale describes; the response follows from it.
enum class ScaleSubject { phlebitis, infiltration };
BOOST_DESCRIBE_ENUM(ScaleSubject, phlebitis, infiltration)

struct Scale {
  std::string name;  ///< "phlebitis 0 to 4": as records call it
  std::string version;
  ScaleSubject subject = ScaleSubject::phlebitis;
  Wording credit;
  Source source;
  std::vector<Sign> concerns;         ///< signs that this scale speaks about; one of these unmatched means "ask", not 0
  std::vector<GradeCriteria> grades;  ///< rising
  std::optional<int> acted_on_from{};  ///< a grade from here on asks for an answer; absent: from 2
  std::optional<Wording> title{};      ///< what it is called where it is shown; absent: its name
};
BOOST_DESCRIBE_STRUCT(Scale, (), (name, version, subject, credit, source, concerns, grades, acted_on_from, title))

/// The one rule for when a grade is acted on. Where a scale does not say: from 2, as scores of phlebitis are read.
[[nodiscard]] inline int acted_on_from(const Scale& scale) { return scale.acted_on_from.value_or(2); }

}  // namespace dwell::site

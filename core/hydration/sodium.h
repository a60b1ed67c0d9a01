#pragma once
// Sodium and water: how much water a body holds, how much is missing, and what a litre of an infusate does to the serum
// sodium. Predictions only: in 31 patients every one of these formulas was off by 4.8 to 6.4 mmol/L (root mean square;
// sources.md#sodium), so each result says "measure again".
#include <boost/describe.hpp>
#include <optional>
#include <vector>

#include "growth/weight_question.h"
#include "policy/policy.h"
#include "quantity/checked.h"
#include "quantity/figure.h"
#include "quantity/quantity.h"

namespace dwell::hydration {

enum class BodyWaterGroup { child, man, woman, older_man, older_woman };
BOOST_DESCRIBE_ENUM(BodyWaterGroup, child, man, woman, older_man, older_woman)

/// Share of the body weight that is water: child 0.60, man 0.60, woman 0.50, older man 0.50, older woman 0.45.
[[nodiscard]] Ratio body_water_share(BodyWaterGroup group);

struct SodiumInput {
  AmountConcentration serum_sodium;
  BodyWeight weight;
  BodyWaterGroup group = BodyWaterGroup::man;
  AmountConcentration infusate_cations;       ///< sodium and potassium together
  std::optional<Volume> volume;               ///< to be given; lost fluid is negative
  std::optional<AmountConcentration> wanted;  ///< change of serum sodium, up or down
  std::optional<growth::Person> person;       ///< whose weight, to hold it against the age
};
BOOST_DESCRIBE_STRUCT(SodiumInput, (), (serum_sodium, weight, group, infusate_cations, volume, wanted, person))

struct SodiumResult {
  BodyWater body_water;
  std::optional<Volume> free_water_deficit;  ///< above 140: body water × (Na/140 − 1), body water as it is now
  std::optional<Volume> free_water_deficit_normal;  ///< body water × (1 − 140/Na), body water as it would be normally
  AmountConcentration change_by_a_litre;
  std::optional<AmountConcentration> change;                 ///< by the given volume
  std::optional<AmountConcentration> change_with_intercept;  ///< the same with the plasma intercept of 23.8 mmol/L
  std::optional<Volume> volume_for_wanted;                   ///< nothing when this infusate cannot bring that change
  std::vector<Finding> findings;
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(SodiumResult, (),
                      (body_water, free_water_deficit, free_water_deficit_normal, change_by_a_litre, change,
                       change_with_intercept, volume_for_wanted, findings, workings))

// TBW body water, Na serum sodium, E sodium and potassium of the infusate, V its volume (negative: lost).

/// Change of serum sodium by any volume:  V (E − Na) / (TBW + V).  One litre is Adrogué and Madias' own form; a
/// multiple of it is not exact, this is. TBW > 0, V > −TBW.
[[nodiscard]] AmountConcentration sodium_change(AmountConcentration sodium, Volume body_water,
                                                AmountConcentration cations, Volume volume);
/// Volume for a wanted change D:  D TBW / (E − Na − D);  nothing when no positive volume brings it.
[[nodiscard]] std::optional<Volume> volume_for_change(AmountConcentration sodium, Volume body_water,
                                                      AmountConcentration cations, AmountConcentration wanted);
/// Nguyen and Kurtz:  ((Na + 23.8) TBW + 1.03 E V) / (TBW + V) − 23.8 − Na  (value from memory).
[[nodiscard]] AmountConcentration sodium_change_with_intercept(AmountConcentration sodium, Volume body_water,
                                                               AmountConcentration cations, Volume volume);

/// Errors: serum sodium 90 to 200 mmol/L, weight 0.3 to 400 kg, cations 0 to 1,000 mmol/L, volume −10 to 20 L and less
/// lost than half the body water, wanted −60 to 60 mmol/L. A change above the policy's limits for a day is a caution or
/// a stop (sources.md#sodium).
[[nodiscard]] Checked<SodiumResult> sodium(const SodiumInput& input, const policy::Hydration& policy);

}  // namespace dwell::hydration

#pragma once
// Is this older adult dry? The serum answers better than skin or mouth.
#include <boost/describe.hpp>
#include <vector>

#include "policy/policy.h"
#include "quantity/checked.h"
#include "quantity/figure.h"
#include "quantity/quantity.h"

namespace dwell::hydration {

struct OsmolalityInput {
  AmountConcentration sodium, potassium, glucose, urea;
  std::optional<Osmolarity> measured;  ///< by freezing point, per kg of water
};
BOOST_DESCRIBE_STRUCT(OsmolalityInput, (), (sodium, potassium, glucose, urea, measured))

enum class HydrationReading { not_dehydrated, likely_dehydrated, impending, dehydrated };
BOOST_DESCRIBE_ENUM(HydrationReading, not_dehydrated, likely_dehydrated, impending, dehydrated)

struct OsmolalityResult {
  Osmolarity calculated;
  HydrationReading reading = HydrationReading::not_dehydrated;  ///< the measured value decides when there is one
  std::vector<Finding> findings;
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(OsmolalityResult, (), (calculated, reading, findings, workings))

/// Khajuria and Krahn:  1.86 (Na + K) + 1.15 glucose + urea + 14, all mmol/L.
/// Source: Hooper et al., BMJ Open 2015;5:e008846 (read); sources.md#osmolality
[[nodiscard]] Osmolarity calculated_osmolarity(AmountConcentration sodium, AmountConcentration potassium,
                                               AmountConcentration glucose, AmountConcentration urea);

/// Errors: sodium 90 to 200, potassium 1 to 12, glucose 0.5 to 100, urea 0.3 to 100 mmol/L, measured 200 to 500.
[[nodiscard]] Checked<OsmolalityResult> osmolality(const OsmolalityInput& input, const policy::Hydration& policy);

}  // namespace dwell::hydration

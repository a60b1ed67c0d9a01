// Water, sodium, body size and kidneys.
#include "engine/define.h"
#include "growth/weight_question.h"
#include "hydration/balance.h"
#include "hydration/body_size.h"
#include "hydration/deficit.h"
#include "hydration/forecast.h"
#include "hydration/kidney.h"
#include "hydration/maintenance.h"
#include "hydration/osmolality.h"
#include "hydration/sodium.h"

namespace dwell::engine {

std::vector<Function> hydration_functions() {
  std::vector<Function> all;
  all.push_back(define<&growth::look_at_weight>(
      "growth.weight", "Does this weight fit this age? The growth chart's lines, and a question when it does not."));
  all.push_back(define<&hydration::maintenance>("hydration.maintenance",
                                                "Daily water by the child's rule or the adult's policy."));
  all.push_back(define<&hydration::deficit>("hydration.deficit",
                                            "Water missing, by percent or by signs, and the rate that replaces it."));
  all.push_back(define<&hydration::diarrhoea_plan>(
      "hydration.diarrhoea_plan", "Rehydration of a child with diarrhoea, by the World Health Organization's plans."));
  all.push_back(define<&hydration::osmolality>("hydration.osmolality", "Is an older adult dry, by the serum?"));
  all.push_back(define<&hydration::sodium>(
      "hydration.sodium", "Body water, free-water deficit, and what an infusate does to the serum sodium."));
  all.push_back(define<&hydration::forecast>(
      "hydration.forecast", "Serum sodium and body water over two days, and the hour at which a limit is crossed."));
  all.push_back(define<&hydration::balance>("hydration.balance",
                                            "Fluid in and out as charted, the gain for the weight, and the urine."));
  all.push_back(
      define<&hydration::body_size>("hydration.body_size", "Body surface, ideal and adjusted weight, body water."));
  all.push_back(
      define<&hydration::kidney>("hydration.kidney", "Creatinine clearance for doses, filtration for stages."));
  return all;
}

}  // namespace dwell::engine

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
  all.push_back(define<growth::WeightInput, growth::WeightLook>(
      "growth.weight", "Does this weight fit this age? The growth chart's lines, and a question when it does not.",
      [](const growth::WeightInput& in, const Library&) { return growth::look_at_weight(in); }));
  all.push_back(define<hydration::MaintenanceInput, hydration::Maintenance>(
      "hydration.maintenance", "Daily water by the child's rule or the adult's policy.",
      [](const hydration::MaintenanceInput& in, const Library& library) {
        return hydration::maintenance(in, library.policy.order);
      }));
  all.push_back(define<hydration::DeficitInput, hydration::DeficitResult>(
      "hydration.deficit", "Water missing, by percent or by signs, and the rate that replaces it.",
      [](const hydration::DeficitInput& in, const Library& library) {
        return hydration::deficit(in, library.policy.hydration);
      }));
  all.push_back(define<hydration::DiarrhoeaInput, hydration::DiarrhoeaResult>(
      "hydration.diarrhoea_plan", "Rehydration of a child with diarrhoea, by the World Health Organization's plans.",
      [](const hydration::DiarrhoeaInput& in, const Library&) { return hydration::diarrhoea_plan(in); }));
  all.push_back(define<hydration::OsmolalityInput, hydration::OsmolalityResult>(
      "hydration.osmolality", "Is an older adult dry, by the serum?",
      [](const hydration::OsmolalityInput& in, const Library& library) {
        return hydration::osmolality(in, library.policy.hydration);
      }));
  all.push_back(define<hydration::SodiumInput, hydration::SodiumResult>(
      "hydration.sodium", "Body water, free-water deficit, and what an infusate does to the serum sodium.",
      [](const hydration::SodiumInput& in, const Library& library) {
        return hydration::sodium(in, library.policy.hydration);
      }));
  all.push_back(define<hydration::ForecastInput, hydration::Forecast>(
      "hydration.forecast", "Serum sodium and body water over two days, and the hour at which a limit is crossed.",
      [](const hydration::ForecastInput& in, const Library& library) {
        return hydration::forecast(in, library.policy.hydration);
      }));
  all.push_back(define<hydration::BalanceInput, hydration::Balance>(
      "hydration.balance", "Fluid in and out as charted, the gain for the weight, and the urine.",
      [](const hydration::BalanceInput& in, const Library& library) {
        return hydration::balance(in, library.policy.hydration);
      }));
  all.push_back(define<hydration::BodySizeInput, hydration::BodySize>(
      "hydration.body_size", "Body surface, ideal and adjusted weight, body water.",
      [](const hydration::BodySizeInput& in, const Library&) { return hydration::body_size(in); }));
  all.push_back(define<hydration::KidneyInput, hydration::Kidney>(
      "hydration.kidney", "Creatinine clearance for doses, filtration for stages.",
      [](const hydration::KidneyInput& in, const Library&) { return hydration::kidney(in); }));
  return all;
}

}  // namespace dwell::engine

#pragma once
// The sums of the trade: volume, time and rate (any two give the third), drops a minute, and the drug behind the rate.
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "growth/weight_question.h"
#include "infusate/infusate.h"
#include "quantity/checked.h"
#include "quantity/figure.h"
#include "quantity/quantity.h"
#include "quantity/time.h"
#include "verdict/verdict.h"

namespace dwell::dosing {

/// volume / time
[[nodiscard]] Flow flow_for(Volume volume, Duration duration);
/// rate × drop factor
[[nodiscard]] DropRate drop_rate_for(Flow flow, DropFactor drop_factor);
/// drop rate / drop factor
[[nodiscard]] Flow flow_of_drops(DropRate drop_rate, DropFactor drop_factor);
/// volume left / rate
[[nodiscard]] Duration time_left(Volume left, Flow flow);

struct RateInput {
  std::optional<Volume> volume;
  std::optional<Duration> duration;
  std::optional<Flow> flow;
  std::optional<DropFactor> drop_factor;
  std::optional<Instant> start;
};
BOOST_DESCRIBE_STRUCT(RateInput, (), (volume, duration, flow, drop_factor, start))

struct RateResult {
  Volume volume;
  Duration duration;
  Flow flow;
  std::optional<DropRate> drop_rate;
  std::optional<int> drops_per_minute;      ///< whole drops, half up
  std::optional<int> drops_per_15_seconds;  ///< for the wrist watch
  std::optional<Instant> ends_at;
  Message rate_text;  ///< rounded as the trade rounds: "125 mL/h"
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(RateResult, (),
                      (volume, duration, flow, drop_rate, drops_per_minute, drops_per_15_seconds, ends_at, rate_text,
                       workings))

/// Exactly two of volume, duration and flow, or all three when they agree within 1 %. Errors: volume 0.1 mL to 20 L,
/// duration 10 s to 14 d, flow 0.1 mL/h to 60 L/h, drop factor 5 to 100 drops/mL; contradictory triple.
[[nodiscard]] Checked<RateResult> rate(const RateInput& input);

// Dose rates. The drug is counted in mass, in biological units or in substance; weight-based or not.
using DoseRate = std::variant<MassRate, UnitRate, AmountRate>;
using Concentration = std::variant<MassConcentration, UnitConcentration, AmountConcentration>;

enum class DoseUnit {
  nanograms_per_kg_min,
  mcg_per_kg_min,
  mcg_per_kg_h,
  mcg_per_min,
  mcg_per_h,
  mg_per_kg_min,
  mg_per_kg_h,
  mg_per_min,
  mg_per_h,
  g_per_h,
  milliunits_per_min,
  units_per_kg_h,
  units_per_kg_min,
  units_per_min,
  units_per_h,
  mmol_per_h,
  mmol_per_kg_h
};
BOOST_DESCRIBE_ENUM(DoseUnit, nanograms_per_kg_min, mcg_per_kg_min, mcg_per_kg_h, mcg_per_min, mcg_per_h, mg_per_kg_min,
                    mg_per_kg_h, mg_per_min, mg_per_h, g_per_h, milliunits_per_min, units_per_kg_h, units_per_kg_min,
                    units_per_min, units_per_h, mmol_per_h, mmol_per_kg_h)

/// "25,000 units in 250 mL", "400 mg in 250 mL": exactly one of the three amounts.
struct DrugInBag {
  std::optional<Mass> mass;
  std::optional<BiologicalUnits> units;
  std::optional<Amount> amount;
  Volume volume;
};
BOOST_DESCRIBE_STRUCT(DrugInBag, (), (mass, units, amount, volume))

struct DoseInput {
  std::optional<double> dose;  ///< in dose_unit: gives the flow …
  std::optional<Flow> flow;    ///< … or the flow gives the dose; exactly one
  DoseUnit dose_unit = DoseUnit::mg_per_h;
  DrugInBag bag;
  std::optional<BodyWeight> weight;  ///< needed by the per-kg forms
  std::optional<DropFactor> drop_factor;
  std::optional<std::string> medicine;  ///< as the ward's list names it: its limits of strength and speed count
  std::optional<growth::Person> person = std::nullopt;  ///< whose weight, to hold it against the age
  std::optional<line::Patient> patient = std::nullopt;  ///< whose allergies count
};
BOOST_DESCRIBE_STRUCT(DoseInput, (), (dose, flow, dose_unit, bag, weight, drop_factor, medicine, person, patient))

enum class DoseLook { body_weight, strength, dose, speed, harm, allergy };
BOOST_DESCRIBE_ENUM(DoseLook, body_weight, strength, dose, speed, harm, allergy)

struct DoseResult {
  double dose = 0;             ///< in dose_unit
  Message dose_text;           ///< "5 mcg/kg/min"
  Message concentration_text;  ///< "0.8 mg/mL"
  Flow flow;
  Message flow_text;  ///< one decimal, as pumps allow: "35.6 mL/h"
  std::optional<int> drops_per_minute;
  verdict::Verdict verdict = verdict::Verdict::not_fully_checked;
  std::vector<verdict::LookReport> looks;
  std::vector<Finding> findings;
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(DoseResult, (),
                      (dose, dose_text, concentration_text, flow, flow_text, drops_per_minute, verdict, looks, findings,
                       workings))

/// flow = dose (× weight) / concentration, and back. Errors: both or neither of dose and flow; drug kind that does not
/// match the dose unit; missing weight; weight 0.3 to 400 kg; non-positive amounts; a birth date to come.
/// The sum alone is no approval: strength and speed are held against the entry of the medicine that is named.
[[nodiscard]] Checked<DoseResult> dose_rate(const DoseInput& input, const infusate::Formulary& formulary = {});

}  // namespace dwell::dosing

#include "hydration/osmolality.h"

#include "quantity/within.h"
#include "say/common.h"
#include "say/growth.h"
#include "say/hydration.h"

namespace dwell::hydration {
namespace {

constexpr AmountConcentration mmol_per_litre = AmountConcentration::from_value(1.0);

FieldErrors check(const OsmolalityInput& in) {
  FieldErrors errors;
  check_within("/sodium", in.sodium, 90.0 * mmol_per_litre, 200.0 * mmol_per_litre, errors);
  check_within("/potassium", in.potassium, 1.0 * mmol_per_litre, 12.0 * mmol_per_litre, errors);
  check_within("/glucose", in.glucose, 0.5 * mmol_per_litre, 100.0 * mmol_per_litre, errors);
  check_within("/urea", in.urea, 0.3 * mmol_per_litre, 100.0 * mmol_per_litre, errors);
  if (in.measured)
    check_within("/measured", *in.measured, 200.0 * milliosmole_per_litre, 500.0 * milliosmole_per_litre, errors);
  return errors;
}

void read_measured(Osmolarity measured, const policy::Hydration& policy, OsmolalityResult& out) {
  if (measured > policy.measured_dehydrated.value) {
    out.reading = HydrationReading::dehydrated;
    out.findings.push_back({Severity::caution, "dehydrated",
                            say::measured_dehydrated(measured, policy.measured_dehydrated.value),
                            source_of(policy.measured_dehydrated)});
  } else if (measured >= policy.measured_impending.value) {
    out.reading = HydrationReading::impending;
    out.findings.push_back(
        {Severity::caution, "impending", say::measured_impending(measured), source_of(policy.measured_impending)});
  }
}

void read_calculated(const policy::Hydration& policy, OsmolalityResult& out) {
  if (!(out.calculated > policy.calculated_screen.value)) return;
  out.reading = HydrationReading::likely_dehydrated;
  out.findings.push_back({Severity::caution, "likely_dehydrated",
                          say::calculated_likely_dehydrated(out.calculated, policy.calculated_screen.value),
                          source_of(policy.calculated_screen)});
}

}  // namespace

Osmolarity calculated_osmolarity(AmountConcentration sodium, AmountConcentration potassium, AmountConcentration glucose,
                                 AmountConcentration urea) {
  const auto mmol = [](AmountConcentration c) { return in(c, mmol_per_litre); };
  return (1.86 * (mmol(sodium) + mmol(potassium)) + 1.15 * mmol(glucose) + mmol(urea) + 14) * milliosmole_per_litre;
}

Checked<OsmolalityResult> osmolality(const OsmolalityInput& in, const policy::Hydration& policy) {
  if (auto errors = check(in); !errors.empty()) return refuse(std::move(errors));
  OsmolalityResult out;
  out.calculated = calculated_osmolarity(in.sodium, in.potassium, in.glucose, in.urea);
  out.workings = {{say::calculated_osmolarity_working(),
                   say::calculated_osmolarity_formula(),
                   {{say::blood_sodium_name(), say::quantity(shown(in.sodium))},
                    {say::blood_potassium_name(), say::quantity(shown(in.potassium))},
                    {say::blood_glucose_name(), say::quantity(shown(in.glucose))},
                    {say::blood_urea_name(), say::quantity(shown(in.urea))}},
                   say::quantity(shown(out.calculated)),
                   {"Khajuria and Krahn, in Hooper et al., BMJ Open 2015;5:e008846", Mark::read}}};
  if (in.measured)
    read_measured(*in.measured, policy, out);
  else
    read_calculated(policy, out);
  out.findings.push_back(
      {Severity::information,
       "signs_alone",
       say::signs_do_not_tell_dryness(),
       {"ESPEN guideline as tabulated, PMC8470893; 49 signs in 188 residents, Bunn & Hooper 2019", Mark::read}});
  return out;
}

}  // namespace dwell::hydration

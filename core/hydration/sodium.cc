#include "hydration/sodium.h"

#include <cmath>

#include "quantity/shown_in.h"
#include "quantity/within.h"
#include "say/common.h"
#include "say/growth.h"
#include "say/hydration.h"

namespace dwell::hydration {
namespace {

constexpr AmountConcentration mmol_per_litre = AmountConcentration::from_value(1.0);
constexpr AmountConcentration normal_sodium = 140.0 * mmol_per_litre;

const Source& madias() {
  static const Source source{"Adrogué & Madias, NEJM 2000, form read in a later review table", Mark::read};
  return source;
}
FieldErrors check(const SodiumInput& in, Volume body_water) {
  FieldErrors errors;
  check_within("/serum_sodium", in.serum_sodium, 90.0 * mmol_per_litre, 200.0 * mmol_per_litre, errors);
  growth::check_person(in.person, errors);
  check_within("/weight", in.weight, 0.3 * kilogram, 400.0 * kilogram, errors);
  check_within("/infusate_cations", in.infusate_cations, 0.0 * mmol_per_litre, 1000.0 * mmol_per_litre, errors);
  if (in.volume) {
    check_within("/volume", *in.volume, -10.0 * litre, 20.0 * litre, errors);
    if (errors.empty() && *in.volume < -0.5 * body_water)
      errors.push_back({"/volume", show(*in.volume), say::less_than_half_lost()});
  }
  if (in.wanted) check_within("/wanted", *in.wanted, -60.0 * mmol_per_litre, 60.0 * mmol_per_litre, errors);
  return errors;
}

void judge(AmountConcentration change, const policy::Hydration& policy, SodiumResult& out) {
  const auto size = AmountConcentration::from_value(std::abs(change.value()));
  if (size > policy.sodium_change_stop.value)
    out.findings.push_back(
        {Severity::stop, "sodium_change", say::change_beyond_a_day(size), source_of(policy.sodium_change_stop)});
  else if (size > policy.sodium_change_caution.value)
    out.findings.push_back({Severity::caution, "sodium_change", say::change_beyond_a_day_at_risk(size),
                            source_of(policy.sodium_change_caution)});
}

void add_deficit(const SodiumInput& in, SodiumResult& out) {
  if (!(in.serum_sodium > normal_sodium)) return;
  const double share = double(in.serum_sodium / normal_sodium);
  out.free_water_deficit = out.body_water * (share - 1);
  out.free_water_deficit_normal = out.body_water * (1 - 1 / share);
  out.workings.push_back(
      {say::free_water_working(),
       say::free_water_formula(shown_in(*out.free_water_deficit_normal, litre, "L")),
       {{say::body_water_working(), say::quantity(shown_in(out.body_water, litre, "L"))},
        {say::blood_sodium_name(), say::quantity(shown(in.serum_sodium))}},
       say::quantity(shown_in(*out.free_water_deficit, litre, "L")),
       {"two forms circulate, their ratio is 140 / sodium: teaching page, and an abstract (read)", Mark::secondary}});
}

}  // namespace

Ratio body_water_share(BodyWaterGroup group) {
  switch (group) {
    case BodyWaterGroup::child:
    case BodyWaterGroup::man: return 0.60;
    case BodyWaterGroup::woman:
    case BodyWaterGroup::older_man: return 0.50;
    case BodyWaterGroup::older_woman: return 0.45;
  }
  return 0.5;
}

AmountConcentration sodium_change(AmountConcentration sodium, Volume body_water, AmountConcentration cations,
                                  Volume volume) {
  return (cations - sodium) * double(volume / (body_water + volume));
}

std::optional<Volume> volume_for_change(AmountConcentration sodium, Volume body_water, AmountConcentration cations,
                                        AmountConcentration wanted) {
  const double share = double(wanted / (cations - sodium - wanted));
  if (!(std::isfinite(share) && share > 0)) return std::nullopt;
  return body_water * share;
}

AmountConcentration sodium_change_with_intercept(AmountConcentration sodium, Volume body_water,
                                                 AmountConcentration cations, Volume volume) {
  constexpr AmountConcentration intercept = 23.8 * mmol_per_litre;
  const Amount before = (sodium + intercept) * body_water;
  const Amount given = 1.03 * cations * volume;
  return (before + given) / (body_water + volume) - intercept - sodium;
}

Checked<SodiumResult> sodium(const SodiumInput& in, const policy::Hydration& policy) {
  SodiumResult out;
  out.body_water = in.weight / kilogram * litre * body_water_share(in.group);
  if (auto errors = check(in, out.body_water); !errors.empty()) return refuse(std::move(errors));
  growth::ask_about_weight(in.person, in.weight, out.findings);
  out.workings.push_back({say::body_water_working(),
                          say::water_share_formula(),
                          {{say::weight_name(), say::quantity(shown(in.weight))},
                           {say::share_name(), say::quantity(shown(body_water_share(in.group)))}},
                          say::quantity(shown_in(out.body_water, litre, "L")),
                          {"shares by age and sex: family practice reference page (read)", Mark::secondary}});
  add_deficit(in, out);
  out.change_by_a_litre = sodium_change(in.serum_sodium, out.body_water, in.infusate_cations, 1.0 * litre);
  Working change{say::sodium_change_working(),
                 say::sodium_change_formula(),
                 {{say::serum_sodium_name(), say::quantity(shown(in.serum_sodium))},
                  {say::infusate_cations_name(), say::quantity(shown(in.infusate_cations))},
                  {say::body_water_working(), say::quantity(shown_in(out.body_water, litre, "L"))}},
                 say::change_by_a_litre(out.change_by_a_litre),
                 madias()};
  if (in.volume) {
    out.change = sodium_change(in.serum_sodium, out.body_water, in.infusate_cations, *in.volume);
    out.change_with_intercept =
        sodium_change_with_intercept(in.serum_sodium, out.body_water, in.infusate_cations, *in.volume);
    change.inputs.push_back({say::infused_volume_name(), say::quantity(shown(*in.volume))});
    change.result = say::change_and_by_a_litre(*out.change, out.change_by_a_litre);
    judge(*out.change, policy, out);
  }
  out.workings.push_back(std::move(change));
  if (in.wanted) {
    out.volume_for_wanted = volume_for_change(in.serum_sodium, out.body_water, in.infusate_cations, *in.wanted);
    judge(*in.wanted, policy, out);
    if (!out.volume_for_wanted)
      out.findings.push_back({Severity::caution, "wrong_way", say::cannot_bring_that_change(), madias()});
  }
  out.findings.push_back(
      {Severity::information,
       "measure_again",
       say::measure_sodium_again(),
       {"root mean square error of four formulas 4.8 to 6.4 mmol/L, 31 patients, PMC4957716 (read)", Mark::read}});
  return out;
}

}  // namespace dwell::hydration

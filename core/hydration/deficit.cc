#include "hydration/deficit.h"

#include <algorithm>

#include "quantity/difference.h"
#include "quantity/within.h"
#include "say/common.h"
#include "say/growth.h"
#include "say/hydration.h"

namespace dwell::hydration {
namespace {

using policy::DehydrationGrade;

constexpr auto water = 1.0 * kilogram / litre;  // what a body loses in water it loses in weight
const Source& teaching() {
  static const Source source{"paediatric teaching page: percent × kg × 10 mL", Mark::read};
  return source;
}

bool lists(const DehydrationGrade& grade, const DeficitInput& in, const std::string& sign) {
  return grade.group == in.group && std::find(grade.signs.begin(), grade.signs.end(), sign) != grade.signs.end();
}

FieldErrors check(const DeficitInput& in, const policy::Hydration& policy) {
  FieldErrors errors;
  growth::check_person(in.person, errors);
  check_within("/weight", in.weight, 0.3 * kilogram, 400.0 * kilogram, errors);
  if (in.share.has_value() == !in.signs.empty())
    errors.push_back({"/share", in.share ? show(*in.share) : "", say::either_share_or_signs()});
  constexpr Ratio most = 0.2;
  if (in.share && !(*in.share > Ratio() && *in.share <= most))
    errors.push_back({"/share", show(*in.share), say::share_above_zero_at_most(most)});
  for (std::size_t i = 0; i < in.signs.size(); ++i)
    if (std::none_of(policy.dehydration.begin(), policy.dehydration.end(),
                     [&](const auto& grade) { return lists(grade, in, in.signs[i]); }))
      errors.push_back({"/signs/" + std::to_string(i), in.signs[i], say::a_sign_of_the_table()});
  if (in.given) check_within("/given", *in.given, Volume(), 20.0 * litre, errors);
  if (in.maintenance) check_within("/maintenance", *in.maintenance, Flow(), 1000.0 * millilitre / hour, errors);
  if (in.over) check_within("/over", *in.over, 1.0 * hour, 96.0 * hour, errors);
  return errors;
}

/// The most severe grade, one of whose signs was ticked.
const DehydrationGrade* grade_of(const DeficitInput& in, const policy::Hydration& policy) {
  const DehydrationGrade* worst = nullptr;
  for (const auto& grade : policy.dehydration)
    for (const auto& sign : in.signs)
      if (lists(grade, in, sign) && (!worst || grade.most.value > worst->most.value)) worst = &grade;
  return worst;
}

void set_share(const DeficitInput& in, const policy::Hydration& policy, DeficitResult& out) {
  if (in.share) {
    out.share_low = out.share_high = *in.share;
    return;
  }
  const auto* grade = grade_of(in, policy);
  out.grade = grade->name;
  out.share_low = grade->least.value;
  out.share_high = grade->most.value;
  Message by_signs = out.share_high > out.share_low
                         ? say::grade_by_signs_from_to(grade->name, out.share_low, out.share_high)
                         : say::grade_by_signs(grade->name, out.share_low);
  out.findings.push_back({Severity::caution, "signs_are_poor", std::move(by_signs), source_of(grade->most)});
}

}  // namespace

Checked<DeficitResult> deficit(const DeficitInput& in, const policy::Hydration& policy) {
  if (auto errors = check(in, policy); !errors.empty()) return refuse(std::move(errors));
  DeficitResult out;
  growth::ask_about_weight(in.person, in.weight, out.findings);
  set_share(in, policy, out);
  const auto missing = [&](Ratio share) {
    const BodyWeight before = in.weight_is_today ? in.weight / (1.0 - double(share)) : in.weight;
    return Volume(before * share / water);
  };
  out.deficit_low = missing(out.share_low);
  out.deficit_high = missing(out.share_high);
  out.remaining = std::max(difference(out.deficit_high, in.given.value_or(Volume())), Volume());
  const Duration over = in.over.value_or(to_duration(policy.deficit_over.value));
  out.replacement = out.remaining / over;
  out.workings.push_back(
      {say::water_missing_working(),
       in.weight_is_today ? say::water_missing_by_todays_weight() : say::water_missing_by_weight_before(),
       {{say::share_name(), say::quantity(shown(out.share_high))},
        {say::weight_name(), say::quantity(shown(in.weight))}},
       say::quantity(shown(out.deficit_high)),
       teaching()});
  out.workings.push_back({say::replacement_working(),
                          say::replacement_formula(),
                          {{say::missing_name(), say::quantity(shown(out.deficit_high))},
                           {say::given_name(), say::quantity(shown(in.given.value_or(Volume())))},
                           {say::elapsed_name(), say::quantity(shown(over))}},
                          say::quantity(shown(out.replacement)),
                          in.over ? teaching() : source_of(policy.deficit_over)});
  if (in.maintenance) {
    out.total = out.replacement + *in.maintenance;
    out.workings.push_back({say::total_rate_working(),
                            say::total_rate_formula(),
                            {{say::replacement_working(), say::quantity(shown(out.replacement))},
                             {say::maintenance_name(), say::quantity(shown(*in.maintenance))}},
                            say::quantity(shown(*out.total)),
                            {"arithmetic", Mark::computed}});
  }
  out.findings.push_back(
      {Severity::information, "losses_go_on", say::losses_go_on(), {"common practice, no source", Mark::practice}});
  return out;
}

Checked<DiarrhoeaResult> diarrhoea_plan(const DiarrhoeaInput& in) {
  FieldErrors errors;
  check_within("/weight", in.weight, 2.0 * kilogram, 60.0 * kilogram, errors);
  if (!(in.age_months >= 0 && in.age_months <= 215))
    errors.push_back({"/age_months", std::to_string(in.age_months), say::months_from_to(0, 215)});
  if (!errors.empty()) return refuse(std::move(errors));

  DiarrhoeaResult out;
  if (auto doubt = growth::question_weight(in.weight, growth::age_in_whole_months(in.age_months), line::Sex::unknown))
    out.findings.push_back(std::move(*doubt));
  const auto step = [&](bool by_mouth, double millilitres_per_kilogram, Duration duration) {
    const Volume volume = millilitres_per_kilogram * millilitre * double(in.weight / kilogram);
    out.steps.push_back({by_mouth, volume, duration, volume / duration});
  };
  Source source{"WHO plan, PMC10962728 table", Mark::read};
  Message formula = say::plan_by_mouth_formula();
  if (in.plan == DiarrhoeaPlan::some_dehydration) {
    step(true, 75, 4.0 * hour);
    out.findings.push_back({Severity::information, "by_mouth", say::rehydration_by_mouth(), source});
  } else {
    const bool infant = in.age_months < 12;
    step(false, 30, infant ? 1.0 * hour : 0.5 * hour);
    step(false, 70, infant ? 5.0 * hour : 2.5 * hour);
    source = {
        "WHO plan: 100 mL/kg, looked at every 15 to 30 min (PMC10962724 table); the split as a BMJ Open table "
        "prints it after the WHO pocket book of 2013",
        Mark::read};
    formula = infant ? say::plan_of_infant_formula() : say::plan_of_child_formula();
    out.findings.push_back({Severity::caution, "malnutrition", say::not_in_malnutrition(), source});
  }
  const auto& first = out.steps.front();
  const auto& last = out.steps.back();
  Message result = out.steps.size() == 1 ? say::one_step(first.volume, first.duration)
                                         : say::two_steps(first.volume, first.duration, last.volume, last.duration);
  out.workings = {{say::rehydration_working(),
                   std::move(formula),
                   {{say::weight_name(), say::quantity(shown(in.weight))}},
                   std::move(result),
                   source}};
  return out;
}

}  // namespace dwell::hydration

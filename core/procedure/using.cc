#include "procedure/using.h"

#include <algorithm>

#include "dosing/order_looks.h"
#include "growth/weight_question.h"
#include "infusate/harm.h"
#include "procedure/words.h"
#include "quantity/display.h"
#include "say/access.h"
#include "say/common.h"
#include "say/procedure.h"

namespace dwell::procedure {
namespace {

using infusate::HarmClass;

const Source access_rules{"INS (value from memory): blood return before an irritant or a vesicant, pulses, lock",
                          Mark::memory};
const Source connector_rules{"Hadaway, on needleless connectors, as a forum of the trade reports her", Mark::weak};

bool gives(LineUse use) { return use == LineUse::dose || use == LineUse::push; }

/// What was found of the medicine itself, before anything of the line: at which step it is said, and how gravely.
struct Judged {
  std::vector<Message> allergies, stops, cautions;
};

/// Several looks may say the same of a medicine that nobody listed; once is enough.
void say_once(const Message& text, std::vector<Message>& said) {
  if (std::find(said.begin(), said.end(), text) == said.end()) said.push_back(text);
}

void sort(const std::vector<Finding>& findings, Judged& judged) {
  for (const auto& finding : findings) {
    if (finding.severity == Severity::information) continue;
    if (finding.code == "allergy")
      say_once(finding.text, judged.allergies);
    else
      say_once(finding.text, finding.severity == Severity::stop ? judged.stops : judged.cautions);
  }
}

void judge_allergies(const UsingInput& in, const infusate::Formulary& formulary, LineAccess& out, Judged& judged) {
  verdict::Look look;
  dosing::look_at_allergies_of(in.patient, infusate::parts_of(*in.given, formulary), formulary, look);
  verdict::Composition composed;
  composed.add("allergy", std::move(look));
  auto answer = std::move(composed).answer();
  sort(answer.findings, judged);
  out.looks.insert(out.looks.end(), answer.looks.begin(), answer.looks.end());
}

/// As slow as a hand may push: of a push whose time is not known, all but its speed is judged so.
constexpr Interval longest_push = std::chrono::hours{1};

FieldErrors judge_push(const UsingInput& in, const infusate::Formulary& formulary, LineAccess& out, Judged& judged) {
  dosing::PushInput push;
  push.volume = in.given->volume;
  push.over = to_duration(in.push_over.value_or(longest_push));
  push.step = std::max(Volume(push.volume / 10.0), Volume(0.05 * millilitre));
  push.medicine = in.given->base;
  push.weight = in.patient.weight;
  push.person = growth::Person{in.patient.birth_date, in.patient.sex, in.today};
  push.patient = in.patient;
  auto plan = dosing::push_plan(push, formulary);
  if (!plan) {
    auto errors = plan.error();
    for (auto& error : errors) error.path = error.path == "/over" ? "/push_over" : "/given" + error.path;
    return errors;
  }
  std::erase_if(plan->findings, [](const Finding& one) { return one.code == "allergy"; });
  sort(plan->findings, judged);
  std::erase_if(plan->looks, [](const verdict::LookReport& one) { return one.look == "allergy"; });
  out.looks = plan->looks;
  if (in.push_over)
    out.push = std::move(*plan);
  else
    judged.stops.push_back(say::push_time_not_known());
  return {};
}

/// What runs is in the line: whatever is flushed or pushed behind it drives it in at once. A bag that is taken off is
/// stopped first.
Step with_what_runs(Step first, const UsingInput& in, const infusate::Formulary& formulary,
                    const policy::Policy& policy) {
  if (in.use == LineUse::disconnect || in.runs == false) return first;
  const auto harm =
      in.running ? infusate::harm_of(*in.running, formulary, policy.infusate.harm_by_solute).harm : HarmClass::unknown;
  if (harm == HarmClass::harmless) return with_caution(std::move(first), say::something_runs_here());
  return with_stop(std::move(first),
                   in.runs || in.running ? say::what_runs_goes_in_at_once(harm) : say::something_may_run_here());
}

Step right_step(const UsingInput& in, const Judged& judged) {
  if (!gives(in.use))
    return step("identity", say::step_right_patient(), say::do_identity(), Capture::identity_confirmed);
  Step right = because(step("identity", say::step_right_patient_and_medicine(), say::do_right_medicine(),
                            Capture::identity_confirmed, access_rules),
                       say::why_right_medicine());
  for (const auto& allergy : judged.allergies) right = with_stop(std::move(right), allergy);
  if (!in.patient.allergies_known) right = with_caution(std::move(right), say::allergies_not_known());
  return right;
}

Step dry_step(const policy::Antiseptic& antiseptic) {
  Step dry = because(step("let_dry_hub", say::step_let_the_hub_dry(),
                          say::do_let_the_hub_dry(policy::title_of(antiseptic)), Capture::dry_time),
                     say::why_let_the_hub_dry());
  if (antiseptic.dry)
    dry = with_clock(std::move(dry), ClockRule::at_least, say::clock_hub_dry(), *antiseptic.dry);
  else
    dry = with_caution(std::move(dry), say::no_dry_time_in_the_policy());
  return with_caution(std::move(dry), say::dry_time_is_of_skin());
}

Step draw_back_step(const UsingInput& in) {
  Step draw = because(
      step("blood_return", say::step_blood_return(), say::do_draw_back_in_use(), Capture::blood_return, access_rules),
      say::why_blood_return());
  if (in.blood_return == false) draw = with_caution(std::move(draw), say::no_blood_in_use());
  return draw;
}

Step flush_step(const char* id, Message title, Message how, const FlushVolume& flush) {
  Message much = flush.volume ? say::flush_pulsed(*flush.volume) : say::flush_as_the_ward_sets();
  Step made =
      step(id, std::move(title), say::sentences({std::move(much), std::move(how)}), Capture::flush, flush.source);
  for (const auto& finding : flush.findings)
    if (flush.volume || finding.code != "no_flush_of_age") made = with_caution(std::move(made), finding.text);
  return with_caution(std::move(made), say::resistance_swelling_or_pain());
}

/// What is not known to be harmless goes in only where blood came back; and only what its entry lets be given so.
Step guarded(Step made, const LineAccess& out, const Judged& judged, const UsingInput& in) {
  if (!out.may_be_given)
    made = with_stop(std::move(made), in.blood_return == false ? say::no_blood_do_not_give(out.harm)
                                                               : say::draw_back_before_it_is_given(out.harm));
  for (const auto& stop : judged.stops) made = with_stop(std::move(made), stop);
  for (const auto& caution : judged.cautions) made = with_caution(std::move(made), caution);
  return made;
}

Step push_step(const UsingInput& in) {
  Step push =
      because(step("give", say::step_push_it(), say::do_push_it(), Capture::dose, access_rules), say::why_push());
  if (in.push_over)
    push.clock =
        Clock{ClockRule::at_least, *in.push_over, say::clock_push(), {"order or label of the medicine", Mark::read}};
  return push;
}

Step dose_step() {
  return step("give", say::step_connect_and_start(), say::do_connect_and_start(), Capture::dose, access_rules);
}

Step lock_step(Displacement connector) {
  const auto order = [&] {
    switch (connector) {
      case Displacement::negative: return say::clamp_then_disconnect();
      case Displacement::neutral: return say::clamp_and_disconnect_in_any_order();
      case Displacement::positive: return say::disconnect_then_clamp();
      case Displacement::unknown: break;
    }
    return say::connector_not_known();
  };
  return because(step("lock", say::step_lock_it(), order(), Capture::lock, connector_rules), say::why_lock());
}

void reach_the_line(const UsingInput& in, const policy::Antiseptic& antiseptic, const policy::Place& place,
                    std::vector<Step>& steps) {
  if (!gives(in.use) && in.use != LineUse::flush && in.runs.value_or(true))
    steps.push_back(step("stop", say::step_stop_the_flow(), say::do_stop(), Capture::none));
  steps.push_back(scrub_hub(place));
  steps.push_back(dry_step(antiseptic));
}

void use_it(const UsingInput& in, const LineAccess& out, const Judged& judged, std::vector<Step>& steps) {
  switch (in.use) {
    case LineUse::flush: break;
    case LineUse::dose:
      steps.push_back(flush_step("flush_before", say::step_flush_before(), say::do_flush_before(), out.flush));
      return steps.push_back(guarded(dose_step(), out, judged, in));
    case LineUse::push:
      steps.push_back(flush_step("flush_before", say::step_flush_before(), say::do_flush_before(), out.flush));
      steps.push_back(guarded(push_step(in), out, judged, in));
      break;
    case LineUse::draw:
      steps.push_back(step("draw", say::step_draw_the_blood(), say::do_draw_the_blood(), Capture::samples));
      break;
    case LineUse::disconnect:
      steps.push_back(step("disconnect", say::step_take_it_off(), say::do_take_it_off(), Capture::none));
      break;
  }
  steps.push_back(flush_step("flush_after", say::step_flush_after(),
                             in.use == LineUse::push ? say::do_flush_after_a_push() : say::do_flush_after(),
                             out.flush));
  if (in.runs == true && in.use != LineUse::disconnect) {
    if (in.use == LineUse::draw) steps.back() = with_caution(std::move(steps.back()), say::start_again_what_ran());
    return;  // it goes on running: nothing is locked
  }
  steps.push_back(lock_step(in.connector));
}

HarmClass harm_of(const UsingInput& in, const infusate::Formulary& formulary, const policy::Policy& policy) {
  if (!gives(in.use)) return HarmClass::harmless;
  if (!in.given) return HarmClass::unknown;
  return infusate::harm_of(*in.given, formulary, policy.infusate.harm_by_solute).harm;
}

}  // namespace

Checked<LineAccess> using_steps(const UsingInput& input, const infusate::Formulary& formulary,
                                const device::Catalogue& catheters, const device::AddOns& add_ons,
                                const policy::Policy& policy) {
  FieldErrors errors;
  growth::check_birth_date(input.patient.birth_date, input.today, "/patient/birth_date", errors);
  if (!errors.empty()) return refuse(std::move(errors));
  const auto antiseptic = antiseptic_of(input.antiseptic, policy.place);
  if (!antiseptic) return refuse(antiseptic.error());
  auto flush = flush_volume({input.patient, input.today, input.gauge, input.length, input.parts}, catheters, add_ons,
                            policy.place);
  if (!flush) return refuse(std::move(flush.error()));
  LineAccess out;
  out.flush = std::move(*flush);
  out.harm = harm_of(input, formulary, policy);
  out.may_be_given = out.harm == HarmClass::harmless || input.blood_return == true;
  Judged judged;
  if (input.use == LineUse::push && input.given)
    if (errors = judge_push(input, formulary, out, judged); !errors.empty()) return refuse(std::move(errors));
  if (gives(input.use) && input.given) judge_allergies(input, formulary, out, judged);
  out.steps.push_back(with_what_runs(right_step(input, judged), input, formulary, policy));
  reach_the_line(input, **antiseptic, policy.place, out.steps);
  out.steps.push_back(draw_back_step(input));
  use_it(input, out, judged, out.steps);
  return out;
}

}  // namespace dwell::procedure

#include <algorithm>

#include "procedure/steps.h"
#include "procedure/words.h"
#include "quantity/display.h"
#include "say/common.h"
#include "say/procedure.h"
#include "site/grade.h"

namespace dwell::procedure {
namespace {

const Source open_checklist{"Open RN nursing skills, checklist for discontinuing an IV", Mark::read};

/// Pressing too long harms nobody; too short bleeds. So an unknown anticoagulant counts as one.
Step pressure_step(const RemovingInput& in, bool leak, const policy::Remove& remove) {
  const bool longer = in.patient.anticoagulant.value_or(true);
  const auto& figure = longer ? remove.pressure_anticoagulant : remove.pressure;
  Message how = say::press_until_it_has_stopped();
  if (longer)
    how = say::sentences({std::move(how), in.patient.anticoagulant ? say::anticoagulant_taken()
                                                                   : say::press_as_if_anticoagulant_taken()});
  Step press = step("press", say::step_press(), std::move(how), Capture::pressure, source_of(figure));
  press.why = longer ? say::why_press_with_anticoagulant() : say::why_press();
  if (leak) press.cautions.push_back(say::press_on_the_puncture_only());
  return with_clock(std::move(press), ClockRule::at_least, say::clock_pressure(), figure);
}

bool may_be_vesicant(infusate::HarmClass harm) {
  return harm == infusate::HarmClass::vesicant || harm == infusate::HarmClass::unknown;
}

bool leak_suspected(const RemovingInput& in, const policy::Policy& policy) {
  const auto cards = in.cards.value_or(std::vector<std::string>{});
  return in.leak_suspected || std::any_of(cards.begin(), cards.end(),
                                          [&](const std::string& card) { return site::answers_leak(card, policy); });
}

Step ground_step(const RemovingInput& in, bool stays_for_now) {
  Step ground = step("ground", say::step_why_it_comes_out(), say::do_ground(), Capture::removal_ground);
  if (stays_for_now)
    ground.stops.push_back(say::do_not_remove_yet(in.running));
  else if (may_be_vesicant(in.running))
    ground.cautions.push_back(say::leave_it_in_if_it_leaks(in.running));
  return with_caution(std::move(ground), say::not_the_only_line());
}

}  // namespace

std::vector<Step> removing_steps(const RemovingInput& input, const policy::Policy& policy) {
  const bool leak = leak_suspected(input, policy);
  const bool stays_for_now = leak && may_be_vesicant(input.running);  // the antidote may have to go through it
  std::vector<Step> steps;
  steps.push_back(ground_step(input, stays_for_now));
  steps.push_back(step("identity", say::step_right_patient_clean_hands_gloves(), say::do_identity_gloves(),
                       Capture::identity_confirmed, open_checklist));
  steps.push_back(step("stop", say::step_stop_the_flow(), say::do_stop(), Capture::none, open_checklist));
  if (stays_for_now) {
    steps.push_back(
        because(step("leave_in", say::step_leave_it_in_draw_back(), say::do_leave_in(), Capture::none,
                     {"anaesthesia reference and a children's hospital guideline on extravasation", Mark::read}),
                say::why_draw_back()));
    steps.push_back(step("call", say::step_call(), say::do_call(), Capture::none));
  }
  Step loosen = step("loosen", say::step_loosen_film_and_tape(), say::do_loosen(), Capture::none, open_checklist);
  if (stays_for_now) loosen = with_stop(std::move(loosen), say::only_when_it_is_decided());
  steps.push_back(std::move(loosen));
  Step draw = step("withdraw", say::step_draw_it_out(), say::do_withdraw(), Capture::none, open_checklist);
  draw = with_caution(std::move(draw), say::tip_short_or_ragged());
  steps.push_back(with_caution(std::move(draw), say::resistance_at_withdrawal()));
  steps.push_back(pressure_step(input, leak, policy.remove));
  Step inspect = step(
      "inspect", say::step_look_at_the_catheter(),
      input.length_placed ? say::measure_the_catheter(*input.length_placed) : say::measure_the_catheter_all_the_same(),
      Capture::catheter_length, open_checklist);
  inspect = because(std::move(inspect), say::why_inspect());
  steps.push_back(with_caution(std::move(inspect), say::shorter_or_ragged()));
  steps.push_back(step("site", say::step_look_at_the_site(), say::do_site(), Capture::site_signs, open_checklist));
  steps.push_back(step("dress", say::step_dress(), say::do_dress_removing(), Capture::dressing, open_checklist));
  steps.push_back(step("teach", say::step_tell_the_patient(),
                       say::watch_the_site_for(in_hours(policy.remove.after_watch.value)), Capture::teaching,
                       source_of(policy.remove.after_watch)));
  steps.push_back(step("record", say::step_write_it_down(), say::do_record_removing(), Capture::tolerance));
  return steps;
}

Checked<CatheterCheck> check_catheter(std::optional<Length> placed, std::optional<Length> found,
                                      std::optional<bool> tip_whole, const policy::Policy& policy) {
  FieldErrors errors;
  const auto plausible = [&](const char* path, const std::optional<Length>& length) {
    if (length && !(*length >= 0.0 * millimetre && *length <= 300.0 * millimetre))
      errors.push_back({path, show(*length), say::from_to(shown(0.0 * millimetre), shown(300.0 * millimetre))});
  };
  plausible("/placed", placed);
  plausible("/found", found);
  if (!errors.empty()) return refuse(std::move(errors));

  CatheterCheck check;
  const auto tell = [&](Severity severity, const char* code, Message text) {
    check.findings.push_back({severity, code, std::move(text), source_of(policy.remove.length_tolerance)});
  };
  // A thousandth of a millimetre for binary noise: 25 mm placed and 24 mm found differ by exactly the usual tolerance.
  const Length tolerance = policy.remove.length_tolerance.value + 1e-3 * millimetre;
  if (placed && found && *placed - *found > tolerance) {
    check.missing = *placed - *found;
    check.alarm = true;
    tell(Severity::stop, "catheter_short", say::catheter_short(*check.missing, *placed, *found));
  }
  if (tip_whole == false) {
    check.alarm = true;
    tell(Severity::stop, "tip_not_whole", say::stop_tip_not_whole());
  }
  if (!found) tell(Severity::caution, "length_unknown", say::length_found_not_recorded());
  if (!placed) tell(Severity::caution, "length_placed_unknown", say::length_placed_not_recorded());
  if (!tip_whole) tell(Severity::caution, "tip_unknown", say::tip_not_recorded());
  if (placed && found && *found - *placed > tolerance)
    tell(Severity::caution, "longer_than_placed", say::longer_than_placed());
  if (check.alarm)
    if (const auto card = policy.responses.find("catheter_fragment"); card != policy.responses.end())
      check.card = card->second;
  return check;
}

}  // namespace dwell::procedure

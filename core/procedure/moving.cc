// A line that changes its place: sent to another bed or unit, or received with its patient. And the look at its site.
#include "procedure/steps.h"
#include "procedure/words.h"
#include "say/procedure.h"

namespace dwell::procedure {
namespace {

Step look_step() {
  return because(step("site", say::step_look_at_the_site(), say::do_site_after_a_move(), Capture::site_signs),
                 say::why_look_after_the_journey());
}

Step trace_step(const policy::Watch& watch) {
  return with_clock(because(step("trace", say::step_trace_the_tubing(), say::do_trace_after_a_move(),
                                 Capture::tubing_traced, source_of(watch.trace_after_move)),
                            say::why_trace_after_a_move()),
                    ClockRule::at_most, say::clock_tubing_traced_after_a_move(), watch.trace_after_move);
}

Step identity_step() {
  return step("identity", say::step_right_patient(), say::do_identity(), Capture::identity_confirmed);
}

/// What to flush is what lies in the line: it goes in as one push.
Step patency_step() {
  Step patency =
      because(step("patency", say::step_does_it_work(), say::do_patency(), Capture::blood_return), say::why_patency());
  patency = with_caution(std::move(patency), say::swollen_cool_or_painful());
  patency = with_caution(std::move(patency), say::resistance_do_not_force());
  return with_caution(std::move(patency), say::nothing_that_harms_before_it_is_proven());
}

}  // namespace

std::vector<Step> transfer_steps(const policy::Policy& policy) {
  std::vector<Step> steps;
  steps.push_back(identity_step());
  Step enough =
      because(step("enough", say::step_enough_for_the_way(), say::do_enough(), Capture::none), say::why_enough());
  steps.push_back(std::move(enough));
  steps.push_back(look_step());
  steps.push_back(step("secure", say::step_secure(), say::do_secure_for_the_way(), Capture::securement));
  steps.push_back(step("hand_over", say::step_hand_over_at_the_bed(), say::do_hand_over(), Capture::handover));
  steps.push_back(trace_step(policy.watch));
  return steps;
}

std::vector<Step> receiving_steps(const ReceivingInput& input, const policy::Policy& policy) {
  std::vector<Step> steps;
  steps.push_back(identity_step());
  steps.push_back(step("hands", say::step_clean_hands(), say::do_hands(), Capture::none));
  steps.push_back(step("origin", say::step_where_from_since_when(), say::do_origin(), Capture::origin));
  steps.push_back(look_step());
  steps.push_back(step("pump", say::step_what_runs_and_how_fast(), say::do_pump(), Capture::none));
  steps.push_back(trace_step(policy.watch));
  steps.push_back(patency_step());
  if (input.asepsis != line::Asepsis::aseptic) {
    const auto& by = policy.watch.emergency_dwell;
    Step replace = step("replace", say::step_plan_its_replacement(),
                        input.asepsis ? say::replace_asepsis_not_assured(in_hours(by.value))
                                      : say::replace_asepsis_not_known(in_hours(by.value)),
                        Capture::label, source_of(by));
    if (!input.in_for)
      replace = with_caution(std::move(replace), say::since_when_not_known());
    else if (*input.in_for >= by.value)
      replace = with_caution(std::move(replace), say::its_time_is_over());
    steps.push_back(std::move(replace));
  }
  steps.push_back(step("record", say::step_write_it_down(), say::do_record_receiving(), Capture::tolerance));
  return steps;
}

std::vector<Step> checking_steps(const CheckingInput& input) {
  const bool harm_possible = input.running != infusate::HarmClass::harmless;
  std::vector<Step> steps;
  steps.push_back(step("hands", say::step_clean_hands(), say::do_hands(), Capture::none));
  steps.push_back(identity_step());
  steps.push_back(step("look", say::step_look(), say::do_look(), Capture::site_signs));
  steps.push_back(step("feel", say::step_feel(), say::do_feel(), Capture::none));
  steps.push_back(step("ask", say::step_ask(),
                       input.patient.can_report_pain.value_or(false) ? say::do_ask() : say::do_ask_who_cannot_tell(),
                       Capture::none));
  Step flow = step("flow", say::step_what_runs(), input.infusing ? say::do_flow_running() : say::do_flow_locked(),
                   Capture::none);
  if (harm_possible && input.infusing) flow = with_caution(std::move(flow), say::signs_while_this_runs());
  steps.push_back(std::move(flow));
  steps.push_back(step("dressing", say::step_dressing(), say::do_dressing(), Capture::none));
  steps.push_back(step("need", say::step_still_needed(), say::do_need_checking(), Capture::none));
  steps.push_back(
      because(step("chart", say::step_chart_what_you_found(), say::do_chart(), Capture::site_signs), say::why_chart()));
  return steps;
}

}  // namespace dwell::procedure

#include "procedure/steps.h"
#include "procedure/words.h"
#include "quantity/display.h"

namespace dwell::procedure {
namespace {

const Source open_checklist{"Open RN nursing skills, checklist for discontinuing an IV", Mark::read};

/// Pressing too long harms nobody; too short bleeds. So an unknown anticoagulant counts as one.
Step pressure_step(const RemovingInput& in, const policy::Remove& remove) {
  const bool longer = in.patient.anticoagulant.value_or(true);
  const auto& figure = longer ? remove.pressure_anticoagulant : remove.pressure;
  std::string why;
  if (!in.patient.anticoagulant)
    why = " Anticoagulant not recorded: press as if one is taken.";
  else if (*in.patient.anticoagulant)
    why = " An anticoagulant is taken.";
  Step press =
      step("press", "Press", "Dry gauze, firm, arm straight, not bent at the elbow, until it has stopped." + why,
           Capture::pressure, source_of(figure));
  press.why = longer ? "An anticoagulant lengthens bleeding." : "A vein that is not pressed bleeds under the skin.";
  if (in.leak_suspected) press.cautions.emplace_back("Press on the puncture only, not on the swelling; do not rub.");
  press.clock = Clock{ClockRule::at_least, figure.value, "pressure", source_of(figure)};
  return press;
}

bool may_be_vesicant(infusate::HarmClass harm) {
  return harm == infusate::HarmClass::vesicant || harm == infusate::HarmClass::unknown;
}

/// The antidote may have to go through it.
bool stays_for_now(const RemovingInput& in) { return in.leak_suspected && may_be_vesicant(in.running); }

Step ground_step(const RemovingInput& in) {
  Step ground = step("ground", "Why it comes out", "The order, or your reason. Is other access needed first?",
                     Capture::removal_ground);
  const std::string what = in.running == infusate::HarmClass::vesicant ? "A vesicant is running"
                                                                       : "What runs is unknown and may be a vesicant";
  if (stays_for_now(in))
    ground.stops.push_back(
        what +
        " and a leak is suspected: do not remove yet. Stop, disconnect, do not flush, draw back, call; "
        "an antidote may have to go through this catheter. End these steps at the call; they begin "
        "again when it is decided.");
  else if (may_be_vesicant(in.running))
    ground.cautions.push_back(what + ": if a leak is suspected, leave the catheter in, do not flush, call first.");
  ground.cautions.emplace_back("Do not take out the only line for a life-supporting drug before a new one is ready.");
  return ground;
}

}  // namespace

std::vector<Step> removing_steps(const RemovingInput& input, const policy::Policy& policy) {
  std::vector<Step> steps;
  steps.push_back(ground_step(input));
  steps.push_back(step("identity", "Right patient, clean hands, gloves", "Two identifiers. Hands first, then gloves.",
                       Capture::identity_confirmed, open_checklist));
  steps.push_back(step("stop", "Stop the flow", "Clamp off or pump stopped before you handle the line.", Capture::none,
                       open_checklist));
  if (stays_for_now(input)) {
    steps.push_back(
        because(step("leave_in", "Leave it in, draw back",
                     "Disconnect. Do not flush. Draw back slowly what will come; note the volume.", Capture::none,
                     {"anaesthesia reference and a children's hospital guideline on extravasation", Mark::read}),
                "What is drawn back does no harm, and the way for an antidote stays open."));
    steps.push_back(step("call", "Call",
                         "The practitioner and pharmacy now: what ran, how much, since when, how it looks.",
                         Capture::none));
  }
  Step loosen = step("loosen", "Loosen film and tape", "Toward the site. Hold the skin; fragile skin tears.",
                     Capture::none, open_checklist);
  if (stays_for_now(input))
    loosen = with_stop(std::move(loosen), "Only when it is decided that the catheter comes out.");
  steps.push_back(std::move(loosen));
  Step draw = step("withdraw", "Draw it out",
                   "Gauze over the site, slow, along the vein, no pressing while it slides. Glance at the tip as it "
                   "leaves.",
                   Capture::none, open_checklist);
  draw = with_caution(std::move(draw), "Tip short or ragged: tourniquet high on the limb at once, limb still, call.");
  steps.push_back(
      with_caution(std::move(draw),
                   "Resistance: stop, do not pull hard, warm compress, tell the practitioner (value from memory)."));
  steps.push_back(pressure_step(input, policy.remove));
  Step inspect =
      step("inspect", "Look at the catheter",
           "Lay it on a ruler. Tip whole? " +
               (input.length_placed ? "It was placed as " + show(*input.length_placed) + "."
                                    : std::string("Its length at placement is not recorded: measure all the same.")),
           Capture::catheter_length, open_checklist);
  inspect = because(std::move(inspect), "A piece left in the vein travels; only the length tells.");
  steps.push_back(
      with_caution(std::move(inspect), "Shorter or ragged: emergency. Limb still, call, keep every piece."));
  steps.push_back(step("site", "Look at the site", "Redness, swelling, warmth, tenderness, pus.", Capture::site_signs,
                       open_checklist));
  steps.push_back(step("dress", "Dress", "Gauze and tape or an adhesive dressing once bleeding has stopped.",
                       Capture::dressing, open_checklist));
  steps.push_back(step("teach", "Tell the patient",
                       "Watch the site for " + in_hours(policy.remove.after_watch.value) +
                           ": pain, redness, swelling, a hard cord, fever. Whom to call, in writing.",
                       Capture::teaching, source_of(policy.remove.after_watch)));
  steps.push_back(step("record", "Write it down",
                       "Gloves off, hands clean. Reason, catheter, site, pressure time, how the patient bore it.",
                       Capture::tolerance));
  return steps;
}

Checked<CatheterCheck> check_catheter(std::optional<Length> placed, std::optional<Length> found,
                                      std::optional<bool> tip_whole, const policy::Policy& policy) {
  FieldErrors errors;
  const auto plausible = [&](const char* path, const std::optional<Length>& length) {
    if (length && !(*length >= 0.0 * millimetre && *length <= 300.0 * millimetre))
      errors.push_back({path, show(*length), "from 0 to 300 mm"});
  };
  plausible("/placed", placed);
  plausible("/found", found);
  if (!errors.empty()) return refuse(std::move(errors));

  CatheterCheck check;
  const auto say = [&](Severity severity, const char* code, std::string text) {
    check.findings.push_back({severity, code, std::move(text), source_of(policy.remove.length_tolerance)});
  };
  // A thousandth of a millimetre for binary noise: 25 mm placed and 24 mm found differ by exactly the usual tolerance.
  const Length tolerance = policy.remove.length_tolerance.value + 1e-3 * millimetre;
  if (placed && found && *placed - *found > tolerance) {
    check.missing = *placed - *found;
    check.alarm = true;
    say(Severity::stop, "catheter_short",
        show(*check.missing) + " missing: placed " + show(*placed) + ", found " + show(*found) + ".");
  }
  if (tip_whole == false) {
    check.alarm = true;
    say(Severity::stop, "tip_not_whole", "The tip is not whole.");
  }
  if (!found) say(Severity::caution, "length_unknown", "The length found is not recorded: whole is not proven.");
  if (!placed)
    say(Severity::caution, "length_placed_unknown", "The length placed is not recorded: nothing to compare with.");
  if (!tip_whole) say(Severity::caution, "tip_unknown", "The tip is not recorded: whole is not proven.");
  if (placed && found && *found - *placed > tolerance)
    say(Severity::caution, "longer_than_placed", "Longer than placed: measure again, or was the record wrong?");
  if (check.alarm)
    if (const auto card = policy.responses.find("catheter_fragment"); card != policy.responses.end())
      check.card = card->second;
  return check;
}

}  // namespace dwell::procedure

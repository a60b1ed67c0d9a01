// A line that changes its place: sent to another bed or unit, or received with its patient. And the look at its site.
#include "procedure/steps.h"
#include "procedure/words.h"
#include "quantity/display.h"

namespace dwell::procedure {
namespace {

Step look_step() {
  return because(
      step("site", "Look at the site",
           "Through the film and by touch; compare with the other limb; ask about pain. Opaque dressing: open "
           "it. Dark skin: warmth, hardness, darker than around.",
           Capture::site_signs),
      "What was sound before the journey may not be after it.");
}

Step trace_step(const policy::Watch& watch) {
  return with_clock(because(step("trace", "Trace the tubing", "By hand from each bag to its vein; label both ends.",
                                 Capture::tubing_traced, source_of(watch.trace_after_move)),
                            "A bag that is hung again in a hurry can end in the wrong vein."),
                    ClockRule::at_most, "tubing traced after a move", watch.trace_after_move);
}

Step identity_step() {
  return step("identity", "Right patient", "Two identifiers against band and record.", Capture::identity_confirmed);
}

/// What to flush is what lies in the line: it goes in as one push.
Step patency_step() {
  Step patency = because(
      step(
          "patency", "Does it work?",
          "Site sound and nothing running: scrub the hub, draw back, flush slowly. Something runs: do not flush it in; "
          "look, feel, ask, hold the pump against the order.",
          Capture::blood_return),
      "Nobody here has seen it work, and a flush drives what lies in the line in as one push.");
  patency = with_caution(std::move(patency), "Swollen, cool or painful: do not flush. Open the card for a leak.");
  patency = with_caution(std::move(patency), "Resistance: stop. Do not force.");
  return with_caution(std::move(patency),
                      "No irritant or vesicant through a line of unknown history before it is proven.");
}

}  // namespace

std::vector<Step> transfer_steps(const policy::Policy& policy) {
  std::vector<Step> steps;
  steps.push_back(identity_step());
  Step enough =
      because(step("enough", "Enough for the way",
                   "Clamp before a set leaves its pump. What is left in bag and battery; the next vasopressor "
                   "goes along.",
                   Capture::none),
              "A set that leaves its pump open runs free; a bag that runs dry in a corridor clots the line.");
  steps.push_back(std::move(enough));
  steps.push_back(look_step());
  steps.push_back(
      step("secure", "Secure", "Slack in the tubing; nothing hangs from the catheter.", Capture::securement));
  steps.push_back(
      step("hand_over", "Hand over at the bed",
           "Which line, since when, what runs, what was found, what falls due. Both look at the site and read "
           "the rate again.",
           Capture::handover));
  steps.push_back(trace_step(policy.watch));
  return steps;
}

std::vector<Step> receiving_steps(const ReceivingInput& input, const policy::Policy& policy) {
  std::vector<Step> steps;
  steps.push_back(identity_step());
  steps.push_back(step("hands", "Clean hands", "Before you touch the patient.", Capture::none));
  steps.push_back(step("origin", "Where from, since when",
                       "Read the label; ask who brought the patient. Allergies. Not known is an answer.",
                       Capture::origin));
  steps.push_back(look_step());
  steps.push_back(step("pump", "What runs, and how fast",
                       "Bag, label and pump against the order: drug, strength, rate. What lies in the line now?",
                       Capture::none));
  steps.push_back(trace_step(policy.watch));
  steps.push_back(patency_step());
  if (input.asepsis != line::Asepsis::aseptic) {
    const auto& by = policy.watch.emergency_dwell;
    Step replace = step(
        "replace", "Plan its replacement",
        std::string(input.asepsis ? "Placed without assured asepsis" : "Asepsis is not known: taken as not assured") +
            ". Out as soon as possible, by " + in_hours(by.value) + " after it was placed.",
        Capture::label, source_of(by));
    if (!input.in_for)
      replace = with_caution(std::move(replace),
                             "Since when is not known: count from when the patient left for hospital, or ask for a new "
                             "line now.");
    else if (*input.in_for >= by.value)
      replace = with_caution(std::move(replace), "Its time is over: ask for a new line now.");
    steps.push_back(std::move(replace));
  }
  steps.push_back(step("record", "Write it down", "What was found and what was told; what is not known, as not known.",
                       Capture::tolerance));
  return steps;
}

std::vector<Step> checking_steps(const CheckingInput& input) {
  const bool harm_possible = input.running != infusate::HarmClass::harmless;
  std::vector<Step> steps;
  steps.push_back(step("hands", "Clean hands", "Before you touch the patient.", Capture::none));
  steps.push_back(identity_step());
  steps.push_back(
      step("look", "Look",
           "Along the vein, both sides of the film, under hub and splint; against the other limb. Dark skin: "
           "darker than around counts as red.",
           Capture::site_signs));
  steps.push_back(
      step("feel", "Feel", "Warm or cool, hard, a cord, tight. Fingers: warm, moving, refill.", Capture::none));
  steps.push_back(step("ask", "Ask",
                       input.patient.can_report_pain.value_or(false)
                           ? "Pain, burning, numb? How strong, since when?"
                           : "Cannot tell us: face, cries, pulls away, guards the arm. The family knows first.",
                       Capture::none));
  Step flow = step("flow", "What runs",
                   input.infusing ? "Bag and pump against the order; connections tight. Slower than set is a sign."
                                  : "Nothing runs: clamped, capped, flushed when?",
                   Capture::none);
  if (harm_possible && input.infusing)
    flow = with_caution(std::move(flow),
                        "Pain, redness, swelling or numbness while this runs: stop it, leave the catheter in, open the "
                        "card for its leak.");
  steps.push_back(std::move(flow));
  steps.push_back(
      step("dressing", "Dressing", "Clean, dry, whole; label readable; nothing pulls or presses.", Capture::none));
  steps.push_back(step("need", "Still needed?", "For what, until when? Nothing for a day: ask whether it may come out.",
                       Capture::none));
  steps.push_back(because(step("chart", "Chart what you found", "Each sign, pain as a number. Not looked at is not 0.",
                               Capture::site_signs),
                          "The next one compares with what you wrote."));
  return steps;
}

}  // namespace dwell::procedure

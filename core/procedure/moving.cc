// A line that changes its place: sent to another bed or unit, or received with its patient.
#include "procedure/steps.h"
#include "quantity/display.h"

namespace dwell::procedure {
namespace {

const Source practice{"common practice, no source", Mark::practice};

Step step(const char* id, const char* title, std::string detail, Capture capture, std::string why = "") {
  Step made;
  made.id = id;
  made.title = title;
  made.detail = std::move(detail);
  made.why = std::move(why);
  made.capture = capture;
  made.source = practice;
  return made;
}

Step look_step() {
  return step("site", "Look at the site", "Through the film and by touch; compare with the other limb; ask about pain.",
              Capture::site_signs, "What was sound before the journey may not be after it.");
}

Step trace_step(const policy::Watch& watch) {
  Step trace = step("trace", "Trace the tubing", "By hand from each bag to its vein; label both ends.",
                    Capture::tubing_traced, "A bag that is hung again in a hurry can end in the wrong vein.");
  trace.source = source_of(watch.trace_after_move);
  trace.clock = Clock{ClockRule::at_most, watch.trace_after_move.value, "tubing traced after a move", trace.source};
  return trace;
}

}  // namespace

std::vector<Step> transfer_steps(const policy::Policy& policy) {
  std::vector<Step> steps;
  steps.push_back(step("enough", "Enough for the way", "What is left in the bag and in the pump's battery.",
                       Capture::none, "A bag that runs dry in a corridor clots the line."));
  steps.push_back(look_step());
  steps.push_back(
      step("secure", "Secure", "Slack in the tubing; nothing hangs from the catheter.", Capture::securement));
  Step hand_over = step("hand_over", "Hand over at the bed",
                        "Which line, since when, what runs, what was found, what falls due. Both look at the site.",
                        Capture::handover);
  steps.push_back(std::move(hand_over));
  steps.push_back(trace_step(policy.watch));
  return steps;
}

std::vector<Step> receiving_steps(const ReceivingInput& input, const policy::Policy& policy) {
  std::vector<Step> steps;
  steps.push_back(
      step("identity", "Right patient", "Two identifiers against band and record.", Capture::identity_confirmed));
  steps.push_back(step("origin", "Where from, since when",
                       "Read the label; ask who brought the patient. Not known is an answer.", Capture::origin));
  steps.push_back(look_step());
  steps.push_back(trace_step(policy.watch));
  Step patency = step("patency", "Does it work?", "Draw back gently, flush slowly, watch for swelling, ask about pain.",
                      Capture::blood_return, "Nobody here has seen it work.");
  patency.cautions.emplace_back("Resistance, swelling or pain: stop. Do not force.");
  patency.cautions.emplace_back("No irritant or vesicant through a line of unknown history before it is proven.");
  steps.push_back(std::move(patency));
  if (input.asepsis != line::Asepsis::aseptic) {
    const auto& by = policy.watch.emergency_dwell;
    Step replace = step(
        "replace", "Plan its replacement",
        std::string(input.asepsis ? "Placed without assured asepsis" : "Asepsis is not known: taken as not assured") +
            ". Out as soon as possible, by " + show(by.value) + " after it was placed.",
        Capture::label);
    replace.source = source_of(by);
    if (!input.in_for)
      replace.cautions.emplace_back(
          "Since when is not known: count from when the patient left for hospital, or replace now.");
    else if (*input.in_for >= by.value)
      replace.cautions.emplace_back("Its time is over: replace it now.");
    steps.push_back(std::move(replace));
  }
  steps.push_back(step("record", "Write it down", "What was found and what was told; what is not known, as not known.",
                       Capture::tolerance));
  return steps;
}

}  // namespace dwell::procedure

#include "line/deviations.h"

#include <utility>

#include "json/codec.h"
#include "line/history_text.h"
#include "quantity/display.h"

namespace dwell::line {
namespace {

const policy::Antiseptic* find_antiseptic(const std::string& name, const policy::Place& place) {
  for (const auto& [key, antiseptic] : place.antiseptics)
    if (key == name || antiseptic.name == name) return &antiseptic;
  return nullptr;
}

class Marking {
 public:
  Marking(const Event& event, State& state, const policy::Policy& policy, int own_attempts)
      : event_(event), state_(state), policy_(policy), own_attempts_(own_attempts) {}

  template <class T>
  void operator()(const T&) {}  // nothing in the policy speaks about the other kinds

  void operator()(const OrderDoubleChecked& fact) {
    if (!fact.agrees) mark("the second person's order differs", fact.note);
  }
  void operator()(const Planned& fact) {
    if (fact.override_reason) mark("an option other than the one offered was chosen", *fact.override_reason);
  }
  void operator()(const SupplyUsed& fact) {
    if (fact.expiry && *fact.expiry < utc_date(event_.occurred_at))
      mark(fact.what + " used although expired on " + show(*fact.expiry), fact.reason.value_or(""));
    else if (!fact.expiry)
      mark(fact.what + " used without a known expiry", fact.reason.value_or(""));
  }
  void operator()(const Attempted& fact) {
    const auto& all = state_.attempts;
    const int per_clinician = policy_.place.attempts_per_clinician.value, in_all = policy_.place.attempts_in_all.value;
    if (own_attempts_ > per_clinician)
      mark("attempt " + std::to_string(own_attempts_) + " by " +
           (fact.clinician.empty() ? "the same clinician" : fact.clinician) + "; policy: at most " +
           std::to_string(per_clinician) + " by one clinician");
    if (std::cmp_greater(all.size(), in_all))
      mark("attempt " + std::to_string(all.size()) + " on this patient; policy: at most " + std::to_string(in_all) +
           " in all");
  }
  void operator()(const Placed& fact) {
    if (fact.asepsis == Asepsis::not_assured) mark("placed without assured asepsis");
    const auto* antiseptic = find_antiseptic(fact.antiseptic, policy_.place);
    if (antiseptic && antiseptic->dry && fact.dried_for && *fact.dried_for < antiseptic->dry->value)
      mark("skin antiseptic dried for " + show(*fact.dried_for) + "; policy: at least " + show(antiseptic->dry->value));
  }
  void operator()(const TubingTraced& fact) {
    if (!fact.as_meant) mark("the tubing did not run as meant", fact.note);
  }
  void operator()(const PutOff& fact) {
    const auto& longest = policy_.watch.longest_put_off;
    if (!care::may_be_put_off(fact.task))
      mark(spoken(json::name_of(fact.task)) + " put off, though it may not wait", fact.reason);
    else if (between(event_.occurred_at, fact.until) > longest.value)
      mark(spoken(json::name_of(fact.task)) + " put off for " + show(between(event_.occurred_at, fact.until)) +
               "; policy: at most " + show(longest.value),
           fact.reason);
  }
  void operator()(const Removed& fact) {
    if (!state_.removal || state_.removal->at != event_.occurred_at) return;  // a second removal is a contradiction
    mark_catheter(fact);
    const auto& remove = policy_.remove;
    const bool thinned = state_.patient.anticoagulant.value_or(false);
    const Interval least = thinned ? remove.pressure_anticoagulant.value : remove.pressure.value;
    if (fact.pressed_for && *fact.pressed_for < least)
      mark("pressed for " + show(*fact.pressed_for) + "; policy: at least " + show(least) +
           (thinned ? " with an anticoagulant" : ""));
    if (fact.bleeding_stopped == false) mark("bleeding had not stopped");
  }

 private:
  /// Unknown is not whole.
  void mark_catheter(const Removed& fact) {
    if (state_.removal->missing)
      mark("catheter found " + show(*state_.removal->missing) + " shorter than placed");
    else if (!fact.length_found)
      mark("catheter not shown to be whole: its length was not recorded");
    else if (!state_.placement)
      mark("catheter not shown to be whole: no placed length to compare with");
    if (fact.tip_whole == false)
      mark("catheter tip not whole");
    else if (!fact.tip_whole)
      mark("catheter not shown to be whole: its tip was not recorded");
  }

  void mark(std::string text, const std::string& reason = "") {
    std::optional<std::string> why = event_.deviation_reason;
    if (!why && !reason.empty()) why = reason;
    state_.deviations.push_back({event_.id, event_.occurred_at, std::move(text), std::move(why)});
  }

  const Event& event_;
  State& state_;
  const policy::Policy& policy_;
  int own_attempts_;
};

}  // namespace

void mark_deviations(const Event& event, State& state, const policy::Policy& policy, int own_attempts) {
  std::visit(Marking{event, state, policy, own_attempts}, event.body);
}

}  // namespace dwell::line

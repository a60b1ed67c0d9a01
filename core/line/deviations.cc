#include "line/deviations.h"

#include <utility>

#include "quantity/display.h"
#include "say/line.h"

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
    if (!fact.agrees) mark(say::second_order_differs(), fact.note);
  }
  void operator()(const Planned& fact) {
    if (fact.override_reason) mark(say::other_option_chosen(), *fact.override_reason);
  }
  void operator()(const SupplyUsed& fact) {
    if (fact.expiry && *fact.expiry < utc_date(event_.occurred_at))
      mark(say::expired_supply_used(fact.what, *fact.expiry), fact.reason.value_or(""));
    else if (!fact.expiry)
      mark(say::supply_without_expiry_used(fact.what), fact.reason.value_or(""));
  }
  void operator()(const Attempted& fact) {
    const auto& all = state_.attempts;
    const int per_clinician = policy_.place.attempts_per_clinician.value, in_all = policy_.place.attempts_in_all.value;
    if (own_attempts_ > per_clinician)
      mark(fact.clinician.empty() ? say::attempt_beyond_same_clinicians(own_attempts_, per_clinician)
                                  : say::attempt_beyond_clinicians(own_attempts_, fact.clinician, per_clinician));
    if (std::cmp_greater(all.size(), in_all)) mark(say::attempt_beyond_all(std::ssize(all), in_all));
  }
  void operator()(const Placed& fact) {
    if (fact.asepsis == Asepsis::not_assured) mark(say::placed_without_asepsis());
    const auto* antiseptic = find_antiseptic(fact.antiseptic, policy_.place);
    if (antiseptic && antiseptic->dry && fact.dried_for && *fact.dried_for < antiseptic->dry->value)
      mark(say::antiseptic_dried_short(*fact.dried_for, antiseptic->dry->value));
  }
  void operator()(const TubingTraced& fact) {
    if (!fact.as_meant) mark(say::tubing_ran_otherwise(), fact.note);
  }
  void operator()(const PutOff& fact) {
    const auto& longest = policy_.watch.longest_put_off;
    if (!care::may_be_put_off(fact.task))
      mark(say::put_off_what_may_not_wait(say::task_name(fact.task)), fact.reason);
    else if (between(event_.occurred_at, fact.until) > longest.value)
      mark(say::put_off_too_long(say::task_name(fact.task), between(event_.occurred_at, fact.until), longest.value),
           fact.reason);
  }
  void operator()(const Removed& fact) {
    if (!state_.removal || state_.removal->at != event_.occurred_at) return;  // a second removal is a contradiction
    mark_catheter(fact);
    const auto& remove = policy_.remove;
    const bool thinned = state_.patient.anticoagulant.value_or(false);
    const Interval least = thinned ? remove.pressure_anticoagulant.value : remove.pressure.value;
    if (fact.pressed_for && *fact.pressed_for < least)
      mark(thinned ? say::pressed_short_anticoagulant(*fact.pressed_for, least)
                   : say::pressed_short(*fact.pressed_for, least));
    if (fact.bleeding_stopped == false) mark(say::bleeding_not_stopped());
  }

 private:
  /// Unknown is not whole.
  void mark_catheter(const Removed& fact) {
    if (state_.removal->missing)
      mark(say::catheter_found_shorter(shown(*state_.removal->missing)));
    else if (!fact.length_found)
      mark(say::catheter_length_not_recorded());
    else if (!state_.placement)
      mark(say::catheter_placed_length_unknown());
    if (fact.tip_whole == false)
      mark(say::catheter_tip_not_whole());
    else if (!fact.tip_whole)
      mark(say::catheter_tip_not_recorded());
  }

  void mark(Message text, const std::string& reason = "") {
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

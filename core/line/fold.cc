// From events to the line as it stands. One pass over the entries in force, by the time at which things happened.
#include <algorithm>
#include <map>
#include <stdexcept>

#include "json/codec.h"
#include "line/corrections.h"
#include "line/deviations.h"
#include "line/history_text.h"
#include "line/state.h"

namespace dwell::line {
namespace {

Volume total_volume(const infusate::Mixture& mixture) {
  Volume total = mixture.volume;
  for (const auto& additive : mixture.additives) total += additive.volume;
  return total;
}

/// Looked, and nothing found: every grade 0. Not assessed, ungraded or unmatched is never sound.
bool is_sound(const site::Signs& signs, const std::vector<GradeGiven>& grades) {
  if (!signs.assessed) return false;
  if (grades.empty()) return signs.present.empty();
  return std::all_of(grades.begin(), grades.end(), [](const GradeGiven& g) { return g.grade == 0 && !g.unmatched; });
}

class Folding {
 public:
  Folding(State& state, const policy::Policy& policy) : state_(state), policy_(policy) {}

  void take(const Event& event) {
    event_ = &event;
    const std::size_t before = state_.deviations.size();
    std::visit(
        [&](const auto& fact) {
          if constexpr (requires { fact.needs_catheter; }) needs_catheter(fact.needs_catheter);
          apply(fact);
        },
        event.body);
    mark_deviations(event, state_, policy_);
    if (event.deviation_reason && state_.deviations.size() == before)
      state_.deviations.push_back(
          {event.id, event.occurred_at, "policy not followed: " + history_text(event.body), event.deviation_reason});
  }

  void finish() {
    state_.stage = stage();
    contradict_order_of_facts();
    auto& found = state_.contradictions;
    std::sort(found.begin(), found.end());
    found.erase(std::unique(found.begin(), found.end()), found.end());
  }

 private:
  [[nodiscard]] Instant at() const { return event_->occurred_at; }
  void contradict(std::string text) { state_.contradictions.push_back(std::move(text)); }
  void used() { state_.last_used_at = std::max(state_.last_used_at.value_or(at()), at()); }

  /// Something done to a catheter that must be in place: remembered, and compared with placement and removal at the
  /// end.
  void needs_catheter(const char* what) { deeds_.push_back({at(), what}); }

  void apply(const Opened& fact) {
    if (opened_) {
      if (!(fact.patient == state_.patient)) contradict("the line was opened twice, for patients that differ");
      return;
    }
    opened_ = true;
    state_.patient = fact.patient;
    if (!moved_) state_.place = fact.place;
  }
  void apply(const Ordered& fact) {
    state_.order = fact.order;
    state_.double_check.reset();  // a second look holds for the order that was looked at
  }
  void apply(const Assessed& fact) { state_.veins = fact.veins; }
  void apply(const OrderDoubleChecked& fact) { state_.double_check = fact; }
  void apply(const Planned& fact) { state_.planned = fact; }
  void apply(const Prepared& fact) { state_.prepared = fact; }
  void apply(const Refused& fact) { state_.refusals.push_back({at(), event_->author, fact}); }
  void apply(const SupplyUsed&) {}
  void apply(const Attempted& fact) { state_.attempts.push_back({at(), fact}); }

  void apply(const Placed& fact) {
    if (state_.placement) return contradict("two placements are charted for this line; the first is shown");
    state_.placement = Placement{at(), event_->author, fact};
    state_.dressing = fact.dressing;
    state_.dressing_since = at();
    state_.add_ons_since = at();
    if (fact.flushed) {
      state_.last_flush_at = at();
      state_.given_in_all += *fact.flushed;
    }
    used();
  }

  void apply(const InfusionStarted& fact) {
    end_running(std::nullopt);
    if (!state_.set_since) state_.set_since = at();
    if (disconnected_) state_.set_intermittent = true;
    disconnected_ = false;
    Running running;
    running.started_at = running.flow_since = at();
    running.mixture = fact.mixture;
    running.total = total_volume(fact.mixture);
    running.flow = fact.flow;
    running.delivery = fact.delivery;
    running.drop_factor = fact.drop_factor;
    state_.running = running;
    state_.ran_since_sound_check.push_back(fact.mixture);
    used();
  }

  void apply(const RateChanged& fact) {
    if (!state_.running) return contradict("a rate change is charted while nothing was running");
    state_.running->given_before = running_state(*state_.running, at()).given;
    state_.running->flow = fact.flow;
    state_.running->flow_since = at();
    used();
  }

  void apply(const DripCounted&) {
    if (!state_.running) return contradict("a drip count is charted while nothing was running");
    state_.running->drip_counted_at = at();
    used();
  }

  void apply(const InfusionEnded& fact) {
    if (!state_.running) return contradict("the end of an infusion is charted while nothing was running");
    end_running(fact.given);
  }

  void apply(const Flushed& fact) {
    state_.given_in_all += fact.volume;
    state_.last_flush_at = at();
    remember_pushed(fact);
    if (fact.locks) {
      if (state_.running) {
        contradict("the line was locked while an infusion was charted as running; it is taken as ended then");
        end_running(std::nullopt);
      }
      disconnected_ = state_.set_since.has_value();
    }
    used();
  }

  void apply(const SiteChecked& fact) {
    state_.last_check = CheckMark{at(), event_->author, fact};
    if (is_sound(fact.signs, fact.grades)) {
      state_.last_sound_check_at = at();
      state_.given_until_sound_check = given_until(at());
      state_.ran_since_sound_check.clear();
      if (state_.running) state_.ran_since_sound_check.push_back(state_.running->mixture);
    }
    const auto& signs = fact.signs;
    if (signs.assessed)
      state_.looks.push_back(
          {at(), worst_grade(fact.grades), signs.pain_score, signs.swelling_extent, signs.cord_length});
  }

  void apply(const DressingChanged& fact) {
    state_.dressing = fact.dressing;
    state_.dressing_since = at();
  }

  void apply(const SetChanged&) {
    state_.set_since = at();
    state_.set_intermittent = false;
  }

  void apply(const AddOnChanged&) { state_.add_ons_since = at(); }

  void apply(const TubingTraced& fact) {
    if (fact.as_meant) state_.traced_at = at();
  }

  void apply(const Photographed& fact) { state_.photos.push_back({at(), event_->author, fact}); }

  void apply(const PutOff& fact) {
    std::erase_if(state_.put_off, [&](const PutOffMark& mark) { return mark.put_off.task == fact.task; });
    state_.put_off.push_back({at(), event_->author, fact});
  }

  void apply(const Assigned& fact) { state_.nurse = fact.nurse; }

  void apply(const HandedOver& fact) {
    state_.nurse = fact.to;
    state_.handover = HandoverMark{at(), fact};
  }

  void apply(const RetentionHeld& fact) { state_.held_because = fact.reason; }
  void apply(const RetentionReleased&) { state_.held_because.reset(); }

  void apply(const Responded& fact) { state_.responses.push_back({at(), event_->author, fact}); }

  void apply(const RemovalOrdered& fact) {
    state_.removal_order = fact.reason.empty() ? std::string(no_reason_recorded) : fact.reason;
    state_.removal_ordered_at = at();
  }

  void apply(const Removed& fact) {
    if (state_.removal) return contradict("the removal is charted twice; the first is shown");
    if (state_.running) end_running(std::nullopt);
    RemovalMark mark{at(), event_->author, fact, false, std::nullopt};
    if (state_.placement && fact.length_found) {
      const Length shorter = state_.placement->placed.length - *fact.length_found;
      constexpr Length noise = 1e-3 * millimetre;  // of the subtraction; nobody measures so finely
      if (shorter > policy_.remove.length_tolerance.value + noise) mark.missing = shorter;
    }
    mark.catheter_short = mark.missing.has_value() || fact.tip_whole == false;
    state_.removal = mark;
  }

  void apply(const AfterChecked& fact) {
    state_.after_checks.push_back({at(), event_->author, fact});
    if (!state_.removal) return contradict("a look after removal is charted, but no removal before it");
    const auto worst = worst_grade(fact.grades);
    if (fact.healed && worst.value_or(0) > 0)
      contradict("the site is charted as healed with grade " + std::to_string(*worst));
    const bool watched = at() - state_.removal->at >= policy_.remove.after_watch.value;
    const bool closes = fact.healed || (watched && is_sound(fact.signs, fact.grades));
    closed_at_ = closes ? std::optional(closed_at_.value_or(at())) : std::nullopt;
  }

  void apply(const Moved& fact) {
    if (closed_at_ && at() > *closed_at_) contradict("a move is charted after the line was closed");
    moved_ = true;
    state_.place = fact.place;
    if (state_.placement) state_.moved_at = at();
  }
  void apply(const Noted&) {}
  void apply(const Retracted&) {}

  /// A dose pushed by hand can leak as well as a bag; each fluid is remembered once.
  void remember_pushed(const Flushed& fact) {
    auto& ran = state_.ran_since_sound_check;
    const bool known = std::any_of(ran.begin(), ran.end(), [&](const infusate::Mixture& mixture) {
      return mixture.base == fact.fluid && mixture.additives.empty();
    });
    if (fact.fluid.empty() || known || fact.volume.value() == 0) return;
    infusate::Mixture pushed;
    pushed.base = fact.fluid;
    pushed.volume = fact.volume;
    ran.push_back(std::move(pushed));
  }

  [[nodiscard]] Volume given_until(Instant moment) const {
    return state_.running ? Volume(state_.given_in_all + running_state(*state_.running, moment).given)
                          : state_.given_in_all;
  }

  /// The running container ends now: what was measured, or else rate × time.
  void end_running(std::optional<Volume> given) {
    if (!state_.running) return;
    state_.given_in_all += given ? *given : running_state(*state_.running, at()).given;
    state_.running.reset();
    used();
  }

  [[nodiscard]] bool placed_again_after_removal() const {
    return state_.removal && state_.placement && state_.placement->at > state_.removal->at;
  }

  /// Part of a catheter may still be in the vein, however well the skin has healed.
  [[nodiscard]] bool fragment_unanswered() const {
    return state_.removal->catheter_short &&
           std::none_of(state_.responses.begin(), state_.responses.end(), [&](const ResponseMark& mark) {
             return mark.response.response == catheter_fragment_response && mark.at >= state_.removal->at;
           });
  }

  /// A placement charted later than the removal leaves a catheter in somebody's arm until a person has resolved it.
  [[nodiscard]] Stage stage() const {
    if (state_.removal && !placed_again_after_removal()) {
      const bool over = closed_at_ && !fragment_unanswered();
      const bool known = state_.set_aside.empty();  // what could not be read may say otherwise
      return known && (over || state_.removal->removed.reason == RemovalReason::death) ? Stage::closed : Stage::removed;
    }
    if (state_.placement) return Stage::dwelling;
    return state_.attempts.empty() ? Stage::planned : Stage::attempted;
  }

  void contradict_order_of_facts() {
    if (state_.removal && !state_.placement) contradict("the line is charted as removed, but no placement is charted");
    if (placed_again_after_removal()) contradict("the line is charted as removed before it was placed");
    for (const auto& [when, what] : deeds_) {
      if (!state_.placement)
        contradict(std::string(what) + ", but no placement is charted");
      else if (when < state_.placement->at)
        contradict(std::string(what) + " before the line was placed");
      else if (state_.removal && !placed_again_after_removal() && when > state_.removal->at)
        contradict(std::string(what) + " after the line was removed");
    }
    if (state_.stage == Stage::removed || state_.stage == Stage::closed) state_.running.reset();
  }

  struct Deed {
    Instant at{};
    const char* what = "";
  };

  State& state_;
  const policy::Policy& policy_;
  const Event* event_ = nullptr;
  bool opened_ = false, moved_ = false;
  bool disconnected_ = false;  ///< the line was locked since the set was last in use
  std::optional<Instant> closed_at_;
  std::vector<Deed> deeds_;
};

}  // namespace

State fold(std::span<const Event> events, const policy::Policy& policy, std::span<const SetAside> set_aside) {
  for (const auto& event : events)
    if (event.line != events.front().line) throw std::invalid_argument("events of two lines cannot be folded into one");

  State state;
  if (!events.empty()) state.id = events.front().line;
  Standing standing = resolve(events, set_aside);
  state.contradictions = std::move(standing.contradictions);
  state.set_aside = std::move(standing.set_aside);
  for (const auto& one : state.set_aside)
    state.contradictions.push_back("entry " + one.id + " cannot be read (" + one.reason +
                                   "); look at the line, then chart it anew or take it back");
  Folding folding(state, policy);
  state.history.reserve(standing.entries.size());
  for (const auto& [event, corrected, last_known] : standing.entries) {
    state.history.push_back({event->id, event->occurred_at, std::string(kind_of(event->body)),
                             history_text(event->body), event->author, worst_grade(event->body), corrected});
    if (!corrected || last_known) folding.take(*event);
  }
  folding.finish();
  if (standing.taken_back_whole && state.set_aside.empty()) state.stage = Stage::closed;
  return state;
}

RunningState running_state(const Running& running, Instant now) {
  const Duration since = to_duration(std::max(between(running.flow_since, now), Interval{0}));
  RunningState out;
  out.given = std::min(running.total, Volume(running.given_before + running.flow * since));
  out.left = running.total - out.given;
  out.share_left = running.total.value() > 0 ? Ratio(out.left / running.total) : Ratio(0.0);
  if (running.flow.value() > 0) {
    const Volume at_change = running.total - std::min(running.total, running.given_before);
    out.empty_at = running.flow_since + to_interval(at_change / running.flow);
  }
  return out;
}

}  // namespace dwell::line

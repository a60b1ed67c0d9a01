// From events to the line as it stands. One pass over the entries in force, by the time at which things happened.
#include <algorithm>
#include <array>
#include <map>
#include <optional>
#include <set>
#include <stdexcept>
#include <tuple>
#include <unordered_map>
#include <unordered_set>
#include <utility>

#include "json/codec.h"
#include "line/clauses.h"
#include "line/corrections.h"
#include "line/deviations.h"
#include "line/findings.h"
#include "line/history_text.h"
#include "line/line_fold.h"
#include "line/state.h"
#include "line/wordless.h"
#include "quantity/difference.h"
#include "quantity/display.h"
#include "say/line.h"

namespace dwell::line {
namespace {

Volume total_volume(const infusate::Mixture& mixture) {
  Volume total = mixture.volume;
  for (const auto& additive : mixture.additives) total += additive.volume;
  return total;
}

/// Looked, and nothing found: no sign, and every grade 0. Not assessed or unmatched is never sound.
bool is_sound(const site::Signs& signs, const std::vector<GradeGiven>& grades) {
  if (!signs.assessed || !signs.present.empty() || signs.pain_score.value_or(0) > 0) return false;
  return std::all_of(grades.begin(), grades.end(), [](const GradeGiven& g) { return g.grade == 0 && !g.unmatched; });
}

/// Whether the history is told in words.
enum class Words { said, left_out };

/// The rules, entry by entry. What it remembers beside the state is small, so that a copy can be kept and gone back to.
class Folding {
 public:
  /// `said` takes the contradictions, as often as they are found.
  Folding(State& state, const policy::Policy& policy, std::vector<Message>& said, Words words)
      : state_(state), policy_(policy), said_(said), words_(words) {}

  /// The next entry in time.
  void go_on(const Event& event, bool counts) {
    if (counts) take(event);
  }

  /// What follows from all entries together. resume() takes the state back to where the next entry can be taken.
  void finish() {
    kept_open_by_entries_ = kept_open_;
    contradict_order_of_facts();
    state_.doubt = Doubt{kept_open_, {}};
    state_.stage = stage();
    if (state_.stage == Stage::removed || state_.stage == Stage::closed)
      ran_on_ = std::exchange(state_.running, std::nullopt);
  }
  void resume() {
    kept_open_ = kept_open_by_entries_;
    if (ran_on_) state_.running = std::exchange(ran_on_, std::nullopt);
  }

  /// About how many things it remembers beside the state.
  [[nodiscard]] std::size_t remembered() const { return deeds_.size() + attempts_by_.size() + ran_plain_.size(); }

 private:
  void take(const Event& event) {
    event_ = &event;
    const std::size_t before = state_.deviations.size();
    std::visit(
        [&](const auto& fact) {
          if constexpr (requires { fact.needs_catheter; }) needs_catheter(fact.needs_catheter);
          apply(fact);
        },
        event.body);
    if (words_ == Words::left_out) return;
    const auto* attempt = std::get_if<Attempted>(&event.body);
    mark_deviations(event, state_, policy_, attempt ? attempts_by_[attempt->clinician] : 0);
    if (event.deviation_reason && state_.deviations.size() == before)
      state_.deviations.push_back(
          {event.id, event.occurred_at, say::policy_not_followed(history_text(event.body)), event.deviation_reason});
  }

  [[nodiscard]] Instant at() const { return event_->occurred_at; }
  void contradict(Message text) { said_.push_back(std::move(text)); }
  /// One that may hide a catheter, an infusion or a wound: until a person has resolved it the line is not closed.
  void contradict_open(Message text) {
    kept_open_ = true;
    contradict(std::move(text));
  }
  void used() { state_.last_used_at = std::max(state_.last_used_at.value_or(at()), at()); }

  /// Something done to a catheter that must be in place: remembered, and compared with placement and removal at the
  /// end.
  void needs_catheter(Deed what) { deeds_.try_emplace(what, Deeds{at(), at()}).first->second.last = at(); }

  void apply(const Opened& fact) {
    if (opened_) {
      if (!(fact.patient == state_.patient)) contradict(say::opened_for_two_patients());
      return;
    }
    opened_ = true;
    state_.patient = fact.patient;
    if (!moved_) state_.place = fact.place;
  }
  void apply(const Ordered& fact) {
    started_again(say::order_after_removal());
    state_.order = fact.order;
    state_.double_check.reset();  // a second look holds for the order that was looked at
  }
  void apply(const Assessed& fact) { state_.veins = fact.veins; }
  void apply(const OrderDoubleChecked& fact) { state_.double_check = fact; }
  void apply(const Planned& fact) {
    started_again(say::plan_after_removal());
    state_.not_placed.reset();
    state_.planned = fact;
  }
  void apply(const Prepared& fact) { state_.prepared = fact; }
  void apply(const Refused& fact) { state_.refusals.push_back({at(), event_->author, fact}); }
  void apply(const SupplyUsed&) {}
  void apply(const Attempted& fact) {
    started_again(say::attempt_after_removal());
    state_.not_placed.reset();
    state_.attempts.push_back({at(), fact});
    ++attempts_by_[fact.clinician];
    attempt_placed_ |= fact.outcome == AttemptOutcome::placed;
    const char* card = card_of(fact.outcome);
    if (card) take_found(state_, *event_, say::attempt_went_wrong(say::attempt_outcome(fact.outcome)), card);
  }

  /// What is ordered or tried after the removal belongs to a line of its own, and here nobody would see it.
  void started_again(Message what) {
    if (state_.removal && in_ == 0) contradict_open(std::move(what));
  }

  void apply(const Placed& fact) {
    const Placement placement{at(), event_->author, fact};
    ++in_;
    state_.not_placed.reset();
    if (in_ > 1) {
      state_.also_placed.push_back(placement);
      return contradict_open(say::two_placements());
    }
    if (state_.removal && state_.placement) contradict_open(say::placed_again_after_removal());
    if (!state_.placement) first_placed_at_ = at();
    state_.placement = placement;
    closed_at_.reset();
    state_.dressing = fact.dressing;
    state_.dressing_since = at();
    state_.dressing_broken_at.reset();
    state_.add_ons_since = at();
    if (fact.flushed) {
      state_.last_flush_at = at();
      state_.given_in_all += *fact.flushed;
      goes_in();
    }
    used();
    drawn_back(fact.blood_return, say::no_blood_at_placement());
  }

  void apply(const InfusionStarted& fact) {
    end_running(std::nullopt);
    if (!state_.set_since) state_.set_since = at();
    goes_through_set(fact.mixture);
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
    ran(fact.mixture);
    goes_in();
    used();
  }

  void apply(const RateChanged& fact) {
    if (!state_.running) return contradict(say::rate_change_of_nothing());
    state_.running->given_before = running_state(*state_.running, at()).given;
    state_.running->flow = fact.flow;
    state_.running->flow_since = at();
    used();
  }

  void apply(const DripCounted&) {
    if (!state_.running) return contradict(say::drip_count_of_nothing());
    state_.running->drip_counted_at = at();
    used();
  }

  void apply(const InfusionEnded& fact) {
    if (!state_.running) return contradict(say::end_of_nothing());
    end_running(fact.given);
  }

  void apply(const Flushed& fact) {
    state_.given_in_all += fact.volume;
    state_.last_flush_at = at();
    goes_in();
    remember_pushed(fact);
    if (fact.resistance) take_found(state_, *event_, say::resistance_at_flush(), "occlusion");
    drawn_back(fact.blood_return, say::no_blood_at_flush());
    if (fact.locks) {
      if (state_.running) {
        contradict(say::locked_while_running());
        end_running(std::nullopt);
      }
      disconnected_ = state_.set_since.has_value();
    }
  }

  void apply(const SiteChecked& fact) {
    state_.last_check = CheckMark{at(), event_->author, fact};
    if (fact.dressing_intact == false && !state_.dressing_broken_at) state_.dressing_broken_at = at();
    if (fact.still_needed == true) state_.not_needed_at.reset();
    if (fact.still_needed == false && !state_.not_needed_at) state_.not_needed_at = at();
    look(fact.signs, fact.grades, fact.response, fact.seen_before_gone != false);
    drawn_back(fact.blood_return, say::no_blood_at_check());
    if (is_sound(fact.signs, fact.grades) && fact.seen_before_gone != false) {
      state_.last_sound_check_at = at();
      state_.given_until_sound_check = given_until(at());
      state_.ran_since_sound_check.clear();
      ran_plain_.clear();
      if (state_.running) ran(state_.running->mixture);
    }
    const auto& signs = fact.signs;
    if (signs.assessed)
      state_.looks.push_back(
          {at(), worst_grade(fact.grades), signs.pain_score, signs.swelling_extent, signs.cord_length});
  }

  void apply(const DressingChanged& fact) {
    state_.dressing = fact.dressing;
    state_.dressing_since = at();
    state_.dressing_broken_at.reset();
  }

  void apply(const SetChanged&) {
    state_.set_since = at();
    state_.set_intermittent = false;
    state_.through_set.clear();
    if (state_.running) goes_through_set(state_.running->mixture);
  }

  void apply(const AddOnChanged&) { state_.add_ons_since = at(); }

  void apply(const TubingTraced& fact) {
    if (fact.as_meant) {
      state_.traced_at = at();
      state_.not_as_meant_at.reset();
    } else if (!state_.not_as_meant_at) {
      state_.not_as_meant_at = at();
    }
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

  void apply(const Responded& fact) {
    state_.responses.push_back({at(), event_->author, fact});
    take_answer(state_, policy_);
    const auto card = policy_.responses.find(fact.response);
    if (card != policy_.responses.end() && says_something(fact))
      followed_until_ = std::max(followed_until_.value_or(at()), at() + followed_for(card->second));
  }

  void apply(const RemovalOrdered& fact) {
    state_.removal_order = fact.reason;
    state_.removal_ordered_at = at();
  }

  void apply(const Removed& fact) {
    if (state_.removal && in_ == 0) {
      look(fact.signs, fact.grades, "");
      const RemovalMark again = removal_of(fact);
      if (again.catheter_short) ask_whether_whole(again);
      return contradict_open(say::removal_twice());
    }
    if (state_.running) end_running(std::nullopt);
    in_ = std::max(0, in_ - 1);
    const RemovalMark mark = removal_of(fact);
    look(fact.signs, fact.grades, "");
    ask_whether_whole(mark);
    state_.removal = mark;
    if (in_ == 0) return nothing_to_draw_back_through();
    state_.placement = state_.also_placed.front();  // the other one is still to be found
    state_.also_placed.erase(state_.also_placed.begin());
  }

  [[nodiscard]] RemovalMark removal_of(const Removed& fact) const {
    RemovalMark mark{at(), event_->author, fact, false, std::nullopt};
    if (state_.placement && fact.length_found) {
      const Length shorter = state_.placement->placed.length - *fact.length_found;
      constexpr Length noise = 1e-3 * millimetre;  // of the subtraction; nobody measures so finely
      if (shorter > policy_.remove.length_tolerance.value + noise) mark.missing = shorter;
    }
    mark.catheter_short = mark.missing.has_value() || fact.tip_whole == false;
    return mark;
  }

  /// Part of a catheter may still be in the vein, however well the skin has healed; unknown is not whole.
  void ask_whether_whole(const RemovalMark& mark) {
    const std::string card(catheter_fragment_response);
    if (mark.missing)
      take_found(state_, *event_, say::length_missing(shown(*mark.missing)), card, true);
    else if (mark.catheter_short)
      take_found(state_, *event_, say::tip_not_whole(), card, true);
    else if (!state_.placement)
      take_found(state_, *event_, say::no_placed_length(), card);
    else if (!mark.removed.length_found)
      take_found(state_, *event_, say::length_not_recorded_at_removal(), card);
  }

  void apply(const AfterChecked& fact) {
    state_.after_checks.push_back({at(), event_->author, fact});
    // With a catheter in the vein it is the place of an attempt, or of another catheter.
    look(fact.signs, fact.grades, "", !catheter_is_in() && fact.seen_before_gone != false);
    if (!state_.removal) {
      // After an attempt that hurt there is something to look at too.
      if (state_.attempts.empty() || state_.placement) contradict(say::look_before_removal());
      return;
    }
    const auto worst = worst_grade(fact.grades);
    const bool graded = worst.value_or(0) > 0;
    const bool healed = fact.healed && !graded && fact.signs.present.empty();
    if (fact.healed && graded)
      contradict(say::healed_with_grade(*worst));
    else if (fact.healed && !healed)
      contradict(say::healed_with_signs(describe(fact.signs)));
    const bool watched = at() - state_.removal->at >= policy_.remove.after_watch.value;
    const bool closes = healed || (watched && is_sound(fact.signs, fact.grades));
    if (closes) sound_at_ = at();
    closed_at_ = closes ? std::optional(closed_at_.value_or(at())) : std::nullopt;
  }

  void apply(const Moved& fact) {
    if (closed_at_ && at() > *closed_at_) contradict_open(say::move_after_closing());
    moved_ = true;
    state_.place = fact.place;
    if (state_.placement) state_.moved_at = at();
  }
  /// A departure asks again, whatever was said of an earlier one.
  void apply(const Departed& fact) {
    auto& leaving = state_.leaving ? *state_.leaving : state_.leaving.emplace();
    leaving.departed = DepartureMark{at(), event_->author, fact};
    if (!leaving.unseen_since) leaving.unseen_since = at();
  }
  void apply(const LeftWithLine& fact) {
    auto& leaving = state_.leaving ? *state_.leaving : state_.leaving.emplace();
    leaving.left_with_line = LeftMark{at(), event_->author, fact};
    leaving.unseen_since.reset();
  }
  void apply(const NeedReviewed& fact) { state_.need = NeedMark{at(), event_->author, fact}; }
  void apply(const NotPlaced& fact) {
    if (catheter_is_in() || attempt_placed_) return contradict(say::not_placed_and_in());
    state_.not_placed = NotPlacedMark{at(), event_->author, fact};
  }

  void apply(const Noted&) {}
  void apply(const Retracted&) {}

  /// Blood that comes again is a look at the same thing; where nobody drew back, nothing is known.
  void drawn_back(std::optional<bool> blood_return, Message what) {
    if (!blood_return) return;
    if (*blood_return) {
      state_.no_blood_return_at.reset();
      return take_back_found(state_, no_blood_return_response);
    }
    if (!state_.no_blood_return_at) state_.no_blood_return_at = at();
    take_found(state_, *event_, std::move(what), std::string(no_blood_return_response));
  }

  /// The catheter is out: whether blood came through it asks for nothing any more.
  void nothing_to_draw_back_through() {
    state_.no_blood_return_at.reset();
    take_back_found(state_, no_blood_return_response);
  }

  /// Something goes in, from now or once.
  void goes_in() { given_at_ = at(); }

  void look(const site::Signs& signs, const std::vector<GradeGiven>& grades, std::string_view response,
            bool may_end = true) {
    take_look(state_, {*event_, signs, grades, response, may_end}, state_.running ? std::optional(at()) : given_at_,
              policy_);
  }

  void goes_through_set(const infusate::Mixture& mixture) {
    const auto add = [&](const std::string& name) {
      auto& names = state_.through_set;
      if (std::find(names.begin(), names.end(), name) == names.end()) names.push_back(name);
    };
    add(mixture.base);
    for (const auto& additive : mixture.additives) add(additive.name);
  }

  void ran(const infusate::Mixture& mixture) {
    state_.ran_since_sound_check.push_back(mixture);
    if (mixture.additives.empty()) ran_plain_.insert(mixture.base);
  }

  /// A dose pushed by hand can leak as well as a bag; each fluid is remembered once. One without a name is not known,
  /// and so not known to be harmless.
  void remember_pushed(const Flushed& fact) {
    auto& pushed = state_.pushed;
    const auto known =
        std::find_if(pushed.begin(), pushed.end(), [&](const PushMark& mark) { return mark.fluid == fact.fluid; });
    if (known == pushed.end())
      pushed.push_back({fact.fluid, at()});
    else
      known->at = at();
    if (ran_plain_.contains(fact.fluid)) return;
    constexpr Volume a_little = 1.0 * millilitre;  // how much was not recorded; that it went in, was
    infusate::Mixture mixture;
    mixture.base = fact.fluid;
    mixture.volume = fact.volume.value() > 0 ? fact.volume : a_little;
    ran(mixture);
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
    goes_in();
    used();
  }

  /// As far as the record says, a catheter is in the vein: one more went in than came out.
  [[nodiscard]] bool catheter_is_in() const { return in_ > 0; }

  /// A placement charted later than the removal leaves a catheter in somebody's arm until a person has resolved it.
  [[nodiscard]] Stage stage() const {
    if (state_.removal && !catheter_is_in()) {
      const bool followed = !followed_until_ || sound_at_ >= *followed_until_ - policy_.watch.soon.value;
      const bool over = closed_at_ && followed && nothing_stands(state_, policy_);
      const bool known = state_.set_aside.empty() && !kept_open_;  // what could not be read may say otherwise
      return known && (over || state_.removal->removed.reason == RemovalReason::death) ? Stage::closed : Stage::removed;
    }
    if (state_.placement) return Stage::dwelling;
    const bool never_in = state_.not_placed && !attempt_placed_ && deeds_.empty() && !state_.removal;
    if (never_in && state_.set_aside.empty() && !kept_open_ && nothing_stands(state_, policy_)) return Stage::closed;
    return state_.attempts.empty() ? Stage::planned : Stage::attempted;
  }

  void contradict_order_of_facts() {
    if (state_.removal && !state_.placement) contradict_open(say::removed_never_placed());
    if (state_.removal && catheter_is_in() && first_placed_at_ >= state_.removal->at)
      contradict(say::removed_before_placed());
    if (!state_.placement && !state_.removal && attempt_placed_) contradict(say::attempt_placed_no_placement());
    for (const auto& [what, when] : deeds_) {
      if (!state_.placement) {
        contradict(say::deed_without_placement(what));
        continue;
      }
      if (when.first < first_placed_at_) contradict(say::deed_before_placement(what));
      if (state_.removal && !catheter_is_in() && when.last > state_.removal->at)
        contradict_open(say::deed_after_removal(what));
    }
  }

  /// When something was done that needs a catheter in place: the first and the last time.
  struct Deeds {
    Instant first{}, last{};
  };

  State& state_;
  const policy::Policy& policy_;
  std::vector<Message>& said_;
  Words words_;
  const Event* event_ = nullptr;
  bool opened_ = false, moved_ = false;
  bool disconnected_ = false;  ///< the line was locked since the set was last in use
  std::optional<Instant> closed_at_;
  std::optional<Instant> given_at_;        ///< when something last went in, but for what runs
  std::optional<Instant> followed_until_;  ///< cards that were charted ask for looks until then
  std::optional<Instant> sound_at_;        ///< last look after removal at which the site could be given up
  Instant first_placed_at_{};
  int in_ = 0;  ///< catheters that went in and were not charted as out
  bool attempt_placed_ = false;
  bool kept_open_ = false, kept_open_by_entries_ = false;
  std::optional<Running> ran_on_;  ///< charted as running after the line was taken out
  std::map<Deed, Deeds> deeds_;
  std::map<std::string, int> attempts_by_;        ///< by clinician
  std::set<std::string, std::less<>> ran_plain_;  ///< bases without additives among ran_since_sound_check
};

HistoryEntry history_entry(const Event& event, bool corrected, Words words) {
  return {event.id,
          event.occurred_at,
          std::string(kind_of(event.body)),
          words == Words::said ? history_text(event.body) : Message(),
          event.author,
          worst_grade(event.body),
          corrected,
          matches_no_grade(event.body) ? std::optional(true) : std::nullopt};
}

Message unreadable_text(const SetAside& one) { return say::entry_unreadable(one.id, one.reason); }

/// Each once, in the order of their keys, which begin with the id: only where two say the same are keys made.
std::vector<Message> each_once(std::vector<Message> said) {
  std::stable_sort(said.begin(), said.end(), [](const Message& a, const Message& b) { return a.id() < b.id(); });
  std::vector<Message> once;
  once.reserve(said.size());
  for (auto first = said.begin(); first != said.end();) {
    const auto next = std::find_if(first, said.end(), [&](const Message& one) { return one.id() != first->id(); });
    if (next - first == 1) {
      once.push_back(std::move(*first));
    } else {
      std::map<std::string, Message> by_key;
      for (auto at = first; at != next; ++at) by_key.emplace(key_of(*at), std::move(*at));
      for (auto& [key, one] : by_key) once.push_back(std::move(one));
    }
    first = next;
  }
  return once;
}

State folded(std::span<const Event> events, const policy::Policy& policy, std::span<const SetAside> set_aside,
             Words words) {
  for (const auto& event : events)
    if (event.line != events.front().line) throw std::invalid_argument("events of two lines cannot be folded into one");

  State state;
  if (!events.empty()) state.id = events.front().line;
  Standing standing = resolve(events, set_aside);
  state.set_aside = std::move(standing.set_aside);
  std::vector<Message> said = std::move(standing.contradictions);
  for (const auto& one : state.set_aside) said.push_back(unreadable_text(one));
  const InUse kept = in_use(standing.entries);
  said.insert(said.end(), kept.contradictions.begin(), kept.contradictions.end());
  Folding folding(state, policy, said, words);
  state.history.reserve(standing.entries.size());
  for (const auto& [event, corrected] : standing.entries) {
    state.history.push_back(history_entry(*event, corrected, words));
    folding.go_on(*event, !corrected || kept.keeps(event));
  }
  folding.finish();
  if (kept.taken_back_whole && state.set_aside.empty()) state.stage = Stage::closed;
  state.contradictions = each_once(std::move(said));
  return state;
}

}  // namespace

State fold(std::span<const Event> events, const policy::Policy& policy, std::span<const SetAside> set_aside) {
  return folded(events, policy, set_aside, Words::said);
}

State fold_without_words(std::span<const Event> events, const policy::Policy& policy,
                         std::span<const SetAside> set_aside) {
  return folded(events, policy, set_aside, Words::left_out);
}

bool catheter_may_be_in(const State& state) {
  if (state.stage == Stage::closed) return false;
  if (state.stage == Stage::dwelling || !state.set_aside.empty()) return true;
  if (!state.doubt || state.doubt->may_hide || !state.doubt->not_kept.empty()) return true;
  if (state.stage == Stage::removed) return false;
  return !state.contradictions.empty() ||
         std::any_of(state.attempts.begin(), state.attempts.end(),
                     [](const AttemptMark& mark) { return mark.attempt.outcome == AttemptOutcome::placed; });
}

RunningState running_state(const Running& running, Instant now) {
  const Duration since = to_duration(std::max(between(running.flow_since, now), Interval{0}));
  RunningState out;
  out.given = std::min(running.total, Volume(running.given_before + running.flow * since));
  out.left = difference(running.total, out.given);
  out.share_left = running.total.value() > 0 ? Ratio(out.left / running.total) : Ratio(0.0);
  if (running.flow.value() > 0) {
    const Volume at_change = running.total - std::min(running.total, running.given_before);
    out.empty_at = running.flow_since + to_interval(at_change / running.flow);
  }
  return out;
}

// ---- a line kept folded ----

namespace {

/// The lists of a state that an entry only ever adds to, at their end.
auto growing(State& state) {
  return std::tie(state.refusals, state.attempts, state.looks, state.photos, state.responses, state.after_checks,
                  state.deviations);
}
constexpr std::size_t growing_lists = std::tuple_size_v<decltype(growing(std::declval<State&>()))>;

/// Those, and the lists that are kept apart from the rules.
auto long_lists(State& state) {
  return std::tuple_cat(growing(state), std::tie(state.history, state.contradictions, state.set_aside));
}

auto taken_out(State& state) {
  return std::apply([](auto&... lists) { return std::tuple(std::move(lists)...); }, long_lists(state));
}

/// A copy without the long lists.
State brief_of(State& state) {
  auto lists = taken_out(state);
  State brief = state;
  long_lists(state) = std::move(lists);
  return brief;
}

/// All but the long lists.
void put_back(State& state, const State& brief) {
  auto lists = taken_out(state);
  state = brief;
  long_lists(state) = std::move(lists);
}

/// How much memory the texts and lists of a value take beside itself.
template <class T>
std::size_t hung_on(const T& value) {
  if constexpr (std::is_same_v<T, std::string>) {
    return value.size();
  } else if constexpr (std::is_same_v<T, Message>) {
    std::size_t all = value.id().size();
    for (const auto& argument : value.arguments())
      all += sizeof(argument) + argument.name.size() +
             std::visit([](const auto& one) { return hung_on(one); }, argument.value);
    return all;
  } else if constexpr (std::is_same_v<T, message::Messages>) {
    return hung_on(value.all);
  } else if constexpr (std::is_same_v<T, message::Quantity>) {
    std::size_t all = 0;
    for (const auto& part : value.parts) all += sizeof(part) + part.digits.size() + part.unit.size();
    return all;
  } else if constexpr (std::is_same_v<T, message::OwnWords>) {
    return value.words.size();
  } else if constexpr (std::is_same_v<T, message::ListedName>) {
    return value.name.size();
  } else if constexpr (json::is_optional<T>::value) {
    return value ? hung_on(*value) : 0;
  } else if constexpr (requires { std::variant_size<T>::value; }) {
    return std::visit([](const auto& one) { return hung_on(one); }, value);
  } else if constexpr (requires { value.begin(); }) {
    std::size_t all = 0;
    for (const auto& one : value) all += sizeof(one) + hung_on(one);
    return all;
  } else if constexpr (json::DescribedStruct<T>) {
    std::size_t all = 0;
    boost::mp11::mp_for_each<json::members_of<T>>([&](auto member) { all += hung_on(value.*member.pointer); });
    return all;
  } else {
    return 0;
  }
}

/// An entry in its place by time.
struct InPlace {
  const Event* event = nullptr;
  bool corrected = false;
  std::uint32_t bytes = 0;
};

bool comes_before(const InPlace& a, const InPlace& b) {
  return std::tie(a.event->occurred_at, a.event->id) < std::tie(b.event->occurred_at, b.event->id);
}
bool comes_before_in_history(const HistoryEntry& a, const HistoryEntry& b) {
  return std::tie(a.at, a.id) < std::tie(b.at, b.id);
}

/// Each message once, in order, however often it was added.
class Tally {
 public:
  void add(const Message& message) {
    auto key = key_of(message);
    auto& [times, said] = times_[key];
    if (++times > 1) return;
    said = message;
    changed_ = true;
  }
  void drop(const Message& message) {
    const auto found = times_.find(key_of(message));
    if (--found->second.first > 0) return;
    times_.erase(found);
    changed_ = true;
  }
  /// Brings `shown` up to date.
  void show(std::vector<Message>& shown) {
    if (!std::exchange(changed_, false)) return;
    shown.clear();
    for (const auto& [key, counted] : times_) shown.push_back(counted.second);
  }

 private:
  std::map<std::string, std::pair<int, Message>> times_;
  bool changed_ = false;
};

}  // namespace

class LineFold::Parts {
 public:
  Parts(const policy::Policy& policy, std::string line) : policy_(policy) {
    state_.id = std::move(line);
    state_.doubt.emplace();  // nothing was taken in yet, and nothing is in doubt
    folding_.emplace(state_, policy_, said_, Words::said);
  }

  void take(std::vector<Event> events, const std::vector<SetAside>& set_aside) {
    if (!events.empty()) set_line(events);
    resume();
    const std::size_t before = order_.size();
    bool anew = note(set_aside);
    for (auto& event : events) anew |= place(std::move(event));
    anew |= irregular_ && !touched_.empty();
    std::size_t from = put_in_order(before);
    from = anew ? resolve_anew() : std::min(from, settle());
    touched_.clear();
    from = std::min(from, keep_in_use());
    replay(from);
    finish();
  }

  [[nodiscard]] const State& state() const { return state_; }
  [[nodiscard]] const std::deque<Event>& events() const { return events_; }
  [[nodiscard]] const std::vector<SetAside>& set_aside() const { return set_aside_; }
  [[nodiscard]] std::size_t bytes() const { return sizeof(*this) + bytes_ + checkpoint_bytes_; }
  [[nodiscard]] std::size_t steps() const { return steps_; }

 private:
  /// A place to go back to: what is small is kept, of what only grows its length.
  struct Checkpoint {
    std::size_t taken = 0, said = 0, bytes = 0;
    std::array<std::size_t, growing_lists> lengths{};
    State brief;
    Folding folding;
  };

  void set_line(const std::vector<Event>& events) {
    const std::string line = state_.id.empty() ? events.front().line : state_.id;
    for (const auto& event : events)
      if (event.line != line) throw std::invalid_argument("events of two lines cannot be folded into one");
    state_.id = line;
  }

  bool note(const std::vector<SetAside>& set_aside) {
    const std::size_t before = set_aside_.size();
    for (const auto& one : set_aside)
      if (std::find(set_aside_.begin(), set_aside_.end(), one) == set_aside_.end()) set_aside_.push_back(one);
    irregular_ |= !set_aside_.empty();
    return set_aside_.size() > before;
  }

  /// Keeps an entry; whether all has to be resolved anew.
  bool place(Event event) {
    const auto known = by_id_.find(event.id);
    if (known != by_id_.end() && harmless(*known->second, event)) return false;
    const Event& kept = events_.emplace_back(std::move(event));
    const std::size_t bytes = sizeof(Event) + hung_on(kept);
    // Beside the entry itself: its place, its name, and what the state says of it.
    constexpr std::size_t of_its_names = 128;
    bytes_ += bytes + hung_on(kept) + sizeof(HistoryEntry) + sizeof(InPlace) + of_its_names;
    if (kept.corrects) corrections_of_[*kept.corrects].push_back(&kept);
    if (known != by_id_.end()) return irregular_ = true;
    by_id_.emplace(kept.id, &kept);
    if (kept.corrects || corrections_of_.contains(kept.id)) touched_.push_back(&kept);
    order_.push_back({&kept, false, static_cast<std::uint32_t>(bytes)});
    state_.history.push_back(history_entry(kept, false, Words::said));
    return false;
  }

  static bool harmless(const Event& known, const Event& again) {
    return (!again.receipt || again.receipt == known.receipt) && same_content(known, again);
  }

  /// Sorts in what was added behind `before`; the first place that changed.
  std::size_t put_in_order(std::size_t before) {
    const auto sort_in = [before](auto& list, const auto& earlier) {
      const auto added = list.begin() + static_cast<std::ptrdiff_t>(before);
      std::sort(added, list.end(), earlier);
      const auto from = added == list.end() ? added : std::upper_bound(list.begin(), added, *added, earlier);
      if (from != added) std::inplace_merge(from, added, list.end(), earlier);
      return static_cast<std::size_t>(from - list.begin());
    };
    sort_in(state_.history, comes_before_in_history);
    return sort_in(order_, comes_before);
  }

  [[nodiscard]] std::size_t place_of(const Event& event) const {
    const auto at = std::lower_bound(order_.begin(), order_.end(), InPlace{&event, false, 0}, comes_before);
    return static_cast<std::size_t>(at - order_.begin());
  }

  /// All that corrections join with an entry.
  [[nodiscard]] std::vector<const Event*> family_of(const Event* one, std::unordered_set<const Event*>& seen) const {
    std::vector<const Event*> family;
    const auto add = [&](const Event* member) {
      if (seen.insert(member).second) family.push_back(member);
    };
    add(one);
    for (std::size_t i = 0; i < family.size(); ++i) {
      const Event& member = *family[i];
      if (member.corrects)
        if (const auto target = by_id_.find(*member.corrects); target != by_id_.end()) add(target->second);
      if (const auto by = corrections_of_.find(member.id); by != corrections_of_.end())
        for (const Event* correction : by->second) add(correction);
    }
    return family;
  }

  /// Resolves the families of what was touched; the first place that changed.
  std::size_t settle() {
    std::size_t first = order_.size();
    std::unordered_set<const Event*> seen;
    for (const Event* one : touched_) {
      if (seen.contains(one)) continue;
      const auto family = family_of(one, seen);
      for (const Event* member : family) forget_quarrels(member);
      Standing standing = resolve(family);
      for (const auto& entry : standing.entries) {
        const std::size_t at = place_of(*entry.event);
        if (order_[at].corrected == entry.corrected) continue;
        order_[at].corrected = state_.history[at].corrected = entry.corrected;
        note_edit(entry);
        first = std::min(first, at);
      }
      keep_quarrels(one, std::move(standing.contradictions));
    }
    return first;
  }

  std::size_t resolve_anew() {
    std::vector<const Event*> all;
    all.reserve(events_.size());
    for (const auto& event : events_) all.push_back(&event);
    Standing standing = resolve(std::move(all), set_aside_);
    order_.clear();
    state_.history.clear();
    for (const auto& [event, corrected] : standing.entries) {
      by_id_.erase(event->id);
      by_id_.emplace(event->id, event);
      order_.push_back({event, corrected, static_cast<std::uint32_t>(sizeof(Event) + hung_on(*event))});
      note_edit({event, corrected});
      state_.history.push_back(history_entry(*event, corrected, Words::said));
    }
    state_.set_aside = std::move(standing.set_aside);
    for (const auto& one : state_.set_aside) standing.contradictions.push_back(unreadable_text(one));
    while (!quarrels_.empty()) forget_quarrels(quarrels_.begin()->first);
    keep_quarrels(nullptr, std::move(standing.contradictions));
    return 0;
  }

  void note_edit(const Entry& entry) {
    edited_ |= entry.corrected &&
               (std::holds_alternative<Opened>(entry.event->body) || std::holds_alternative<Placed>(entry.event->body));
  }

  /// What counts although it was taken back; the first place that changed. Only where an opening or a placement was
  /// ever taken back, or nothing stands, are all entries looked at.
  std::size_t keep_in_use() {
    const bool any_stands = std::any_of(order_.begin(), order_.end(), [](const InPlace& one) {
      return !one.corrected && !std::holds_alternative<Retracted>(one.event->body);
    });
    InUse now;
    if (edited_ || !any_stands) {
      std::vector<Entry> entries;
      for (const auto& one : order_) entries.push_back({one.event, one.corrected});
      now = in_use(entries);
    }
    for (const auto& text : in_use_.contradictions) contradictions_.drop(text);
    for (const auto& text : now.contradictions) contradictions_.add(text);
    std::size_t first = order_.size();
    for (const auto member : {&InUse::opening, &InUse::placement})
      if (in_use_.*member != now.*member)
        for (const Event* event : {in_use_.*member, now.*member})
          if (event) first = std::min(first, place_of(*event));
    in_use_ = std::move(now);
    return first;
  }

  void forget_quarrels(const Event* of) {
    const auto found = quarrels_.find(of);
    if (found == quarrels_.end()) return;
    for (const auto& text : found->second) contradictions_.drop(text);
    quarrels_.erase(found);
  }

  void keep_quarrels(const Event* of, std::vector<Message> texts) {
    if (texts.empty()) return;
    for (const auto& text : texts) contradictions_.add(text);
    quarrels_[of] = std::move(texts);
  }

  /// Applies the rules from a place on, or from the last checkpoint before it.
  void replay(std::size_t from) {
    if (from < taken_) go_back_to(from);
    for (; taken_ < order_.size(); ++taken_) {
      consider_checkpoint();
      const InPlace& next = order_[taken_];
      folding_->go_on(*next.event, !next.corrected || in_use_.keeps(next.event));
      bytes_since_ += next.bytes;
      ++steps_;
    }
    for (; tallied_ < said_.size(); ++tallied_) contradictions_.add(said_[tallied_]);
  }

  /// Now and then, and never more than the entries themselves take: a state can be large.
  void consider_checkpoint() {
    constexpr std::size_t apart = 64;
    const std::size_t since = taken_ - (checkpoints_.empty() ? 0 : checkpoints_.back().taken);
    if (since == 0 || since % apart != 0) return;
    State brief = brief_of(state_);
    constexpr std::size_t of_a_thing = 64;
    const std::size_t bytes = sizeof(Checkpoint) + hung_on(brief) + folding_->remembered() * of_a_thing;
    if (bytes > bytes_since_) return;
    std::array<std::size_t, growing_lists> lengths{};
    std::apply([&](const auto&... lists) { lengths = {lists.size()...}; }, growing(state_));
    checkpoints_.push_back({taken_, said_.size(), bytes, lengths, std::move(brief), *folding_});
    checkpoint_bytes_ += bytes;
    bytes_since_ = 0;
  }

  void go_back_to(std::size_t from) {
    while (!checkpoints_.empty() && checkpoints_.back().taken > from) {
      checkpoint_bytes_ -= checkpoints_.back().bytes;
      checkpoints_.pop_back();
    }
    bytes_since_ = 0;
    if (!checkpoints_.empty()) return restore(checkpoints_.back());
    State blank;
    blank.id = state_.id;
    restore({0, 0, 0, {}, blank, Folding(state_, policy_, said_, Words::said)});
  }

  void restore(const Checkpoint& checkpoint) {
    taken_ = checkpoint.taken;
    shorten_said(checkpoint.said);
    put_back(state_, checkpoint.brief);
    std::apply(
        [&](auto&... lists) {
          std::size_t list = 0;
          (lists.erase(lists.begin() + static_cast<std::ptrdiff_t>(checkpoint.lengths.at(list++)), lists.end()), ...);
        },
        growing(state_));
    folding_.emplace(checkpoint.folding);
  }

  void shorten_said(std::size_t length) {
    for (; tallied_ > length; --tallied_) contradictions_.drop(said_[tallied_ - 1]);
    said_.resize(length);
  }

  void finish() {
    said_by_entries_ = said_.size();
    folding_->finish();
    if (in_use_.taken_back_whole && state_.set_aside.empty()) state_.stage = Stage::closed;
    for (; tallied_ < said_.size(); ++tallied_) contradictions_.add(said_[tallied_]);
    contradictions_.show(state_.contradictions);
  }

  void resume() {
    shorten_said(said_by_entries_);
    folding_->resume();
  }

  const policy::Policy& policy_;
  State state_;
  std::optional<Folding> folding_;
  std::deque<Event> events_;  ///< as they came; never moved
  std::unordered_map<std::string_view, const Event*> by_id_;
  std::unordered_map<std::string, std::vector<const Event*>> corrections_of_;  ///< by the id that they correct
  std::vector<SetAside> set_aside_;                                            ///< answered or not
  InUse in_use_;
  bool edited_ = false;                  ///< an opening or a placement was taken back or replaced at some time
  bool irregular_ = false;               ///< corrections are resolved all together from now on
  std::vector<const Event*> touched_;    ///< by what is being taken in: their families are to be resolved
  std::vector<InPlace> order_;           ///< each id once, by time; state_.history beside it
  std::vector<Checkpoint> checkpoints_;  ///< later ones behind
  std::size_t taken_ = 0;                ///< entries of order_ that are in state_
  std::vector<Message> said_;            ///< contradictions by the rules, in the order in which they were found
  std::size_t said_by_entries_ = 0;      ///< of these, before finish()
  std::size_t tallied_ = 0;              ///< of these, those in contradictions_
  std::unordered_map<const Event*, std::vector<Message>> quarrels_;  ///< of corrections, by one of the family
  Tally contradictions_;
  std::size_t bytes_ = 0, checkpoint_bytes_ = 0, bytes_since_ = 0, steps_ = 0;
};

LineFold::LineFold(const policy::Policy& policy, std::string line)
    : parts_(std::make_unique<Parts>(policy, std::move(line))) {}
LineFold::LineFold(LineFold&&) noexcept = default;
LineFold& LineFold::operator=(LineFold&&) noexcept = default;
LineFold::~LineFold() = default;

void LineFold::take(std::vector<Event> events, const std::vector<SetAside>& set_aside) {
  parts_->take(std::move(events), set_aside);
}
const State& LineFold::state() const { return parts_->state(); }
const std::deque<Event>& LineFold::events() const { return parts_->events(); }
const std::vector<SetAside>& LineFold::set_aside() const { return parts_->set_aside(); }
std::size_t LineFold::bytes() const { return parts_->bytes(); }
std::size_t LineFold::steps() const { return parts_->steps(); }

}  // namespace dwell::line

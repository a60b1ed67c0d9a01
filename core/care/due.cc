#include "care/due.h"

#include <algorithm>
#include <functional>
#include <map>
#include <set>
#include <span>
#include <string_view>
#include <tuple>

#include "access/restart.h"
#include "care/exposure.h"
#include "care/findings.h"
#include "care/task_row.h"
#include "line/clauses.h"
#include "line/findings.h"
#include "line/history_text.h"
#include "quantity/display.h"
#include "say/care.h"
#include "say/common.h"
#include "say/line.h"

namespace dwell::care {
namespace {

using infusate::HarmClass;
using policy::SiteCheckClass;
constexpr Interval longest_grace = std::chrono::minutes{15};

// ---- which clock the site check follows ----

/// The class of this age, where the policy has one of its own; else that of all children.
SiteCheckClass class_of_child(line::AgeBand age, bool running, const policy::Watch& watch) {
  const auto own = !running                        ? SiteCheckClass::child_locked
                   : age == line::AgeBand::neonate ? SiteCheckClass::neonate
                   : age == line::AgeBand::infant  ? SiteCheckClass::infant
                                                   : SiteCheckClass::child;
  return watch.site_check.contains(own) ? own : SiteCheckClass::child;
}

struct SiteClock {
  SiteCheckClass kind = SiteCheckClass::adult_infusing;
  const Figure<Interval>* every = nullptr;  ///< absent when the policy names none of the classes that apply
  HarmClass harm = HarmClass::harmless;
  line::AgeBand age = line::AgeBand::unknown;
};

SiteClock site_clock(const line::State& state, const policy::Policy& policy, const infusate::Formulary& formulary,
                     Date today) {
  const auto& watch = policy.watch;
  SiteClock clock;
  clock.age = line::age_band(state.patient, today);
  clock.kind = state.running ? SiteCheckClass::adult_infusing : SiteCheckClass::locked;
  const auto consider = [&](SiteCheckClass kind) {
    const auto figure = watch.site_check.find(kind);
    if (figure == watch.site_check.end() || (clock.every && clock.every->value <= figure->second.value)) return;
    clock.kind = kind;
    clock.every = &figure->second;
  };
  clock.harm = exposure_to(state.ran_since_sound_check, formulary, policy.infusate.harm_by_solute).harm;
  if (clock.harm == HarmClass::vesicant || clock.harm == HarmClass::unknown) consider(SiteCheckClass::vesicant);
  // An age that is not known may be any: the class that is looked at oftenest counts.
  for (const auto age : {line::AgeBand::neonate, line::AgeBand::infant, line::AgeBand::child})
    if (clock.age == age || clock.age == line::AgeBand::unknown)
      consider(class_of_child(age, state.running.has_value(), watch));
  if (state.patient.can_report_pain == false) consider(SiteCheckClass::cannot_report);
  // Locked, nothing leaks with each movement: an alarm all night is one that nobody hears any more.
  if (state.running && state.placement && access::is_over_joint(state.placement->placed.site.region))
    consider(SiteCheckClass::flexion_site);
  consider(state.running ? SiteCheckClass::adult_infusing : SiteCheckClass::locked);
  return clock;
}

/// What was pushed or has ended is under the skin as well as what runs.
Message vesicant_reason(HarmClass harm, bool running) {
  if (harm == HarmClass::unknown) return running ? say::unknown_running() : say::unknown_went_in();
  return running ? say::vesicant_running() : say::vesicant_went_in();
}

Message class_reason(const SiteClock& clock, bool running) {
  switch (clock.kind) {
    case SiteCheckClass::vesicant: return vesicant_reason(clock.harm, running);
    case SiteCheckClass::child: return say::is_child();
    case SiteCheckClass::neonate:
      return clock.age == line::AgeBand::unknown ? say::taken_as_newborn() : say::is_newborn();
    case SiteCheckClass::infant: return say::is_infant();
    case SiteCheckClass::child_locked: return say::is_child_locked();
    case SiteCheckClass::cannot_report: return say::cannot_report_pain();
    case SiteCheckClass::flexion_site: return say::site_bends();
    case SiteCheckClass::locked: return say::is_locked();
    case SiteCheckClass::adult_infusing: return say::is_infusing();
  }
  return {};
}

Message site_check_reason(const SiteClock& clock, const line::Patient& patient, bool running, bool no_look) {
  const Message reason = class_reason(clock, running);
  return line::clauses({clock.every ? say::due_every(reason, clock.every->value) : say::no_interval_given(reason),
                        clock.age == line::AgeBand::unknown ? say::age_not_recorded() : Message(),
                        patient.can_report_pain ? Message() : say::pain_report_not_recorded(),
                        no_look ? say::last_check_no_look() : Message()});
}

// ---- urgency ----

int with_lateness(int weight, DueState state) {
  return weight >= alarm_from ? weight : weight + 100 * static_cast<int>(state);
}

DueState state_at(const DueClock& clock, Instant now) {
  if (now >= clock.overdue_at) return DueState::overdue;
  if (now >= clock.due_at) return DueState::due;
  return now >= clock.soon_at ? DueState::soon : DueState::later;
}

// ---- danger ----

Danger danger_of(int weight, DueState state) {
  if (weight >= emergency_from) return Danger::emergency;
  if (weight >= alarm_from) return Danger::can_hurt;
  return state == DueState::overdue && weight >= hurts_when_late_from ? Danger::can_hurt : Danger::none;
}

/// An emergency among the cards that nobody answered lifts its response above every other.
int more_for_emergency(const std::vector<std::string>& cards, const policy::Policy& policy) {
  constexpr int before_a_line_that_left = 150;
  const bool emergency = std::any_of(cards.begin(), cards.end(), [&](const auto& name) {
    const auto card = policy.responses.find(name);
    return card != policy.responses.end() && card->second.emergency == true;
  });
  return emergency ? before_a_line_that_left : 0;
}

// ---- the items of one line ----

/// A task that somebody put off, and when it comes back.
struct Wait {
  const line::PutOffMark* mark = nullptr;
  Instant until{};
};

/// Walks the rules once. `Sink` takes each clock and, only if it asks for them, the words that go with it: a hospital
/// of lines needs the clocks of all and the words of a few.
template <class Sink>
class Dues {
 public:
  Dues(const line::State& state, const policy::Policy& policy, const infusate::Formulary& formulary, Instant now,
       Date today, Sink& sink)
      : state_(state), policy_(policy), formulary_(formulary), now_(now), today_(today), sink_(sink) {}

  void walk() {
    if (state_.stage == line::Stage::closed) return;
    contradictions();
    not_kept();
    left_unseen();
    findings();
    follow_ups();
    if (state_.stage == line::Stage::dwelling && state_.placement) while_dwelling();
    if (state_.stage == line::Stage::removed && state_.removal) after_removal();
  }

 private:
  void while_dwelling() {
    site_check();
    removal();
    dressing();
    set();
    add_ons();
    trace();
    if (state_.running) {
      bag();
      drip();
    } else if (const auto last = std::max(state_.last_used_at, state_.last_flush_at)) {
      add_every(Task::flush, *last, policy_.watch.flush_locked, say::flush_and_lock,
                [&] { return say::due_every(say::is_locked(), policy_.watch.flush_locked.value); });
    }
    need();
  }

  void after_removal() {
    const auto& removal = *state_.removal;
    const auto& watch = policy_.remove.after_watch;
    if (removal.removed.bleeding_stopped == false && state_.after_checks.empty())
      add(
          Task::after_check, removal.at, watch.value, say::look_at_site_again,
          [] { return say::bleeding_at_removal(); }, [&] { return source_of(watch); });
    else if (!watched_for(watch.value))
      add_every(Task::after_check, removal.at, watch, say::look_at_site_after_removal,
                [&] { return say::trouble_after_removal(watch.value); });
  }

  /// Looked at for as long as the policy asks, nothing stands, and only what a card left behind is still to come.
  [[nodiscard]] bool watched_for(Interval watch) const {
    return state_.last_look_at && *state_.last_look_at >= state_.removal->at + watch && state_.findings.empty() &&
           following_;
  }

  /// The record says two things: what it shows may be wrong until somebody has looked and corrected it.
  void contradictions() {
    if (state_.contradictions.empty()) return;
    const Instant since = state_.history.empty() ? now_ : state_.history.back().at;
    add(
        Task::contradiction, since, Interval{0}, say::put_record_right,
        [&] {
          const auto more = std::ssize(state_.contradictions) - 1;
          return more ? say::and_more(state_.contradictions.front(), more) : state_.contradictions.front();
        },
        [] {
          return Source{"what was charted, compared", Mark::computed};
        });
  }

  /// Nothing leaves with a line unseen. Only a removal, the word that it stays in on purpose, or a correction ends it.
  void left_unseen() {
    if (!state_.leaving || !state_.leaving->unseen_since || !line::catheter_may_be_in(state_)) return;
    const line::Leaving& leaving = *state_.leaving;
    add(
        Task::left_unseen, *leaving.unseen_since, Interval{0}, say::find_the_line_that_left,
        [&] {
          const auto how = leaving.departed ? leaving.departed->departed.how : line::Departure::unknown;
          return say::departed_with_line(how, *leaving.unseen_since);
        },
        [] {
          return Source{
              "ACSQHC Peripheral Intravenous Catheters Clinical Care Standard 2021, statement 7: the record "
              "confirms removal before discharge",
              Mark::secondary};
        });
  }

  /// A state from an older program: what it lacks may be an alarm.
  void not_kept() {
    if (!state_.doubt || state_.doubt->not_kept.empty()) return;
    add(
        Task::contradiction, state_.history.empty() ? now_ : state_.history.back().at, Interval{0},
        say::look_not_all_is_known,
        [&] {
          std::vector<Message> lacks;
          for (const auto& member : state_.doubt->not_kept) lacks.push_back(say::as_written(member));
          return say::kept_without(std::move(lacks));
        },
        [] {
          return Source{"what is kept on this device", Mark::computed};
        });
  }

  /// Since when blood is missing although something that harms went in or runs, and nobody answered that.
  [[nodiscard]] std::optional<Instant> given_without_blood_return() const {
    if (!state_.no_blood_return_at || state_.stage != line::Stage::dwelling) return std::nullopt;
    const Instant since = *state_.no_blood_return_at;
    std::optional<Instant> given;
    if (state_.running && may_harm(state_.running->mixture)) given = std::max(since, state_.running->started_at);
    for (const auto& push : state_.pushed)
      if (push.at >= since && may_harm({push.fluid, 1.0 * millilitre, {}}))
        given = std::max(given.value_or(push.at), push.at);
    if (!given || line::answered(state_, line::no_blood_return_response, *given, policy_)) return std::nullopt;
    return since;
  }

  [[nodiscard]] bool may_harm(const infusate::Mixture& mixture) const {
    return exposure_to(std::span(&mixture, 1), formulary_, policy_.infusate.harm_by_solute).harm != HarmClass::harmless;
  }

  /// Whatever was charted about it before something that harms was given.
  void no_blood_return(Instant since) {
    const std::vector<std::string> cards{std::string(line::no_blood_return_response)};
    add(
        Task::response, since, Interval{0}, say::no_blood_return_do_not_give,
        [] { return say::harm_without_blood_return(); },
        [] {
          return Source{"the response card in the policy", Mark::practice};
        },
        more_for_emergency(cards, policy_));
    sink_.more([&](DueItem& item) { item.cards = cards; });
  }

  /// What was found and stands: to be answered, to be confirmed when it went too soon, and then to be decided on.
  void findings() {
    const line::FoundMark* to_decide = nullptr;
    const auto without_blood_return = given_without_blood_return();
    if (without_blood_return) no_blood_return(*without_blood_return);
    for (const auto& finding : state_.findings) {
      if (without_blood_return && finding.only_answered() &&
          finding.responses.front() == line::no_blood_return_response)
        continue;  // said already, and more
      const Asked asked = asked_by(finding, state_, policy_, formulary_);
      if (!asked.acted_on) continue;
      if (finding.gone_at)
        confirm(finding, asked);
      else if (asked.open())
        answer(finding, asked);
      else if (line::needs_answer(finding.grades, policy_.scales) && (!to_decide || finding.at >= to_decide->at))
        to_decide = &finding;
    }
    if (to_decide && state_.stage == line::Stage::dwelling)
      add(
          Task::removal, to_decide->at, Interval{0}, say::decide_on_removal,
          [&] { return say::found_and_still_in(found_text(*to_decide)); },
          [&] { return source_of_finding(*to_decide); });
  }

  void answer(const line::FoundMark& finding, const Asked& asked) {
    const auto why = [&] {
      if (finding.alarm) return finding.what;
      std::vector<Message> parts{found_text(finding),
                                 asked.in_vain ? say::response_in_vain() : say::no_response_charted()};
      add_open_cards(asked, parts);
      return line::clauses(std::move(parts));
    };
    add(
        finding.alarm ? Task::catheter_missing_alarm : Task::response, finding.as_now, Interval{0},
        finding.alarm                     ? say::catheter_not_whole_act_now
        : finding.at == last_finding_at() ? say::act_on_last_look
                                          : say::act_on_found_before,
        why, [&] { return source_of_finding(finding); },
        finding.alarm ? 0 : more_for_emergency(asked.unanswered, policy_));
    sink_.more([&](DueItem& item) { item.cards = asked.unanswered; });
  }

  /// What nobody answered is not put off by a look that finds it gone.
  void confirm(const line::FoundMark& finding, const Asked& asked) {
    add(
        asked.open() ? Task::response : Task::follow_up, asked.open() ? finding.as_now : *finding.gone_at, Interval{0},
        say::confirm_it_is_gone,
        [&] {
          return line::clauses({found_text(finding), say::found_gone_after(between(finding.at, *finding.gone_at)),
                                asked.open() ? say::no_response_charted() : Message()});
        },
        [&] {
          const auto& heals = policy_.watch.heals_not_before;
          return heals ? source_of(*heals) : Source{"no time of healing in the policy", Mark::practice};
        },
        asked.open() ? more_for_emergency(asked.unanswered, policy_) : 0);
    sink_.more([&](DueItem& item) { item.cards = asked.unanswered; });
  }

  [[nodiscard]] Instant last_finding_at() const {
    Instant last = Instant::min();
    for (const auto& finding : state_.findings) last = std::max(last, finding.at);
    return last;
  }

  [[nodiscard]] Message found_text(const line::FoundMark& finding) const {
    if (finding.only_answered()) return finding.what;
    const auto* given = line::needs_answer(finding.grades, policy_.scales);
    if (!given) return say::signs_found(line::describe(finding.signs));
    return given->unmatched ? say::person_must_judge(given->scale)
                            : say::scale_grade(say::listed_name(given->scale), *given->grade);
  }

  /// The titles of the cards that are not answered.
  void add_open_cards(const Asked& asked, std::vector<Message>& parts) const {
    for (const auto& name : asked.unanswered) {
      const auto card = policy_.responses.find(name);
      if (card != policy_.responses.end()) parts.push_back(say::card_to_open(card->second.title));
    }
  }

  [[nodiscard]] Source source_of_finding(const line::FoundMark& finding) const {
    if (finding.alarm) return source_of(policy_.remove.length_tolerance);
    const auto* given = line::needs_answer(finding.grades, policy_.scales);
    return given ? scale_source(given->scale) : Source{"the response card in the policy", Mark::practice};
  }

  /// What the cards that were charted leave behind; the last charting of each card counts.
  void follow_ups() {
    std::set<std::string_view> seen;
    for (auto mark = state_.responses.rbegin(); mark != state_.responses.rend(); ++mark) {
      const auto& name = mark->response.response;
      const auto card = policy_.responses.find(name);
      if (card == policy_.responses.end() || !line::says_something(mark->response) || !seen.insert(name).second)
        continue;
      if (!card->second.answering || !card->second.answering->follow_up) continue;
      for (const auto& follow_up : *card->second.answering->follow_up) follow(follow_up, card->second, mark->at);
    }
  }

  void follow(const policy::FollowUp& follow_up, const policy::ResponseCard& card, Instant charted) {
    const Instant looked = std::max(charted, state_.last_look_at.value_or(charted));
    const auto title = [&]() -> Message { return follow_up.text; };
    if (follow_up.every && follow_up.until) {
      const Instant end = charted + follow_up.until->value;
      const Instant due = std::min(looked + follow_up.every->value, end);
      if (looked < end - policy_.watch.soon.value) {
        following_ = true;
        add(
            Task::follow_up, due, follow_up.every->value, title,
            [&] { return say::card_asks_every(card.title, follow_up.every->value, follow_up.until->value); },
            [&] { return source_of(*follow_up.every); });
      }
    }
    if (!follow_up.at) return;
    for (const Interval moment : follow_up.at->value) {
      if (looked >= charted + moment - policy_.watch.soon.value) continue;
      following_ = true;
      add(
          Task::follow_up, charted + moment, moment, title, [&] { return say::card_asks_after(card.title, moment); },
          [&] { return source_of(*follow_up.at); });
      break;
    }
  }

  void site_check() {
    const SiteClock clock = site_clock(state_, policy_, formulary_, today_);
    const Instant from = std::max(state_.placement->at, state_.last_look_at.value_or(state_.placement->at));
    const Interval every = clock.every ? clock.every->value : Interval{0};
    constexpr int for_a_vesicant = 10;  // up to hurts_when_late_from
    add(
        Task::site_check, from + every, every, say::check_the_site,
        [&] {
          const bool runs =
              state_.running &&
              exposure_to(std::span(&state_.running->mixture, 1), formulary_, policy_.infusate.harm_by_solute).harm ==
                  clock.harm;
          const bool no_look = state_.last_check && state_.last_check->at > from;
          return site_check_reason(clock, state_.patient, runs, no_look);
        },
        [&] {
          return clock.every ? source_of(*clock.every) : Source{"no interval in the policy", Mark::practice};
        },
        clock.kind == SiteCheckClass::vesicant ? for_a_vesicant : 0);
  }

  void removal() {
    const Instant placed_at = state_.placement->at;
    const auto& watch = policy_.watch;
    if (state_.removal_order)
      add(
          Task::removal, state_.removal_ordered_at.value_or(now_), Interval{0}, say::take_the_line_out,
          [&] { return say::removal_was_ordered(*line::shown_removal_order(state_)); },
          [] {
            return Source{"the order", Mark::practice};
          });
    if (state_.placement->placed.asepsis == line::Asepsis::not_assured)
      add_hard(Task::removal, placed_at, watch.emergency_dwell, say::replace_emergency_line,
               [&] { return say::emergency_line_out_by(watch.emergency_dwell.value); });
    // A child's line is replaced when something is wrong with it, never by the calendar (CDC 2011, second-hand).
    if (watch.routine_dwell && !line::is_child(line::age_band(state_.patient, today_)))
      add_every(Task::removal, placed_at, *watch.routine_dwell, say::replace_the_line,
                [&] { return say::ward_replaces_on_schedule(watch.routine_dwell->value); });
  }

  void dressing() {
    if (!state_.dressing || !state_.dressing_since) return;
    const bool film = *state_.dressing == line::Dressing::film;
    const auto& figure = film ? policy_.watch.film_dressing : policy_.watch.gauze_dressing;
    const Instant due_at = *dressing_due_at(state_, policy_);
    if (state_.dressing_broken_at)
      add(
          Task::dressing_change, due_at, Interval{0}, say::change_the_dressing,
          [] { return say::dressing_found_broken(); }, [&] { return source_of(figure); });
    else if (const auto rule = policy_.watch.film_rule.find(line::age_band(state_.patient, today_));
             film && rule != policy_.watch.film_rule.end())
      add(
          Task::dressing_change, due_at, figure.value, say::look_whether_film_must_go,
          [&]() -> Message { return rule->second.value; }, [&] { return source_of(rule->second); });
    else
      add_every(Task::dressing_change, *state_.dressing_since, figure, say::change_the_dressing,
                [&] { return say::due_every(film ? say::is_film() : say::is_gauze(), figure.value); });
  }

  void set() {
    if (!state_.set_since || !(state_.running || state_.set_intermittent)) return;
    const SetRule rule = set_rule();
    const auto why = [&] { return say::due_every(rule.why(), rule.every->value); };
    if (rule.hard)
      add_hard(Task::set_change, *state_.set_since, *rule.every, say::change_the_set, why);
    else
      add_every(Task::set_change, *state_.set_since, *rule.every, say::change_the_set, why);
  }

  struct SetRule {
    const Figure<Interval>* every = nullptr;
    std::function<Message()> why;  ///< the words of a clock are made only where somebody reads them
    bool hard = false;             ///< what ran through it feeds germs
  };

  /// The ward's rule for the set of this one infusate.
  [[nodiscard]] const Figure<Interval>* set_of(const std::string& name) const {
    const auto& of = policy_.watch.set_of;
    const auto found = of ? of->find(name) : std::map<std::string, Figure<Interval>>::const_iterator();
    return of && found != of->end() ? &found->second : nullptr;
  }

  /// The strictest rule of all that ran through the set: what follows does not clean it.
  [[nodiscard]] SetRule set_rule() const {
    const auto& watch = policy_.watch;
    SetRule rule{&watch.set_continuous, say::runs_continuously, false};
    const auto consider = [&](const Figure<Interval>& every, std::function<Message()> why, bool hard) {
      if (every.value < rule.every->value) rule = {&every, std::move(why), hard};
    };
    if (state_.set_intermittent) consider(watch.set_intermittent, say::set_disconnected, false);
    for (const auto& name : state_.through_set) {
      const auto* entry = infusate::find(formulary_, name);
      if (const auto* own = set_of(entry ? entry->name : name)) {
        consider(
            *own, [&name] { return say::as_written(name); }, true);
        continue;
      }
      if (!entry)
        consider(watch.set_blood, say::unknown_through_set, true);
      else if (entry->kind == infusate::FluidKind::blood)
        consider(watch.set_blood, say::blood_through_set, true);
      else if (entry->kind == infusate::FluidKind::lipid)
        consider(watch.set_lipid ? *watch.set_lipid : watch.set_blood, say::lipid_through_set, true);
    }
    return rule;
  }

  void add_ons() {
    if (!state_.add_ons_since) return;
    const auto& every = policy_.watch.add_ons;
    add_every(Task::add_on_change, *state_.add_ons_since, every, say::change_the_connector,
              [&] { return say::due_every(say::connector_and_stopcock(), every.value); });
  }

  /// In a new place a bag may hang on the wrong hook; the tubing is followed by hand from bag to vein.
  void trace() {
    if (state_.not_as_meant_at)
      return add(
          Task::tubing_trace, *state_.not_as_meant_at, Interval{0}, say::trace_the_tubing,
          [] { return say::did_not_run_as_meant(); }, [&] { return source_of(policy_.watch.trace_after_move); });
    if (!state_.moved_at || !state_.running || state_.traced_at.value_or(Instant::min()) >= *state_.moved_at) return;
    add_every(Task::tubing_trace, *state_.moved_at, policy_.watch.trace_after_move, say::trace_the_tubing,
              [] { return say::patient_was_moved(); });
  }

  void bag() {
    const auto bag = line::running_state(*state_.running, now_);
    if (!bag.empty_at) return;
    add(
        Task::bag_change, *bag.empty_at, longest_grace, say::change_the_bag,
        [&] {
          return now_ >= *bag.empty_at ? say::bag_empty() : say::bag_left(shown(bag.left), shown(state_.running->flow));
        },
        [] {
          return Source{"volume left / rate", Mark::computed};
        });
  }

  void drip() {
    const auto& running = *state_.running;
    if (running.delivery != line::Delivery::gravity || running.flow.value() == 0) return;
    const Instant from = std::max(running.drip_counted_at.value_or(running.flow_since), running.flow_since);
    add_every(Task::drip_recount, from, policy_.watch.drip_recount, say::count_the_drip,
              [&] { return say::due_every(say::runs_by_gravity(), policy_.watch.drip_recount.value); });
  }

  void need() {
    const auto& idle = policy_.watch.idle;
    if (state_.not_needed_at) {
      add(
          Task::need_review, *state_.not_needed_at, Interval{0}, say::ask_whether_it_may_come_out,
          [] { return say::not_needed_when_asked(); }, [&] { return source_of(idle); });
    } else if (const auto used = used_until(); used && reviewed_since(*used)) {
      need_as_reviewed(*state_.need);
    } else if (used) {
      add_every(Task::need_review, *used, idle, say::ask_whether_it_may_come_out,
                [&] { return say::not_used_for(idle.value); });
    }
  }

  /// Whether the need was asked since the line was used; "in case", said before the placement, holds until it is.
  [[nodiscard]] bool reviewed_since(Instant used) const {
    if (!state_.need) return false;
    const bool in_case = state_.need->reviewed.ground == line::NeedGround::in_case;
    return state_.need->at >= used || (in_case && used <= state_.placement->at);
  }

  /// Since the last use somebody asked what it is for. The next planned use holds until it should have come, and for
  /// one interval at most; without one the line is idle from that moment. "In case" ends with a removal.
  void need_as_reviewed(const line::NeedMark& mark) {
    const auto& watch = policy_.watch;
    if (mark.reviewed.ground == line::NeedGround::in_case) {
      return add_every(Task::removal, std::max(mark.at, state_.placement->at), watch.idle, say::take_the_line_out,
                       [&] { return say::in_case_is_over(mark.reviewed.in_case_by, watch.idle.value); });
    }
    const auto& next = mark.reviewed.next_use;
    const Instant due_at = next ? std::min<Instant>(*next, mark.at + watch.idle.value) : mark.at;
    add(
        Task::need_review, due_at, Interval{0}, say::ask_whether_it_may_come_out,
        [&] { return next ? say::planned_use_has_come(*next) : say::no_use_is_planned(); },
        [&] { return source_of(watch.idle); });
  }

  /// When the line was last in use; nothing while a bag runs into it.
  [[nodiscard]] std::optional<Instant> used_until() const {
    const auto last = last_dose_at();
    if (!state_.running) return last;
    const auto empty_at = line::running_state(*state_.running, now_).empty_at;
    if (!empty_at) return std::max(state_.running->flow_since, last.value_or(state_.running->flow_since));
    return *empty_at <= now_ ? empty_at : std::nullopt;
  }

  /// A flush keeps a line, it does not use it: of what was pushed only a medicine counts.
  [[nodiscard]] std::optional<Instant> last_dose_at() const {
    auto last = state_.last_used_at;
    for (const auto& push : state_.pushed) {
      const auto* entry = infusate::find(formulary_, push.fluid);
      if (entry && entry->kind == infusate::FluidKind::medicine) last = std::max(last.value_or(push.at), push.at);
    }
    return last;
  }

  [[nodiscard]] Source scale_source(const std::string& name) const {
    for (const auto& scale : policy_.scales)
      if (scale.name == name) return scale.source;
    return {"grade as charted; the scale is not in this policy", Mark::practice};
  }

  template <class Title, class Why>
  void add_every(Task task, Instant from, const Figure<Interval>& figure, Title title, Why why) {
    add(task, from + figure.value, figure.value, title, why, [&] { return source_of(figure); });
  }

  /// A limit of safety, not of good order: past it is late at once, and nobody puts it off.
  template <class Title, class Why>
  void add_hard(Task task, Instant from, const Figure<Interval>& figure, Title title, Why why) {
    const Instant due_at = from + figure.value;
    const DueClock clock{task, due_at, due_at, due_at - policy_.watch.soon.value, row_of(task).weight};
    sink_.take(clock, due_at, std::nullopt, title, why, [&] { return source_of(figure); });
    sink_.more([](DueItem& item) { item.may_wait = false; });
  }

  template <class Title, class Why, class Whose>
  void add(Task task, Instant due_at, Interval interval, Title title, Why why, Whose whose, int more = 0) {
    const auto wait = wait_for(task, due_at, interval);
    const Instant waits_for = wait ? std::max(due_at, wait->until) : due_at;
    const Interval from_then = wait ? Interval{0} : interval;
    const DueClock clock{task, waits_for, waits_for + grace(from_then), waits_for - policy_.watch.soon.value,
                         row_of(task).weight + more};
    sink_.take(clock, due_at, wait, title, why, whose);
    // What has waited its interval already waits no longer, and is not offered to.
    const bool waited = interval > Interval{0} && now_ >= due_at + interval;
    sink_.more([&](DueItem& item) { item.may_wait = may_be_put_off(task) && !waited; });
  }

  /// Late by so much: 15 minutes, or a quarter of the interval when that is less.
  static std::chrono::milliseconds grace(Interval interval) {
    if (interval <= Interval{0}) return longest_grace;
    return std::min<std::chrono::milliseconds>(longest_grace, std::chrono::milliseconds(interval) / 4);
  }

  /// Somebody put this task off since its clock began to run, and the time is not yet over. However long was asked for,
  /// a task waits for one of its own intervals at most, however often it is put off: the look that is due each 15 min
  /// is not put off for an hour, nor for 15 min again and again.
  [[nodiscard]] std::optional<Wait> wait_for(Task task, Instant due_at, Interval interval) const {
    if (!may_be_put_off(task)) return std::nullopt;
    for (const auto& mark : state_.put_off) {
      if (mark.put_off.task != task || mark.at < due_at - interval) continue;
      const Instant asked = mark.put_off.until;
      const Instant until = interval > Interval{0} ? std::min<Instant>(asked, due_at + interval) : asked;
      if (now_ < until) return Wait{&mark, until};
    }
    return std::nullopt;
  }

  const line::State& state_;
  const policy::Policy& policy_;
  const infusate::Formulary& formulary_;
  Instant now_;
  Date today_;
  Sink& sink_;
  bool following_ = false;  ///< a card's looks are still to come
};

/// Takes clocks and words.
class Items {
 public:
  explicit Items(Instant now) : now_(now) { items_.reserve(8); }

  template <class Title, class Why, class Whose>
  void take(const DueClock& clock, Instant due_at, const std::optional<Wait>& wait, Title title, Why why, Whose whose) {
    const DueState state = state_at(clock, now_);
    DueItem item{clock.task, due_at, state, with_lateness(clock.weight, state), title(), why(), whose(), {},
                 {},         true,   {},    danger_of(clock.weight, state)};
    if (wait) {
      item.put_off_until = wait->until;
      item.put_off_because = wait->mark->put_off.reason;
    }
    items_.push_back(std::move(item));
  }

  /// What else is to be said of the item taken last.
  template <class Say>
  void more(Say say) {
    say(items_.back());
  }

  [[nodiscard]] std::vector<DueItem> in_order() {
    std::sort(items_.begin(), items_.end(), [](const DueItem& a, const DueItem& b) {
      return a.urgency != b.urgency ? a.urgency > b.urgency : a.due_at < b.due_at;
    });
    return std::move(items_);
  }

 private:
  Instant now_;
  std::vector<DueItem> items_;
};

/// Takes clocks only.
struct Clocks {
  DueClocks out;

  template <class Title, class Why, class Whose>
  void take(const DueClock& clock, Instant, const std::optional<Wait>& wait, Title, Why, Whose) {
    out.clocks.push_back(clock);
    if (wait) holds_until(wait->until);
  }
  template <class Say>
  void more(Say) {}
  void holds_until(Instant moment) { out.hold_until = std::min(out.hold_until.value_or(moment), moment); }
};

std::vector<DueItem> items_of(const line::State& state, const policy::Policy& policy,
                              const infusate::Formulary& formulary, Instant now, Date today) {
  Items items(now);
  Dues<Items>(state, policy, formulary, now, today, items).walk();
  return items.in_order();
}

/// The day on which the next age's rules begin: 28 days, one year, the end of childhood.
std::optional<Instant> grows_up_at(const line::Patient& patient, Date today) {
  const auto band = line::age_band(patient, today);
  if (!patient.birth_date || !line::is_child(band)) return std::nullopt;
  if (band == line::AgeBand::neonate) return Instant(std::chrono::sys_days(*patient.birth_date) + line::neonate_below);
  auto day = *patient.birth_date + (band == line::AgeBand::infant ? line::infant_below : line::child_below);
  if (!day.ok()) day = day.year() / day.month() / std::chrono::last;
  return Instant(std::chrono::sys_days(day));
}

LineDue line_due(const line::State& state, const policy::Policy& policy, const infusate::Formulary& formulary,
                 Instant now, Date today) {
  LineDue out;
  out.line = state.id;
  out.unit = state.place.unit;
  out.bed = state.place.bed;
  out.nurse = state.nurse;
  out.patient = line::display_name(state.patient);
  if (state.placement)
    out.site = access::said_of(state.placement->placed.site);
  else if (state.planned)
    out.site = access::said_of(state.planned->site);
  out.items = items_of(state, policy, formulary, now, today);
  if (!out.items.empty()) out.urgency = out.items.front().urgency;
  for (const auto& item : out.items) out.next_at = std::min(out.next_at.value_or(item.due_at), item.due_at);
  return out;
}

using NameAndBed = std::tuple<std::string, std::string, std::string>;
NameAndBed name_and_bed(const line::State& state) {
  return {line::display_name(state.patient), state.place.unit, state.place.bed};
}

/// Whose line it is: by number, else by name and bed, which may be those of a line that has the number.
class Whose {
 public:
  explicit Whose(const std::vector<line::State>& states) {
    for (const auto& state : states)
      if (!state.patient.number.empty()) numbers_.emplace(name_and_bed(state), state.patient.number);
  }
  [[nodiscard]] std::pair<std::string, NameAndBed> operator()(const line::State& state) const {
    if (!state.patient.number.empty()) return {state.patient.number, {}};
    const auto known = numbers_.find(name_and_bed(state));
    return known == numbers_.end() ? std::pair(std::string(), name_and_bed(state))
                                   : std::pair(known->second, NameAndBed());
  }

 private:
  std::map<NameAndBed, std::string> numbers_;
};

/// Where the line lies, or is going to.
const access::Site* site_of(const line::State& state) {
  if (state.stage == line::Stage::dwelling && state.placement) return &state.placement->placed.site;
  const bool to_come = state.stage == line::Stage::planned || state.stage == line::Stage::attempted;
  return to_come && state.planned ? &state.planned->site : nullptr;
}

/// Says on each line which others lie in the same limb.
void say_neighbours(const std::vector<line::State>& states, std::vector<LineDue>& ward) {
  const Whose whose(states);
  std::map<std::pair<std::string, NameAndBed>, std::vector<const line::State*>> of_patient;
  for (const auto& state : states)
    if (site_of(state)) of_patient[whose(state)].push_back(&state);
  std::map<std::string_view, std::vector<Finding>> said;
  for (const auto& [patient, lines] : of_patient)
    for (const auto* one : lines) {
      std::vector<access::Site> others;
      for (const auto* other : lines)
        if (other != one && other->stage == line::Stage::dwelling) others.push_back(other->placement->placed.site);
      for (const auto& also : one->also_placed) others.push_back(also.placed.site);
      if (!others.empty()) said[one->id] = access::check_shared_limb(*site_of(*one), others);
    }
  for (auto& line : ward)
    if (const auto found = said.find(line.line); found != said.end()) line.findings = std::move(found->second);
}

}  // namespace

std::vector<DueItem> due_items(const line::State& state, const policy::Policy& policy,
                               const infusate::Formulary& formulary, Instant now) {
  return items_of(state, policy, formulary, now, utc_date(now));
}

std::optional<Instant> dressing_due_at(const line::State& state, const policy::Policy& policy) {
  if (!state.dressing || !state.dressing_since) return std::nullopt;
  if (state.dressing_broken_at) return state.dressing_broken_at;
  const bool film = *state.dressing == line::Dressing::film;
  return *state.dressing_since + (film ? policy.watch.film_dressing : policy.watch.gauze_dressing).value;
}

std::optional<Instant> listed_until(const line::State& state, const policy::Policy& policy) {
  const auto& stays = policy.remove.stays_listed;
  if (!stays || state.stage != line::Stage::removed || !state.removal) return std::nullopt;
  const bool may_hide =
      !state.doubt || state.doubt->may_hide || !state.doubt->not_kept.empty() || !state.set_aside.empty();
  if (may_hide ||
      std::any_of(state.findings.begin(), state.findings.end(), [](const auto& mark) { return mark.alarm; }))
    return std::nullopt;
  Instant last = state.removal->at;
  if (!state.history.empty()) last = std::max(last, state.history.back().at);
  for (const auto& mark : state.responses) {
    const auto card = policy.responses.find(mark.response.response);
    if (card != policy.responses.end()) last = std::max<Instant>(last, mark.at + line::followed_for(card->second));
  }
  return last + stays->value;
}

bool is_listed(const line::State& state, const policy::Policy& policy, Instant now) {
  if (state.stage == line::Stage::closed) return false;
  const auto until = listed_until(state, policy);
  return !until || now < *until;
}

DueClocks due_clocks(const line::State& state, const policy::Policy& policy, const infusate::Formulary& formulary,
                     Instant now) {
  const Date today = utc_date(now);
  if (!is_listed(state, policy, now)) return {{}, now};  // whoever reads this looks at the line again, and lets it go
  Clocks clocks;
  Dues<Clocks>(state, policy, formulary, now, today, clocks).walk();
  if (const auto grown = grows_up_at(state.patient, today)) clocks.holds_until(*grown);
  if (const auto until = listed_until(state, policy); until && now < *until) clocks.holds_until(*until);
  // A bag that runs empty starts the idle clock.
  if (state.running)
    if (const auto empty_at = line::running_state(*state.running, now).empty_at; empty_at && *empty_at > now)
      clocks.holds_until(*empty_at);
  return clocks.out;
}

int urgency_at(const DueClock& clock, Instant now) { return with_lateness(clock.weight, state_at(clock, now)); }

Danger danger_at(const DueClock& clock, Instant now) { return danger_of(clock.weight, state_at(clock, now)); }

std::optional<Instant> next_change(const DueClock& clock, Instant now) {
  if (clock.weight >= alarm_from) return std::nullopt;
  for (const Instant moment : {clock.soon_at, clock.due_at, clock.overdue_at})
    if (moment > now) return moment;
  return std::nullopt;
}

std::vector<LineDue> ward_due(const std::vector<line::State>& states, const policy::Policy& policy,
                              const infusate::Formulary& formulary, Instant now) {
  const Date today = utc_date(now);
  std::vector<LineDue> ward;
  ward.reserve(states.size());
  for (const auto& state : states)
    if (is_listed(state, policy, now)) ward.push_back(line_due(state, policy, formulary, now, today));
  say_neighbours(states, ward);
  std::sort(ward.begin(), ward.end(), [](const LineDue& a, const LineDue& b) {
    if (a.urgency != b.urgency) return a.urgency > b.urgency;
    return std::tie(a.bed, a.line) < std::tie(b.bed, b.line);
  });
  return ward;
}

policy::SiteCheckClass site_check_class(const line::State& state, const policy::Policy& policy,
                                        const infusate::Formulary& formulary, Date today) {
  return site_clock(state, policy, formulary, today).kind;
}

}  // namespace dwell::care

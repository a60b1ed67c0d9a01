#include "care/due.h"

#include <algorithm>
#include <tuple>

#include "quantity/display.h"

namespace dwell::care {
namespace {

using infusate::HarmClass;
using policy::SiteCheckClass;
constexpr Interval longest_grace = std::chrono::minutes{15};

// ---- which clock the site check follows ----

/// The worst of what is in the bag; a name that the formulary lacks makes it unknown, unless a vesicant is known to be
/// in.
HarmClass harm_of(const infusate::Mixture& mixture, const infusate::Formulary& formulary) {
  bool unknown = false;
  HarmClass worst = HarmClass::harmless;
  const auto add = [&](const std::string& name) {
    const auto found = formulary.find(name);
    if (found == formulary.end() || found->second.harm == HarmClass::unknown)
      unknown = true;
    else
      worst = std::max(worst, found->second.harm);
  };
  add(mixture.base);
  for (const auto& additive : mixture.additives) add(additive.name);
  return unknown && worst != HarmClass::vesicant ? HarmClass::unknown : worst;
}

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

SiteClock site_clock(const line::State& state, const policy::Watch& watch, const infusate::Formulary& formulary,
                     Date today) {
  SiteClock clock;
  clock.age = line::age_band(state.patient, today);
  clock.kind = state.running ? SiteCheckClass::adult_infusing : SiteCheckClass::locked;
  const auto consider = [&](SiteCheckClass kind) {
    const auto figure = watch.site_check.find(kind);
    if (figure == watch.site_check.end() || (clock.every && clock.every->value <= figure->second.value)) return;
    clock.kind = kind;
    clock.every = &figure->second;
  };
  if (state.running) clock.harm = harm_of(state.running->mixture, formulary);
  if (clock.harm == HarmClass::vesicant || clock.harm == HarmClass::unknown) consider(SiteCheckClass::vesicant);
  if (line::is_child(clock.age)) consider(class_of_child(clock.age, state.running.has_value(), watch));
  if (state.patient.can_report_pain == false) consider(SiteCheckClass::cannot_report);
  if (state.placement && access::is_over_joint(state.placement->placed.site.region))
    consider(SiteCheckClass::flexion_site);
  consider(state.running ? SiteCheckClass::adult_infusing : SiteCheckClass::locked);
  return clock;
}

std::string site_check_reason(const SiteClock& clock, const line::Patient& patient) {
  std::string text;
  switch (clock.kind) {
    case SiteCheckClass::vesicant:
      text = clock.harm == HarmClass::unknown ? "what runs is not known, taken as vesicant" : "vesicant running";
      break;
    case SiteCheckClass::child: text = "child"; break;
    case SiteCheckClass::neonate: text = "newborn"; break;
    case SiteCheckClass::infant: text = "infant"; break;
    case SiteCheckClass::child_locked: text = "child, locked"; break;
    case SiteCheckClass::cannot_report: text = "cannot report pain"; break;
    case SiteCheckClass::flexion_site: text = "site bends with the joint"; break;
    case SiteCheckClass::locked: text = "locked"; break;
    case SiteCheckClass::adult_infusing: text = "infusing"; break;
  }
  text += clock.every ? ": every " + show(clock.every->value) : ": this policy gives no interval";
  if (clock.age == line::AgeBand::unknown) text += "; age not recorded";
  if (!patient.can_report_pain) text += "; whether pain can be reported is not recorded";
  return text;
}

// ---- urgency ----

int task_weight(Task task) {
  switch (task) {
    case Task::catheter_missing_alarm: return 1000;
    case Task::response: return 800;
    case Task::tubing_trace: return 85;
    case Task::site_check: return 80;
    case Task::bag_change: return 75;
    case Task::removal: return 70;
    case Task::drip_recount: return 60;
    case Task::after_check: return 50;
    case Task::flush: return 40;
    case Task::set_change: return 35;
    case Task::add_on_change: return 32;
    case Task::dressing_change: return 30;
    case Task::need_review: return 20;
  }
  return 0;
}

/// Alarms and answers have one urgency, however late.
constexpr int alarm_from = 800;

int with_lateness(int weight, DueState state) {
  return weight >= alarm_from ? weight : weight + 100 * static_cast<int>(state);
}

DueState state_at(const DueClock& clock, Instant now) {
  if (now >= clock.overdue_at) return DueState::overdue;
  if (now >= clock.due_at) return DueState::due;
  return now >= clock.soon_at ? DueState::soon : DueState::later;
}

/// One look at the site, whether at a check, at removal or afterwards.
struct Look {
  Instant at{};
  const std::vector<line::GradeGiven>* grades = nullptr;
  const std::string* response = nullptr;
};

/// From which grade a charted one is acted on: as its scale says, or as scales do where the policy has it no more.
int acted_on_from(const std::string& scale, const std::vector<site::Scale>& scales) {
  for (const auto& one : scales)
    if (one.name == scale) return site::acted_on_from(one);
  return site::acted_on_from(site::Scale{});
}

const line::GradeGiven* needs_answer(const Look& look, const std::vector<site::Scale>& scales) {
  const line::GradeGiven* worst = nullptr;
  for (const auto& given : *look.grades) {
    if (given.unmatched && !worst) worst = &given;
    if (given.grade.value_or(0) >= acted_on_from(given.scale, scales) &&
        (!worst || worst->grade.value_or(0) < *given.grade))
      worst = &given;
  }
  return worst;
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
    if (state_.stage == line::Stage::dwelling && state_.placement) while_dwelling();
    if (state_.stage == line::Stage::removed && state_.removal) after_removal();
  }

 private:
  void while_dwelling() {
    site_check();
    if (state_.last_check)
      answer({state_.last_check->at, &state_.last_check->check.grades, &state_.last_check->check.response});
    removal();
    dressing();
    set();
    add_ons();
    trace();
    if (state_.running) {
      bag();
      drip();
    } else if (state_.last_used_at) {
      add_every(Task::flush, *state_.last_used_at, policy_.watch.flush_locked, "Flush and lock",
                [&] { return "locked: every " + show(policy_.watch.flush_locked.value); });
    }
    need();
  }

  void after_removal() {
    const auto& removal = *state_.removal;
    if (removal.catheter_short && !answered_with(line::catheter_fragment_response, removal.at))
      add(
          Task::catheter_missing_alarm, removal.at, Interval{0}, "Catheter not whole: act now",
          [&] { return removal.missing ? show(*removal.missing) + " missing" : "tip not whole"; },
          [&] { return source_of(policy_.remove.length_tolerance); });
    Look look{removal.at, &removal.removed.grades, nullptr};
    if (!state_.after_checks.empty())
      look = {state_.after_checks.back().at, &state_.after_checks.back().check.grades, nullptr};
    answer(look);
    const auto& watch = policy_.remove.after_watch;
    if (removal.removed.bleeding_stopped == false && state_.after_checks.empty())
      add(
          Task::after_check, removal.at, watch.value, "Look at the site again",
          [] { return "bleeding had not stopped at removal"; }, [&] { return source_of(watch); });
    else
      add_every(Task::after_check, removal.at, watch, "Look at the site after removal",
                [&] { return "trouble can start up to " + show(watch.value) + " after removal"; });
  }

  void site_check() {
    const SiteClock clock = site_clock(state_, policy_.watch, formulary_, today_);
    const Instant from = state_.last_check ? state_.last_check->at : state_.placement->at;
    const Interval every = clock.every ? clock.every->value : Interval{0};
    constexpr int for_a_vesicant = 10;
    add(
        Task::site_check, from + every, every, "Check the site",
        [&] { return site_check_reason(clock, state_.patient); },
        [&] {
          return clock.every ? source_of(*clock.every) : Source{"no interval in the policy", Mark::practice};
        },
        clock.kind == SiteCheckClass::vesicant ? for_a_vesicant : 0);
  }

  /// A finding that asks for an answer, and then for a decision about the line.
  void answer(const Look& look) {
    const auto* given = needs_answer(look, policy_.scales);
    const bool card_opened = look.response && !look.response->empty();
    if (!given && !card_opened) return;
    const auto found = [&]() -> std::string {
      if (!given) return "response card opened";
      return given->unmatched ? given->scale + ": signs match no grade; a person must judge"
                              : given->scale + ": grade " + std::to_string(*given->grade);
    };
    const auto source = [&] {
      return given ? scale_source(given->scale) : Source{"the response card in the policy", Mark::practice};
    };
    if (!answered_since(look.at))
      add(
          Task::response, look.at, Interval{0}, "Act on what the last look found",
          [&] { return found() + "; no response charted"; }, source);
    else if (state_.stage == line::Stage::dwelling && given && given->grade)
      add(
          Task::removal, look.at, Interval{0}, "Decide on removal",
          [&] { return found() + " and the line is still in"; }, source);
  }

  void removal() {
    const Instant placed_at = state_.placement->at;
    const auto& watch = policy_.watch;
    if (state_.removal_order)
      add(
          Task::removal, state_.removal_ordered_at.value_or(now_), Interval{0}, "Take the line out",
          [&] { return "removal ordered: " + line::shown_removal_order(state_); },
          [] {
            return Source{"the order", Mark::practice};
          });
    if (state_.placement->placed.asepsis == line::Asepsis::not_assured)
      add_every(Task::removal, placed_at, watch.emergency_dwell, "Replace the emergency line", [&] {
        return "placed without assured asepsis: as soon as possible, by " + show(watch.emergency_dwell.value);
      });
    // A child's line is replaced when something is wrong with it, never by the calendar (CDC 2011, second-hand).
    if (watch.routine_dwell && !line::is_child(line::age_band(state_.patient, today_)))
      add_every(Task::removal, placed_at, *watch.routine_dwell, "Replace the line",
                [&] { return "this ward replaces on schedule: every " + show(watch.routine_dwell->value); });
  }

  void dressing() {
    if (!state_.dressing || !state_.dressing_since) return;
    const bool film = *state_.dressing == line::Dressing::film;
    const auto& figure = film ? policy_.watch.film_dressing : policy_.watch.gauze_dressing;
    const bool broken = state_.last_check && state_.last_check->check.dressing_intact == false &&
                        state_.last_check->at >= *state_.dressing_since;
    if (broken)
      add(
          Task::dressing_change, state_.last_check->at, Interval{0}, "Change the dressing",
          [] { return "not intact at the last check"; }, [&] { return source_of(figure); });
    else if (const auto rule = policy_.watch.film_rule.find(line::age_band(state_.patient, today_));
             film && rule != policy_.watch.film_rule.end())
      add(
          Task::dressing_change, *state_.dressing_since + figure.value, figure.value, "Look whether the film must go",
          [&] { return rule->second.value; }, [&] { return source_of(rule->second); });
    else
      add_every(Task::dressing_change, *state_.dressing_since, figure, "Change the dressing",
                [&] { return (film ? "film: every " : "gauze: every ") + show(figure.value); });
  }

  void set() {
    if (!state_.set_since || !(state_.running || state_.set_intermittent)) return;
    const auto& watch = policy_.watch;
    if (blood_is_running())
      add_every(Task::set_change, *state_.set_since, watch.set_blood, "Change the set",
                [&] { return "blood: every " + show(watch.set_blood.value); });
    else if (state_.set_intermittent)
      add_every(Task::set_change, *state_.set_since, watch.set_intermittent, "Change the set",
                [&] { return "disconnected in between: every " + show(watch.set_intermittent.value); });
    else
      add_every(Task::set_change, *state_.set_since, watch.set_continuous, "Change the set",
                [&] { return "continuous: every " + show(watch.set_continuous.value); });
  }

  void add_ons() {
    if (!state_.add_ons_since) return;
    const auto& every = policy_.watch.add_ons;
    add_every(Task::add_on_change, *state_.add_ons_since, every, "Change the connector",
              [&] { return "connector and stopcock: every " + show(every.value); });
  }

  /// In a new place a bag may hang on the wrong hook; the tubing is followed by hand from bag to vein.
  void trace() {
    if (!state_.moved_at || !state_.running || state_.traced_at.value_or(Instant::min()) >= *state_.moved_at) return;
    add_every(Task::tubing_trace, *state_.moved_at, policy_.watch.trace_after_move, "Trace the tubing",
              [] { return "the patient was moved: from bag to vein, by hand"; });
  }

  void bag() {
    const auto bag = line::running_state(*state_.running, now_);
    if (!bag.empty_at) return;
    add(
        Task::bag_change, *bag.empty_at, longest_grace, "Change the bag",
        [&] {
          return now_ >= *bag.empty_at ? "empty by rate and time"
                                       : show(bag.left) + " left at " + show(state_.running->flow);
        },
        [] {
          return Source{"volume left / rate", Mark::computed};
        });
  }

  void drip() {
    const auto& running = *state_.running;
    if (running.delivery != line::Delivery::gravity || running.flow.value() == 0) return;
    const Instant from = std::max(running.drip_counted_at.value_or(running.flow_since), running.flow_since);
    add_every(Task::drip_recount, from, policy_.watch.drip_recount, "Count the drip",
              [&] { return "runs by gravity: every " + show(policy_.watch.drip_recount.value); });
  }

  void need() {
    const auto& idle = policy_.watch.idle;
    if (state_.last_check && state_.last_check->check.still_needed == false) {
      add(
          Task::need_review, state_.last_check->at, Interval{0}, "Ask whether it may come out",
          [] { return "no longer needed at the last check"; }, [&] { return source_of(idle); });
    } else if (const auto used = used_until()) {
      add_every(Task::need_review, *used, idle, "Ask whether it may come out",
                [&] { return "not used for " + show(idle.value); });
    }
  }

  /// When the line was last in use; nothing while a bag runs into it.
  [[nodiscard]] std::optional<Instant> used_until() const {
    if (!state_.running) return state_.last_used_at;
    const auto empty_at = line::running_state(*state_.running, now_).empty_at;
    if (!empty_at)
      return std::max(state_.running->flow_since, state_.last_used_at.value_or(state_.running->flow_since));
    return *empty_at <= now_ ? empty_at : std::nullopt;
  }

  [[nodiscard]] bool blood_is_running() const {
    if (!state_.running) return false;
    const auto base = formulary_.find(state_.running->mixture.base);
    return base != formulary_.end() && base->second.kind == infusate::FluidKind::blood;
  }

  [[nodiscard]] bool answered_since(Instant at) const {
    return !state_.responses.empty() && state_.responses.back().at >= at;
  }
  [[nodiscard]] bool answered_with(std::string_view response, Instant since) const {
    return std::any_of(state_.responses.begin(), state_.responses.end(), [&](const line::ResponseMark& mark) {
      return mark.response.response == response && mark.at >= since;
    });
  }

  [[nodiscard]] Source scale_source(const std::string& name) const {
    for (const auto& scale : policy_.scales)
      if (scale.name == name) return scale.source;
    return {"grade as charted; the scale is not in this policy", Mark::practice};
  }

  template <class Why>
  void add_every(Task task, Instant from, const Figure<Interval>& figure, const char* title, Why why) {
    add(task, from + figure.value, figure.value, title, why, [&] { return source_of(figure); });
  }

  template <class Why, class Whose>
  void add(Task task, Instant due_at, Interval interval, const char* title, Why why, Whose whose, int more = 0) {
    const auto wait = wait_for(task, due_at, interval);
    const Instant waits_for = wait ? std::max(due_at, wait->until) : due_at;
    const Interval from_then = wait ? Interval{0} : interval;
    const DueClock clock{task, waits_for, waits_for + grace(from_then), waits_for - policy_.watch.soon.value,
                         task_weight(task) + more};
    sink_.take(clock, due_at, wait, title, why, whose);
  }

  /// Late by so much: 15 minutes, or a quarter of the interval when that is less.
  static std::chrono::milliseconds grace(Interval interval) {
    if (interval <= Interval{0}) return longest_grace;
    return std::min<std::chrono::milliseconds>(longest_grace, std::chrono::milliseconds(interval) / 4);
  }

  /// Somebody put this task off since its clock began to run, and the time is not yet over. However long was asked for,
  /// a task waits for one of its own intervals at most: the look that is due each 15 min is not put off for an hour.
  [[nodiscard]] std::optional<Wait> wait_for(Task task, Instant due_at, Interval interval) const {
    if (!may_be_put_off(task)) return std::nullopt;
    for (const auto& mark : state_.put_off) {
      if (mark.put_off.task != task || mark.at < due_at - interval) continue;
      const Instant asked = mark.put_off.until;
      const Instant until = interval > Interval{0} ? std::min(asked, std::max(due_at, mark.at) + interval) : asked;
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
};

/// Takes clocks and words.
class Items {
 public:
  explicit Items(Instant now) : now_(now) { items_.reserve(8); }

  template <class Why, class Whose>
  void take(const DueClock& clock, Instant due_at, const std::optional<Wait>& wait, const char* title, Why why,
            Whose whose) {
    const DueState state = state_at(clock, now_);
    DueItem item{clock.task, due_at, state, with_lateness(clock.weight, state), title, why(), whose(), {}, {}};
    if (wait) {
      item.put_off_until = wait->until;
      item.put_off_because = wait->mark->put_off.reason;
    }
    items_.push_back(std::move(item));
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

  template <class Why, class Whose>
  void take(const DueClock& clock, Instant, const std::optional<Wait>& wait, const char*, Why, Whose) {
    out.clocks.push_back(clock);
    if (wait) holds_until(wait->until);
  }
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
    out.site = access::describe(state.placement->placed.site);
  else if (state.planned)
    out.site = access::describe(state.planned->site);
  out.items = items_of(state, policy, formulary, now, today);
  if (!out.items.empty()) out.urgency = out.items.front().urgency;
  for (const auto& item : out.items) out.next_at = std::min(out.next_at.value_or(item.due_at), item.due_at);
  return out;
}

}  // namespace

std::vector<DueItem> due_items(const line::State& state, const policy::Policy& policy,
                               const infusate::Formulary& formulary, Instant now) {
  return items_of(state, policy, formulary, now, utc_date(now));
}

DueClocks due_clocks(const line::State& state, const policy::Policy& policy, const infusate::Formulary& formulary,
                     Instant now) {
  const Date today = utc_date(now);
  Clocks clocks;
  Dues<Clocks>(state, policy, formulary, now, today, clocks).walk();
  if (const auto grown = grows_up_at(state.patient, today)) clocks.holds_until(*grown);
  // A bag that runs empty starts the idle clock.
  if (state.running)
    if (const auto empty_at = line::running_state(*state.running, now).empty_at; empty_at && *empty_at > now)
      clocks.holds_until(*empty_at);
  return clocks.out;
}

int urgency_at(const DueClock& clock, Instant now) { return with_lateness(clock.weight, state_at(clock, now)); }

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
    if (state.stage != line::Stage::closed) ward.push_back(line_due(state, policy, formulary, now, today));
  std::sort(ward.begin(), ward.end(), [](const LineDue& a, const LineDue& b) {
    if (a.urgency != b.urgency) return a.urgency > b.urgency;
    return std::tie(a.bed, a.line) < std::tie(b.bed, b.line);
  });
  return ward;
}

policy::SiteCheckClass site_check_class(const line::State& state, const policy::Watch& watch,
                                        const infusate::Formulary& formulary, Date today) {
  return site_clock(state, watch, formulary, today).kind;
}

}  // namespace dwell::care

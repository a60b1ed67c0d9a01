#include "document/handover.h"

#include <algorithm>
#include <map>

#include "care/due.h"
#include "document/charted.h"
#include "line/clauses.h"
#include "line/history_text.h"
#include "quantity/display.h"
#include "say/access.h"
#include "say/care.h"
#include "say/document.h"
#include "say/line.h"
#include "text/own_words.h"
#include "text/text_rule.h"

namespace dwell::document {
namespace {

using line::State;

FieldErrors check(const HandoverPeriod& period) {
  constexpr auto longest = std::chrono::days(7);
  FieldErrors errors;
  if (!(period.since < period.now && period.now - period.since <= longest))
    errors.push_back({"/since", iso(period.since), say::before_by_seven_days()});
  if (!(period.until > period.now && period.until - period.now <= longest))
    errors.push_back({"/until", iso(period.until), say::after_by_seven_days()});
  return errors;
}

/// Composes the row of one line.
class Row {
 public:
  Row(const State& state, const std::vector<State>& ward, const policy::Policy& policy,
      const infusate::Formulary& formulary, const HandoverPeriod& period)
      : state_(state), ward_(ward), policy_(policy), formulary_(formulary), period_(period) {}

  HandoverRow compose(const care::LineDue* due) && {
    row_.id = state_.id;
    row_.bed = text_or_missing(state_.place.bed);
    row_.who = name_of(state_.patient);
    row_.second_identifier = second_identifier();
    row_.line = line_in_words();
    row_.running = running();
    row_.site = site_in_words();
    say_beware(due);
    say_due(due);
    say_changes();
    return std::move(row_);
  }

 private:
  [[nodiscard]] Message line_in_words() const {
    if (!state_.placement) return say::not_placed(state_.stage);
    const auto& [at, author, placed] = *state_.placement;
    return say::placed_and_since(access::said_of(placed.site), line::describe(placed.gauge), shown(placed.length), at,
                                 between(at, period_.now));
  }

  /// What is so, as a part of the list; what to do about it stands on the line's own page.
  static Message in_few_words(const Finding& finding) {
    return finding.code == "shared_limb" ? say::other_line_in_limb() : finding.text;
  }

  [[nodiscard]] Message running() const {
    if (!state_.running) return {};
    const auto bag = line::running_state(*state_.running, period_.now);
    const Message mixture = line::describe(state_.running->mixture);
    const auto flow = shown(state_.running->flow), left = shown(bag.left);
    return bag.empty_at ? say::runs_until(mixture, flow, left, *bag.empty_at)
                        : say::runs_with_left(mixture, flow, left);
  }

  [[nodiscard]] Message site_in_words() const {
    if (!state_.last_check) return state_.placement ? say::not_looked_at() : Message();
    const auto& mark = *state_.last_check;
    const std::string author = text::one_line(mark.author);
    if (nothing_found(mark.check)) return say::sound_and_seen(mark.at, author);
    std::vector<Message> found{line::describe(mark.check.signs)};
    if (mark.check.pain_unsaid) found.push_back(say::pain_unsaid(*mark.check.pain_unsaid));
    if (mark.check.seen_before_gone == false) found.push_back(say::seen_before_still_there());
    for (const auto& given : mark.check.grades) found.push_back(line::describe(given));
    return say::found_and_seen(line::clauses(std::move(found)), mark.at, author);
  }

  /// Looked, graded, and nothing: said in few words, so that the others are seen. That a patient cannot say stands
  /// among what to beware of; that nobody asked stands nowhere else.
  static bool nothing_found(const line::SiteChecked& check) {
    return check.pain_unsaid != line::PainUnsaid::not_asked && check.seen_before_gone != false &&
           check.signs.assessed && check.signs.present.empty() && check.signs.pain_score.value_or(0) == 0 &&
           !check.grades.empty() && std::all_of(check.grades.begin(), check.grades.end(), [](const auto& given) {
             return given.grade == 0 && !given.unmatched;
           });
  }

  /// A name alone is no identity: two of one name lie on one ward.
  [[nodiscard]] Message second_identifier() const {
    const auto& patient = state_.patient;
    if (patient.birth_date && patient.birth_date->ok()) return say::born_on(*patient.birth_date);
    if (!text::is_blank(patient.number)) return say::number_is(text::unmarked(patient.number));
    return say::no_second_identifier();
  }

  /// As it reaches the vein; what the list lacks is unknown, and taken as a vesicant everywhere.
  [[nodiscard]] infusate::HarmClass harm_of(const infusate::Mixture& mixture) const {
    const auto mixed = infusate::mix(mixture, formulary_, policy_.infusate.harm_by_solute);
    return mixed ? mixed->harm : infusate::HarmClass::unknown;
  }
  [[nodiscard]] bool may_be_vesicant(const infusate::Mixture& mixture) const {
    const auto harm = harm_of(mixture);
    return harm == infusate::HarmClass::vesicant || harm == infusate::HarmClass::unknown;
  }

  /// What can hurt through this line, before what is known of the patient.
  void beware_of_what_runs(std::vector<Message>& words) const {
    if (!state_.running) {
      if (std::any_of(state_.ran_since_sound_check.begin(), state_.ran_since_sound_check.end(),
                      [&](const auto& mixture) { return may_be_vesicant(mixture); }))
        words.push_back(say::harm_since_sound());
      return;
    }
    const auto harm = harm_of(state_.running->mixture);
    if (harm == infusate::HarmClass::vesicant) words.push_back(say::vesicant_runs());
    if (harm == infusate::HarmClass::unknown) words.push_back(say::unknown_runs());
    if (!may_be_vesicant(state_.running->mixture)) return;
    if (state_.placement) {
      const auto region = state_.placement->placed.site.region;
      if (access::is_little_tissue(region)) words.push_back(say::runs_where_forbidden());
    }
    if (is_only_line()) words.push_back(say::only_line());
  }

  [[nodiscard]] bool is_only_line() const {
    return std::none_of(ward_.begin(), ward_.end(), [&](const State& other) {
      return other.id != state_.id && other.stage == line::Stage::dwelling && !text::is_blank(state_.patient.number) &&
             other.patient.number == state_.patient.number;
    });
  }

  void beware_of_the_line(std::vector<Message>& words) const {
    if (!state_.placement) return;
    const auto& placed = state_.placement->placed;
    if (state_.no_blood_return_at)
      words.push_back(say::beware_no_blood_return());
    else if (!placed.blood_return)
      words.push_back(say::blood_return_not_recorded());
    if (placed.asepsis == line::Asepsis::not_assured)
      words.push_back(say::emergency_line_until(state_.placement->at + policy_.watch.emergency_dwell.value));
    const auto failed = std::count_if(state_.attempts.begin(), state_.attempts.end(), [](const auto& mark) {
      return mark.attempt.outcome != line::AttemptOutcome::placed;
    });
    if (failed > 0) words.push_back(say::failed_attempts(failed));
  }

  void say_beware(const care::LineDue* due) {
    auto& words = row_.beware;
    beware_of_what_runs(words);
    beware_of_the_line(words);
    if (due)
      for (const auto& finding : due->findings) words.push_back(in_few_words(finding));
    beware_of_the_patient(words);
    for (const auto& contradiction : state_.contradictions) words.push_back(say::to_be_resolved(contradiction));
    if (const auto order = line::shown_removal_order(state_)) words.push_back(say::removal_was_ordered(*order));
    for (const auto& refusal : state_.refusals)
      words.push_back(say::refused_by_patient(words_of(refusal.refused.what, refusal.author)));
    const auto course = site::trend(state_.looks, policy_.scales, policy_.remove.length_tolerance.value);
    if (course.course == site::Course::worse) words.push_back(say::site_course(course.text));
  }

  void beware_of_the_patient(std::vector<Message>& words) const {
    const auto& patient = state_.patient;
    if (patient.can_report_pain == false) words.push_back(say::beware_cannot_report_pain());
    if (patient.fragile_skin == true) words.push_back(say::beware_fragile_skin());
    if (text::is_blank(state_.place.unit)) words.push_back(say::ward_not_recorded());
    if (!patient.allergies_known) words.push_back(say::allergies_not_recorded());
    for (const auto& allergy : patient.allergies) words.push_back(say::allergy_to(text::one_line(allergy)));
    if (patient.anticoagulant.value_or(false)) words.push_back(say::anticoagulant_given());
    if (!patient.anticoagulant) words.push_back(say::anticoagulant_not_recorded());
    for (const auto& r : patient.restrictions)
      words.push_back(say::limb_restricted(r.side, r.limb, say::restriction(r.reason)));
  }

  void say_changes() {
    // Looks that found nothing are counted: what is news must not drown among them.
    int sound_looks = 0;
    Instant last_sound{};
    bool any = false;
    for (const auto& entry : state_.history) {
      if (entry.corrected || entry.at < period_.since || entry.at > period_.now) continue;
      any = true;
      if (entry.kind == "site_checked" && entry.worst_grade.value_or(1) == 0) {
        ++sound_looks;
        last_sound = entry.at;
        continue;
      }
      row_.changed = charted(entry);
      row_.changed_at = entry.at;
      row_.since.push_back(say::happened_at(entry.at, *row_.changed));
    }
    if (sound_looks > 0) row_.since.push_back(say::sound_looks(sound_looks, last_sound));
    if (!any) row_.since.push_back(say::nothing_charted());
  }

  void say_due(const care::LineDue* due) {
    if (!due) return;
    for (const auto& item : due->items) {
      if (item.due_at > period_.until) continue;
      const bool overdue = item.state == care::DueState::overdue;
      if (item.put_off_until)
        row_.due.push_back({overdue,
                            say::due_at_put_off(item.title, item.due_at, item.why, *item.put_off_until,
                                                text::quoted(item.put_off_because.value_or(""))),
                            say::due_briefly_put_off(item.title, item.due_at, *item.put_off_until)});
      else
        row_.due.push_back(
            {overdue, say::due_at(item.title, item.due_at, item.why), say::due_briefly(item.title, item.due_at)});
    }
    if (row_.due.empty()) row_.due.push_back({false, say::nothing_due(), say::nothing_due()});
  }

  const State& state_;
  const std::vector<State>& ward_;
  const policy::Policy& policy_;
  const infusate::Formulary& formulary_;
  const HandoverPeriod& period_;
  HandoverRow row_;
};

/// The same in lines, for a reader of text.
NoteSection section_of(const HandoverRow& row) {
  NoteSection section{say::bed_heading(row.bed, row.who, row.second_identifier), {}};
  section.line = row.id;
  section.changed = row.changed;
  section.changed_at = row.changed_at;
  auto& lines = section.lines;
  lines.push_back(say::item_line(row.line));
  if (!row.beware.empty()) {
    section.beware = line::clauses(row.beware);
    lines.push_back(say::item_beware(*section.beware));
  }
  if (!row.running.empty()) lines.push_back(say::item_running(row.running));
  if (!row.site.empty()) lines.push_back(say::item_site(row.site));
  for (const auto& due : row.due) lines.push_back(due.overdue ? say::item_overdue(due.text) : say::item_due(due.text));
  for (const auto& happened : row.since) lines.push_back(say::item_since(happened));
  return section;
}

/// Lines that ended since: the next shift should know that they are gone.
std::vector<Message> ended_since(const std::vector<State>& states, const HandoverPeriod& period) {
  std::vector<Message> ended;
  for (const auto& state : states)
    if (state.stage == line::Stage::closed && state.removal && state.removal->at >= period.since)
      ended.push_back(say::ended_line(text_or_missing(state.place.bed), name_of(state.patient), state.removal->at,
                                      say::removal_reason(state.removal->removed.reason)));
  return ended;
}

Message head_of(const HandoverPeriod& period) {
  const auto& [since, now, until, nurse] = period;
  if (!nurse) return say::shift_head(since, now, until);
  return nurse->empty() ? say::shift_head_of_nobody(since, now, until)
                        : say::shift_head_of(text::unmarked(*nurse), since, now, until);
}

}  // namespace

Checked<HandoverSheet> compose_handover(const std::vector<State>& states, const policy::Policy& policy,
                                        const infusate::Formulary& formulary, const HandoverPeriod& period) {
  if (auto errors = check(period); !errors.empty()) return refuse(std::move(errors));
  std::map<std::string, const State*> by_id;
  for (const auto& state : states) by_id[state.id] = &state;
  HandoverSheet sheet;
  sheet.title = say::title_handover();
  sheet.written = period.now;
  sheet.patient = head_of(period);
  auto ward = care::ward_due(states, policy, formulary, period.now);
  if (period.nurse) ward = care::lines_of(ward, *period.nurse);
  for (const auto& due : ward)
    sheet.rows.push_back(Row(*by_id.at(due.line), states, policy, formulary, period).compose(&due));
  if (!period.nurse) sheet.ended = ended_since(states, period);
  for (const auto& row : sheet.rows) sheet.sections.push_back(section_of(row));
  if (!sheet.ended.empty()) sheet.sections.push_back({say::heading_ended(), sheet.ended});
  if (sheet.sections.empty()) sheet.sections.push_back({say::heading_no_open_line(), {say::nothing_to_hand_over()}});
  return sheet;
}

}  // namespace dwell::document

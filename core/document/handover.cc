#include "document/handover.h"

#include <algorithm>
#include <map>

#include "care/due.h"
#include "document/plain_text.h"
#include "line/history_text.h"
#include "quantity/display.h"
#include "text/own_words.h"
#include "text/text_rule.h"

namespace dwell::document {
namespace {

using line::State;

FieldErrors check(const HandoverPeriod& period) {
  constexpr auto longest = std::chrono::days(7);
  FieldErrors errors;
  if (!(period.since < period.now && period.now - period.since <= longest))
    errors.push_back({"/since", iso(period.since), "before now, by at most 7 d"});
  if (!(period.until > period.now && period.until - period.now <= longest))
    errors.push_back({"/until", iso(period.until), "after now, by at most 7 d"});
  return errors;
}

/// Composes the lines of one section.
class Section {
 public:
  Section(const State& state, const std::vector<State>& ward, const policy::Policy& policy,
          const infusate::Formulary& formulary, const LocalTime& local, const HandoverPeriod& period)
      : state_(state), ward_(ward), policy_(policy), formulary_(formulary), local_(local), period_(period) {
    section_.heading = text::one_line("Bed " + (state.place.bed.empty() ? "not recorded" : state.place.bed) + " · " +
                                      line::display_name(state.patient) + " · " + second_identifier());
  }

  NoteSection compose(const care::LineDue* due) && {
    section_.line = state_.id;
    say_line();
    say_beware(due);
    say_running();
    say_site();
    say_due(due);
    say_changes();
    return std::move(section_);
  }

 private:
  void say(const std::string& what, const std::string& text) {
    section_.lines.push_back(what + ": " + text::one_line(text));
  }

  void say_line() {
    if (!state_.placement) return say("Line", std::string(json::name_of(state_.stage)) + ", not placed");
    const auto& placed = state_.placement->placed;
    say("Line", access::describe(placed.site) + ", " + show(placed.gauge) + ", " + show(placed.length) + ", placed " +
                    local_.show(state_.placement->at) + " (" + show(between(state_.placement->at, period_.now)) + ")");
  }

  static std::string lower(std::string text) {
    if (!text.empty() && text.front() >= 'A' && text.front() <= 'Z')
      text.front() = static_cast<char>(text.front() + 32);
    return text;
  }

  /// What is so, as a part of the list; what to do about it stands on the line's own page.
  /// A sheet is still prose; what is a message has its few words here, and is never left out.
  static std::string in_few_words(const Finding& finding) {
    if (!finding.text.has_id()) return lower(first_sentence(finding.text.written()));
    return finding.text.id() == "line_in_same_limb" ? "another line lies in the same limb" : finding.code;
  }
  static std::string first_sentence(const std::string& text) { return text.substr(0, text.find(". ")); }

  void say_running() {
    if (!state_.running) return;
    const auto bag = line::running_state(*state_.running, period_.now);
    say("Running", line::describe(state_.running->mixture) + " at " + show(state_.running->flow) + "; " +
                       show(bag.left) + " left" + (bag.empty_at ? ", empty " + local_.show(*bag.empty_at) : ""));
  }

  void say_site() {
    if (!state_.last_check) {
      if (state_.placement) say("Site", "not looked at since it was placed");
      return;
    }
    const auto& mark = *state_.last_check;
    const std::string seen = "; seen " + local_.show(mark.at) + " (" + mark.author + ")";
    if (nothing_found(mark.check)) return say("Site", "sound, 0 on every scale" + seen);
    std::string grades;
    for (const auto& given : mark.check.grades) grades += (grades.empty() ? "" : "; ") + line::describe(given);
    say("Site", line::describe(mark.check.signs) + (grades.empty() ? "" : "; " + grades) + seen);
  }

  /// Looked, graded, and nothing: said in few words, so that the others are seen.
  static bool nothing_found(const line::SiteChecked& check) {
    return check.signs.assessed && check.signs.present.empty() && check.signs.pain_score.value_or(0) == 0 &&
           !check.grades.empty() && std::all_of(check.grades.begin(), check.grades.end(), [](const auto& given) {
             return given.grade == 0 && !given.unmatched;
           });
  }

  /// A name alone is no identity: two of one name lie on one ward.
  [[nodiscard]] std::string second_identifier() const {
    const auto& patient = state_.patient;
    if (patient.birth_date && patient.birth_date->ok()) return "born " + show(*patient.birth_date);
    if (!text::is_blank(patient.number)) return "no. " + text::unmarked(patient.number);
    return "no birth date, no number";
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
  void beware_of_what_runs(std::vector<std::string>& words) const {
    if (!state_.running) {
      if (std::any_of(state_.ran_since_sound_check.begin(), state_.ran_since_sound_check.end(),
                      [&](const auto& mixture) { return may_be_vesicant(mixture); }))
        words.push_back("a vesicant or something unknown ran since the site was last seen sound");
      return;
    }
    const auto harm = harm_of(state_.running->mixture);
    if (harm == infusate::HarmClass::vesicant) words.push_back("VESICANT running");
    if (harm == infusate::HarmClass::unknown) words.push_back("what runs is not on the list: taken as a VESICANT");
    if (!may_be_vesicant(state_.running->mixture)) return;
    if (state_.placement) {
      const auto region = state_.placement->placed.site.region;
      if (access::is_little_tissue(region))
        words.push_back("it runs where policy forbids: over a joint or in the back of the hand");
    }
    if (is_only_line()) words.push_back("the only line: a new one before this one goes");
  }

  [[nodiscard]] bool is_only_line() const {
    return std::none_of(ward_.begin(), ward_.end(), [&](const State& other) {
      return other.id != state_.id && other.stage == line::Stage::dwelling && !text::is_blank(state_.patient.number) &&
             other.patient.number == state_.patient.number;
    });
  }

  void beware_of_the_line(std::vector<std::string>& words) const {
    if (!state_.placement) return;
    const auto& placed = state_.placement->placed;
    if (state_.no_blood_return_at)
      words.push_back("NO BLOOD RETURN: no irritant or vesicant");
    else if (!placed.blood_return)
      words.push_back("blood return not recorded");
    if (placed.asepsis == line::Asepsis::not_assured)
      words.push_back("emergency line: out by " +
                      local_.show(state_.placement->at + policy_.watch.emergency_dwell.value));
    const auto failed = std::count_if(state_.attempts.begin(), state_.attempts.end(), [](const auto& mark) {
      return mark.attempt.outcome != line::AttemptOutcome::placed;
    });
    if (failed > 0) words.push_back(std::to_string(failed) + (failed == 1 ? " failed attempt" : " failed attempts"));
  }

  void say_beware(const care::LineDue* due) {
    const auto& patient = state_.patient;
    std::vector<std::string> words;
    beware_of_what_runs(words);
    beware_of_the_line(words);
    if (due)
      for (const auto& finding : due->findings) words.push_back(in_few_words(finding));
    if (patient.can_report_pain == false) words.push_back("cannot report pain");
    if (patient.fragile_skin == true) words.push_back("fragile skin");
    if (text::is_blank(state_.place.unit)) words.push_back("ward not recorded, so that every ward sees this line");
    if (!patient.allergies_known) words.push_back("allergies not recorded");
    for (const auto& allergy : patient.allergies) words.push_back("allergy: " + allergy);
    if (patient.anticoagulant.value_or(false)) words.push_back("anticoagulant");
    if (!patient.anticoagulant) words.push_back("anticoagulant not recorded");
    for (const auto& r : patient.restrictions)
      words.push_back(std::string(json::name_of(r.side)) + " " + std::string(json::name_of(r.limb)) +
                      " restricted: " + access::describe(r.reason));
    for (const auto& contradiction : state_.contradictions) words.push_back("to be resolved: " + contradiction);
    if (state_.removal_order) words.push_back("removal ordered: " + line::shown_removal_order(state_));
    for (const auto& refusal : state_.refusals)
      words.push_back("refused: " + text::attributed(text::quoted(refusal.refused.what), refusal.author));
    const auto course = site::trend(state_.looks, policy_.scales, policy_.remove.length_tolerance.value);
    if (course.course == site::Course::worse) words.push_back("site getting " + lower(course.text));
    std::string text;
    for (const auto& word : words) text += (text.empty() ? "" : "; ") + word;
    if (text.empty()) return;
    section_.beware = text::one_line(text);
    say("Beware", text);
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
      section_.changed = text::one_line(charted(entry));
      section_.changed_at = entry.at;
      say("Since then", local_.show(entry.at) + " " + charted(entry));
    }
    if (sound_looks > 0)
      say("Since then", "site looked at and sound " + std::to_string(sound_looks) +
                            (sound_looks == 1 ? " time, " : " times, last ") + local_.show(last_sound));
    if (!any) say("Since then", "nothing charted");
  }

  void say_due(const care::LineDue* due) {
    if (!due) return;
    bool any = false;
    for (const auto& item : due->items) {
      if (item.due_at > period_.until) continue;
      any = true;
      say(item.state == care::DueState::overdue ? "OVERDUE" : "Due",
          item.title + ", " + local_.show(item.due_at) + " (" + item.why + ")" +
              (item.put_off_until ? "; put off until " + local_.show(*item.put_off_until) + ": " +
                                        text::quoted(item.put_off_because.value_or(""))
                                  : ""));
    }
    if (!any) say("Due", "nothing until the end of the shift");
  }

  const State& state_;
  const std::vector<State>& ward_;
  const policy::Policy& policy_;
  const infusate::Formulary& formulary_;
  const LocalTime& local_;
  const HandoverPeriod& period_;
  NoteSection section_;
};

/// Lines that ended since: the next shift should know that they are gone.
void add_closed(const std::vector<State>& states, const LocalTime& local, const HandoverPeriod& period, Note& note) {
  NoteSection closed{"Ended since", {}};
  for (const auto& state : states)
    if (state.stage == line::Stage::closed && state.removal && state.removal->at >= period.since)
      closed.lines.push_back(text::one_line("Bed " + state.place.bed + ", " + line::display_name(state.patient) +
                                            ": removed " + local.show(state.removal->at) + ", " +
                                            line::spoken(json::name_of(state.removal->removed.reason))));
  if (!closed.lines.empty()) note.sections.push_back(std::move(closed));
}

}  // namespace

Checked<Note> compose_handover(const std::vector<State>& states, const policy::Policy& policy,
                               const infusate::Formulary& formulary, const LocalTime& local,
                               const HandoverPeriod& period) {
  if (auto errors = check(period); !errors.empty()) return refuse(std::move(errors));
  std::map<std::string, const State*> by_id;
  for (const auto& state : states) by_id[state.id] = &state;
  Note note;
  note.title = "Peripheral IV lines: handover";
  note.patient = (period.nurse ? (period.nurse->empty() ? "Nobody's lines · "
                                                        : "Lines of " + text::unmarked(*period.nurse) + " · ")
                               : std::string()) +
                 "Since " + local.show(period.since) + " · written " + local.show(period.now) + " · until " +
                 local.show(period.until);
  auto ward = care::ward_due(states, policy, formulary, period.now);
  if (period.nurse) ward = care::lines_of(ward, *period.nurse);
  for (const auto& due : ward)
    note.sections.push_back(Section(*by_id.at(due.line), states, policy, formulary, local, period).compose(&due));
  if (!period.nurse) add_closed(states, local, period, note);
  if (note.sections.empty()) note.sections.push_back({"No open line", {"Nothing to hand over."}});
  note.text = plain_text(note, "");
  return note;
}

}  // namespace dwell::document

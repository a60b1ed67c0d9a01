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

/// Composes the row of one line.
class Row {
 public:
  Row(const State& state, const std::vector<State>& ward, const policy::Policy& policy,
      const infusate::Formulary& formulary, const LocalTime& local, const HandoverPeriod& period)
      : state_(state), ward_(ward), policy_(policy), formulary_(formulary), local_(local), period_(period) {}

  HandoverRow compose(const care::LineDue* due) && {
    row_.id = state_.id;
    row_.bed = text::one_line(state_.place.bed.empty() ? "not recorded" : state_.place.bed);
    row_.who = text::one_line(line::display_name(state_.patient));
    row_.second_identifier = text::one_line(second_identifier());
    row_.line = text::one_line(line_in_words());
    row_.running = text::one_line(running());
    row_.site = text::one_line(site_in_words());
    say_beware(due);
    say_due(due);
    say_changes();
    return std::move(row_);
  }

 private:
  [[nodiscard]] std::string line_in_words() const {
    if (!state_.placement) return std::string(json::name_of(state_.stage)) + ", not placed";
    const auto& placed = state_.placement->placed;
    return access::describe(placed.site) + ", " + show(placed.gauge) + ", " + show(placed.length) + ", placed " +
           local_.show(state_.placement->at) + " (" + show(between(state_.placement->at, period_.now)) + ")";
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

  [[nodiscard]] std::string running() const {
    if (!state_.running) return "";
    const auto bag = line::running_state(*state_.running, period_.now);
    return line::describe(state_.running->mixture) + " at " + show(state_.running->flow) + "; " + show(bag.left) +
           " left" + (bag.empty_at ? ", empty " + local_.show(*bag.empty_at) : "");
  }

  [[nodiscard]] std::string site_in_words() const {
    if (!state_.last_check) return state_.placement ? "not looked at since it was placed" : "";
    const auto& mark = *state_.last_check;
    const std::string seen = "; seen " + local_.show(mark.at) + " (" + mark.author + ")";
    if (nothing_found(mark.check)) return "sound, 0 on every scale" + seen;
    std::string grades;
    for (const auto& given : mark.check.grades) grades += (grades.empty() ? "" : "; ") + line::describe(given);
    return line::describe(mark.check.signs) + (grades.empty() ? "" : "; " + grades) + seen;
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
    for (const auto& word : words) row_.beware.push_back(text::one_line(word));
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
      row_.changed = text::one_line(charted(entry));
      row_.changed_at = entry.at;
      happened(local_.show(entry.at) + " " + charted(entry));
    }
    if (sound_looks > 0)
      happened("site looked at and sound " + std::to_string(sound_looks) +
               (sound_looks == 1 ? " time, " : " times, last ") + local_.show(last_sound));
    if (!any) happened("nothing charted");
  }
  void happened(const std::string& text) { row_.since.push_back(text::one_line(text)); }

  void say_due(const care::LineDue* due) {
    if (!due) return;
    for (const auto& item : due->items) {
      if (item.due_at > period_.until) continue;
      const std::string put_off = item.put_off_until ? "; put off until " + local_.show(*item.put_off_until) + ": " +
                                                           text::quoted(item.put_off_because.value_or(""))
                                                     : "";
      row_.due.push_back(
          {item.state == care::DueState::overdue,
           text::one_line(item.title + ", " + local_.show(item.due_at) + " (" + item.why + ")" + put_off)});
    }
    if (row_.due.empty()) row_.due.push_back({false, "nothing until the end of the shift"});
  }

  const State& state_;
  const std::vector<State>& ward_;
  const policy::Policy& policy_;
  const infusate::Formulary& formulary_;
  const LocalTime& local_;
  const HandoverPeriod& period_;
  HandoverRow row_;
};

/// The same words in lines, for a reader of text.
NoteSection section_of(const HandoverRow& row) {
  NoteSection section{"Bed " + row.bed + " · " + row.who + " · " + row.second_identifier, {}};
  section.line = row.id;
  section.changed = row.changed;
  section.changed_at = row.changed_at;
  const auto say = [&](const char* what, const std::string& text) {
    if (!text.empty()) section.lines.push_back(std::string(what) + ": " + text);
  };
  say("Line", row.line);
  std::string beware;
  for (const auto& word : row.beware) beware += (beware.empty() ? "" : "; ") + word;
  if (!beware.empty()) section.beware = beware;
  say("Beware", beware);
  say("Running", row.running);
  say("Site", row.site);
  for (const auto& due : row.due) say(due.overdue ? "OVERDUE" : "Due", due.text);
  for (const auto& happened : row.since) say("Since then", happened);
  return section;
}

/// Lines that ended since: the next shift should know that they are gone.
std::vector<std::string> ended_since(const std::vector<State>& states, const LocalTime& local,
                                     const HandoverPeriod& period) {
  std::vector<std::string> ended;
  for (const auto& state : states)
    if (state.stage == line::Stage::closed && state.removal && state.removal->at >= period.since)
      ended.push_back(text::one_line("Bed " + state.place.bed + ", " + line::display_name(state.patient) +
                                     ": removed " + local.show(state.removal->at) + ", " +
                                     line::spoken(json::name_of(state.removal->removed.reason))));
  return ended;
}

}  // namespace

Checked<HandoverSheet> compose_handover(const std::vector<State>& states, const policy::Policy& policy,
                                        const infusate::Formulary& formulary, const LocalTime& local,
                                        const HandoverPeriod& period) {
  if (auto errors = check(period); !errors.empty()) return refuse(std::move(errors));
  std::map<std::string, const State*> by_id;
  for (const auto& state : states) by_id[state.id] = &state;
  HandoverSheet sheet;
  sheet.title = "Peripheral IV lines: handover";
  sheet.written = period.now;
  sheet.patient = (period.nurse ? (period.nurse->empty() ? "Nobody's lines · "
                                                         : "Lines of " + text::unmarked(*period.nurse) + " · ")
                                : std::string()) +
                  "Since " + local.show(period.since) + " · written " + local.show(period.now) + " · until " +
                  local.show(period.until);
  auto ward = care::ward_due(states, policy, formulary, period.now);
  if (period.nurse) ward = care::lines_of(ward, *period.nurse);
  for (const auto& due : ward)
    sheet.rows.push_back(Row(*by_id.at(due.line), states, policy, formulary, local, period).compose(&due));
  if (!period.nurse) sheet.ended = ended_since(states, local, period);
  for (const auto& row : sheet.rows) sheet.sections.push_back(section_of(row));
  if (!sheet.ended.empty()) sheet.sections.push_back({"Ended since", sheet.ended});
  if (sheet.sections.empty()) sheet.sections.push_back({"No open line", {"Nothing to hand over."}});
  sheet.text = plain_text(sheet, "");
  return sheet;
}

}  // namespace dwell::document

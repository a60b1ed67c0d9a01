// One composer for every version of the note. A section is written when the line has come that far; within it every
// item that a record should hold has its line, and what was not charted says so.
#include "document/note.h"

#include <algorithm>
#include <initializer_list>
#include <map>

#include "document/charted.h"
#include "json/codec.h"
#include "line/clauses.h"
#include "line/history_text.h"
#include "quantity/display.h"
#include "say/access.h"
#include "say/common.h"
#include "say/document.h"
#include "say/line.h"

namespace dwell::document {
namespace {

Message yes_no(std::optional<bool> value) {
  if (!value) return say::not_recorded();
  return *value ? say::answer_yes() : say::answer_no();
}
template <class T>
Message shown_or_missing(const std::optional<T>& value) {
  return value ? say::quantity(shown(*value)) : say::not_recorded();
}
Message shown_grades(const std::vector<line::GradeGiven>& grades) {
  std::vector<Message> parts;
  parts.reserve(grades.size());
  for (const auto& given : grades) parts.push_back(line::describe(given));
  return parts.empty() ? say::not_recorded() : line::clauses(std::move(parts));
}

class Composing {
 public:
  Composing(const line::State& state, const LocalTime& local, Instant now) : state_(state), local_(local), now_(now) {}

  [[nodiscard]] Note compose() {
    note_.title = title();
    note_.written = now_;
    note_.patient = patient();
    order_and_plan();
    listed(say::heading_veins(), {"assessed"});
    listed(say::heading_before_needle(), {"prepared"});
    listed(say::heading_refused(), {"refused"});
    listed(say::heading_attempts(), {"attempted"});
    if (state_.placement) {
      note_.ribbon = ribbon();
      note_.site = state_.placement->placed.site;
      placement();
      infusions();
      listed(say::heading_care(), {"site_checked", "photographed", "dressing_changed", "set_changed", "add_on_changed",
                                   "tubing_traced", "put_off", "removal_ordered", "moved", "assigned", "handed_over",
                                   "need_reviewed", "departed", "left_with_line"});
      complications();
    } else {
      listed(say::heading_care(), {"need_reviewed", "not_placed", "departed", "left_with_line"});
    }
    if (state_.removal) {
      removal();
      after_removal();
    }
    listed(say::heading_supplies(), {"supply_used"});
    listed(say::heading_notes(), {"noted"});
    listed(say::heading_keeping(), {"retention_held", "retention_released"});
    deviations();
    corrections();
    if (!state_.contradictions.empty()) section(say::heading_to_resolve(), state_.contradictions);
    return std::move(note_);
  }

 private:
  [[nodiscard]] Message title() const {
    switch (state_.stage) {
      case line::Stage::planned:
      case line::Stage::attempted: return say::title_plan();
      case line::Stage::removed:
      case line::Stage::closed: return say::title_closing();
      case line::Stage::dwelling: break;
    }
    const bool used = std::any_of(state_.history.begin(), state_.history.end(), [](const line::HistoryEntry& entry) {
      return !entry.corrected && (entry.kind == "infusion_started" || entry.kind == "site_checked");
    });
    return used ? say::title_progress() : say::title_placement();
  }

  [[nodiscard]] Message patient() const {
    const auto& p = state_.patient;
    return say::patient_head(name_of(p), p.birth_date ? say::day_of(*p.birth_date) : say::not_recorded(),
                             text_or_missing(p.number));
  }

  void section(Message heading, std::vector<Message> lines) {
    note_.sections.push_back({std::move(heading), std::move(lines)});
  }

  [[nodiscard]] static Message entry_text(const line::HistoryEntry& entry) {
    return say::entry_at(say::moment_of(entry.at), charted(entry));
  }

  /// The entries in force of these kinds, as they happened; those one after another that say the same stand in one
  /// line, each with its moment.
  [[nodiscard]] std::vector<Message> entries(std::initializer_list<std::string_view> kinds) const {
    struct Like {
      std::vector<Instant> at;
      Message text;
    };
    std::vector<Like> found;
    for (const auto& entry : state_.history) {
      if (entry.corrected || std::find(kinds.begin(), kinds.end(), entry.kind) == kinds.end()) continue;
      auto text = charted(entry);
      if (found.empty() || !(found.back().text == text)) found.push_back({{}, std::move(text)});
      found.back().at.push_back(entry.at);
    }
    std::vector<Message> lines;
    lines.reserve(found.size());
    for (auto& like : found) lines.push_back(say::entry_at(moments(like.at), std::move(like.text)));
    return lines;
  }

  /// "25 Nov 2026 08:00", "25 Nov 2026 08:00, 10:00, 26 Nov 2026 06:00 (3 times)"
  [[nodiscard]] Message moments(const std::vector<Instant>& all) const {
    if (all.size() == 1) return say::moment_of(all.front());
    std::vector<Message> moments;
    std::optional<Date> day;
    for (const auto at : all) {
      const Date its = local_.day(at);
      moments.push_back(its == day ? say::as_written(local_.time(at)) : say::moment_of(at));
      day = its;
    }
    return say::several_times(std::move(moments), std::ssize(all));
  }

  [[nodiscard]] NoteRibbon ribbon() const {
    NoteRibbon drawn;
    drawn.from = state_.placement->at;
    drawn.out = state_.removal.has_value();
    drawn.until = std::max(drawn.from, drawn.out ? state_.removal->at : now_);
    for (const auto midnight : local_.midnights(drawn.from, drawn.until))
      drawn.days.push_back({midnight, local_.day(midnight)});
    for (const auto& entry : state_.history) {
      if (entry.corrected || entry.at < drawn.from || entry.at > drawn.until) continue;
      if (entry.kind == line::SiteChecked::kind)
        drawn.looks.push_back({entry.at, entry.worst_grade, entry.unmatched.value_or(false)});
    }
    drawn.ran = ran(drawn.until);
    return drawn;
  }

  /// When something ran: from each start to what ended it, or until now.
  [[nodiscard]] std::vector<NoteRibbon::Span> ran(Instant until) const {
    std::vector<NoteRibbon::Span> spans;
    std::optional<Instant> began;
    const auto end = [&](Instant at) {
      if (began && at > *began) spans.push_back({*began, at});
      began.reset();
    };
    for (const auto& entry : state_.history) {
      if (entry.corrected || entry.at > until) continue;
      if (entry.kind == line::InfusionStarted::kind) {
        end(entry.at);
        began = entry.at;
      } else if (entry.kind == line::InfusionEnded::kind) {
        end(entry.at);
      }
    }
    end(until);
    return spans;
  }

  void listed(Message heading, std::initializer_list<std::string_view> kinds) {
    if (auto lines = entries(kinds); !lines.empty()) section(std::move(heading), std::move(lines));
  }

  void order_and_plan() {
    std::vector<Message> lines;
    if (state_.order) {
      lines.push_back(say::item_order(line::to_run(*state_.order)));
      lines.push_back(say::item_prescriber(text_or_missing(state_.order->prescriber)));
      lines.push_back(say::item_therapy(shown_or_missing(state_.order->therapy)));
    } else {
      lines.push_back(say::item_order(say::not_recorded()));
    }
    lines.push_back(say::item_second_look(second_look()));
    const auto& planned = state_.planned;
    lines.push_back(say::item_plan(planned ? say::catheter_at_site(planned->catheter, access::said_of(planned->site))
                                           : say::not_recorded()));
    section(say::heading_order_and_plan(), std::move(lines));
  }

  [[nodiscard]] Message second_look() const {
    if (!state_.double_check) return say::not_recorded();
    const Message person = text_or_missing(state_.double_check->second_person);
    return state_.double_check->agrees ? say::person_agrees(person) : say::person_differs(person);
  }

  [[nodiscard]] Message aid() const {
    for (const auto& mark : state_.attempts)
      if (mark.attempt.outcome == line::AttemptOutcome::placed)
        return mark.attempt.aid.empty() ? say::no_aid_charted() : text_or_missing(mark.attempt.aid);
    return say::not_recorded();
  }

  static Message samples(const line::Placed& placed) {
    std::vector<Message> names;
    for (const auto& sample : placed.samples.value_or(std::vector<std::string>()))
      names.push_back(text_or_missing(sample));
    return names.empty() ? say::no_samples_charted() : say::listed(std::move(names));
  }

  void placement() {
    const auto& [at, author, placed] = *state_.placement;
    const bool emergency = placed.asepsis == line::Asepsis::not_assured;
    const auto attempts = std::ssize(state_.attempts);
    section(
        say::heading_placement(),
        {say::item_date_time(say::moment_of(at)), say::item_place(say::site(placed.site.side, placed.site.region)),
         say::item_vein(text_or_missing(placed.site.vein)),
         say::item_catheter(line::describe(placed.gauge), shown(placed.length),
                            text_or_missing(placed.lot.value_or(""))),
         say::item_attempts(attempts == 0 ? say::not_recorded() : say::counted(attempts)), say::item_aid(aid()),
         say::item_antisepsis(text_or_missing(line::spoken(placed.antiseptic)), shown_or_missing(placed.dried_for)),
         say::item_asepsis(emergency ? say::asepsis_of_emergency_line() : say::was_aseptic()),
         say::item_started(say::origin_name(placed.origin.value_or(line::Origin::here))),
         say::item_samples(samples(placed)), say::item_blood_return(yes_no(placed.blood_return)),
         say::item_flushed(shown_or_missing(placed.flushed)), say::item_dressing(say::dressing_name(placed.dressing)),
         say::item_securement(text_or_missing(placed.securement)),
         say::item_tolerance(words_of(placed.tolerance, author)), say::item_teaching(words_of(placed.teaching, author)),
         say::item_inserter(text_or_missing(placed.inserter))});
  }

  void infusions() {
    auto lines = entries({"infusion_started", "rate_changed", "drip_counted", "infusion_ended", "flushed"});
    if (lines.empty()) lines.push_back(say::none_charted());
    if (state_.running) {
      const auto bag = line::running_state(*state_.running, now_);
      const Message mixture = line::describe(state_.running->mixture);
      lines.push_back(bag.empty_at
                          ? say::running_until_empty(now_, mixture, shown(bag.given), shown(bag.left), *bag.empty_at)
                          : say::running_but_stopped(now_, mixture, shown(bag.given), shown(bag.left)));
    }
    lines.push_back(say::finished_volume(shown(state_.given_in_all)));
    section(say::heading_infusions(), std::move(lines));
  }

  /// Findings that were more than nothing, what was done about them, and what went wrong at an attempt.
  void complications() {
    std::vector<Message> lines;
    for (const auto& entry : state_.history) {
      if (entry.corrected) continue;
      if (entry.worst_grade.value_or(0) > 0 || entry.unmatched.value_or(false) || entry.kind == "responded")
        lines.push_back(entry_text(entry));
    }
    for (const auto& mark : state_.attempts) {
      using enum line::AttemptOutcome;
      const auto outcome = mark.attempt.outcome;
      if (outcome == infiltrated || outcome == haematoma || outcome == arterial || outcome == nerve_pain)
        lines.push_back(say::went_wrong_at(mark.at, say::attempt_outcome(outcome)));
    }
    if (lines.empty()) lines.push_back(say::none_charted());
    section(say::heading_complications(), std::move(lines));
  }

  static Message tip(std::optional<bool> whole) {
    if (!whole) return say::tip_not_shown_whole();
    return *whole ? say::tip_whole() : say::tip_is_not_whole();
  }

  void removal() {
    const auto& mark = *state_.removal;
    const auto& removed = mark.removed;
    const auto placed_length =
        state_.placement ? std::optional(state_.placement->placed.length) : std::optional<Length>();
    const auto dwelt = state_.placement ? std::optional(between(state_.placement->at, mark.at)) : std::nullopt;
    std::vector<Message> lines;
    if (mark.catheter_short)
      lines.push_back(mark.missing ? say::catheter_not_whole_by(shown(*mark.missing)) : say::catheter_not_whole());
    for (auto& line : std::vector<Message>{
             say::item_date_time(say::moment_of(mark.at)), say::item_dwell_time(shown_or_missing(dwelt)),
             say::item_reason(say::removal_reason(removed.reason)),
             say::item_ground(words_of(removed.ground, mark.author)),
             say::item_length_found(shown_or_missing(removed.length_found), shown_or_missing(placed_length)),
             say::item_tip(tip(removed.tip_whole)), say::item_pressure(shown_or_missing(removed.pressed_for)),
             say::item_bleeding_stopped(yes_no(removed.bleeding_stopped)),
             say::item_site(line::describe(removed.signs)), say::item_grades(shown_grades(removed.grades)),
             say::item_tolerance(words_of(removed.tolerance, mark.author)),
             say::item_removed_by(text_or_missing(removed.remover))})
      lines.push_back(std::move(line));
    section(say::heading_removal(), std::move(lines));
  }

  void after_removal() {
    std::vector<Message> lines{say::item_advice(words_of(state_.removal->removed.teaching, state_.removal->author))};
    auto looks = entries({"after_checked"});
    if (looks.empty()) looks.push_back(say::item_look_after(say::not_recorded()));
    lines.insert(lines.end(), looks.begin(), looks.end());
    section(say::heading_after_removal(), std::move(lines));
  }

  void deviations() {
    std::vector<Message> lines;
    std::map<std::string_view, std::string_view> author_of;
    if (!state_.deviations.empty())
      for (const auto& entry : state_.history) author_of.emplace(entry.id, entry.author);
    for (const auto& deviation : state_.deviations)
      lines.push_back(
          say::deviation_with_reason(deviation.at, deviation.text,
                                     words_of(deviation.reason.value_or(""), std::string(author_of[deviation.event]))));
    if (!lines.empty()) section(say::heading_deviations(), std::move(lines));
  }

  void corrections() {
    std::vector<Message> lines;
    for (const auto& entry : state_.history)
      if (entry.corrected)
        lines.push_back(say::replaced_entry(entry_text(entry)));
      else if (entry.kind == line::Retracted::kind)
        lines.push_back(entry_text(entry));
    if (!lines.empty()) section(say::heading_corrections(), std::move(lines));
  }

  const line::State& state_;
  const LocalTime& local_;
  Instant now_;
  Note note_;
};

}  // namespace

Note compose_note(const line::State& state, const LocalTime& local, Instant now) {
  return Composing(state, local, now).compose();
}

}  // namespace dwell::document

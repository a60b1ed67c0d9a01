// One composer for every version of the note. A section is written when the line has come that far; within it every
// item that a record should hold has its line, and what was not charted says so.
#include "document/note.h"

#include <algorithm>
#include <initializer_list>
#include <map>

#include "document/plain_text.h"
#include "json/codec.h"
#include "line/history_text.h"
#include "text/own_words.h"

namespace dwell::document {
namespace {

const std::string missing = "not recorded";

std::string text_or_missing(const std::string& text) { return text.empty() ? missing : text; }
/// Somebody's own words, marked as theirs.
std::string words_or_missing(const std::string& words, const std::string& author) {
  return text_or_missing(text::attributed(text::quoted(words), author));
}
std::string yes_no(std::optional<bool> value) { return !value ? missing : *value ? "yes" : "no"; }
template <class T>
std::string shown(const std::optional<T>& value) {
  return value ? show(*value) : missing;
}
std::string shown_grades(const std::vector<line::GradeGiven>& grades) {
  std::string text;
  for (const auto& given : grades) text += (text.empty() ? "" : "; ") + line::describe(given);
  return text_or_missing(text);
}

class Composing {
 public:
  Composing(const line::State& state, const LocalTime& local, Instant now) : state_(state), local_(local), now_(now) {}

  [[nodiscard]] Note compose() {
    note_.title = "Peripheral IV line: " + version();
    note_.written = now_;
    note_.patient = patient();
    order_and_plan();
    listed("Veins", {"assessed"});
    listed("Before the needle", {"prepared"});
    listed("Refused", {"refused"});
    listed("Attempts", {"attempted"});
    if (state_.placement) {
      note_.ribbon = ribbon();
      placement();
      infusions();
      listed("Checks and care", {"site_checked", "photographed", "dressing_changed", "set_changed", "add_on_changed",
                                 "tubing_traced", "put_off", "removal_ordered", "moved", "assigned", "handed_over"});
      complications();
    }
    if (state_.removal) {
      removal();
      after_removal();
    }
    listed("Supplies", {"supply_used"});
    listed("Notes", {"noted"});
    listed("Keeping of the record", {"retention_held", "retention_released"});
    deviations();
    corrections();
    if (!state_.contradictions.empty()) section("To resolve", state_.contradictions);
    note_.text = plain_text(note_, "Written " + local_.show(now_));
    return std::move(note_);
  }

 private:
  [[nodiscard]] std::string version() const {
    switch (state_.stage) {
      case line::Stage::planned:
      case line::Stage::attempted: return "plan";
      case line::Stage::removed:
      case line::Stage::closed: return "closing note";
      case line::Stage::dwelling: break;
    }
    const bool used = std::any_of(state_.history.begin(), state_.history.end(), [](const line::HistoryEntry& entry) {
      return !entry.corrected && (entry.kind == "infusion_started" || entry.kind == "site_checked");
    });
    return used ? "progress note" : "placement note";
  }

  [[nodiscard]] std::string patient() const {
    const auto& p = state_.patient;
    return text::one_line("Patient: " + line::display_name(p) + " · born " + shown(p.birth_date) + " · no. " +
                          text_or_missing(p.number));
  }

  void section(std::string heading, std::vector<std::string> lines) {
    for (auto& line : lines) line = text::one_line(line);
    note_.sections.push_back({std::move(heading), std::move(lines)});
  }

  [[nodiscard]] std::string entry_text(const line::HistoryEntry& entry) const {
    return local_.show(entry.at) + ": " + charted(entry);
  }

  /// The entries in force of these kinds, as they happened; those one after another that say the same stand in one
  /// line, each with its moment.
  [[nodiscard]] std::vector<std::string> entries(std::initializer_list<std::string_view> kinds) const {
    struct Like {
      std::vector<Instant> at;
      std::string text;
    };
    std::vector<Like> found;
    for (const auto& entry : state_.history) {
      if (entry.corrected || std::find(kinds.begin(), kinds.end(), entry.kind) == kinds.end()) continue;
      auto text = charted(entry);
      if (found.empty() || found.back().text != text) found.push_back({{}, std::move(text)});
      found.back().at.push_back(entry.at);
    }
    std::vector<std::string> lines;
    lines.reserve(found.size());
    for (const auto& like : found) lines.push_back(moments(like.at) + ": " + like.text);
    return lines;
  }

  /// "25 Nov 2026 08:00", "25 Nov 2026 08:00, 10:00, 26 Nov 2026 06:00 (3 times)"
  [[nodiscard]] std::string moments(const std::vector<Instant>& all) const {
    std::string text, day;
    for (const auto at : all) {
      const std::string moment = local_.show(at);
      const auto time = moment.rfind(' ') + 1;
      text += text.empty() ? "" : ", ";
      text += moment.substr(0, time) == day ? moment.substr(time) : moment;
      day = moment.substr(0, time);
    }
    return text + (all.size() > 1 ? " (" + std::to_string(all.size()) + " times)" : "");
  }

  [[nodiscard]] NoteRibbon ribbon() const {
    NoteRibbon drawn;
    drawn.from = state_.placement->at;
    drawn.out = state_.removal.has_value();
    drawn.until = std::max(drawn.from, drawn.out ? state_.removal->at : now_);
    drawn.from_text = local_.show(drawn.from);
    drawn.until_text = local_.show(drawn.until);
    for (const auto midnight : local_.midnights(drawn.from, drawn.until)) {
      const std::string moment = local_.show(midnight);
      drawn.days.push_back({midnight, moment.substr(0, moment.rfind(' '))});
    }
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

  void listed(const char* heading, std::initializer_list<std::string_view> kinds) {
    if (auto lines = entries(kinds); !lines.empty()) section(heading, std::move(lines));
  }

  void order_and_plan() {
    std::vector<std::string> lines;
    if (state_.order) {
      const auto& order = *state_.order;
      lines.push_back("Order: " + line::describe(order.mixture) + (order.flow ? " at " + show(*order.flow) : "") +
                      (order.duration ? " over " + show(*order.duration) : ""));
      lines.push_back("Prescriber: " + text_or_missing(order.prescriber));
      lines.push_back("Expected length of therapy: " + shown(order.therapy));
    } else {
      lines.push_back("Order: " + missing);
    }
    lines.push_back("Second look at the order: " + (state_.double_check
                                                        ? text_or_missing(state_.double_check->second_person) +
                                                              (state_.double_check->agrees ? ", agrees" : ", differs")
                                                        : missing));
    lines.push_back("Plan: " + (state_.planned
                                    ? state_.planned->catheter + ", " + access::describe(state_.planned->site)
                                    : missing));
    section("Order and plan", std::move(lines));
  }

  [[nodiscard]] std::string aid() const {
    for (const auto& mark : state_.attempts)
      if (mark.attempt.outcome == line::AttemptOutcome::placed)
        return mark.attempt.aid.empty() ? "no aid charted" : mark.attempt.aid;
    return missing;
  }

  static std::string samples(const line::Placed& placed) {
    std::string text;
    for (const auto& sample : placed.samples.value_or(std::vector<std::string>()))
      text += (text.empty() ? "" : ", ") + sample;
    return text.empty() ? "none charted" : text;
  }

  void placement() {
    const auto& [at, author, placed] = *state_.placement;
    access::Site place = placed.site;
    place.vein.clear();
    const bool emergency = placed.asepsis == line::Asepsis::not_assured;
    section(
        "Placement",
        {"Date and time: " + local_.show(at), "Place and side: " + access::describe(place),
         "Vein: " + text_or_missing(placed.site.vein),
         "Catheter: " + show(placed.gauge) + ", " + show(placed.length) + ", lot " +
             text_or_missing(placed.lot.value_or("")),
         "Attempts: " + (state_.attempts.empty() ? missing : std::to_string(state_.attempts.size())),
         "Technique or aid: " + aid(),
         "Skin antisepsis: " + text_or_missing(line::spoken(placed.antiseptic)) + ", dried for " +
             shown(placed.dried_for),
         std::string("Asepsis: ") + (emergency ? "not assured, emergency line" : "aseptic"),
         "Started: " + line::spoken(json::name_of(placed.origin.value_or(line::Origin::here))),
         "Samples drawn: " + samples(placed), "Blood return: " + yes_no(placed.blood_return),
         "Flushed with: " + shown(placed.flushed), "Dressing: " + line::spoken(json::name_of(placed.dressing)),
         "Securement: " + text_or_missing(placed.securement),
         "Tolerance: " + words_or_missing(placed.tolerance, author),
         "Teaching: " + words_or_missing(placed.teaching, author), "Inserter: " + text_or_missing(placed.inserter)});
  }

  void infusions() {
    auto lines = entries({"infusion_started", "rate_changed", "drip_counted", "infusion_ended", "flushed"});
    if (lines.empty()) lines.push_back("None charted");
    if (state_.running) {
      const auto bag = line::running_state(*state_.running, now_);
      lines.push_back("Running at " + local_.show(now_) + ": " + line::describe(state_.running->mixture) + ", " +
                      show(bag.given) + " given and " + show(bag.left) + " left by rate and time" +
                      (bag.empty_at ? ", empty at " + local_.show(*bag.empty_at) : ", stopped"));
    }
    lines.push_back("Finished containers and flushes: " + show(state_.given_in_all));
    section("Infusions and flushes", std::move(lines));
  }

  /// Findings that were more than nothing, what was done about them, and what went wrong at an attempt.
  void complications() {
    std::vector<std::string> lines;
    for (const auto& entry : state_.history) {
      if (entry.corrected) continue;
      if (entry.worst_grade.value_or(0) > 0 || entry.unmatched.value_or(false) || entry.kind == "responded")
        lines.push_back(entry_text(entry));
    }
    for (const auto& mark : state_.attempts) {
      using enum line::AttemptOutcome;
      const auto outcome = mark.attempt.outcome;
      if (outcome == infiltrated || outcome == haematoma || outcome == arterial || outcome == nerve_pain)
        lines.push_back(local_.show(mark.at) + ": at an attempt, " + line::spoken(json::name_of(outcome)));
    }
    if (lines.empty()) lines.push_back("None charted");
    section("Complications and responses", std::move(lines));
  }

  void removal() {
    const auto& mark = *state_.removal;
    const auto& removed = mark.removed;
    const std::string placed = state_.placement ? show(state_.placement->placed.length) : missing;
    std::vector<std::string> lines;
    if (mark.catheter_short)
      lines.push_back("CATHETER NOT WHOLE" + (mark.missing ? ": " + show(*mark.missing) + " missing" : std::string()));
    for (auto& text : std::vector<std::string>{
             "Date and time: " + local_.show(mark.at),
             "Dwell time: " + (state_.placement ? show(between(state_.placement->at, mark.at)) : missing),
             "Reason: " + line::spoken(json::name_of(removed.reason)),
             "Why: " + words_or_missing(removed.ground, mark.author),
             "Catheter length found: " + shown(removed.length_found) + "; placed: " + placed,
             std::string("Tip: ") + (!removed.tip_whole   ? missing + ", not shown to be whole"
                                     : *removed.tip_whole ? "whole"
                                                          : "NOT WHOLE"),
             "Pressure: " + shown(removed.pressed_for), "Bleeding stopped: " + yes_no(removed.bleeding_stopped),
             "Site: " + line::describe(removed.signs), "Grades: " + shown_grades(removed.grades),
             "Tolerance: " + words_or_missing(removed.tolerance, mark.author),
             "Removed by: " + text_or_missing(removed.remover)})
      lines.push_back(std::move(text));
    section("Removal", std::move(lines));
  }

  void after_removal() {
    std::vector<std::string> lines{"Advice for the time after removal: " +
                                   words_or_missing(state_.removal->removed.teaching, state_.removal->author)};
    auto looks = entries({"after_checked"});
    if (looks.empty()) looks.push_back("Look after removal: " + missing);
    lines.insert(lines.end(), looks.begin(), looks.end());
    section("After removal", std::move(lines));
  }

  void deviations() {
    std::vector<std::string> lines;
    std::map<std::string_view, std::string_view> author_of;
    if (!state_.deviations.empty())
      for (const auto& entry : state_.history) author_of.emplace(entry.id, entry.author);
    for (const auto& deviation : state_.deviations)
      lines.push_back(local_.show(deviation.at) + ": " + deviation.text + "; reason: " +
                      words_or_missing(deviation.reason.value_or(""), std::string(author_of[deviation.event])));
    if (!lines.empty()) section("Deviations from policy", std::move(lines));
  }

  void corrections() {
    std::vector<std::string> lines;
    for (const auto& entry : state_.history)
      if (entry.corrected)
        lines.push_back("Replaced or taken back: " + entry_text(entry));
      else if (entry.kind == line::Retracted::kind)
        lines.push_back(entry_text(entry));
    if (!lines.empty()) section("Corrections", std::move(lines));
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

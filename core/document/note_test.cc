#include "document/note.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <functional>
#include <sstream>

#include "exchange/documents/on_paper.h"
#include "exchange/documents/plain_text.h"
#include "exchange/documents/wrap.h"
#include "line/test_events.h"
#include "line/test_policy.h"
#include "quantity/display.h"
#include "say/common.h"
#include "say/document.h"
#include "say/line.h"
#include "text/each_text.h"

namespace dwell::document {
namespace {

using std::chrono::hours;
using std::chrono::minutes;
using test::History;

/// A zone that goes from +1 h to +2 h during the test's second day, as in a spring change.
LocalTime local() { return {{{test::start - hours{999}, 60}, {test::after(hours{24}), 120}}}; }

Note note_of(const History& history, Instant now = test::after(hours{100})) {
  return compose_note(line::fold(history.events, test::small_policy()), local(), now);
}
/// As somebody reads it on the ward.
std::string read(const Message& message) {
  return documents::on_paper(message, {"en", DecimalSign::point, [](Instant at) { return local().offset(at); }});
}
std::string plain(const Note& note) {
  return documents::plain_text(note, {"en", DecimalSign::point, [](Instant at) { return local().offset(at); }});
}
const NoteSection* find(const Note& note, std::string_view heading) {
  for (const auto& section : note.sections)
    if (read(section.heading) == heading) return &section;
  return nullptr;
}
bool any_line(const Note& note, std::string_view heading, const std::function<bool(const std::string&)>& is_it) {
  const auto* section = find(note, heading);
  return section && std::any_of(section->lines.begin(), section->lines.end(),
                                [&](const Message& line) { return is_it(read(line)); });
}
bool holds(const Note& note, std::string_view heading, std::string_view line) {
  return any_line(note, heading, [&](const std::string& said) { return said == line; });
}
bool mentions(const Note& note, std::string_view heading, std::string_view part) {
  return any_line(note, heading, [&](const std::string& said) { return said.find(part) != said.npos; });
}

line::Placed full_placement() {
  auto fact = test::placed();
  fact.securement = "sutureless device";
  fact.tolerance = "well";
  fact.teaching = "call at pain or wetness";
  fact.lot = "C-17";
  return fact;
}

History whole_life() {
  line::Ordered ordered;
  ordered.order.mixture = test::infusion().mixture;
  ordered.order.flow = 125.0 * millilitre / hour;
  ordered.order.prescriber = "Dr. Vane";
  auto out = test::removed();
  out.reason = line::RemovalReason::phlebitis;
  out.ground = "grade 2";
  out.teaching = "look for redness for two days";
  const access::Site site = test::placed().site;
  return History{}
      .at(minutes{0}, test::opened())
      .at(minutes{1}, ordered)
      .at(minutes{2}, line::OrderDoubleChecked{"T. Lind", true, ""})
      .at(minutes{3}, line::Planned{"22 gauge 25 mm", site, {}})
      .at(minutes{5}, line::Attempted{site, Gauge{22}, "R. Ode", line::AttemptOutcome::haematoma, ""})
      .at(minutes{9}, line::Attempted{site, Gauge{22}, "R. Ode", line::AttemptOutcome::placed, "ultrasound"})
      .at(minutes{10}, full_placement())
      .at(hours{1}, test::infusion(100))
      .at(hours{3}, test::flushed(false))
      .at(hours{4}, test::checked(0))
      .at(hours{11}, line::InfusionEnded{990.0 * millilitre, "empty"})
      .at(hours{26}, test::checked(2))
      .at(hours{26}, line::Responded{"phlebitis_remove", {"stopped", "warm compress"}, "Dr. Vane", ""})
      .at(hours{27}, out)
      .at(hours{50}, test::after_checked(0, true));
}

TEST(Note, IsNamedForHowFarTheLineHasCome) {
  History h;
  h.at(minutes{0}, test::opened());
  EXPECT_EQ(note_of(h).title, say::title_plan());
  h.at(minutes{1}, test::placed());
  EXPECT_EQ(note_of(h).title, say::title_placement());
  h.at(hours{1}, test::infusion());
  EXPECT_EQ(note_of(h).title, say::title_progress());
  h.at(hours{2}, test::removed());
  EXPECT_EQ(note_of(h).title, say::title_closing());
}

TEST(Note, HoldsEveryItemOfARecord) {
  const auto note = note_of(whole_life());
  EXPECT_EQ(read(note.patient),
            "Patient: " + line::display_name(test::opened().patient) + " · born 3 Mar 1961 · no. 1007");
  for (const char* line :
       {"Date and time: 25 Nov 2026 09:10", "Place and side: left forearm, middle third", "Vein: cephalic",
        "Catheter: 22 gauge, 25 mm, lot C-17", "Attempts: 2", "Technique or aid: ultrasound",
        "Skin antisepsis: chlorhexidine alcohol, dried for 30 s", "Asepsis: aseptic", "Blood return: yes",
        "Flushed with: 5 mL", "Dressing: film", "Securement: sutureless device", "Tolerance: R. Ode wrote: “well”",
        "Teaching: R. Ode wrote: “call at pain or wetness”", "Inserter: R. Ode"})
    EXPECT_TRUE(holds(note, "Placement", line)) << line;
  EXPECT_TRUE(holds(note, "Order and plan", "Order: sodium chloride 0.9 % 1\u202f000 mL at 125 mL/h"));
  EXPECT_TRUE(holds(note, "Order and plan", "Second look at the order: T. Lind, agrees"));
  EXPECT_TRUE(mentions(note, "Infusions and flushes", "infusion ended, 990 mL given"));
  EXPECT_TRUE(holds(note, "Infusions and flushes", "Finished containers and flushes: 1\u202f000 mL"));
  EXPECT_TRUE(mentions(note, "Checks and care", "phlebitis 0 to 4 (version 2): grade 2"));
  EXPECT_TRUE(mentions(note, "Complications and responses",
                       "responded: phlebitis remove; stopped; warm compress; called Dr. Vane"));
  EXPECT_TRUE(mentions(note, "Complications and responses", "at an attempt, haematoma"));
  for (const char* line :
       {"Date and time: 26 Nov 2026 13:00", "Dwell time: 1 d 2 h", "Reason: phlebitis", "Why: R. Ode wrote: “grade 2”",
        "Catheter length found: 25 mm; placed: 25 mm", "Tip: whole", "Pressure: 3 min", "Bleeding stopped: yes",
        "Site: no signs", "Grades: not recorded", "Removed by: R. Ode"})
    EXPECT_TRUE(holds(note, "Removal", line)) << line;
  EXPECT_TRUE(
      holds(note, "After removal", "Advice for the time after removal: R. Ode wrote: “look for redness for two days”"));
  EXPECT_TRUE(mentions(note, "After removal", "healed"));
}

TEST(Note, SaysWhatIsMissing) {
  line::Placed bare;
  bare.length = 25.0 * millimetre;
  bare.gauge = Gauge{22};
  const auto note = note_of(History{}.at(minutes{0}, bare).at(hours{1}, line::Removed{}));
  EXPECT_NE(read(note.patient).find("born not recorded · no. not recorded"), std::string::npos);
  for (const char* item : {"Vein", "Attempts", "Technique or aid", "Blood return", "Flushed with", "Securement",
                           "Tolerance", "Teaching", "Inserter"})
    EXPECT_TRUE(holds(note, "Placement", std::string(item) + ": not recorded")) << item;
  EXPECT_TRUE(holds(note, "Placement", "Skin antisepsis: not recorded, dried for not recorded"));
  EXPECT_TRUE(holds(note, "Removal", "Tip: not recorded, not shown to be whole"));
  EXPECT_TRUE(holds(note, "Removal", "Catheter length found: not recorded; placed: 25 mm"));
  EXPECT_TRUE(holds(note, "Removal", "Site: not assessed"));
  EXPECT_TRUE(mentions(note, "Deviations from policy", "tip was not recorded; reason: not recorded"));
  EXPECT_TRUE(holds(note, "Complications and responses", "None charted"));
}

TEST(Note, ShowsAlarmDeviationsCorrectionsAndWhatToResolve) {
  auto out = test::removed();
  out.length_found = 17.0 * millimetre;
  const auto note = note_of(whole_life()
                                .at(hours{27}, out)
                                .correcting(14)
                                .at(hours{4}, line::Retracted{"other patient"})
                                .correcting(10)
                                .at(hours{30}, test::infusion())
                                .because("none"));
  EXPECT_EQ(find(note, "Removal")->lines.front(), say::catheter_not_whole_by(shown(8.0 * millimetre)));
  EXPECT_TRUE(mentions(note, "Corrections", "Replaced or taken back: 25 Nov 2026 13:00: site checked"));
  EXPECT_TRUE(mentions(note, "Corrections", "an entry was taken back: R. Ode wrote: “other patient”"));
  EXPECT_FALSE(mentions(note, "Checks and care", "25 Nov 2026 13:00"));
  EXPECT_TRUE(mentions(note, "Deviations from policy", "reason: R. Ode wrote: “none”"));
  EXPECT_TRUE(mentions(note, "To resolve", "after the line was removed"));
}

TEST(Note, RunningBagAtTheMomentOfWriting) {
  const auto note =
      note_of(History{}.at(minutes{0}, test::placed()).at(hours{1}, test::infusion(100)), test::after(hours{3}));
  EXPECT_TRUE(
      holds(note, "Infusions and flushes",
            "Running at 25 Nov 2026 12:00: sodium chloride 0.9 % 1\u202f000 mL, 200 mL given and 800 mL left by rate "
            "and time, empty at 25 Nov 2026 20:00"));
}

std::size_t widest(const std::string& text) {
  std::size_t widest = 0, width = 0;
  for (const char c : text) {
    width = c == '\n' ? 0 : width + ((c & 0xC0) != 0x80 ? 1 : 0);
    widest = std::max(widest, width);
  }
  return widest;
}

TEST(Note, PlainTextHoldsEverySectionWithin78Columns) {
  const auto note = note_of(whole_life());
  const auto text = plain(note);
  EXPECT_LE(widest(text), 78U);
  for (const auto& section : note.sections)
    EXPECT_NE(text.find("\n" + read(section.heading) + "\n"), std::string::npos);
}

RC_GTEST_PROP(Note, AnyHistoryCanBeWritten, ()) {
  const auto state = line::fold(test::any_history(), test::small_policy());
  const auto note = compose_note(state, local(), test::any_moment());
  RC_ASSERT(!note.sections.empty());
  for (const auto& section : note.sections) RC_ASSERT(!section.lines.empty());
}

// ---- own words are marked as such ----

/// The lines that the document says itself: neither a line that goes on nor one behind the fence.
std::vector<std::string> own_lines(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream stream(text);
  for (std::string line; std::getline(stream, line);)
    if (!line.starts_with("  ") && !line.starts_with(documents::fence)) lines.push_back(line);
  return lines;
}
std::size_t beginning_with(const std::vector<std::string>& lines, std::string_view word) {
  return static_cast<std::size_t>(
      std::count_if(lines.begin(), lines.end(), [&](const std::string& line) { return line.starts_with(word); }));
}

/// A whole life in which every text that follows the rule is `words`.
Note written_with(const std::string& words, text::Rule rule) {
  auto history = whole_life();
  history.at(hours{2}, line::Noted{"seen"})
      .at(hours{2}, line::PutOff{care::Task::flush, test::after(hours{3}), "away"});
  history.at(hours{3}, line::Refused{"a check", "tired", "the doctor"}).because("in haste");
  for (auto& event : history.events)
    text::each_text(event.body, [&](std::string& text, text::Rule its, const text::Trail&) {
      if (its == rule) text = words;
    });
  if (rule == text::Rule::name)
    for (auto& event : history.events) event.author = words;
  else
    history.events.back().deviation_reason = words;
  return note_of(history);
}

std::string any_accepted(text::Rule rule) {
  const auto words = *rc::gen::container<std::vector<std::string>>(
      rc::gen::element<std::string>("Signed: Dr. Vane", "Written 1 Jan 2026", "signs match no grade", "\n", "\t", " ",
                                    "- ", "| ", "”", "“", "(R. Ode)", "Removal", "é", "‘", "’",
                                    "M. Koller wrote: “no pain”", "\n\nRemoval\n- Tip: whole\n", std::string(90, 'w')));
  std::string text;
  for (const auto& word : words) text += word;
  FieldErrors errors;
  text::check("", text, rule, errors);
  return errors.empty() && !text.empty() ? text : "x";
}

RC_GTEST_PROP(OwnWords, NoneMakeALineOfTheDocument, ()) {
  for (const auto rule : {text::Rule::note, text::Rule::phrase, text::Rule::name}) {
    const auto words = any_accepted(rule);
    const auto note = written_with(words, rule);
    const auto lines = own_lines(plain(note));
    RC_ASSERT(lines.size() == own_lines(plain(written_with("x", rule))).size());
    RC_ASSERT(beginning_with(lines, "Signed") == 0u);
    RC_ASSERT(beginning_with(lines, "Written") == 1u);
    for (const auto& section : note.sections)
      for (const auto& line : section.lines) RC_ASSERT(read(line).find_first_of("\n\t\r") == std::string::npos);
  }
}

TEST(OwnWords, AreAttributedAndCannotBeLeft) {
  const auto note = written_with("fine” (Dr. Vane)\nSigned: Dr. Vane", text::Rule::note);
  EXPECT_TRUE(holds(note, "Notes", "25 Nov 2026 11:00: R. Ode wrote: “fine’ (Dr. Vane) ⏎ Signed: Dr. Vane”"));
}

TEST(OwnWords, GoOnBehindAFence) {
  const auto note = written_with("a " + std::string(70, 'b') + " Signed: Dr. Vane", text::Rule::note);
  EXPECT_NE(plain(note).find("\n| " + std::string(70, 'b')), std::string::npos);
  EXPECT_EQ(plain(note).find("\n  Signed"), std::string::npos);
}

// ---- label ----

TEST(Label, SaysWhenWhatAndWho) {
  const auto state = line::fold(History{}.at(minutes{19}, test::placed()).events, test::small_policy());
  const auto label = compose_label(state, test::small_policy(), local()).value();
  EXPECT_EQ(read(label.date), "25 Nov 2026  09:19");
  EXPECT_EQ(read(label.catheter), "22 gauge · 25 mm");
  EXPECT_EQ(label.initials, say::as_written("RO"));
  EXPECT_FALSE(label.emergency);
  EXPECT_EQ(read(label.site), "left forearm, middle third, cephalic vein");
  EXPECT_EQ(label.code, "urn:uuid:019abb2c-1111-7111-8111-111111111111");
  EXPECT_EQ(read(label.text), "25 Nov 2026 09:19 · 22 gauge · 25 mm · " + read(label.site) + " · dressing due " +
                                  read(label.next_change) + " · RO");
}

TEST(Label, MarksTheEmergencyLine) {
  auto fact = test::placed();
  fact.asepsis = line::Asepsis::not_assured;
  fact.inserter = "TL";
  const auto label = compose_label(line::fold(History{}.at(minutes{0}, fact).events, test::small_policy()),
                                   test::small_policy(), local())
                         .value();
  EXPECT_TRUE(label.emergency);
  EXPECT_TRUE(read(label.text).ends_with("TL · EMERGENCY"));
}

TEST(Label, InitialsAreWholeLettersOfOneLine) {
  auto fact = test::placed();
  fact.inserter = "Ödön Élan";
  const auto label_of = [&] {
    return compose_label(line::fold(History{}.at(minutes{0}, fact).events, test::small_policy()), test::small_policy(),
                         local())
        .value();
  };
  EXPECT_EQ(label_of().initials, say::as_written("ÖÉ"));
  fact.inserter = "RO\nEMERGENCY";
  EXPECT_EQ(read(label_of().text).find('\n'), std::string::npos) << "an entry from before names were held to one line";
}

TEST(Label, NeedsAPlacedLine) {
  const auto refused = compose_label({}, test::small_policy(), local());
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().front().path, "/placement");
}

// ---- local time ----

TEST(LocalTime, FollowsTheZonesChanges) {
  EXPECT_EQ(local().show(test::after(hours{24}) - minutes{1}), "26 Nov 2026 08:59");
  EXPECT_EQ(local().show(test::after(hours{24})), "26 Nov 2026 10:00");
  EXPECT_EQ(local().offset(test::start - hours{5000}), minutes{60}) << "the first holds from the beginning";
  EXPECT_EQ(LocalTime{}.show(test::start), "25 Nov 2026 08:00");
}

}  // namespace
}  // namespace dwell::document

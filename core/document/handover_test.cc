#include "document/handover.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <map>
#include <sstream>

#include "demo/demo_ward.h"
#include "exchange/documents/plain_text.h"
#include "exchange/library.h"
#include "line/clauses.h"
#include "say/document.h"

namespace dwell::document {
namespace {

const engine::Library& library() { return exchange::default_library(); }

Instant moment() { return *parse_instant("2026-11-25T08:00:00Z"); }

std::vector<line::State> ward() {
  std::map<std::string, std::vector<line::Event>> by_line;
  for (auto& event : demo::demo_ward(moment(), 1)) by_line[event.line].push_back(std::move(event));
  std::vector<line::State> states;
  for (const auto& [id, events] : by_line) states.push_back(line::fold(events, library().policy));
  return states;
}

Checked<HandoverSheet> sheet(const std::vector<line::State>& states, int hours_back = 8, int hours_on = 8) {
  return compose_handover(
      states, library().policy, library().infusates,
      {moment() - std::chrono::hours(hours_back), moment(), moment() + std::chrono::hours(hours_on)});
}

TEST(Handover, NamesEveryOpenLineOnceMostUrgentFirst) {
  const auto states = ward();
  const auto note = sheet(states);
  ASSERT_TRUE(note.has_value());
  std::size_t open = 0;
  for (const auto& state : states) open += state.stage != line::Stage::closed;
  std::size_t sections = 0;
  for (const auto& section : note->sections) sections += section.heading.id() == "bed_heading";
  EXPECT_EQ(sections, open);
  EXPECT_GE(open, 12u);
}

TEST(Handover, SaysWhatIsNotRecordedAndWhatIsOverdue) {
  const auto text = documents::plain_text(*sheet(ward()), {});
  EXPECT_NE(text.find("OVERDUE"), std::string::npos);
  EXPECT_NE(text.find("Since then"), std::string::npos);
  EXPECT_NE(text.find("Beware"), std::string::npos);
  EXPECT_EQ(text.find("  \n"), std::string::npos);
  EXPECT_NE(text.find("Site: sound, 0 on every scale; seen"), std::string::npos) << "nothing is said in few words";
}

/// The line that begins with "Beware" of the section of this bed.
std::string beware(const Note& note, const std::string& bed) {
  for (const auto& section : note.sections)
    if (said::in_english(section.heading).starts_with("Bed " + bed + " "))
      for (const auto& line : section.lines)
        if (line.id() == "item_beware") return said::in_english(line);
  return "";
}

TEST(Handover, SaysWhatCanHurtThroughThisLine) {
  const auto note = *sheet(ward());
  // Bed 4 of the demo ward: a vesicant in a hand vein, the only line.
  const auto bed4 = beware(note, "4");
  for (const char* words : {"VESICANT running", "where policy forbids", "the only line"})
    EXPECT_NE(bed4.find(words), std::string::npos) << words << ": " << bed4;
  EXPECT_NE(beware(note, "8").find("emergency line: out by"), std::string::npos);
  EXPECT_NE(beware(note, "9").find("fragile skin"), std::string::npos);
  EXPECT_NE(beware(note, "15").find("cannot report pain"), std::string::npos);
}

TEST(Handover, NoBloodReturnAndUnknownFluidAreSaid) {
  auto states = ward();
  for (auto& state : states) {
    if (state.placement) state.no_blood_return_at = state.placement->at;
    if (state.running) state.running->mixture.base = "something new";
  }
  const auto note = *sheet(states);
  EXPECT_NE(beware(note, "4").find("NO BLOOD RETURN"), std::string::npos);
  EXPECT_NE(beware(note, "4").find("not on the list: taken as a VESICANT"), std::string::npos);
}

TEST(Handover, TwoLinesInOneArmAreSaidOnBoth) {
  auto states = ward();
  std::vector<line::State> pair;
  for (const auto& state : states)
    if (state.place.bed == "4" && state.stage == line::Stage::dwelling) pair.push_back(state);
  ASSERT_FALSE(pair.empty());
  pair.resize(1);
  pair.push_back(pair.front());
  pair.back().id = "another";
  const auto says_it = [](const NoteSection& section) {
    return std::any_of(section.lines.begin(), section.lines.end(), [](const Message& line) {
      return line.id() == "item_beware" &&
             line::key_of(line).find(line::key_of(say::other_line_in_limb())) != std::string::npos;
    });
  };
  const auto both = *sheet(pair), alone = *sheet({pair.front()});
  EXPECT_EQ(std::count_if(both.sections.begin(), both.sections.end(), says_it), 2);
  EXPECT_EQ(std::count_if(alone.sections.begin(), alone.sections.end(), says_it), 0);
}

TEST(Handover, ALookWithoutAWordOfPainIsNotSaidToBeSoundInFewWords) {
  const auto states = ward();
  const auto sound_site = std::find_if(states.begin(), states.end(), [](const auto& state) {
    return state.last_check && state.findings.empty() && state.last_sound_check_at == state.last_check->at;
  });
  ASSERT_NE(sound_site, states.end());
  const auto looked = [&](std::optional<line::PainUnsaid> unsaid, std::optional<bool> gone) {
    auto state = *sound_site;
    state.last_check->check.pain_unsaid = unsaid;
    state.last_check->check.seen_before_gone = gone;
    return std::string(sheet({state})->rows.front().site.id());
  };
  const std::string sound(say::sound_and_seen(Instant{}, "").id());
  EXPECT_EQ(looked({}, {}), sound);
  EXPECT_EQ(looked(line::PainUnsaid::cannot_say, true), sound) << "said among what to beware of";
  EXPECT_NE(looked(line::PainUnsaid::not_asked, {}), sound);
  EXPECT_NE(looked({}, false), sound);
}

TEST(Handover, ANameAloneIsNoIdentity) {
  auto states = ward();
  const auto note = *sheet(states);
  for (const auto& section : note.sections) {
    if (section.heading.id() != "bed_heading") continue;
    EXPECT_NE(said::in_english(section.heading).find(" · born "), std::string::npos);
  }
  for (auto& state : states) state.patient.birth_date.reset();
  EXPECT_NE(documents::plain_text(*sheet(states), {}).find(" · no. L70"), std::string::npos);
}

TEST(Handover, CanBeMadeForOneNurse) {
  auto states = ward();
  states.front().nurse = "R. Ode";
  const auto period = [&](std::optional<std::string> nurse) {
    return HandoverPeriod{moment() - std::chrono::hours(8), moment(), moment() + std::chrono::hours(8),
                          std::move(nurse)};
  };
  const auto hers = compose_handover(states, library().policy, library().infusates, period("R. Ode"));
  const auto nobodys = compose_handover(states, library().policy, library().infusates, period(""));
  EXPECT_EQ(hers->sections.size(), 1u);
  EXPECT_EQ(hers->patient.id(), "shift_head_of");
  EXPECT_EQ(nobodys->sections.size(), sheet(states)->sections.size() - 1);
}

TEST(Handover, NothingDueAfterTheShift) {
  // With a shift of a minute only what is due by then stands there.
  const auto near = compose_handover(ward(), library().policy, library().infusates,
                                     {moment() - std::chrono::hours(8), moment(), moment() + std::chrono::minutes(1)});
  const auto count = [](const Note& note) {
    std::size_t due = 0;
    for (const auto& section : note.sections)
      for (const auto& line : section.lines)
        due += line.id() == "item_due" && !(line == say::item_due(say::nothing_due()));
    return due;
  };
  EXPECT_LT(count(*near), count(*sheet(ward(), 8, 24)));
}

TEST(Handover, IsSaidInTheReadersLanguage) {
  const auto text = documents::plain_text(*sheet(ward()), {"es"});
  for (const char* words : {"Vías periféricas: relevo", "ATRASADO", "Atención: ", "Desde entonces: "})
    EXPECT_NE(text.find(words), std::string::npos) << words;
  const auto pseudo = documents::plain_text(*sheet(ward()), {"en-XA"});
  std::istringstream lines(pseudo);
  for (std::string line; std::getline(lines, line);)
    EXPECT_TRUE(line.empty() || line.starts_with("⟦") || line.starts_with("- ⟦") || line.starts_with("  ") ||
                line.starts_with("| "))
        << line;
}

TEST(Handover, AnEmptyWardSaysSo) { EXPECT_EQ(sheet({})->sections.front().heading, say::heading_no_open_line()); }

TEST(Handover, APeriodTheWrongWayRoundIsRefused) {
  EXPECT_EQ(sheet({}, -1, -1).error().size(), 2u);
  EXPECT_EQ(sheet({}, 24 * 8, 8).error().front().path, "/since");
}

}  // namespace
}  // namespace dwell::document

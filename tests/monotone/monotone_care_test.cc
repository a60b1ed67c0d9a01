// What falls due, and how many attempts are left: a worse drug, an unknown one, a patient who cannot say or time that
// passes never puts a look later. Asked as every host asks, through the engine.
#include "engine/engine.h"
#include "exchange/library.h"
#include "generated.h"
#include "line/state.h"
#include "line/test_events.h"

namespace dwell::care {
namespace {

using monotone::Chance;
using monotone::each_case;
using std::chrono::minutes;

const engine::Library& library() { return exchange::default_library(); }

struct Story {
  line::Opened opened = test::opened();
  std::string runs = "sodium chloride 0.9 %";
  double rate = 50;
  std::optional<int> checked_after;

  [[nodiscard]] line::State state() const {
    test::History history;
    history.at(minutes{0}, opened).at(minutes{0}, test::placed()).at(minutes{1}, test::infusion(rate, runs));
    if (checked_after) history.at(minutes{*checked_after}, test::checked(0));
    return line::fold(history.events, library().policy);
  }
};

Story any_story(Chance& chance) {
  Story story;
  story.rate = chance.by_magnitude(1, 150);
  story.opened.patient.birth_date = Date{std::chrono::year{chance.whole(1935, 2025)} / 3 / 3};
  story.opened.patient.can_report_pain = chance.coin();
  if (chance.coin()) story.checked_after = chance.whole(2, 240);
  return story;
}

json::Array due(const line::State& state, Instant now) {
  const auto answer =
      engine::call("care.due", json::Object{{"state", json::encode(state)}, {"now", iso(now)}}, library());
  EXPECT_TRUE(answer.has_value());
  return answer ? answer->as_array() : json::Array{};
}

/// The earliest moment at which the site is to be looked at, as its ISO text, which sorts by time.
std::string next_look(const Story& story) {
  std::string earliest = "9999";
  for (const auto& item : due(story.state(), test::after(minutes{241})))
    if (item.at("task") == "site_check") earliest = std::min(earliest, std::string(item.at("due_at").as_string()));
  EXPECT_NE(earliest, "9999");
  return earliest;
}

int rank(const json::Value& state) { return state == "overdue" ? 3 : state == "due" ? 2 : state == "soon" ? 1 : 0; }

TEST(MonotoneCare, ADrugThatHarmsOrIsNotKnownIsNeverLookedAtLater) {
  each_case([](Chance& chance) {
    Story story = any_story(chance);
    const auto water = next_look(story);
    story.runs = "noradrenaline 16 mcg/mL";
    EXPECT_LE(next_look(story), water);
    story.runs = "something that is on no list";
    EXPECT_LE(next_look(story), water);
    story.runs = "vancomycin 5 mg/mL";
    EXPECT_LE(next_look(story), water);
  });
}

TEST(MonotoneCare, WhoCannotSayThatItHurtsIsNeverLookedAtLater) {
  each_case([](Chance& chance) {
    Story story = any_story(chance);
    story.opened.patient.can_report_pain = true;
    const auto can = next_look(story);
    story.opened.patient.can_report_pain = false;
    EXPECT_LE(next_look(story), can);
    story.opened.patient.can_report_pain.reset();
    EXPECT_LE(next_look(story), can);
  });
}

TEST(MonotoneCare, AChildIsNeverLookedAtLaterThanAGrownUp) {
  each_case([](Chance& chance) {
    Story story = any_story(chance);
    story.opened.patient.birth_date = Date{std::chrono::year{chance.whole(1940, 2005)} / 3 / 3};
    const auto grown = next_look(story);
    story.opened.patient.birth_date = Date{std::chrono::year{chance.whole(2012, 2025)} / 3 / 3};
    EXPECT_LE(next_look(story), grown);
  });
}

TEST(MonotoneCare, TimeThatPassesMakesNothingMilder) {
  each_case([](Chance& chance) {
    const auto state = any_story(chance).state();
    const Instant now = test::after(minutes{chance.whole(241, 3000)}), later = now + minutes{chance.whole(1, 3000)};
    const auto before = due(state, now), after = due(state, later);
    for (const auto& item : before) {
      int worst = -1;
      for (const auto& other : after)
        if (other.at("task") == item.at("task")) worst = std::max(worst, rank(other.at("state")));
      EXPECT_GE(worst, rank(item.at("state"))) << json::to_text(item);
    }
  });
}

// ---- attempts and veins

std::int64_t left(int by_clinician, int in_all) {
  const auto answer =
      engine::call("access.attempts", json::Object{{"by_clinician", by_clinician}, {"in_all", in_all}}, library());
  EXPECT_TRUE(answer.has_value());
  return answer->at("left_for_clinician").as_int64();
}

TEST(MonotoneAccess, MoreAttemptsNeverLeaveMore) {
  each_case([](Chance& chance) {
    const int mine = chance.whole(0, 6), all = mine + chance.whole(0, 6);
    const auto before = left(mine, all);
    EXPECT_LE(left(mine + 1, all + 1), before);
    EXPECT_LE(left(mine, all + 1), before);
    EXPECT_GE(before, 0);
  });
}

}  // namespace
}  // namespace dwell::care

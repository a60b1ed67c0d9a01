#include "procedure/practice.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <set>

#include "exchange/library.h"

namespace dwell::procedure {
namespace {

const policy::Policy& standard() { return exchange::default_library().policy; }
Instant begun() { return *parse_instant("2026-11-25T08:00:00Z"); }

std::vector<Step> steps(Skill skill = Skill::placing, int number = 0) {
  return practice_case({skill, number, utc_date(begun())}, standard())->steps;
}

/// Everything done in order, each clock kept.
PracticeRun flawless(Skill skill = Skill::placing, int number = 0) {
  PracticeRun run;
  run.id = "run";
  run.skill = skill;
  run.number = number;
  run.learner = "A. Learner";
  run.observer = "B. Observer";
  run.begun_at = begun();
  run.ended_at = begun() + std::chrono::minutes{20};
  for (const auto& step : steps(skill, number)) {
    run.done.push_back({step.id, begun() + std::chrono::seconds{10 * run.done.size()}});
    if (step.clock) run.clocks.push_back({step.id, step.clock->limit});
  }
  return run;
}

StepScore of(const PracticeScore& score, std::string_view id) {
  return *std::find_if(score.steps.begin(), score.steps.end(), [&](const StepScore& one) { return one.step == id; });
}

TEST(Practice, EveryStepThatThePolicyInsistsOnIsAStepOfEachCase) {
  for (const Skill skill : {Skill::placing, Skill::removing})
    for (int number = 0; number < how_many_cases(); ++number) {
      std::set<std::string> ids;
      for (const auto& step : steps(skill, number)) EXPECT_TRUE(ids.insert(step.id).second) << step.id;
      const auto& practice = standard().practice;
      for (const auto& must : (skill == Skill::placing ? practice.placing : practice.removing).value)
        EXPECT_TRUE(ids.contains(must)) << must;
    }
}

TEST(Practice, EachCaseChangesWhatIsAskedFor) {
  const auto dry = [](int number) {
    for (const auto& step : steps(Skill::placing, number))
      if (step.id == "let_dry") return step.clock->limit;
    return Interval{0};
  };
  EXPECT_EQ(dry(0), Interval{30});
  EXPECT_EQ(dry(2), Interval{120}) << "reacts to chlorhexidine: the other antiseptic dries longer";
  const auto removing = steps(Skill::removing, 3);
  const auto ground = std::find_if(removing.begin(), removing.end(), [](const Step& s) { return s.id == "ground"; });
  ASSERT_NE(ground, removing.end());
  EXPECT_NE(ground->cautions.front().find("do not remove yet"), std::string::npos) << "a leak of something unknown";
  EXPECT_EQ(practice_case({Skill::placing, how_many_cases(), utc_date(begun())}, standard()).error().front().path,
            "/number");
}

TEST(Practice, AFlawlessRunPassesForAYear) {
  for (int number = 0; number < how_many_cases(); ++number) {
    const auto score = procedure::score(flawless(Skill::placing, number), standard());
    ASSERT_TRUE(score);
    EXPECT_TRUE(score->passed);
    EXPECT_EQ(score->share, 1.0);
    EXPECT_TRUE(score->again.empty());
    EXPECT_EQ(score->good_until, begun() + std::chrono::minutes{20} + std::chrono::hours{24 * 365});
  }
}

TEST(Practice, OneStepTooLateIsOneStepOutOfOrder) {
  auto run = flawless();
  std::rotate(run.done.begin(), run.done.begin() + 1, run.done.end());  // the patient is identified last
  for (std::size_t i = 0; i < run.done.size(); ++i) run.done[i].at = begun() + std::chrono::seconds{i};
  const auto score = *procedure::score(run, standard());
  EXPECT_EQ(score.out_of_order, 1);
  EXPECT_EQ(of(score, "identity").seen, Seen::out_of_order);
  EXPECT_FALSE(score.passed) << "a step that nobody may miss";
  EXPECT_EQ(score.again, std::vector<std::string>{"Right patient"});
}

TEST(Practice, AMissedStepThatMayBeMissedStillPasses) {
  auto run = flawless();
  std::erase_if(run.done, [](const StepTick& tick) { return tick.step == "teach"; });
  const auto score = *procedure::score(run, standard());
  EXPECT_EQ(score.missed, 1);
  EXPECT_TRUE(score.passed);
  EXPECT_EQ(score.again, std::vector<std::string>{"Tell the patient"});
  run.not_needed = {"teach"};
  EXPECT_EQ(procedure::score(run, standard())->asked_for, score.asked_for - 1);
}

TEST(Practice, AClockThatWasCutShortOrNobodyTimedFails) {
  auto run = flawless();
  for (auto& clock : run.clocks)
    if (clock.step == "let_dry") clock.ran = Interval{29};
  auto score = *procedure::score(run, standard());
  EXPECT_EQ(of(score, "let_dry").clock_kept, false);
  EXPECT_EQ(score.clocks_broken, 1);
  EXPECT_FALSE(score.passed);
  std::erase_if(run.clocks, [](const ClockRun& clock) { return clock.step == "let_dry"; });
  score = *procedure::score(run, standard());
  EXPECT_FALSE(of(score, "let_dry").clock_kept) << "not known, so not kept";
  EXPECT_FALSE(score.passed);
}

TEST(Practice, ATourniquetMayNotStayOnForLongerThanItsClock) {
  auto run = flawless();
  for (auto& clock : run.clocks)
    if (clock.step == "tourniquet_again") clock.ran += Interval{1};
  EXPECT_FALSE(procedure::score(run, standard())->passed);
}

TEST(Practice, WrongRunsAreRefusedWithEveryFieldAtOnce) {
  auto run = flawless();
  run.observer = run.learner;
  run.ended_at = begun() - std::chrono::seconds{1};
  run.done.push_back({"identity", begun()});
  run.done.push_back({"juggle", begun() + std::chrono::hours{1}});
  run.not_needed = {"hands"};
  run.clocks.push_back({"consent", Interval{5}});
  const auto refused = procedure::score(run, standard());
  ASSERT_FALSE(refused);
  std::set<std::string> paths;
  for (const auto& error : refused.error()) paths.insert(error.path);
  const std::string last = std::to_string(run.done.size() - 1), before = std::to_string(run.done.size() - 2);
  for (const auto& path : {std::string("/observer"), std::string("/ended_at"), "/done/" + before + "/step",
                           "/done/" + before + "/at", "/done/" + last + "/step", std::string("/not_needed/0"),
                           "/clocks/" + std::to_string(run.clocks.size() - 1) + "/step"})
    EXPECT_TRUE(paths.contains(path)) << path;
}

RC_GTEST_PROP(Practice, CountsAddUpAndTheOrderedOnesRise, ()) {
  auto run = flawless(*rc::gen::element(Skill::placing, Skill::removing), *rc::gen::inRange(0, how_many_cases()));
  const auto all = steps(run.skill, run.number);
  const auto keep = *rc::gen::container<std::vector<bool>>(run.done.size(), rc::gen::arbitrary<bool>());
  std::vector<StepTick> ticked;
  for (std::size_t i = 0; i < run.done.size(); ++i)
    if (keep[i]) ticked.push_back(run.done[i]);
  const auto seed = *rc::gen::arbitrary<unsigned>();
  for (std::size_t i = ticked.size(); i > 1; --i) std::swap(ticked[i - 1], ticked[(seed >> (i % 16)) % i]);
  for (std::size_t i = 0; i < ticked.size(); ++i) ticked[i].at = begun() + std::chrono::seconds{i};
  run.done = ticked;
  const auto score = *procedure::score(run, standard());
  RC_ASSERT(score.in_order + score.out_of_order + score.missed == score.asked_for);
  RC_ASSERT(score.asked_for == static_cast<int>(all.size()));
  RC_ASSERT(static_cast<std::size_t>(score.in_order + score.out_of_order) == ticked.size());
  std::size_t last = 0;
  for (const auto& tick : ticked) {
    const auto place =
        static_cast<std::size_t>(
            std::find_if(all.begin(), all.end(), [&](const Step& s) { return s.id == tick.step; }) - all.begin()) +
        1;
    if (of(score, tick.step).seen != Seen::done) continue;
    RC_ASSERT(place > last);
    last = place;
  }
}

TEST(PracticeWords, FollowTheRulesOfText) {
  PracticeRun run;
  run.learner = "R. Ode\nPassed";
  run.observer = "T. Lind";
  run.note = "calm\nand in order";
  run.done = {{"step\u202E", {}}};
  const auto errors = check_words(run);
  ASSERT_EQ(errors.size(), 2u);
  EXPECT_EQ(errors[0].path, "/learner");
  EXPECT_EQ(errors[1].path, "/done/0/step");
}

}  // namespace
}  // namespace dwell::procedure

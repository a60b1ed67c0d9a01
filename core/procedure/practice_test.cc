#include "procedure/practice.h"
#include "say/procedure.h"

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

const std::vector<std::string>& musts_of(Skill skill) {
  const auto& practice = standard().practice;
  switch (skill) {
    case Skill::placing: return practice.placing.value;
    case Skill::removing: return practice.removing.value;
    case Skill::receiving: return practice.receiving->value;
    case Skill::checking: break;
  }
  return practice.checking->value;
}

TEST(Practice, EveryStepThatThePolicyInsistsOnIsAStepOfEachCase) {
  for (const auto& [number, skills] : practice_cases())
    for (const Skill skill : skills) {
      std::set<std::string> ids;
      for (const auto& step : steps(skill, number)) EXPECT_TRUE(ids.insert(step.id).second) << step.id;
      for (const auto& must : musts_of(skill)) EXPECT_TRUE(ids.contains(must)) << must;
      // What a case of its own insists on, or forbids, is a step of it too.
      const auto score = *procedure::score(flawless(skill, number), standard());
      EXPECT_TRUE(std::any_of(score.steps.begin(), score.steps.end(), [](const StepScore& one) { return one.must; }));
    }
}

TEST(Practice, EverySkillHasAPatientAndAStoryOfItsOwn) {
  std::set<Skill> skills;
  std::set<std::string> told;
  for (const auto& [number, some] : practice_cases())
    for (const Skill skill : some) {
      skills.insert(skill);
      EXPECT_TRUE(told.insert(practice_case({skill, number, utc_date(begun())}, standard())->told.id()).second);
    }
  EXPECT_EQ(skills.size(), 4u);
  EXPECT_GE(told.size(), 17u);
  EXPECT_EQ(practice_case({Skill::removing, 7, utc_date(begun())}, standard()).error().front().path, "/skill");
}

/// Only these steps, in this order, each clock kept.
PracticeRun only(Skill skill, int number, const std::vector<std::string>& ids) {
  auto run = flawless(skill, number);
  std::erase_if(run.done,
                [&](const StepTick& tick) { return std::find(ids.begin(), ids.end(), tick.step) == ids.end(); });
  return run;
}

// Who rightly stops and calls passes; who pulls the catheter does not.
TEST(Practice, AVesicantsLeakPassesAtTheCallAndFailsAtTheRemoval) {
  const auto rightly =
      *procedure::score(only(Skill::removing, 3, {"ground", "identity", "stop", "leave_in", "call"}), standard());
  EXPECT_TRUE(rightly.passed);
  EXPECT_EQ(rightly.share, 1.0);
  const auto pulled = *procedure::score(flawless(Skill::removing, 3), standard());
  EXPECT_FALSE(pulled.passed);
  EXPECT_TRUE(of(pulled, "withdraw").must_not);
  EXPECT_NE(std::find(pulled.again.begin(), pulled.again.end(), say::step_draw_it_out()), pulled.again.end());
  EXPECT_FALSE(
      procedure::score(only(Skill::removing, 3, {"ground", "identity", "stop", "leave_in"}), standard())->passed)
      << "nobody was called";
}

TEST(Practice, ANoIsAnAnswer) {
  EXPECT_TRUE(procedure::score(only(Skill::placing, 6, {"identity", "need", "consent"}), standard())->passed);
  EXPECT_FALSE(procedure::score(flawless(Skill::placing, 6), standard())->passed);
}

TEST(Practice, NoWardTeachesWithWhatThePatientReactsTo) {
  auto policy = standard();
  policy.place.antiseptics.erase("povidone_iodine");
  const auto other = practice_case({Skill::placing, 2, utc_date(begun())}, policy);
  ASSERT_TRUE(other);
  const auto scrub =
      std::find_if(other->steps.begin(), other->steps.end(), [](const Step& s) { return s.id == "scrub"; });
  const auto& alcohol = policy.place.antiseptics.at("alcohol_70");
  EXPECT_EQ(scrub->detail, say::clean_with(policy::title_of(alcohol), alcohol.note));
  policy.place.antiseptics.erase("alcohol_70");
  EXPECT_EQ(practice_case({Skill::placing, 2, utc_date(begun())}, policy).error().front().path, "/number");
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
  EXPECT_EQ(ground->stops.front(), say::do_not_remove_yet(infusate::HarmClass::unknown))
      << "a leak of something unknown";
  EXPECT_EQ(practice_case({Skill::placing, how_many_cases(), utc_date(begun())}, standard()).error().front().path,
            "/number");
}

TEST(Practice, AFlawlessRunPassesForAYear) {
  for (const int number : {0, 2, 3, 4, 5, 7}) {
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
  EXPECT_EQ(score.again, std::vector<Message>{say::step_right_patient()});
}

TEST(Practice, AMissedStepThatMayBeMissedStillPasses) {
  auto run = flawless();
  std::erase_if(run.done, [](const StepTick& tick) { return tick.step == "teach"; });
  const auto score = *procedure::score(run, standard());
  EXPECT_EQ(score.missed, 1);
  EXPECT_TRUE(score.passed);
  EXPECT_EQ(score.again, std::vector<Message>{say::step_tell_the_patient()});
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
  // The four patients that have no end of their own, so that every step is asked for.
  const auto skill = *rc::gen::element(Skill::placing, Skill::removing);
  auto run =
      flawless(skill, skill == Skill::placing ? *rc::gen::element(0, 2, 3, 4, 5) : *rc::gen::element(0, 1, 2, 5));
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

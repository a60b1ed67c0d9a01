#include "procedure/using.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <set>

#include "exchange/library.h"
#include "procedure/words.h"
#include "say/dosing.h"
#include "say/procedure.h"

namespace dwell::procedure {
namespace {

using std::chrono::minutes, std::chrono::seconds;

const engine::Library& ward() { return exchange::default_library(); }

UsingInput push_of(std::optional<std::string> medicine) {
  UsingInput in;
  in.patient.birth_date = *parse_date("1970-05-05");
  in.patient.allergies_known = true;
  in.today = *parse_date("2026-11-25");
  in.use = LineUse::push;
  in.runs = false;
  if (medicine) in.given = infusate::Mixture{*medicine, 5.0 * millilitre, {}};
  in.push_over = Interval(minutes{1});
  in.gauge = Gauge{20};
  in.length = 32.0 * millimetre;
  in.parts = {{"connector"}};
  return in;
}

LineAccess steps_of(const UsingInput& in) {
  auto out = using_steps(in, ward().infusates, ward().catheters, ward().add_ons, ward().policy);
  EXPECT_TRUE(out);
  return out.value_or(LineAccess{});
}

std::vector<std::string> ids(const LineAccess& access) {
  std::vector<std::string> all;
  for (const auto& step : access.steps) all.push_back(step.id);
  return all;
}

const Step& step_of(const LineAccess& access, const std::string& id) {
  return *std::find_if(access.steps.begin(), access.steps.end(), [&](const Step& one) { return one.id == id; });
}

TEST(Using, WhatRunsIsDrivenInByWhatIsFlushedBehindIt) {
  auto in = push_of("sodium chloride 0.9 %");
  for (const auto use : {LineUse::flush, LineUse::push, LineUse::dose, LineUse::draw}) {
    in.use = use;
    in.runs = false;
    const auto idle = steps_of(in).steps.front();
    EXPECT_TRUE(idle.stops.empty() && idle.cautions.empty());
    in.runs = std::nullopt;
    EXPECT_EQ(steps_of(in).steps.front().stops.back(), say::something_may_run_here());
    in.runs = true;
    in.running = infusate::Mixture{"sodium chloride 0.9 %", 1.0 * litre, {}};
    EXPECT_EQ(steps_of(in).steps.front().cautions.back(), say::something_runs_here());
    EXPECT_TRUE(steps_of(in).steps.front().stops.empty());
    in.running->additives.push_back({"something new", 1.0 * millilitre});
    EXPECT_EQ(steps_of(in).steps.front().stops.back(), say::what_runs_goes_in_at_once(infusate::HarmClass::unknown));
    in.running.reset();
    EXPECT_EQ(steps_of(in).steps.front().stops.back(), say::what_runs_goes_in_at_once(infusate::HarmClass::unknown));
    in.running = infusate::Mixture{"dextrose 50 %", 50.0 * millilitre, {}};
    EXPECT_EQ(steps_of(in).steps.front().stops.back(), say::what_runs_goes_in_at_once(infusate::HarmClass::vesicant));
    in.running.reset();
  }
  in.use = LineUse::disconnect;
  EXPECT_TRUE(steps_of(in).steps.front().stops.empty()) << "it is stopped first, and not pushed in";
}

using Ids = std::vector<std::string>;

TEST(Using, EachUseHasItsStepsInOrder) {
  auto in = push_of("sodium chloride 0.9 %");
  EXPECT_EQ(ids(steps_of(in)), (Ids{"identity", "scrub_hub", "let_dry_hub", "blood_return", "flush_before", "give",
                                    "flush_after", "lock"}));
  in.use = LineUse::dose;
  EXPECT_EQ(ids(steps_of(in)), (Ids{"identity", "scrub_hub", "let_dry_hub", "blood_return", "flush_before", "give"}));
  in.use = LineUse::flush;
  EXPECT_EQ(ids(steps_of(in)), (Ids{"identity", "scrub_hub", "let_dry_hub", "blood_return", "flush_after", "lock"}));
  in.use = LineUse::draw;
  in.runs = false;
  EXPECT_EQ(ids(steps_of(in)),
            (Ids{"identity", "scrub_hub", "let_dry_hub", "blood_return", "draw", "flush_after", "lock"}));
  in.runs = true;  // it goes on running afterwards: nothing is locked
  EXPECT_EQ(ids(steps_of(in)),
            (Ids{"identity", "stop", "scrub_hub", "let_dry_hub", "blood_return", "draw", "flush_after"}));
  EXPECT_EQ(steps_of(in).steps.back().cautions.back(), say::start_again_what_ran());
  in.use = LineUse::disconnect;
  in.runs = std::nullopt;  // not known: as if it ran
  EXPECT_EQ(ids(steps_of(in)),
            (Ids{"identity", "stop", "scrub_hub", "let_dry_hub", "blood_return", "disconnect", "flush_after", "lock"}));
}

TEST(Using, HubClocksComeFromThePolicy) {
  const auto access = steps_of(push_of("sodium chloride 0.9 %"));
  EXPECT_EQ(step_of(access, "scrub_hub").clock->limit, ward().policy.place.hub_scrub->value);
  EXPECT_EQ(step_of(access, "let_dry_hub").clock->limit,
            ward().policy.place.antiseptics.at("chlorhexidine_alcohol").dry->value);
  auto in = push_of("sodium chloride 0.9 %");
  in.antiseptic = "alcohol_70";  // the policy has no drying time for it
  const auto dry = step_of(steps_of(in), "let_dry_hub");
  EXPECT_FALSE(dry.clock);
  EXPECT_EQ(dry.cautions.front(), say::no_dry_time_in_the_policy());
}

TEST(Using, WhatHarmsIsNotGivenBeforeBloodCameBack) {
  auto in = push_of("a drug that nobody entered");
  auto access = steps_of(in);
  EXPECT_EQ(access.harm, infusate::HarmClass::unknown);
  EXPECT_EQ(step_of(access, "give").stops.front(), say::draw_back_before_it_is_given(infusate::HarmClass::unknown));
  in.blood_return = false;
  access = steps_of(in);
  EXPECT_FALSE(access.may_be_given);
  EXPECT_EQ(step_of(access, "give").stops.front(), say::no_blood_do_not_give(infusate::HarmClass::unknown));
  in.blood_return = true;
  EXPECT_TRUE(steps_of(in).may_be_given);
  EXPECT_EQ(step_of(steps_of(in), "give").stops, std::vector{say::not_listed("a drug that nobody entered")});
  in = push_of(std::nullopt);  // nobody said what
  EXPECT_FALSE(steps_of(in).may_be_given);
  in = push_of("sodium chloride 0.9 %");
  in.blood_return = false;
  EXPECT_TRUE(steps_of(in).may_be_given);
  EXPECT_EQ(step_of(steps_of(in), "blood_return").cautions.front(), say::no_blood_in_use());
}

TEST(Using, AnAllergyToWhatIsGivenStopsAtTheFirstStep) {
  auto in = push_of("furosemide 10 mg/mL");
  in.patient.allergies = {"penicillin"};
  EXPECT_TRUE(steps_of(in).steps.front().stops.empty());
  in.patient.allergies = {"sulfonamides"};  // by its family, as the check of an order finds it
  EXPECT_EQ(steps_of(in).steps.front().stops, std::vector{say::allergic("sulfonamides", "furosemide 10 mg/mL")});
}

TEST(Using, WhatMayNotBePushedIsStoppedWhateverItsTime) {
  auto in = push_of("norepinephrine 16 mcg/mL");
  in.blood_return = true;
  const auto stop = say::titrated_not_pushed("norepinephrine 16 mcg/mL");
  const auto said = [&] {
    const auto stops = step_of(steps_of(in), "give").stops;
    return std::find(stops.begin(), stops.end(), stop) != stops.end();
  };
  EXPECT_TRUE(said());
  in.push_over.reset();
  EXPECT_TRUE(said());
}

TEST(Using, ThePushRunsOnItsOwnClock) {
  auto in = push_of("sodium chloride 0.9 %");
  EXPECT_EQ(step_of(steps_of(in), "give").clock->limit, Interval(minutes{1}));
  EXPECT_EQ(steps_of(in).push->steps.size(), 10u);
  in.push_over.reset();
  EXPECT_FALSE(step_of(steps_of(in), "give").clock);
  EXPECT_EQ(step_of(steps_of(in), "give").stops, std::vector{say::push_time_not_known()});
  EXPECT_FALSE(steps_of(in).push);
  in.push_over = Interval(seconds{4});
  const auto wrong = [&] {
    return using_steps(in, ward().infusates, ward().catheters, ward().add_ons, ward().policy).error().front().path;
  };
  EXPECT_EQ(wrong(), "/push_over");
  in.push_over = Interval(minutes{1});
  in.given->volume = 0.01 * millilitre;
  EXPECT_EQ(wrong(), "/given/volume");
}

TEST(Using, TheClampFollowsTheConnector) {
  auto in = push_of("sodium chloride 0.9 %");
  std::set<std::string> said;
  for (const auto kind :
       {Displacement::negative, Displacement::neutral, Displacement::positive, Displacement::unknown}) {
    in.connector = kind;
    said.insert(step_of(steps_of(in), "lock").detail.id());
  }
  EXPECT_EQ(said.size(), 4u);
  in.connector = Displacement::negative;
  EXPECT_EQ(step_of(steps_of(in), "lock").detail, say::clamp_then_disconnect());
}

TEST(Using, AnAntisepticThatThePolicyDoesNotKnowIsRefused) {
  auto in = push_of("sodium chloride 0.9 %");
  in.antiseptic = "water";
  EXPECT_EQ(using_steps(in, ward().infusates, ward().catheters, ward().add_ons, ward().policy).error().front().path,
            "/antiseptic");
}

TEST(FlushVolume, TheGreaterOfTwiceTheLineAndTheWards) {
  const auto push = push_of("sodium chloride 0.9 %");
  FlushVolumeInput line{push.patient, push.today, push.gauge, push.length, push.parts};
  const auto of = [&] { return *flush_volume(line, ward().catheters, ward().add_ons, ward().policy.place); };
  EXPECT_EQ(of().volume, ward().policy.place.first_flush.value);  // a connector alone
  EXPECT_TRUE(of().findings.empty());
  line.parts = {{"giving set to the lower port", 3.5 * millilitre}};
  EXPECT_NEAR(in(*of().volume, millilitre), 7.7, 1e-9);  // 2 × (0.3 + 0.014 + 3.5), up to a tenth
  line.parts = {{"something without a figure"}};
  EXPECT_EQ(of().volume, ward().policy.place.first_flush.value);
  EXPECT_FALSE(of().holds);
  EXPECT_EQ(of().unknown, std::vector<std::string>{"something without a figure"});
  EXPECT_EQ(of().findings.front().code, "line_not_known");
  line.parts = std::nullopt;
  line.gauge = std::nullopt;
  EXPECT_EQ(of().unknown, (std::vector<std::string>{"catheter", "add_ons"}));
}

TEST(FlushVolume, AChildsFlushIsNeverAnAdultsByDefault) {
  auto push = push_of("sodium chloride 0.9 %");
  push.patient.birth_date = *parse_date("2026-11-20");
  FlushVolumeInput line{push.patient, push.today, push.gauge, push.length, std::vector<LinePart>{{"short_extension"}}};
  const auto newborn = *flush_volume(line, ward().catheters, ward().add_ons, ward().policy.place);
  EXPECT_NEAR(in(*newborn.volume, millilitre), 1.9,
              1e-9);  // 2 × (0.3 + 0.014 + 0.6), up to a tenth; the ward's is 1 mL
  EXPECT_EQ(newborn.findings.front().code, "more_than_usual");
  auto bare = ward().policy.place;
  bare.ages.clear();
  EXPECT_EQ(flush_volume(line, ward().catheters, ward().add_ons, bare)->volume, newborn.volume);
  line.parts = std::nullopt;
  EXPECT_FALSE(flush_volume(line, ward().catheters, ward().add_ons, bare)->volume);
}

TEST(FlushVolume, WhatAPackCannotHoldIsRefused) {
  FlushVolumeInput line;
  line.today = *parse_date("2026-11-25");
  line.parts = std::vector<LinePart>{{"connector", 0.0 * millilitre}, {"connector", 21.0 * millilitre}};
  line.length = 1.0 * millimetre;
  EXPECT_EQ(flush_volume(line, ward().catheters, ward().add_ons, ward().policy.place).error().size(), 3u);
  line.parts = std::vector<LinePart>(13);
  EXPECT_EQ(flush_volume(line, ward().catheters, ward().add_ons, ward().policy.place).error().back().path, "/parts");
}

/// Never less than the ward's, never less than twice what is known; another part never makes it less.
RC_GTEST_PROP(FlushVolume, IsNeverLessForALongerLine, ()) {
  FlushVolumeInput line;
  line.today = *parse_date("2026-11-25");
  line.patient.birth_date = *parse_date("1970-05-05");
  line.gauge = Gauge{22};
  line.length = 25.0 * millimetre;
  line.parts.emplace();
  const int parts = *rc::gen::inRange(0, 8);
  Volume before{};
  for (int i = 0; i <= parts; ++i) {
    const auto out = *flush_volume(line, ward().catheters, ward().add_ons, ward().policy.place);
    RC_ASSERT(*out.volume >= ward().policy.place.first_flush.value);
    RC_ASSERT(*out.volume >= 2.0 * *out.holds);
    RC_ASSERT(*out.volume >= before);
    before = *out.volume;
    line.parts->push_back({"part", *rc::gen::inRange(1, 2000) * 0.01 * millilitre});
  }
}

/// More hazard, or less knowledge of the blood return, never lets more be given.
RC_GTEST_PROP(Using, MoreHazardNeverLetsMoreBeGiven, ()) {
  const auto name = *rc::gen::elementOf(std::vector<std::string>{"sodium chloride 0.9 %", "not in any list"});
  auto in = push_of(name);
  in.blood_return = true;
  const auto came = steps_of(in);
  in.blood_return = std::nullopt;
  const auto not_tried = steps_of(in);
  in.blood_return = false;
  const auto none = steps_of(in);
  const auto stops = [](const LineAccess& one) { return step_of(one, "give").stops.size(); };
  RC_ASSERT(stops(came) <= stops(not_tried));
  RC_ASSERT(stops(not_tried) <= stops(none));
  RC_ASSERT(static_cast<int>(came.may_be_given) >= static_cast<int>(not_tried.may_be_given));
}

}  // namespace
}  // namespace dwell::procedure

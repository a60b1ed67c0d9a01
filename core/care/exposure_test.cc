#include "care/exposure.h"

#include <gtest/gtest.h>

#include "line/test_events.h"
#include "line/test_policy.h"

namespace dwell::care {
namespace {

using infusate::HarmClass;
using std::chrono::hours;
using std::chrono::minutes;
using test::History;

infusate::Formulary formulary() {
  infusate::Formulary f;
  for (const auto& [name, harm] : std::map<std::string, HarmClass>{{"sodium chloride 0.9 %", HarmClass::harmless},
                                                                   {"dextrose 10 %", HarmClass::irritant},
                                                                   {"noradrenaline", HarmClass::vesicant}}) {
    f[name].name = name;
    f[name].harm = harm;
  }
  f["noradrenaline"].leak_family = infusate::LeakFamily::vasopressor;
  return f;
}

History dwelling() { return History{}.at(minutes{0}, test::opened()).at(minutes{0}, test::placed()); }

site::Exposure exposure(const History& history, Instant now) {
  return exposure_of(line::fold(history.events, test::small_policy()), formulary(), {}, now);
}

TEST(Exposure, NothingRanIsHarmless) {
  const auto found = exposure(dwelling(), test::after(hours{1}));
  EXPECT_EQ(found.harm, HarmClass::harmless);
  EXPECT_FALSE(found.flow);
  EXPECT_EQ(found.since_last_sound_check, Interval{3600}) << "since placement, when nobody has looked";
}

TEST(Exposure, AVesicantThatHasEndedIsStillUnderTheSkin) {
  auto h = dwelling();
  h.at(hours{1}, test::infusion(10, "noradrenaline"));
  h.at(hours{2}, test::infusion(60));
  const auto found = exposure(h, test::after(hours{3}));
  EXPECT_EQ(found.harm, HarmClass::vesicant);
  EXPECT_EQ(found.leak_family, infusate::LeakFamily::vasopressor);
  h.at(hours{3}, test::checked(0));
  EXPECT_EQ(exposure(h, test::after(hours{4})).harm, HarmClass::harmless) << "the site was seen sound since";
}

TEST(Exposure, ADosePushedByHandCountsAsABagDoes) {
  auto h = dwelling();
  h.at(hours{1}, test::flushed(false));
  EXPECT_EQ(exposure(h, test::after(hours{2})).harm, HarmClass::harmless);
  auto pushed = test::flushed(false);
  pushed.fluid = "noradrenaline";
  h.at(hours{2}, pushed);
  EXPECT_EQ(exposure(h, test::after(hours{3})).harm, HarmClass::vesicant);
}

TEST(Exposure, WhatIsNotKnownOutweighsAllButAVesicant) {
  auto h = dwelling();
  h.at(hours{1}, test::infusion(10, "dextrose 10 %")).at(hours{2}, test::infusion(10, "something new"));
  EXPECT_EQ(exposure(h, test::after(hours{3})).harm, HarmClass::unknown);
  h.at(hours{3}, test::infusion(10, "noradrenaline"));
  EXPECT_EQ(exposure(h, test::after(hours{4})).harm, HarmClass::vesicant);
}

TEST(Exposure, TheVolumeIsCountedRateByRateWithFlushes) {
  auto h = dwelling();
  h.at(hours{1}, test::infusion(100)).at(hours{2}, test::checked(0));
  // After the sound look: 1 h at 100 mL/h, then 2 h at 30 mL/h, then a flush of 5 mL.
  h.at(hours{3}, line::RateChanged{30.0 * millilitre / hour, "as ordered"}).at(hours{4}, test::flushed(false));
  const auto found = exposure(h, test::after(hours{5}));
  ASSERT_TRUE(found.given_since_sound_check);
  EXPECT_NEAR(in(*found.given_since_sound_check, millilitre), 100 + 60 + 5, 1e-6);
  EXPECT_EQ(found.flow, Flow(30.0 * millilitre / hour));
}

}  // namespace
}  // namespace dwell::care

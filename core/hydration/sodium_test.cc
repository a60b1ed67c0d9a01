#include "hydration/sodium.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "exchange/library.h"

namespace dwell::hydration {
namespace {

constexpr AmountConcentration mmol_per_litre = AmountConcentration::from_value(1.0);

SodiumInput older_woman() {
  SodiumInput in;
  in.serum_sodium = 158.0 * mmol_per_litre;
  in.weight = 47.0 * kilogram;
  in.group = BodyWaterGroup::older_woman;
  in.infusate_cations = 77.0 * mmol_per_litre;
  return in;
}

Checked<SodiumResult> look(const SodiumInput& in) { return sodium(in, exchange::default_library().policy.hydration); }

bool told(const SodiumResult& r, const std::string& code, Severity severity) {
  return std::any_of(r.findings.begin(), r.findings.end(),
                     [&](const Finding& f) { return f.code == code && f.severity == severity; });
}

TEST(Sodium, SaysWhenADayWouldBringTooMuch) {
  auto in = older_woman();
  in.volume = 2.0 * litre;
  EXPECT_FALSE(told(*look(in), "sodium_change", Severity::stop));
  in.volume = 4.0 * litre;
  EXPECT_TRUE(told(*look(in), "sodium_change", Severity::stop));
  EXPECT_TRUE(told(*look(in), "measure_again", Severity::information));
}

TEST(Sodium, AnInfusateThatPullsTheOtherWayIsNamed) {
  auto in = older_woman();
  in.wanted = 5.0 * mmol_per_litre;
  const auto r = *look(in);
  EXPECT_FALSE(r.volume_for_wanted);
  EXPECT_TRUE(told(r, "wrong_way", Severity::caution));
}

TEST(Sodium, BadInputIsNamedAllAtOnce) {
  SodiumInput in;
  in.serum_sodium = 14.0 * mmol_per_litre;
  in.weight = 700.0 * kilogram;
  in.infusate_cations = -1.0 * mmol_per_litre;
  in.wanted = 99.0 * mmol_per_litre;
  EXPECT_EQ(look(in).error().size(), 4u);
  auto dried = older_woman();
  dried.volume = -10.5 * litre;
  EXPECT_EQ(look(dried).error().front().path, "/volume");
}

RC_GTEST_PROP(SodiumProperty, MoreSodiumNeverLowersAndWaterNeverRaises, ()) {
  const auto na = *rc::gen::inRange(100, 180) * 1.0 * mmol_per_litre;
  const auto water = *rc::gen::inRange(5, 60) * 1.0 * litre;
  const auto e = *rc::gen::inRange(0, 900) * 1.0 * mmol_per_litre;
  const auto v = *rc::gen::inRange(1, 50) * 0.1 * litre;
  RC_ASSERT(sodium_change(na, water, e + mmol_per_litre, v) > sodium_change(na, water, e, v));
  RC_ASSERT(sodium_change(na, water, 0.0 * mmol_per_litre, v) < 0.0 * mmol_per_litre);
}

RC_GTEST_PROP(SodiumProperty, TheVolumeForAChangeBringsThatChange, ()) {
  const auto na = *rc::gen::inRange(100, 180) * 1.0 * mmol_per_litre;
  const auto water = *rc::gen::inRange(5, 60) * 1.0 * litre;
  const auto e = *rc::gen::inRange(0, 900) * 1.0 * mmol_per_litre;
  const auto wanted = *rc::gen::inRange(-15, 16) * 1.0 * mmol_per_litre;
  const auto volume = volume_for_change(na, water, e, wanted);
  RC_PRE(volume.has_value());
  RC_ASSERT(std::abs((sodium_change(na, water, e, *volume) - wanted).value()) < 1e-9);
}

}  // namespace
}  // namespace dwell::hydration

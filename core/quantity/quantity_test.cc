#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>

#include "quantity/display.h"
#include "say/quantity.h"

namespace dwell {
namespace {

TEST(Display, SafeNumbers) {
  EXPECT_EQ(show_number(0.5), "0.5");
  EXPECT_EQ(show_number(5.0), "5");
  EXPECT_EQ(show_number(1000), "1\u202f000");
  EXPECT_EQ(show_number(1027.3), "1\u202f027");
  EXPECT_EQ(show_number(41.666), "41.7");
  EXPECT_EQ(show_number(0.0456), "0.0456");
  EXPECT_EQ(show_number(-2.5), "-2.5");
  EXPECT_EQ(show_number(-0.0001, 1), "-0.0001") << "what is not 0 is never shown as 0";
  EXPECT_EQ(show_number(NAN), "unknown");
}

TEST(Display, HalfUp) {
  EXPECT_EQ(round_half_up(62.5), 63);
  EXPECT_EQ(round_half_up(12.5), 13);
  EXPECT_EQ(round_half_up(1.005, 2), 1.01);
  EXPECT_EQ(round_down(35.69, 1), 35.6);
}

TEST(Display, Quantities) {
  EXPECT_EQ(show(125.0 * millilitre / hour), "125 mL/h");
  EXPECT_EQ(show(1.0 * litre), "1\u202f000 mL");
  EXPECT_EQ(show(Ratio(0.39)), "39 %");
  EXPECT_EQ(show(27756.0 * second), "7 h 43 min");
  EXPECT_EQ(show(20.0 * drop / millilitre), "20 drops/mL");
  EXPECT_EQ(show(Gauge{22}), "22 gauge");
}

TEST(Units, UnsafeSpellingsAreRefused) {
  EXPECT_FALSE(parse<Volume>("5 cc"));
  EXPECT_FALSE(parse<BiologicalUnits>("100 U"));
  EXPECT_FALSE(parse<Mass>("5 µg"));
  EXPECT_FALSE(parse<Flow>("125"));
  EXPECT_FALSE(parse<Flow>("mL/h"));
  EXPECT_FALSE(parse<Flow>("1e999 mL/h"));
  EXPECT_FALSE(parse<Flow>("12,5 mL/h"));
}

TEST(Units, UcumAndTradeNames) {
  EXPECT_EQ(parse<Mass>("5 mcg")->value(), parse<Mass>("5 ug")->value());
  EXPECT_NEAR(in(*parse<Volume>("1,000 mL"), litre), 1, 1e-12);
  EXPECT_NEAR(in(*parse<Length>("1.25 [in_i]"), millimetre), 31.75, 1e-9);  // UCUM: 1 in = 2.54 cm
  EXPECT_NEAR(parse<Pressure>("100 mm[Hg]")->value(), 13332.2, 1e-6);
}

TEST(Units, ARefusalSaysWhatWouldDo) {
  const auto refused = parse<Flow>("125 mL/fortnight");
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().front().found, "125 mL/fortnight");
  const auto& units = std::get<message::Messages>(refused.error().front().expected.arguments().at(0).value).all;
  EXPECT_NE(std::find(units.begin(), units.end(), say::a_unit("mL/h")), units.end());
}

TEST(GaugeOrder, WiderIsGreater) { EXPECT_GT(Gauge{18}, Gauge{22}); }

TEST(Times, Intervals) {
  EXPECT_EQ(parse_interval("1 h 30 min")->count(), 5400);
  EXPECT_EQ(parse_interval("7 d")->count(), 604800);
  EXPECT_EQ(show(Interval{5400}), "1 h 30 min");
  EXPECT_EQ(show(Interval{34}), "34 s");
  EXPECT_FALSE(parse_interval("4"));
  EXPECT_FALSE(parse_interval("4 fortnights"));
  EXPECT_FALSE(parse_interval(""));
}

TEST(Times, InstantsAndDates) {
  EXPECT_EQ(iso(*parse_instant("2026-11-25T09:19:02+01:00")), "2026-11-25T08:19:02.000Z");
  EXPECT_FALSE(parse_instant("2026-13-25T09:19:02Z"));
  EXPECT_FALSE(parse_instant("2026-11-25"));
  EXPECT_EQ(show(*parse_date("2026-11-05")), "5 Nov 2026");
  EXPECT_FALSE(parse_date("2026-02-30"));
  EXPECT_EQ(show_local(*parse_instant("2026-11-25T23:30:00Z"), std::chrono::minutes(60)), "26 Nov 2026 00:30");
}

TEST(Times, Ages) {
  EXPECT_EQ(age_in_years(*parse_date("1942-03-03"), *parse_date("2026-03-02")), 83);
  EXPECT_EQ(age_in_years(*parse_date("1942-03-03"), *parse_date("2026-03-03")), 84);
  EXPECT_EQ(age_in_months(*parse_date("2026-09-30"), *parse_date("2026-11-25")), 1);
}

RC_GTEST_PROP(UnitsProperty, ShownQuantitiesReadBack, ()) {
  const auto kind = *rc::gen::element(QuantityKind::flow, QuantityKind::volume, QuantityKind::length,
                                      QuantityKind::mass, QuantityKind::osmolarity, QuantityKind::drop_rate);
  const double value = *rc::gen::inRange(1, 999);
  const double si = value * unit_names(kind).front().si;
  const auto back = parse_quantity(kind, show_quantity(kind, si));
  RC_ASSERT(back.has_value());
  RC_ASSERT(std::abs(*back / si - 1) < 1e-9);
}

RC_GTEST_PROP(UnitsProperty, AnyTextIsReadOrRefusedNeverThrown, (const std::string& text)) {
  for (const auto kind : {QuantityKind::flow, QuantityKind::ratio, QuantityKind::mass})
    if (const auto read = parse_quantity(kind, text)) RC_ASSERT(std::isfinite(*read));
  static_cast<void>(parse_interval(text));
  static_cast<void>(parse_instant(text));
}

TEST(Times, MomentsAtTheEndsReadBackWhateverTheirZone) {
  for (const char* text : {"2199-12-31T23:59:00-00:01", "2199-12-31T23:59:59.999-14:59", "1900-01-01T00:00:00+00:01",
                           "1900-01-01T00:00:00+14:59", "2200-01-01T00:30:00+01:00"}) {
    const auto moment = parse_instant(text);
    ASSERT_TRUE(moment) << text;
    EXPECT_EQ(parse_instant(iso(*moment)), moment) << text;
  }
  for (const char* text : {"1899-12-30T23:59:59Z", "2200-01-02T00:00:00Z", "0000-01-01T00:00:00Z",
                           "9999-12-31T23:59:59Z", "1899-12-31T00:00:00+00:01", "2200-01-01T23:59:59-00:01"})
    EXPECT_FALSE(parse_instant(text)) << text;
}

RC_GTEST_PROP(TimesProperty, MomentsReadBack, ()) {
  const auto two = [](int below) {
    const int number = *rc::gen::inRange(0, below);
    return std::string(number < 10 ? "0" : "") + std::to_string(number);
  };
  const auto year = *rc::gen::element<std::string>("0000", "1899", "1900", "1970", "2026", "2199", "2200", "9999");
  const auto day = *rc::gen::element<std::string>("-01-01", "-02-29", "-12-31", "-06-15");
  const auto offset = *rc::gen::element<std::string>("Z", "+", "-");
  const auto text = year + day + "T" + two(24) + ":" + two(60) + ":" + two(60) +
                    *rc::gen::element<std::string>("", ".9", ".999", ".9999999") +
                    (offset == "Z" ? offset : offset + two(16) + ":" + two(60));
  const auto moment = parse_instant(text);
  if (!moment) return;
  RC_ASSERT(parse_instant(iso(*moment)).value() == *moment);
}

RC_GTEST_PROP(TimesProperty, DatesReadBack, ()) {
  const auto number = *rc::gen::inRange(0, 100'000'000);
  std::string digits = std::to_string(number);
  digits.insert(0, 8 - digits.size(), '0');
  const auto date = parse_date(digits.substr(0, 4) + "-" + digits.substr(4, 2) + "-" + digits.substr(6));
  if (date) RC_ASSERT(parse_date(iso(*date)).value() == *date);
}

TEST(Times, AnIntervalThatCannotBeCountedIsRefused) {
  EXPECT_TRUE(parse_interval("16000 wk"));
  EXPECT_FALSE(parse_interval("10000000 wk"));
  std::string many;
  for (int i = 0; i < 100000; ++i) many += "9999999 wk ";
  EXPECT_FALSE(parse_interval(many));
}

TEST(Units, ANumberThatCannotBeWrittenAgainIsRefused) {
  EXPECT_FALSE(parse<MassConcentration>("1e308 g/mL"));
  EXPECT_FALSE(parse<Volume>("1e308 L")) << "in millilitres it would be infinite";
  EXPECT_TRUE(parse<Volume>("1e308 mL"));
}

RC_GTEST_PROP(TimesProperty, IntervalsReadBack, ()) {
  const Interval two_units{*rc::gen::inRange(0, 24) * 3600 + *rc::gen::inRange(0, 60) * 60};
  RC_ASSERT(*parse_interval(show(two_units)) == two_units);
}

}  // namespace
}  // namespace dwell

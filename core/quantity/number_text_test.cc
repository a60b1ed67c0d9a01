// Numbers as people type them, and as Dwell shows them.
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>
#include <regex>

#include "quantity/difference.h"
#include "quantity/display.h"
#include "say/quantity.h"

namespace dwell {
namespace {

template <QuantityType Q>
std::string refusal_of(const char* text, DecimalSign sign = DecimalSign::point) {
  const auto read = parse<Q>(text, sign);
  if (read) return "read as " + show(*read);
  // What is offered, as it would be typed; else the name of what is expected.
  std::string offered;
  for (const auto& argument : read.error().front().expected.arguments())
    if (const auto* typed = std::get_if<message::OwnWords>(&argument.value))
      offered += (offered.empty() ? "" : " or ") + typed->words;
  return read.error().front().expected.id() + ": " + offered + ";";
}

bool holds(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

TEST(NumbersAsTyped, ACommaThatDoesNotPartThousandsIsRefusedWithWhatItCouldMean) {
  // Each was read a thousandfold or more too large: 125 mg, 250 L, 12,345 mL.
  EXPECT_TRUE(holds(refusal_of<Mass>("0,125 mg"), "0.125 mg;")) << refusal_of<Mass>("0,125 mg");
  EXPECT_TRUE(holds(refusal_of<Volume>("0,250 L"), "0.25 L;")) << refusal_of<Volume>("0,250 L");
  EXPECT_TRUE(holds(refusal_of<Volume>("1,2345 mL"), "1.2345 mL or 12345 mL")) << refusal_of<Volume>("1,2345 mL");
  EXPECT_TRUE(holds(refusal_of<Flow>("12,5 mL/h"), "12.5 mL/h or 125 mL/h"));
  EXPECT_TRUE(holds(refusal_of<Volume>("1.000,5 mL"), "1000.5 mL;"));
  for (const char* text : {"1000,000 mL", "1,00 mL", ",5 mL", "5, mL", "1,,000 mL", "01,000 mL", "1,000,00 mL",
                           "1.5,000 mL", "1,000.5.5 mL", "0,000 mL"})
    EXPECT_FALSE(parse<Volume>(text)) << text;
}

TEST(NumbersAsTyped, WellFormedGroupsAreRead) {
  EXPECT_NEAR(in(*parse<Volume>("1,000 mL"), millilitre), 1000, 1e-9);
  EXPECT_NEAR(in(*parse<Volume>("12,345.5 mL"), millilitre), 12345.5, 1e-9);
  EXPECT_NEAR(in(*parse<BiologicalUnits>("1,000,000 units"), biological_unit), 1e6, 1e-6);
  EXPECT_NEAR(in(*parse<Volume>("1\u202f000 mL"), millilitre), 1000, 1e-9);
  EXPECT_NEAR(in(*parse<Volume>("1\u00a0000.5\u00a0mL"), millilitre), 1000.5, 1e-9);
  EXPECT_FALSE(parse<Volume>("1 500 mL")) << "one bag of 500 mL?";
  EXPECT_FALSE(parse<Volume>("1\u202f00 mL"));
}

TEST(NumbersAsTyped, WhereDecimalsHaveACommaALoneCommaIsAQuestion) {
  for (const auto sign : {DecimalSign::comma, DecimalSign::unknown}) {
    EXPECT_TRUE(holds(refusal_of<Volume>("1,000 mL", sign), "1 mL or 1000 mL")) << refusal_of<Volume>("1,000 mL", sign);
    EXPECT_TRUE(parse<Volume>("1,000,000 mL", sign)) << "two commas part thousands only";
    EXPECT_TRUE(parse<Volume>("1,000.5 mL", sign));
    EXPECT_TRUE(parse<Volume>("0.5 mL", sign));
  }
}

TEST(NumbersAsTyped, APointThatCouldPartThousandsIsAQuestion) {
  for (const auto sign : {DecimalSign::point, DecimalSign::comma, DecimalSign::unknown}) {
    EXPECT_TRUE(holds(refusal_of<Volume>("1.000 mL", sign), "1 mL or 1000 mL")) << refusal_of<Volume>("1.000 mL", sign);
    EXPECT_TRUE(holds(refusal_of<Mass>("1.125 mg", sign), "1.1250 mg or 1125 mg"));
    EXPECT_FALSE(parse<Volume>("1.000.000 mL", sign));
  }
  EXPECT_TRUE(parse<Mass>("1.1250 mg")) << "what the question offers is read";
  EXPECT_TRUE(parse<Mass>("0.125 mg")) << "no group begins with 0";
  EXPECT_FALSE(parse_interval("1.000 h"));
}

TEST(NumbersAsTyped, WhatTheTradeWritesOnPaper) {
  EXPECT_EQ(show(*parse<Flow>("125 ml/hr")), "125 mL/h");
  EXPECT_EQ(show(*parse<Flow>("125 mL per hour")), "125 mL/h");
  EXPECT_EQ(show(*parse<DropRate>("30 gtt/min")), "30 drops/min");
  EXPECT_EQ(show(*parse<DropFactor>("20 gtts/ml")), "20 drops/mL");
  EXPECT_EQ(show(*parse<Mass>("500 micrograms")), "0.5 mg");
  EXPECT_EQ(show(*parse<BiologicalUnits>("1 unit")), "1 units");
  EXPECT_EQ(show(*parse<Duration>("8 hrs")), "8 h");
  EXPECT_EQ(show(*parse<Duration>("3 h 25 min")), "3 h 25 min");
  EXPECT_EQ(show(*parse<Duration>("3h25min")), "3 h 25 min");
  EXPECT_EQ(parse_interval("4 hours")->count(), 14400);
  EXPECT_EQ(show(*parse<MassRatePerMass>("5 mcg/kg/min")), "5 mcg/kg/min");
  EXPECT_FALSE(parse<Duration>("25 min 3 h"));
  EXPECT_FALSE(parse<Duration>("3 h -25 min"));
}

TEST(NumbersAsTyped, MilliequivalentsAreRefusedWithTheReason) {
  EXPECT_TRUE(holds(refusal_of<Amount>("20 mEq"), "no_unit_by_ion")) << refusal_of<Amount>("20 mEq");
  EXPECT_TRUE(holds(refusal_of<AmountConcentration>("40 mEq/L"), "no_unit_by_ion"));
  EXPECT_TRUE(holds(refusal_of<UnitRate>("12 U/h"), "no_misread_unit"));
}

TEST(NumbersAsTyped, FahrenheitIsNotTakenForCelsius) {
  EXPECT_NEAR(parse_temperature("39 °C")->celsius, 39, 1e-12);
  EXPECT_NEAR(parse_temperature("102.2 degF")->celsius, 39, 1e-9);
  EXPECT_NEAR(convert_temperature(39, "[degF]")->celsius, 3.888888888, 1e-6);
  EXPECT_FALSE(parse_temperature("39"));
  EXPECT_FALSE(parse_temperature("39 K"));
  EXPECT_FALSE(convert_temperature(39, ""));
}

TEST(NumbersAsTyped, AMedicineIsNotWeighedInKilogramsNorAPersonInMilligrams) {
  static_assert(!std::is_convertible_v<BodyWeight, Mass> && !std::is_convertible_v<Mass, BodyWeight>);
  static_assert(!std::is_same_v<MassRatePerMass, Rate>);
  EXPECT_FALSE(parse<Mass>("70 kg"));
  EXPECT_FALSE(parse<BodyWeight>("70 mg"));
  EXPECT_EQ(show(*parse<BodyWeight>("800 g")), "0.8 kg");
}

TEST(NumbersAsShown, InTheUnitOfTheBedside) {
  EXPECT_EQ(show(0.4 * milligram), "0.4 mg");
  EXPECT_EQ(show(5.0 * milligram), "5 mg");
  EXPECT_EQ(show(40.0 * microgram), "40 mcg");
  EXPECT_EQ(show(1235.0 * milligram), "1\u202f235 mg");
  EXPECT_EQ(show(25.0 * gram), "25 g");
  EXPECT_EQ(show(70.0 * kilogram), "70 kg");
  EXPECT_EQ(show(0.04 * millilitre / hour), "0.04 mL/h");
  EXPECT_EQ(show_number(0.04, 1), "0.04");
  EXPECT_EQ(show(BodySurface::from_value(1.73)), "1.73 m²");
  EXPECT_EQ(show(BodyWater(42.0 * litre)), "42 L");
  EXPECT_EQ(show(Clearance(87.0 * millilitre / minute)), "87 mL/min");
  EXPECT_EQ(show(PushSpeed(4.0 * milligram / minute)), "4 mg/min");
  EXPECT_EQ(show(Volume()), "0 mL");
}

TEST(NumbersAsShown, ADifferenceOfDecimalsLeavesNoTrace) {
  const Volume left = 0.3 * litre - 0.1 * litre - 0.2 * litre;
  ASSERT_NE(left.value(), 0) << "binary sums leave a trace";
  EXPECT_EQ(show(difference(Volume(0.3 * litre - 0.1 * litre), 0.2 * litre)), "0 mL");
  EXPECT_EQ(show(difference(1.001 * millilitre, 1.0 * millilitre)), "0.001 mL");
}

/// All numbers that one convention reads in a text: groups of exactly three parted by `group` or by nothing.
std::optional<double> read_by(const std::string& text, char group, char decimal) {
  const std::string g = group == '.' ? "\\." : std::string(1, group), d = decimal == '.' ? "\\." : ",";
  const std::regex form("([0-9]*|[1-9][0-9]{0,2}(" + g + "[0-9]{3})+)(" + d + "[0-9]*)?");
  if (!std::regex_match(text, form) || text.find_first_of("0123456789") == std::string::npos) return std::nullopt;
  std::string plain;
  for (const char c : text)
    if (c != group) plain += c == decimal ? '.' : c;
  return number_from(plain);
}

RC_GTEST_PROP(NumbersProperty, WhatTwoConventionsReadDifferentlyIsRefused, ()) {
  const auto text = *rc::gen::container<std::string>(rc::gen::element('0', '0', '1', '2', '5', ',', '.'));
  const auto sign = *rc::gen::element(DecimalSign::unknown, DecimalSign::point, DecimalSign::comma);
  const auto english = read_by(text, ',', '.'), continental = read_by(text, '.', ',');
  const auto read = parse<Volume>(text + " mL", sign);
  RC_TAG(read ? "read" : "refused");
  if (!read) {
    // What is left without a question: read by the point, and nowhere else differently.
    RC_ASSERT((!english || (continental && *continental != *english)));
    return;
  }
  RC_ASSERT(english.has_value());
  RC_ASSERT(std::abs(in(*read, millilitre) - *english) <= 1e-9 * *english);
  const bool the_ward_says = sign == DecimalSign::point && text.find('.') == std::string::npos;
  RC_ASSERT((the_ward_says || !continental || *continental == *english));
}

RC_GTEST_PROP(NumbersProperty, WhatARefusalOffersIsRead, ()) {
  const auto text = *rc::gen::container<std::string>(rc::gen::element('0', '1', '5', ',', '.'));
  const auto read = parse<Volume>(text + " mL", DecimalSign::unknown);
  if (read) return;
  for (const auto& argument : read.error().front().expected.arguments())
    if (const auto* offered = std::get_if<message::OwnWords>(&argument.value))
      RC_ASSERT(parse<Volume>(offered->words, DecimalSign::unknown).has_value());
}

/// Any kind, any size from far below to far above what a bedside holds, whole or not, negative too.
struct Shown {
  QuantityKind kind = QuantityKind::ratio;
  double si = 0;
  UnitName unit;
};

std::vector<QuantityKind> all_kinds() {
  std::vector<QuantityKind> kinds;
  boost::mp11::mp_for_each<boost::describe::describe_enumerators<QuantityKind>>(
      [&](auto described) { kinds.push_back(described.value); });
  return kinds;
}

Shown any_shown() {
  const auto kind = *rc::gen::elementOf(all_kinds());
  const auto units = unit_names(kind);
  const auto unit = units[*rc::gen::inRange<std::size_t>(0, units.size())];
  const double digits = *rc::gen::inRange(1, 100000);
  const double value = digits * std::pow(10.0, *rc::gen::inRange(-14, 9)) * *rc::gen::element(1.0, -1.0);
  return {kind, value * unit.si, unit};
}

bool is_nothing(const std::string& text) {
  const auto number = text.substr(0, text.find(' '));
  return number.find_first_of("123456789") == std::string::npos;
}

RC_GTEST_PROP(NumbersProperty, WhatIsShownIsReadBackAndNeverNothing, ()) {
  const auto any = any_shown();
  const auto text = show_quantity(any.kind, any.si);
  // A duration is shown in its two largest parts; all of it counts, not the first number alone.
  const bool in_parts = any.kind == QuantityKind::duration;
  RC_ASSERT((in_parts ? text.find_first_of("123456789") != std::string::npos : !is_nothing(text)));
  for (const auto sign : {DecimalSign::point, DecimalSign::comma, DecimalSign::unknown}) {
    const auto back = parse_quantity(any.kind, text, sign);
    RC_ASSERT(back.has_value());
    // Three digits are shown, whole numbers above; of a duration its two largest parts.
    RC_ASSERT(std::abs(*back - any.si) <= (in_parts ? 0.05 : 0.0051) * std::abs(any.si));
  }
}

RC_GTEST_PROP(NumbersProperty, WhatIsShownInAnyUnitIsReadBack, ()) {
  const auto any = any_shown();
  if (any.unit.display.empty() || any.kind == QuantityKind::duration) return;
  const double value = any.si / any.unit.si;
  const int decimals = *rc::gen::inRange(0, 5);
  for (const auto& number : {show_number(value), show_number(value, decimals)}) {
    const auto text = number + " " + std::string(any.unit.display);
    RC_ASSERT(!is_nothing(text));
    const auto back = parse_quantity(any.kind, text, DecimalSign::comma);
    RC_ASSERT(back.has_value());
    RC_ASSERT(std::abs(*back - any.si) <= std::max(0.0051 * std::abs(any.si), 0.51 * any.unit.si));
  }
}

RC_GTEST_PROP(NumbersProperty, TemperaturesAreReadBack, ()) {
  const Temperature any{*rc::gen::inRange(-490, 1490) / 10.0};
  const auto back = parse_temperature(show(any), DecimalSign::comma);
  RC_ASSERT(back.has_value());
  RC_ASSERT(std::abs(back->celsius - any.celsius) < 0.051);
}

}  // namespace
}  // namespace dwell

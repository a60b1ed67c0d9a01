#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "exchange/library.h"
#include "say/infusate.h"
#include "suitability/suitability.h"

namespace dwell::infusate {
namespace {

Suitability verdict(const char* name, double hours) {
  const auto& library = exchange::default_library();
  return *suitability({name, 500.0 * millilitre, {}}, {hours * hour, std::nullopt}, library.infusates, library.policy);
}

TEST(Suitability, SalineForADayIsShortPeripheral) {
  EXPECT_EQ(verdict("sodium chloride 0.9 %", 24).route, Route::short_peripheral);
  EXPECT_TRUE(verdict("sodium chloride 0.9 %", 24).findings.empty());
}

TEST(Suitability, LongTherapyWantsMore) {
  EXPECT_EQ(verdict("sodium chloride 0.9 %", 24 * 7).route, Route::longer_peripheral);
  EXPECT_EQ(verdict("sodium chloride 0.9 %", 24 * 30).route, Route::refer_for_central);
}

TEST(Suitability, StrongSolutionsAndVesicantsAreReferred) {
  EXPECT_EQ(verdict("dextrose 20 %", 2).route, Route::refer_for_central);
  EXPECT_EQ(verdict("norepinephrine 16 mcg/mL", 2).route, Route::refer_for_central);
}

TEST(Suitability, UnknownAsksPharmacy) {
  const auto s = verdict("a new medicine", 2);
  EXPECT_EQ(s.route, Route::ask_pharmacy);
  EXPECT_EQ(s.mixture.harm, HarmClass::unknown);
}

TEST(Suitability, ConcentratesAreNeverGivenUndiluted) {
  const auto s = verdict("potassium chloride 2 mmol/mL concentrate", 1);
  EXPECT_TRUE(
      std::any_of(s.findings.begin(), s.findings.end(), [](const Finding& f) { return f.code == "undiluted"; }));
}

TEST(Suitability, BadInputIsNamed) {
  const auto& library = exchange::default_library();
  const auto refused = suitability({"sodium chloride 0.9 %", Volume(), {{"x", 11.0 * litre}}},
                                   {Duration(), std::nullopt}, library.infusates, library.policy);
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().size(), 3u);
}

TEST(Mixture, TheWorstMemberDecides) {
  const auto m = *mix({"sodium chloride 0.9 %", 1.0 * litre, {{"calcium chloride 10 %", 10.0 * millilitre}}},
                      exchange::default_library().infusates);
  EXPECT_EQ(m.harm, HarmClass::vesicant);
  EXPECT_EQ(m.leak_family, LeakFamily::calcium);
}

RC_GTEST_PROP(MixtureProperty, OsmolarityLiesBetweenItsParts, ()) {
  const Volume a = 1.0 * *rc::gen::inRange(1, 1000) * millilitre, b = 1.0 * *rc::gen::inRange(1, 1000) * millilitre;
  const auto m =
      *mix({"sodium chloride 0.45 %", a, {{"sodium chloride 3 %", b}}}, exchange::default_library().infusates);
  RC_ASSERT((*m.osmolarity > 154.0 * milliosmole_per_litre && *m.osmolarity < 1027.0 * milliosmole_per_litre));
}

TEST(Library, EveryFigureFromMemoryIsMarkedSo) {
  for (const auto& [name, infusate] : exchange::default_library().infusates) {
    EXPECT_EQ(name, infusate.name);
    EXPECT_FALSE(infusate.source.text.empty()) << name;
    if (infusate.source.text.find("memory") != std::string::npos) {
      EXPECT_EQ(infusate.source.mark, Mark::memory) << name;
    }
    if (infusate.harm_source.text.find("memory") != std::string::npos) {
      EXPECT_EQ(infusate.harm_source.mark, Mark::memory) << name;
    }
  }
}

Checked<LineSuitability> through_one_line(std::vector<Mixture> mixtures) {
  const auto& library = exchange::default_library();
  return line_suitability({std::move(mixtures), 48.0 * hour}, library.infusates, library.policy);
}

TEST(OneLine, TheWorstMemberDecidesTheRoute) {
  const auto line =
      through_one_line({{"sodium chloride 0.9 %", 1.0 * litre, {}}, {"vancomycin 5 mg/mL", 0.2 * litre, {}}});
  ASSERT_TRUE(line.has_value());
  EXPECT_EQ(line->route, Route::refer_for_central);
  EXPECT_EQ(line->decided_by, "vancomycin 5 mg/mL");
  EXPECT_EQ(line->harm, HarmClass::vesicant);
  EXPECT_EQ(line->findings.front().code, "compatibility");
  const auto every = exchange::default_library().policy.watch.site_check.at(policy::SiteCheckClass::vesicant).value;
  EXPECT_EQ(line->each[1].findings.front().text,
            say::vesicant_continuous_looked_at(say::vesicant_by(HarmEvidence::fewer_reports), every));
}

TEST(OneLine, AnUnknownMemberIsAskedAbout) {
  const auto line = through_one_line({{"sodium chloride 0.9 %", 1.0 * litre, {}}, {"something new", 0.1 * litre, {}}});
  EXPECT_EQ(line->route, Route::ask_pharmacy);
  EXPECT_EQ(line->decided_by, "something new");
}

TEST(OneLine, BadInputIsNamedByItsPlace) {
  EXPECT_EQ(through_one_line({}).error().front().path, "/mixtures");
  const auto errors =
      through_one_line({{"sodium chloride 0.9 %", 1.0 * litre, {}}, {"dextrose 5 %", Volume(), {}}}).error();
  ASSERT_EQ(errors.size(), 1u);
  EXPECT_EQ(errors[0].path, "/mixtures/1/volume");
}

TEST(Library, HoldsAtLeastSixtyAndGradesEveryHarm) {
  const auto& formulary = exchange::default_library().infusates;
  EXPECT_GE(formulary.size(), 60u);
  for (const auto& [name, infusate] : formulary)
    EXPECT_EQ(infusate.harm == HarmClass::vesicant || infusate.harm == HarmClass::irritant,
              infusate.harm_evidence.has_value())
        << name;
}

}  // namespace
}  // namespace dwell::infusate

// What may run into a small vein: by its strength in the whole bag, whoever mixed it and however it is written.
#include <gtest/gtest.h>

#include <algorithm>

#include "exchange/library.h"
#include "infusate/as_strong_as.h"
#include "infusate/harm.h"
#include "say/infusate.h"
#include "suitability/suitability.h"

namespace dwell::infusate {
namespace {

using verdict::Verdict;

const auto& library() { return exchange::default_library(); }
constexpr const char* saline = "sodium chloride 0.9 %";
constexpr const char* concentrate = "potassium chloride 2 mmol/mL concentrate";

Suitability judged(const Mixture& mixture, double hours = 8) {
  return *suitability(mixture, {hours * hour, hours * hour}, library().infusates, library().policy);
}
MixtureResult mixed(const Mixture& mixture) {
  return *mix(mixture, library().infusates, library().policy.infusate.harm_by_solute);
}
const Finding* find_code(const Suitability& s, std::string_view code) {
  const auto found =
      std::find_if(s.findings.begin(), s.findings.end(), [&](const Finding& f) { return f.code == code; });
  return found == s.findings.end() ? nullptr : &*found;
}

TEST(Names, CaseSpacesAndTheSpaceBeforeAUnitDoNotMatter) {
  const auto& list = library().infusates;
  for (const char* written : {"sodium chloride 0.9 %", "Sodium Chloride 0.9%", "  SODIUM  chloride 0.9\u202F% "}) {
    ASSERT_TRUE(find(list, written)) << written;
    EXPECT_EQ(find(list, written)->name, saline);
  }
  EXPECT_EQ(find(list, "vancomycin 5mg/ml")->name, "vancomycin 5 mg/mL");
  EXPECT_FALSE(find(list, "sodium chloride 0.9"));
  EXPECT_FALSE(find(list, "sodium chloride 9 %"));
}

TEST(Names, ASynonymIsAsGoodAndOneOfTwoIsNone) {
  auto list = library().infusates;
  list.at(saline).synonyms = {"normal saline"};
  ASSERT_TRUE(find(list, "Normal Saline"));
  list.at("sodium chloride 3 %").synonyms = {"normal saline"};
  EXPECT_FALSE(find(list, "normal saline"));
}

TEST(MixtureHarm, FollowsTheStrengthInTheWholeBag) {
  // 10 mL of the concentrate is 20 mmol.
  EXPECT_EQ(mixed({saline, 990.0 * millilitre, {{concentrate, 10.0 * millilitre}}}).harm, HarmClass::harmless);
  EXPECT_EQ(mixed({saline, 980.0 * millilitre, {{concentrate, 20.0 * millilitre}}}).harm, HarmClass::irritant);
  EXPECT_EQ(mixed({saline, 970.0 * millilitre, {{concentrate, 30.0 * millilitre}}}).harm, HarmClass::vesicant);
  EXPECT_EQ(mixed({saline, 2.0 * millilitre, {{concentrate, 50.0 * millilitre}}}).harm, HarmClass::vesicant);
  // Half of dextrose 50 % in saline is 250 g/L; a fifth of dextrose 10 % is 20.
  EXPECT_EQ(mixed({saline, 500.0 * millilitre, {{"dextrose 50 %", 500.0 * millilitre}}}).harm, HarmClass::vesicant);
  EXPECT_EQ(mixed({saline, 400.0 * millilitre, {{"dextrose 10 %", 100.0 * millilitre}}}).harm, HarmClass::harmless);
}

TEST(MixtureHarm, WhatHasNoRuleKeepsItsClassAtAnyDilution) {
  EXPECT_EQ(mixed({saline, 1.0 * litre, {{"norepinephrine 16 mcg/mL", 1.0 * millilitre}}}).harm, HarmClass::vesicant);
  EXPECT_EQ(mixed({saline, 1.0 * litre, {{"something new", 1.0 * millilitre}}}).harm, HarmClass::unknown);
}

// A ward's clocks ask for the harm alone.
TEST(MixtureHarm, AloneIsThatOfTheMixture) {
  const auto& rules = library().policy.infusate.harm_by_solute;
  for (const auto& [name, entry] : library().infusates)
    for (const auto& mixture :
         {Mixture{name, 1.0 * litre, {}}, Mixture{saline, 900.0 * millilitre, {{name, 9.0 * millilitre}}},
          Mixture{name, 90.0 * millilitre, {{"something new", 1.0 * millilitre}}}}) {
      const auto whole = mixed(mixture);
      EXPECT_EQ(harm_of(mixture, library().infusates, rules), (Harm{whole.harm, whole.leak_family})) << name;
    }
  EXPECT_EQ(harm_of({saline, Volume(), {}}, library().infusates, rules).harm, HarmClass::unknown);
}

TEST(AsStrongAs, IsInEachSoluteByAHair) {
  const auto& list = library().infusates;
  const auto found = [&](const Mixture& mixture) {
    std::vector<std::string> names;
    for (const auto* bag : as_strong_as(parts_of(mixture, list), list)) names.push_back(bag->name);
    return names;
  };
  const auto holds = [](const std::vector<std::string>& names, const char* name) {
    return std::find(names.begin(), names.end(), name) != names.end();
  };
  constexpr const char *with_20 = "sodium chloride 0.9 % with potassium chloride 20 mmol/L",
                       *premixed = "potassium chloride 100 mmol/L (10 mmol in 100 mL)";
  const auto thinned = [&](double millilitres) {
    return found({"water for injection", (100 - millilitres) * millilitre, {{concentrate, millilitres * millilitre}}});
  };
  EXPECT_TRUE(holds(thinned(5), premixed));
  EXPECT_FALSE(holds(thinned(4.999), premixed));
  EXPECT_FALSE(holds(thinned(5), with_20)) << "its sodium is missing";
  EXPECT_TRUE(holds(found({"sodium chloride 3 %", 50.0 * millilitre, {{concentrate, 2.0 * millilitre}}}), with_20));
  EXPECT_FALSE(holds(found({premixed, 100.0 * millilitre, {}}), premixed)) << "it is that bag";
  EXPECT_TRUE(holds(found({"dextrose 50 %", 10.0 * millilitre, {{"water for injection", 40.0 * millilitre}}}),
                    "dextrose 10 %"));
}

TEST(AsStrongAs, AConcentrateOfUnknownStrengthIsAskedAbout) {
  auto list = library().infusates;
  const Mixture mixture{saline, 90.0 * millilitre, {{concentrate, 10.0 * millilitre}}};
  const auto route_of = [&] {
    const auto s = *suitability(mixture, {1.0 * hour, 1.0 * hour}, list, library().policy);
    return *std::find_if(s.looks.begin(), s.looks.end(), [](const auto& look) { return look.look == "route"; });
  };
  EXPECT_EQ(route_of().worst, Severity::stop) << "200 mmol/L";
  list.at(concentrate).solutes.clear();
  list.at(concentrate).potassium.reset();
  EXPECT_EQ(route_of().missing, std::vector<Message>{say::solutes_of(concentrate)});
}

// The list and the rule by strength must not contradict: else a premixed bag is judged in another way than the same bag
// made at the bedside.
TEST(MixtureHarm, TheListAgreesWithItsRules) {
  for (const auto& [name, entry] : library().infusates) {
    const bool by_rule = std::all_of(entry.solutes.begin(), entry.solutes.end(), [&](const Solute& solute) {
      const auto& rules = library().policy.infusate.harm_by_solute;
      return std::any_of(rules.begin(), rules.end(), [&](const SoluteHarm& rule) {
        return std::find(rule.solutes.begin(), rule.solutes.end(), solute.name) != rule.solutes.end();
      });
    });
    if (entry.solutes.empty() || !by_rule) continue;
    // A drop of water makes it a mixture, judged by its strength alone.
    const auto drop = mixed({name, 1.0 * litre, {{"water for injection", 1e-6 * millilitre}}});
    EXPECT_GE(harm_rank(entry.harm), harm_rank(drop.harm)) << name;
    EXPECT_LE(harm_rank(entry.harm), harm_rank(drop.harm)) << name;
  }
}

TEST(MixtureBounds, AnUnknownPartTakesNothingAway) {
  const auto m =
      mixed({saline, 500.0 * millilitre, {{concentrate, 20.0 * millilitre}, {"something new", 10.0 * millilitre}}});
  EXPECT_FALSE(m.potassium);
  EXPECT_FALSE(m.osmolarity);
  EXPECT_NEAR(m.potassium_at_least.value(), 40 / 0.53, 1e-9);
  EXPECT_EQ(m.without_potassium, std::vector<std::string>{"something new"});
  const auto strong = judged({"dextrose 50 %", 500.0 * millilitre, {{"something new", 10.0 * millilitre}}});
  ASSERT_TRUE(find_code(strong, "osmolarity"));
  EXPECT_EQ(find_code(strong, "osmolarity")->text,
            say::least_osmolarity_above_limit(strong.mixture.osmolarity_at_least,
                                              library().policy.infusate.highest_osmolarity.value));
}

TEST(SuitabilityLooks, WaterAndVeryDiluteFluidsBurstRedCells) {
  for (const char* name : {"water for injection", "sodium chloride 0.22 %"}) {
    const auto s = judged({name, 1.0 * litre, {}});
    EXPECT_EQ(s.verdict, Verdict::stop) << name;
    EXPECT_EQ(s.route, Route::not_as_it_stands) << name;
  }
  EXPECT_EQ(find_code(judged({"water for injection", 1.0 * litre, {}}), "undiluted")->text,
            say::never_alone("water for injection"));
  EXPECT_FALSE(find_code(judged({"sodium chloride 0.45 %", 1.0 * litre, {}}), "haemolysis"));
  EXPECT_TRUE(
      find_code(judged({"water for injection", 520.0 * millilitre, {{saline, 480.0 * millilitre}}}), "haemolysis"));
  EXPECT_FALSE(
      find_code(judged({"water for injection", 500.0 * millilitre, {{saline, 500.0 * millilitre}}}), "haemolysis"));
}

// Salts and sugar mixed into water are what they are then; where one part is not known, the water is.
TEST(SuitabilityLooks, WaterIsJudgedByWhatIsInIt) {
  const Mixture premixed_like{"water for injection", 80.0 * millilitre, {{"sodium chloride 5 %", 18.0 * millilitre}}};
  EXPECT_EQ(judged(premixed_like).verdict, Verdict::pass);
  const Mixture unknown{"water for injection", 80.0 * millilitre, {{"something new", 18.0 * millilitre}}};
  EXPECT_TRUE(find_code(judged(unknown), "undiluted"));
}

TEST(SuitabilityLooks, AConcentrateIsOneWhicheverPartIsCalledTheBase) {
  const Mixture as_base{concentrate, 50.0 * millilitre, {{saline, 10.0 * millilitre}}};
  const Mixture as_additive{saline, 10.0 * millilitre, {{concentrate, 50.0 * millilitre}}};
  for (const auto& mixture : {as_base, as_additive}) {
    EXPECT_TRUE(find_code(judged(mixture), "undiluted"));
    EXPECT_EQ(judged(mixture).route, Route::not_as_it_stands);
  }
}

TEST(SuitabilityLooks, AVesicantIsSpokenOfAsItRuns) {
  const auto continuous = judged({"vancomycin 5 mg/mL", 200.0 * millilitre, {}}, 24);
  EXPECT_EQ(find_code(continuous, "vesicant")->severity, Severity::stop);
  EXPECT_EQ(continuous.route, Route::refer_for_central);
  // The interval is the policy's, not a word of the engine.
  const auto vesicant = say::vesicant_by(HarmEvidence::fewer_reports);
  EXPECT_EQ(find_code(continuous, "vesicant")->text,
            say::vesicant_continuous_looked_at(vesicant, std::chrono::minutes{15}));
  auto policy = library().policy;
  policy.watch.site_check.erase(policy::SiteCheckClass::vesicant);
  const auto unwatched = *suitability({"vancomycin 5 mg/mL", 200.0 * millilitre, {}}, {24.0 * hour, 24.0 * hour},
                                      library().infusates, policy);
  EXPECT_EQ(find_code(unwatched, "vesicant")->text, say::vesicant_continuous(vesicant));
  const auto dose = judged({"vancomycin 5 mg/mL", 200.0 * millilitre, {}}, 1.7);
  EXPECT_EQ(find_code(dose, "vesicant_dose")->severity, Severity::caution);
  EXPECT_EQ(dose.route, Route::short_peripheral);
  EXPECT_FALSE(find_code(judged({"vancomycin 5 mg/mL", 200.0 * millilitre, {}}, 3), "vesicant"));
  EXPECT_TRUE(find_code(judged({"vancomycin 5 mg/mL", 200.0 * millilitre, {}}, 3.01), "vesicant"));
  const auto contrast = judged({"contrast, non-ionic iodinated", 100.0 * millilitre, {}}, 1.0 / 60);
  EXPECT_EQ(find_code(contrast, "vesicant_contrast")->severity, Severity::caution);
  EXPECT_EQ(contrast.route, Route::short_peripheral);
  // A vasopressor is titrated: never a dose.
  EXPECT_TRUE(find_code(judged({"norepinephrine 16 mcg/mL", 250.0 * millilitre, {}}, 0.5), "vesicant"));
}

TEST(SuitabilityLooks, WhatMayShareABagIsKnownOfSaltsAndSugarOnly) {
  const auto state = [](const Suitability& s) {
    return std::find_if(s.looks.begin(), s.looks.end(), [](const auto& look) { return look.look == "compatibility"; })
        ->state;
  };
  EXPECT_EQ(state(judged({saline, 1.0 * litre, {{concentrate, 10.0 * millilitre}}})), verdict::LookState::looked);
  EXPECT_EQ(state(judged({saline, 1.0 * litre, {{"calcium gluconate 10 %", 10.0 * millilitre}}})),
            verdict::LookState::could_not_look);
  EXPECT_EQ(state(judged({saline, 1.0 * litre, {}})), verdict::LookState::does_not_apply);
}

TEST(SuitabilityLooks, TheNoteOfAnEntryIsSaid) {
  EXPECT_NE(find_code(judged({"promethazine 25 mg/mL", 1.0 * millilitre, {}}), "infusate_note"), nullptr);
  EXPECT_EQ(find_code(judged({saline, 1.0 * litre, {}}), "infusate_note"), nullptr);
}

TEST(SuitabilityLooks, OnlyByACentralVein) {
  auto list = library().infusates;
  list.at(saline).central_only = true;
  const auto s = *suitability({saline, 1.0 * litre, {}}, {8.0 * hour, std::nullopt}, list, library().policy);
  EXPECT_EQ(s.verdict, Verdict::stop);
  EXPECT_EQ(s.route, Route::refer_for_central);
}

// US labels of ceftriaxone and of bicarbonate (values from memory): both fall out with calcium.
TEST(Meeting, WhatFallsOutIsAStopInABagAndInALine) {
  const auto bag = judged({"lactated Ringer's", 1.0 * litre, {{"sodium bicarbonate 8.4 %", 50.0 * millilitre}}});
  ASSERT_TRUE(find_code(bag, "never_together"));
  EXPECT_EQ(bag.route, Route::not_as_it_stands);
  const LineTherapy line{{{"ceftriaxone 40 mg/mL", 50.0 * millilitre, {}}, {"Hartmann\u2019s", 1.0 * litre, {}}},
                         24.0 * hour};
  const auto together = *line_suitability(line, library().infusates, library().policy);
  EXPECT_EQ(together.verdict, Verdict::stop);
  EXPECT_EQ(together.route, Route::not_as_it_stands);
  // Made up in saline only, it may still run beside another fluid: that is a question, no stop.
  const LineTherapy other{{{"amiodarone 1.8 mg/mL", 50.0 * millilitre, {}}, {saline, 1.0 * litre, {}}}, 2.0 * hour};
  EXPECT_NE(line_suitability(other, library().infusates, library().policy)->route, Route::not_as_it_stands);
}

// A name that is written otherwise than the list writes it would forbid nothing, in silence.
TEST(Meeting, EveryNameInItIsASoluteOrAnEntryOfTheList) {
  std::vector<std::string> known;
  for (const auto& [name, entry] : library().infusates) {
    known.push_back(name);
    for (const auto& solute : entry.solutes) known.push_back(solute.name);
  }
  const auto is_known = [&](const std::string& name) {
    return std::find(known.begin(), known.end(), name) != known.end();
  };
  for (const auto& [name, entry] : library().infusates) {
    if (!entry.mixing) continue;
    for (const auto& other : entry.mixing->never_with) EXPECT_TRUE(is_known(other)) << name << ": " << other;
    for (const auto& other : entry.mixing->only_in)
      EXPECT_TRUE(library().infusates.contains(other)) << name << ": " << other;
  }
}

}  // namespace
}  // namespace dwell::infusate

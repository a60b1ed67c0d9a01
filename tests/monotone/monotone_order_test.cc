// The order check, under more danger, less knowledge and other forms.
#include <utility>

#include "tests/monotone/cases.h"

namespace dwell::monotone {
namespace {

using dosing::OrderCheck;
using dosing::OrderCheckInput;
using dosing::Purpose;
using verdict::Verdict;

constexpr const char* concentrate = "potassium chloride 2 mmol/mL concentrate";

Checked<OrderCheck> checked(const OrderCheckInput& in, const engine::Library& with = library()) {
  return dosing::check_order(in, with.infusates, with.policy);
}

/// Changes a case; false: the change is not possible on it.
using Change = std::function<bool(OrderCheckInput&, Random&)>;

void more_danger(const char* name, const Change& change, const std::vector<std::string>& but = {}) {
  each_case(name, [&](Random& random) {
    auto in = order(random);
    const auto before = checked(in);
    if (!before || !change(in, random)) return false;
    const auto after = checked(in);
    if (!after) return false;  // refused: nobody is reassured
    expect_no_milder(before->looks, after->looks, written(in), but);
    if (but.empty()) {
      EXPECT_GE(rank(after->verdict), rank(before->verdict)) << written(in);
    }
    return true;
  });
}

void less_knowledge(const char* name, const Change& change) {
  each_case(name, [&](Random& random) {
    auto in = order(random);
    const auto before = checked(in);
    if (!before || !change(in, random)) return false;
    const auto after = checked(in);
    if (!after) return false;
    expect_not_reassured(before->looks, after->looks, written(in));
    expect_not_reassured(before->verdict, after->verdict, written(in));
    return true;
  });
}

void same_in_form(const char* name, const Change& change) {
  each_case(name, [&](Random& random) {
    auto in = order(random);
    const auto before = checked(in);
    const auto as_it_was = in;
    if (!before || !change(in, random)) return false;
    const auto after = checked(in);
    EXPECT_TRUE(after) << written(as_it_was) << " " << written(in);
    if (!after) return true;
    EXPECT_EQ(before->verdict, after->verdict) << written(as_it_was) << " " << written(in);
    EXPECT_EQ(ranks(before->looks), ranks(after->looks)) << written(as_it_was) << " " << written(in);
    return true;
  });
}

void becomes(const char* name, Verdict least, const Change& change) {
  each_case(name, [&](Random& random) {
    auto in = order(random);
    if (!change(in, random)) return false;
    const auto after = checked(in);
    if (!after) return false;
    EXPECT_GE(rank(after->verdict), rank(least)) << written(in);
    return true;
  });
}

// ---- more danger ----

TEST(MoreDanger, MoreOfTheSameInTheSameTime) {
  more_danger("more of the same", [](OrderCheckInput& in, Random& random) {
    const double more = random.spread(1.01, 20);
    in.order.mixture.volume *= more;
    for (auto& additive : in.order.mixture.additives) additive.volume *= more;
    return true;
  });
}

TEST(MoreDanger, TheSameInLessTime) {
  // How long blood or a bag hangs, and how long a vesicant runs, are dangers of the longer time.
  more_danger("less time",
              [](OrderCheckInput& in, Random& random) {
                *in.order.duration *= 1 / random.spread(1.01, 50);
                return true;
              },
              {"hanging", "transfusion", "harm"});
}

TEST(MoreDanger, TheSameRateForLonger) {
  more_danger("longer",
              [](OrderCheckInput& in, Random& random) {
                const double more = random.spread(1.01, 10);
                *in.order.duration *= more;
                in.order.mixture.volume *= more;
                for (auto& additive : in.order.mixture.additives) additive.volume *= more;
                return true;
              },
              {"speed"});  // a shortest time is kept the better the longer it runs
}

TEST(MoreDanger, ALighterPerson) {
  // A weight that does not fit the age is another danger, at both ends.
  more_danger("lighter",
              [](OrderCheckInput& in, Random& random) {
                *in.patient.weight *= 1 / random.spread(1.01, 20);
                return true;
              },
              {"body_weight"});
}

TEST(MoreDanger, AFailingHeartOrKidney) {
  more_danger("failing", [](OrderCheckInput& in, Random&) {
    in.patient.heart_or_kidney_failure = true;
    return true;
  });
}

TEST(MoreDanger, OneAllergyMore) {
  more_danger("allergy more", [](OrderCheckInput& in, Random& random) {
    in.patient.allergies.push_back(random.of(names()));
    return true;
  });
}

/// The base is saline before and after; so much of it is exchanged for something stronger.
void exchange(const char* name, const char* stronger, const std::vector<std::string>& looks) {
  each_case(name, [&](Random& random) {
    auto in = order(random);
    in.order.mixture.base = "sodium chloride 0.9 %";
    // Beside water more of anything strong is better for red cells: another danger.
    if (std::find(looks.begin(), looks.end(), "osmolarity") != looks.end()) in.order.mixture.additives.clear();
    const auto before = checked(in);
    const Volume share = in.order.mixture.volume * random.spread(0.001, 0.9);
    in.order.mixture.volume -= share;
    in.order.mixture.additives.push_back({stronger, share});
    const auto after = checked(in);
    if (!before || !after) return false;
    auto was = ranks(before->looks), is = ranks(after->looks);
    for (const auto& look : looks) EXPECT_GE(is[look], was[look]) << look << " " << written(in);
    return true;
  });
}

TEST(MoreDanger, SalineExchangedForPotassium) {
  exchange("potassium for saline", concentrate, {"potassium", "harm", "osmolarity", "dilution", "flow"});
}
TEST(MoreDanger, SalineExchangedForStrongDextrose) {
  exchange("dextrose for saline", "dextrose 50 %", {"glucose", "osmolarity", "harm"});
}
TEST(MoreDanger, SalineExchangedForAMedicine) {
  exchange("vancomycin for saline", "vancomycin 5 mg/mL", {"strength", "speed", "harm"});
}
TEST(MoreDanger, SalineExchangedForWater) {
  each_case("water for saline", [&](Random& random) {
    OrderCheckInput in = order(random);
    in.order.mixture = {"sodium chloride 0.9 %", random.spread(50, 1000) * millilitre, {}};
    const auto before = checked(in);
    const Volume share = in.order.mixture.volume * random.spread(0.01, 0.99);
    in.order.mixture.volume -= share;
    in.order.mixture.additives = {{"water for injection", share}};
    const auto after = checked(in);
    if (!before || !after) return false;
    EXPECT_GE(rank(after->verdict), rank(before->verdict)) << written(in);
    return true;
  });
}

TEST(MoreDanger, AnUnknownPartIsAStop) {
  becomes("unknown part", Verdict::stop, [](OrderCheckInput& in, Random& random) {
    in.order.mixture.additives.push_back({"something new", random.spread(0.1, 100) * millilitre});
    return true;
  });
}

TEST(MoreDanger, AVasopressorIsAStop) {
  becomes("vasopressor", Verdict::stop, [](OrderCheckInput& in, Random& random) {
    in.order.mixture.additives.push_back({"norepinephrine 16 mcg/mL", random.spread(0.1, 100) * millilitre});
    return true;
  });
}

TEST(MoreDanger, WhatThePatientIsAllergicToIsAStop) {
  becomes("allergen", Verdict::stop, [](OrderCheckInput& in, Random& random) {
    in.patient.allergies.push_back(random.one_in(2) ? "vancomycin" : "VANCOMYCIN (rash)");
    in.order.mixture.additives.push_back({"Vancomycin 5mg/mL", random.spread(0.1, 100) * millilitre});
    return true;
  });
}

/// An entry of the list as it would stand with more danger or less knowledge.
using EntryChange = std::function<bool(infusate::Infusate&, Random&)>;

void entry_changed(const char* name, bool is_danger, const EntryChange& change,
                   const std::vector<std::string>& looks = {}) {
  // One list for all cases: copying it for each would be most of the time.
  auto changed = library();
  each_case(name, [&](Random& random) {
    const auto in = order(random);
    const auto before = checked(in);
    if (!before) return false;
    auto& entry = changed.infusates.at(infusate::find(changed.infusates, in.order.mixture.base)->name);
    const auto as_it_was = entry;
    const bool applies = change(entry, random);
    const auto after = checked(in, changed);
    entry = as_it_was;
    if (!applies || !after) return false;
    if (!is_danger) {
      expect_not_reassured(before->looks, after->looks, written(in));
      expect_not_reassured(before->verdict, after->verdict, written(in));
      return true;
    }
    auto was = ranks(before->looks), is = ranks(after->looks);
    for (const auto& look : looks) EXPECT_GE(is[look], was[look]) << look << " " << written(in);
    if (looks.empty()) {
      EXPECT_GE(rank(after->verdict), rank(before->verdict)) << written(in);
    }
    return true;
  });
}

TEST(MoreDanger, AStrongerMedicine) {
  entry_changed("stronger medicine", true, [](infusate::Infusate& entry, Random& random) {
    const double more = random.spread(1.01, 20);
    if (entry.strength) *entry.strength *= more;
    if (entry.unit_strength) *entry.unit_strength *= more;
    return true;
  });
}
TEST(MoreDanger, MorePotassiumInTheBag) {
  entry_changed("more potassium", true,
                [](infusate::Infusate& entry, Random& random) {
                  const auto alone = *infusate::mix({entry.name, 1.0 * litre, {}}, library().infusates);
                  if (!alone.potassium) return false;
                  entry.potassium = *alone.potassium + random.spread(0.1, 200) * millimole / litre;
                  return true;
                },
                {"potassium"});
}
TEST(MoreDanger, MoreGlucoseInTheBag) {
  entry_changed("more glucose", true,
                [](infusate::Infusate& entry, Random& random) {
                  const auto alone = *infusate::mix({entry.name, 1.0 * litre, {}}, library().infusates);
                  if (!alone.glucose) return false;
                  entry.glucose = *alone.glucose + random.spread(0.1, 200) * gram / litre;
                  return true;
                },
                {"glucose"});
}
TEST(MoreDanger, AWorseClassOfHarm) {
  entry_changed("worse class", true,
                [](infusate::Infusate& entry, Random&) {
                  entry.harm = infusate::HarmClass::vesicant;
                  entry.leak_family = infusate::LeakFamily::vasopressor;
                  return true;
                },
                {"harm"});
}
TEST(MoreDanger, OnlyByACentralVein) {
  entry_changed("central only", true, [](infusate::Infusate& entry, Random&) {
    entry.central_only = true;
    return true;
  });
}
TEST(MoreDanger, ANarrowerLimitOfAMedicine) {
  entry_changed("narrower limit", true, [](infusate::Infusate& entry, Random& random) {
    if (!entry.giving) return false;
    const double narrower = 1 / random.spread(1.01, 10);
    if (entry.giving->highest_concentration) *entry.giving->highest_concentration *= narrower;
    if (entry.giving->highest_concentration_restricted) *entry.giving->highest_concentration_restricted *= narrower;
    if (entry.giving->highest_rate) *entry.giving->highest_rate *= narrower;
    if (entry.giving->highest_rate_frail) *entry.giving->highest_rate_frail *= narrower;
    if (entry.giving->shortest) *entry.giving->shortest /= narrower;
    return true;
  });
}

/// The ward's limits, one made stricter.
void stricter(const char* name, const std::function<void(policy::Policy&, double)>& change) {
  auto changed = library();
  each_case(name, [&](Random& random) {
    const auto in = order(random);
    const auto before = checked(in);
    if (!before) return false;
    changed.policy = library().policy;
    change(changed.policy, 1 / random.spread(1.01, 10));
    const auto after = checked(in, changed);
    expect_no_milder(before->looks, after->looks, written(in));
    EXPECT_GE(rank(after->verdict), rank(before->verdict)) << written(in);
    return true;
  });
}

TEST(StricterPolicy, HighestFlow) {
  stricter("highest flow", [](policy::Policy& p, double less) { p.order.highest_flow.value *= less; });
}
TEST(StricterPolicy, RateByWeight) {
  stricter("rate by weight", [](policy::Policy& p, double less) {
    p.order.caution_flow_per_mass.value *= less;
    for (auto& [band, limits] : p.order.by_age) {
      if (limits.flow_caution) limits.flow_caution->value *= less;
      limits.flow_stop.value *= less;
    }
  });
}
TEST(StricterPolicy, WhatCountsAsSustained) {
  stricter("sustained", [](policy::Policy& p, double less) { p.order.sustained_from->value *= less; });
}
TEST(StricterPolicy, WhatFillsVesselsAndKeepsThemOpen) {
  stricter("resuscitation", [](policy::Policy& p, double less) {
    p.order.resuscitation_sodium_least->value *= 1 / less;
    p.order.resuscitation_most_child->value *= less;
    p.order.resuscitation_most_adult->value *= less;
    p.order.keep_open_most->value *= less;
    p.order.blood_flow_most->value *= less;
    p.order.potassium_failing_from->value *= less;
  });
}
TEST(StricterPolicy, WhatAChildsDoseIsMadeUpIn) {
  stricter("fluid of a dose", [](policy::Policy& p, double less) { p.order.child->dose_fluid_most->value *= less; });
}
TEST(StricterPolicy, Potassium) {
  stricter("potassium", [](policy::Policy& p, double less) {
    p.order.potassium_rate_caution.value *= less;
    p.order.potassium_rate_stop.value *= less;
    p.order.potassium_concentration_caution.value *= less;
    p.order.potassium_concentration_stop.value *= less;
    p.order.child->potassium_rate_caution.value *= less;
    p.order.child->potassium_rate_stop.value *= less;
    p.order.child->potassium_concentration_stop.value *= less;
    p.order.potassium_day_caution->value *= less;
    p.order.potassium_day_stop->value *= less;
  });
}
TEST(StricterPolicy, Glucose) {
  stricter("glucose", [](policy::Policy& p, double less) {
    for (auto& [band, limits] : p.order.by_age) {
      limits.glucose_caution.value *= less;
      limits.glucose_stop.value *= less;
    }
  });
}
TEST(StricterPolicy, Osmolarity) {
  stricter("osmolarity", [](policy::Policy& p, double less) {
    p.infusate.caution_osmolarity.value *= less;
    p.infusate.highest_osmolarity.value *= less;
    p.infusate.lowest_osmolarity->value /= less;
  });
}
TEST(StricterPolicy, HarmOfSolutes) {
  stricter("harm of solutes", [](policy::Policy& p, double less) {
    for (auto& rule : p.infusate.harm_by_solute)
      for (auto* limit : {&rule.irritant_from, &rule.vesicant_from})
        if (*limit) (*limit)->value *= less;
  });
}
TEST(StricterPolicy, HangingAndBlood) {
  stricter("hanging", [](policy::Policy& p, double less) {
    for (auto* limit : {&p.order.bag_hang, &p.order.lipid_hang, &p.order.blood_hang})
      limit->value = Interval{static_cast<long>(static_cast<double>(limit->value.count()) * less)};
    p.order.child->blood_flow_most.value *= less;
  });
}
TEST(StricterPolicy, OlderFromAnEarlierAge) {
  stricter("older", [](policy::Policy& p, double less) {
    p.order.older_age.value = static_cast<int>(75 * less);
    p.order.caution_flow_older.value *= less;
  });
}

// ---- less knowledge ----

TEST(LessKnowledge, NoWeight) {
  less_knowledge("no weight", [](OrderCheckInput& in, Random&) {
    in.patient.weight.reset();
    return true;
  });
}
TEST(LessKnowledge, NoBirthDate) {
  less_knowledge("no birth date", [](OrderCheckInput& in, Random&) {
    in.patient.birth_date.reset();
    return true;
  });
}
TEST(LessKnowledge, NeitherWeightNorBirthDate) {
  less_knowledge("neither", [](OrderCheckInput& in, Random&) {
    in.patient.weight.reset();
    in.patient.birth_date.reset();
    return true;
  });
}
TEST(LessKnowledge, NobodyAskedAboutHeartAndKidneys) {
  less_knowledge("heart unknown", [](OrderCheckInput& in, Random&) {
    in.patient.heart_or_kidney_failure.reset();
    return true;
  });
}
TEST(LessKnowledge, NobodyAskedAboutAllergies) {
  less_knowledge("allergies unknown", [](OrderCheckInput& in, Random&) {
    in.patient.allergies_known = false;
    in.patient.allergies.clear();
    return true;
  });
}
/// What is asked of a bolus alone, or of a vein that is kept open, is asked of no other order: a litre of dextrose in
/// eight hours is a danger to whoever has lost blood, and none to whoever is thirsty. These questions, and no others,
/// go when nobody says what it is for.
bool asked_of_its_purpose(const Finding& finding) {
  for (const char* code :
       {"not_for_resuscitation", "resuscitation_most", "keep_open_flow", "keep_open_flow_for_weight"})
    if (finding.code == code) return true;
  return false;
}
TEST(LessKnowledge, NobodySaidWhatItIsFor) {
  each_case("purpose unknown", [&](Random& random) {
    auto in = order(random);
    const auto before = checked(in);
    if (!before || in.order.purpose == Purpose::other) return false;
    const auto purpose = std::exchange(in.order.purpose, Purpose::other);
    const auto after = checked(in);
    if (!after) return false;
    auto was = ranks(before->looks), is = ranks(after->looks);
    if (purpose == Purpose::resuscitation) was.erase("resuscitation");
    if (purpose == Purpose::keep_open) was.erase("flow");
    for (const auto& [look, rank_before] : was)
      EXPECT_GE(is[look], std::min(rank_before, 2)) << look << " " << written(in);
    for (const auto& finding : before->findings) {
      if (asked_of_its_purpose(finding) || finding.severity == Severity::information) continue;
      // Contrast goes in fast on purpose; without it the same flow is a slip of the pen.
      const auto asked_as = finding.code == "contrast_flow" ? "highest_flow" : finding.code;
      EXPECT_TRUE(std::any_of(
          after->findings.begin(), after->findings.end(),
          [&](const Finding& later) { return later.code == asked_as && later.severity >= finding.severity; }))
          << finding.code << " " << written(in);
    }
    return true;
  });
}
TEST(LessKnowledge, NothingIsKnownOfThePerson) {
  less_knowledge("nobody known", [](OrderCheckInput& in, Random&) {
    in.patient = {};
    return true;
  });
}
TEST(LessKnowledge, TheBaseHasAnUnknownName) {
  becomes("unknown base", Verdict::stop, [](OrderCheckInput& in, Random&) {
    in.order.mixture.base += ", or so";
    return true;
  });
}
TEST(LessKnowledge, AnAdditiveHasAnUnknownName) {
  less_knowledge("unknown additive", [](OrderCheckInput& in, Random& random) {
    auto& additives = in.order.mixture.additives;
    if (additives.empty()) return false;
    additives[static_cast<std::size_t>(random.whole(0, static_cast<int>(additives.size()) - 1))].name += ", or so";
    return true;
  });
}
TEST(LessKnowledge, NoPotassiumFigure) {
  entry_changed("no potassium", false, [](infusate::Infusate& entry, Random&) {
    entry.potassium.reset();
    return true;
  });
}
TEST(LessKnowledge, NoSodiumFigure) {
  entry_changed("no sodium", false, [](infusate::Infusate& entry, Random&) {
    entry.sodium.reset();
    return true;
  });
}
TEST(LessKnowledge, NoComposition) {
  entry_changed("no composition", false, [](infusate::Infusate& entry, Random&) {
    if (entry.kind == infusate::FluidKind::water) return false;
    entry.solutes.clear();
    entry.labelled_osmolarity.reset();
    entry.potassium.reset();
    entry.sodium.reset();
    entry.glucose.reset();
    return true;
  });
}
TEST(LessKnowledge, NoClassOfHarm) {
  entry_changed("no class", false, [](infusate::Infusate& entry, Random&) {
    entry.harm = infusate::HarmClass::unknown;
    return true;
  });
}
TEST(LessKnowledge, NoPh) {
  entry_changed("no ph", false, [](infusate::Infusate& entry, Random&) {
    entry.ph_low.reset();
    entry.ph_high.reset();
    return true;
  });
}
TEST(LessKnowledge, NoGivingLimits) {
  entry_changed("no limits", false, [](infusate::Infusate& entry, Random&) {
    if (entry.kind != infusate::FluidKind::medicine || !entry.solutes.empty()) return false;
    entry.giving.reset();
    return true;
  });
}
TEST(LessKnowledge, NoStrength) {
  entry_changed("no strength", false, [](infusate::Infusate& entry, Random&) {
    entry.strength.reset();
    entry.unit_strength.reset();
    return true;
  });
}
TEST(LessKnowledge, NoFamiliesForAllergies) {
  entry_changed("no families", false, [](infusate::Infusate& entry, Random&) {
    entry.allergy_classes.clear();
    return true;
  });
}

void policy_lacks(const char* name, const std::function<void(policy::Policy&)>& change) {
  auto changed = library();
  change(changed.policy);
  each_case(name, [&](Random& random) {
    const auto in = order(random);
    const auto before = checked(in);
    if (!before) return false;
    const auto after = checked(in, changed);
    expect_not_reassured(before->looks, after->looks, written(in));
    expect_not_reassured(before->verdict, after->verdict, written(in));
    return true;
  });
}

TEST(PolicyLacks, LimitsByAge) {
  policy_lacks("by age", [](policy::Policy& p) { p.order.by_age.clear(); });
}
TEST(PolicyLacks, LimitsOfChildren) {
  policy_lacks("child", [](policy::Policy& p) { p.order.child.reset(); });
}
TEST(PolicyLacks, WhatAChildsDoseIsMadeUpIn) {
  policy_lacks("fluid of a dose", [](policy::Policy& p) { p.order.child->dose_fluid_most.reset(); });
}
TEST(PolicyLacks, WhatCountsAsSustained) {
  policy_lacks("potassium of the failing", [](policy::Policy& p) { p.order.potassium_failing_from.reset(); });
  policy_lacks("potassium of a day", [](policy::Policy& p) { p.order.potassium_day_caution.reset(); });
  policy_lacks("stop of a day", [](policy::Policy& p) { p.order.potassium_day_stop.reset(); });
  policy_lacks("sodium to fill", [](policy::Policy& p) { p.order.resuscitation_sodium_least.reset(); });
  policy_lacks("volume to fill", [](policy::Policy& p) { p.order.resuscitation_most_adult.reset(); });
  policy_lacks("blood of an adult", [](policy::Policy& p) { p.order.blood_flow_most.reset(); });
  policy_lacks("keep open", [](policy::Policy& p) { p.order.keep_open_most.reset(); });
  policy_lacks("sustained from", [](policy::Policy& p) { p.order.sustained_from.reset(); });
}
TEST(PolicyLacks, TheLowestOsmolarity) {
  policy_lacks("lowest osmolarity", [](policy::Policy& p) { p.infusate.lowest_osmolarity.reset(); });
}
TEST(PolicyLacks, WhatADoseOfAVesicantIs) {
  policy_lacks("longest dose", [](policy::Policy& p) { p.infusate.longest_dose.reset(); });
}
TEST(PolicyLacks, WhatIsUndiluted) {
  policy_lacks("undiluted", [](policy::Policy& p) { p.infusate.undiluted_from.reset(); });
}
TEST(PolicyLacks, WhatMixesFreely) {
  policy_lacks("mix freely", [](policy::Policy& p) { p.infusate.mix_freely.reset(); });
}
TEST(PolicyLacks, TheHarmOfSolutes) {
  policy_lacks("harm by solute", [](policy::Policy& p) { p.infusate.harm_by_solute.clear(); });
}

// ---- another form ----

TEST(SameInForm, TheAdditivesInAnotherOrder) {
  same_in_form("reordered", [](OrderCheckInput& in, Random&) {
    std::reverse(in.order.mixture.additives.begin(), in.order.mixture.additives.end());
    return in.order.mixture.additives.size() > 1;
  });
}
TEST(SameInForm, AnotherPartIsCalledTheBase) {
  same_in_form("another base", [](OrderCheckInput& in, Random&) {
    auto& mixture = in.order.mixture;
    if (mixture.additives.empty()) return false;
    std::swap(mixture.base, mixture.additives.back().name);
    std::swap(mixture.volume, mixture.additives.back().volume);
    return true;
  });
}
TEST(SameInForm, NamesInCapitalsAndWithOtherSpaces) {
  same_in_form("capitals", [](OrderCheckInput& in, Random& random) {
    const auto other = [&](std::string& name) {
      if (random.one_in(2))
        for (char& c : name) c = c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
      if (const auto percent = name.find(" %"); percent != std::string::npos) name.erase(percent, 1);
      if (random.one_in(2)) name = "  " + name + " ";
    };
    other(in.order.mixture.base);
    for (auto& additive : in.order.mixture.additives) other(additive.name);
    return true;
  });
}
TEST(SameInForm, OnePartWrittenAsTwo) {
  same_in_form("split", [](OrderCheckInput& in, Random&) {
    in.order.mixture.volume *= 0.5;
    in.order.mixture.additives.push_back({in.order.mixture.base, in.order.mixture.volume});
    return true;
  });
}
TEST(SameInForm, ASynonym) {
  auto changed = library();
  for (auto& [name, entry] : changed.infusates) entry.synonyms = {"also " + name};
  each_case("synonym", [&](Random& random) {
    auto in = order(random);
    const auto before = checked(in, changed);
    if (!before) return false;
    in.order.mixture.base = "Also " + in.order.mixture.base;
    for (auto& additive : in.order.mixture.additives) additive.name = "ALSO " + additive.name;
    const auto after = checked(in, changed);
    EXPECT_EQ(before->verdict, after->verdict) << written(in);
    EXPECT_EQ(ranks(before->looks), ranks(after->looks)) << written(in);
    return true;
  });
}
TEST(SameInForm, TheRateInsteadOfTheTime) {
  same_in_form("rate for time", [](OrderCheckInput& in, Random&) {
    Volume all = in.order.mixture.volume;
    for (const auto& additive : in.order.mixture.additives) all += additive.volume;
    in.order.flow = all / *in.order.duration;
    in.order.duration.reset();
    return *in.order.flow <= 60.0 * litre / hour;  // faster is refused by its rate
  });
}
TEST(SameInForm, OtherUnits) {
  // As people write them, by the way that the page goes: through the codec.
  same_in_form("units", [](OrderCheckInput& in, Random&) {
    const auto litres = [](Volume v) { return std::to_string(dwell::in(v, litre)) + " L"; };
    auto value = json::encode(in);
    auto& order = value.as_object().at("order").as_object();
    const double minutes = std::round(dwell::in(*in.order.duration, minute));
    if (minutes < 1) return false;
    order["duration"] = std::to_string(minutes / 60) + " h";
    order.at("mixture").as_object()["volume"] = litres(in.order.mixture.volume);
    const auto read = json::decode<OrderCheckInput>(value);
    EXPECT_TRUE(read);
    if (!read) return false;
    // Six figures after the point are not exact: only what came back alike is compared.
    if (std::abs(double(read->order.mixture.volume / in.order.mixture.volume) - 1) > 1e-12) return false;
    if (std::abs(double(*read->order.duration / *in.order.duration) - 1) > 1e-12) return false;
    in = *read;
    return true;
  });
}

// ---- premixed, or made at the bedside ----

TEST(SameInForm, PotassiumMadeAtTheBedsideAndPremixed) {
  each_case("premixed", [&](Random& random) {
    auto premixed = order(random);
    const double millilitres = random.spread(50, 1000);
    premixed.patient.allergies.clear();
    premixed.order.mixture = {"sodium chloride 0.9 % with potassium chloride 20 mmol/L", millilitres * millilitre, {}};
    auto made = premixed;
    made.order.mixture = {
        "sodium chloride 0.9 %", 0.99 * millilitres * millilitre, {{concentrate, 0.01 * millilitres * millilitre}}};
    const auto a = checked(premixed), b = checked(made);
    if (!a || !b) return false;
    EXPECT_EQ(a->verdict, b->verdict) << written(made);
    EXPECT_EQ(a->mixture.harm, b->mixture.harm);
    auto x = ranks(a->looks), y = ranks(b->looks);
    for (const char* look : {"potassium", "harm", "osmolarity", "glucose", "speed", "compatibility"})
      EXPECT_EQ(x[look], y[look]) << look << " " << written(made);
    return true;
  });
}

}  // namespace
}  // namespace dwell::monotone

// Suitability of what runs, of a whole line, and the plan of catheter and vein.
#include "device/plan.h"
#include "tests/monotone/cases.h"

namespace dwell::monotone {
namespace {

using infusate::Route;
using verdict::Verdict;

struct Asked {
  infusate::Mixture mixture;
  infusate::Use use;
};

Asked some(Random& random) {
  return {mixture(random), {random.spread(0.1, 600) * hour, random.spread(0.1, 30) * hour}};
}

Checked<infusate::Suitability> suitable(const Asked& asked, const engine::Library& with = library()) {
  return infusate::suitability(asked.mixture, asked.use, with.infusates, with.policy);
}

using Change = std::function<bool(Asked&, Random&)>;

void compare(const char* name, const Change& change,
             const std::function<void(const infusate::Suitability&, const infusate::Suitability&,
                                      const Written<infusate::Mixture>&)>& judge) {
  each_case(name, [&](Random& random) {
    auto asked = some(random);
    const auto before = suitable(asked);
    if (!before || !change(asked, random)) return false;
    const auto after = suitable(asked);
    if (!after) return false;
    judge(*before, *after, written(asked.mixture));
    return true;
  });
}

void more_danger(const char* name, const Change& change) {
  compare(name, change, [](const auto& before, const auto& after, const auto& input) {
    expect_no_milder(before.looks, after.looks, input);
    EXPECT_GE(rank(after.verdict), rank(before.verdict)) << input;
    EXPECT_GE(after.route, before.route) << input;
  });
}

void same_in_form(const char* name, const Change& change) {
  compare(name, change, [](const auto& before, const auto& after, const auto& input) {
    EXPECT_EQ(ranks(before.looks), ranks(after.looks)) << input;
    EXPECT_EQ(before.verdict, after.verdict) << input;
    EXPECT_EQ(before.route, after.route) << input;
  });
}

TEST(Suitability, LongerTherapy) {
  more_danger("longer therapy", [](Asked& asked, Random& random) {
    asked.use.planned *= random.spread(1.01, 20);
    return true;
  });
}
TEST(Suitability, LongerRuns) {
  more_danger("longer runs", [](Asked& asked, Random& random) {
    *asked.use.one_run *= random.spread(1.01, 20);
    return true;
  });
}
TEST(Suitability, ItRunsAllTheTime) {
  more_danger("all the time", [](Asked& asked, Random&) {
    if (asked.use.planned < *asked.use.one_run) return false;
    asked.use.one_run.reset();
    return true;
  });
}
TEST(Suitability, NobodyKnowsForHowLong) {
  compare(
      "how long unknown",
      [](Asked& asked, Random&) {
        asked.use.planned_is_known = false;
        return true;
      },
      [](const auto& before, const auto& after, const auto& input) {
        expect_not_reassured(before.looks, after.looks, input);
        EXPECT_GE(rank(after.verdict), rank(Verdict::not_fully_checked)) << input;
      });
}
TEST(Suitability, AnUnknownPart) {
  compare(
      "unknown part",
      [](Asked& asked, Random& random) {
        asked.mixture.additives.push_back({"something new", random.spread(0.1, 100) * millilitre});
        return true;
      },
      [](const auto&, const auto& after, const auto& input) {
        EXPECT_EQ(after.verdict, Verdict::stop) << input;
        EXPECT_GE(after.route, Route::ask_pharmacy) << input;
      });
}
TEST(Suitability, PartsInAnotherOrder) {
  same_in_form("parts in order", [](Asked& asked, Random&) {
    auto& mixture = asked.mixture;
    if (mixture.additives.empty()) return false;
    std::swap(mixture.base, mixture.additives.front().name);
    std::swap(mixture.volume, mixture.additives.front().volume);
    std::reverse(mixture.additives.begin(), mixture.additives.end());
    return true;
  });
}
TEST(Suitability, AnyAmountOfTheSame) {
  same_in_form("any amount", [](Asked& asked, Random& random) {
    const double times = random.spread(0.1, 5);
    asked.mixture.volume *= times;
    for (auto& additive : asked.mixture.additives) additive.volume *= times;
    return true;
  });
}
TEST(Suitability, AConcentrateAlone) {
  compare(
      "concentrate alone",
      [](Asked& asked, Random& random) {
        static const std::vector<std::string> concentrates{"potassium chloride 2 mmol/mL concentrate",
                                                           "magnesium sulfate 50 %", "water for injection"};
        asked.mixture = {random.of(concentrates), asked.mixture.volume, {}};
        return true;
      },
      [](const auto&, const auto& after, const auto& input) {
        EXPECT_EQ(after.route, Route::not_as_it_stands) << input;
        EXPECT_EQ(after.verdict, Verdict::stop) << input;
      });
}
TEST(Suitability, ASmallBaseDoesNotHideAConcentrate) {
  compare(
      "small base",
      [](Asked& asked, Random& random) {
        asked.mixture = {"sodium chloride 0.9 %",
                         random.spread(0.5, 20) * millilitre,
                         {{"potassium chloride 2 mmol/mL concentrate", random.spread(20, 100) * millilitre}}};
        return true;
      },
      [](const auto&, const auto& after, const auto& input) {
        EXPECT_EQ(after.verdict, Verdict::stop) << input;
        EXPECT_EQ(after.route, Route::not_as_it_stands) << input;
      });
}
TEST(Suitability, ADropOfConcentrateDoesNotMakeALitreAVesicant) {
  compare(
      "dilute",
      [](Asked& asked, Random& random) {
        asked.mixture = {"sodium chloride 0.9 %",
                         1000.0 * millilitre,
                         {{"potassium chloride 2 mmol/mL concentrate", random.spread(1, 19) * millilitre}}};
        return true;
      },
      [](const auto&, const auto& after, const auto& input) {
        EXPECT_EQ(after.mixture.harm, infusate::HarmClass::harmless) << input;
      });
}

TEST(OneLine, OneMoreThroughTheSameLine) {
  each_case("one more", [](Random& random) {
    infusate::LineTherapy therapy;
    for (int i = 0, all = random.whole(1, 3); i < all; ++i) therapy.mixtures.push_back(mixture(random));
    therapy.planned = random.spread(1, 200) * hour;
    const auto before = infusate::line_suitability(therapy, library().infusates, library().policy);
    therapy.mixtures.push_back(mixture(random));
    const auto after = infusate::line_suitability(therapy, library().infusates, library().policy);
    if (!before || !after) return false;
    EXPECT_GE(rank(after->verdict), rank(before->verdict)) << written(therapy);
    EXPECT_GE(after->route, before->route) << written(therapy);
    EXPECT_GE(infusate::harm_rank(after->harm), infusate::harm_rank(before->harm)) << written(therapy);
    return true;
  });
}
TEST(OneLine, InAnotherOrder) {
  each_case("line in order", [](Random& random) {
    infusate::LineTherapy therapy;
    for (int i = 0; i < 3; ++i) therapy.mixtures.push_back(mixture(random));
    therapy.planned = random.spread(1, 200) * hour;
    const auto before = infusate::line_suitability(therapy, library().infusates, library().policy);
    std::reverse(therapy.mixtures.begin(), therapy.mixtures.end());
    const auto after = infusate::line_suitability(therapy, library().infusates, library().policy);
    if (!before || !after) return false;
    EXPECT_EQ(after->verdict, before->verdict) << written(therapy);
    EXPECT_EQ(after->route, before->route) << written(therapy);
    EXPECT_EQ(after->harm, before->harm) << written(therapy);
    return true;
  });
}

// ---- the plan ----

device::Case nursing_case(Random& random) {
  using access::Region;
  device::Case c;
  const auto in = order(random);
  c.order = in.order;
  c.order.therapy = Interval{random.whole(1, 20) * 86400};
  if (random.one_in(2)) c.order.mixture = {"sodium chloride 0.9 %", random.spread(100, 1000) * millilitre, {}};
  c.patient = in.patient;
  c.now = in.now;
  static const std::vector<Region> regions{Region::forearm_middle, Region::forearm_lower, Region::hand_back,
                                           Region::antecubital, Region::upper_arm};
  for (int i = 0, all = random.whole(1, 4); i < all; ++i) {
    device::Vein vein;
    vein.id = "vein " + std::to_string(i);
    vein.site = {random.one_in(2) ? access::Side::left : access::Side::right, random.of(regions), ""};
    vein.diameter = random.spread(1.5, 5) * millimetre;
    vein.depth = random.spread(1, 5) * millimetre;
    c.veins.push_back(vein);
  }
  return c;
}

Checked<device::Plan> planned(const device::Case& c) {
  return device::plan(c, library().catheters, library().infusates, library().policy);
}

TEST(PlanRelations, NoFirstChoiceForWhatNoShortCatheterMayCarry) {
  each_case("no first choice", [](Random& random) {
    const auto c = nursing_case(random);
    const auto plan = planned(c);
    if (!plan || plan->suitability.route <= Route::longer_peripheral) return false;
    EXPECT_FALSE(plan->first_is_choice) << written(c);
    EXPECT_EQ(plan->verdict, Verdict::stop) << written(c);
    EXPECT_NE(plan->summary.id(), "first_choice") << written(c);
    if (plan->suitability.route == Route::not_as_it_stands) {
      EXPECT_TRUE(plan->options.empty()) << written(c);
    }
    return true;
  });
}
TEST(PlanRelations, NoBetterThanItsOrderAndItsTherapy) {
  each_case("no better", [](Random& random) {
    const auto c = nursing_case(random);
    const auto plan = planned(c);
    if (!plan) return false;
    EXPECT_GE(rank(plan->verdict), rank(plan->order.verdict)) << written(c);
    EXPECT_GE(rank(plan->verdict), rank(plan->suitability.verdict)) << written(c);
    return true;
  });
}
TEST(PlanRelations, ALimbToBeLeftAloneComesLastAndOnlyWithAReason) {
  each_case("fenced limb", [](Random& random) {
    auto c = nursing_case(random);
    const auto before = planned(c);
    if (!before || before->options.empty()) return false;
    const auto side = before->options.front().site.side;
    c.patient.restrictions = {{side, access::Limb::arm, access::RestrictionReason::node_dissection, ""}};
    const auto after = planned(c);
    if (!after) return false;
    EXPECT_GE(rank(after->verdict), rank(before->verdict)) << written(c);
    bool fenced = false;
    for (const auto& option : after->options) {
      if (option.site.side == side) {
        EXPECT_TRUE(option.needs_reason) << written(c);
        fenced = true;
      } else if (!option.needs_reason) {
        EXPECT_FALSE(fenced) << "a free limb below a fenced one " << written(c);
      }
    }
    if (!after->options.empty() && after->options.front().needs_reason) {
      EXPECT_FALSE(after->first_is_choice) << written(c);
    }
    return true;
  });
}
TEST(PlanRelations, AWalledLimbIsNotOffered) {
  each_case("walled limb", [](Random& random) {
    auto c = nursing_case(random);
    const auto side = random.one_in(2) ? access::Side::left : access::Side::right;
    c.patient.restrictions = {{side, access::Limb::arm, access::RestrictionReason::fistula_or_graft, ""}};
    const auto plan = planned(c);
    if (!plan) return false;
    for (const auto& option : plan->options) EXPECT_NE(option.site.side, side) << written(c);
    return true;
  });
}
TEST(PlanRelations, NobodyKnowsForHowLong) {
  each_case("plan: how long", [](Random& random) {
    auto c = nursing_case(random);
    const auto before = planned(c);
    c.order.therapy.reset();
    const auto after = planned(c);
    if (!before || !after) return false;
    expect_not_reassured(before->verdict, after->verdict, written(c));
    EXPECT_GE(rank(after->verdict), rank(Verdict::not_fully_checked)) << written(c);
    return true;
  });
}
TEST(PlanRelations, AnUnknownFluid) {
  each_case("plan: unknown", [](Random& random) {
    auto c = nursing_case(random);
    c.order.mixture.base += ", or so";
    const auto plan = planned(c);
    if (!plan) return false;
    EXPECT_EQ(plan->verdict, Verdict::stop) << written(c);
    EXPECT_FALSE(plan->first_is_choice) << written(c);
    return true;
  });
}
TEST(PlanRelations, TheVeinsInAnotherOrder) {
  each_case("plan: veins in order", [](Random& random) {
    auto c = nursing_case(random);
    const auto before = planned(c);
    std::reverse(c.veins.begin(), c.veins.end());
    const auto after = planned(c);
    if (!before || !after) return false;
    EXPECT_EQ(before->verdict, after->verdict) << written(c);
    EXPECT_EQ(before->first_is_choice, after->first_is_choice) << written(c);
    EXPECT_EQ(before->options.size(), after->options.size()) << written(c);
    return true;
  });
}

}  // namespace
}  // namespace dwell::monotone

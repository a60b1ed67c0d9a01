// Pushed, run by dose, transfused: under more danger, less knowledge and other forms.
#include "dosing/dilution.h"
#include "dosing/push.h"
#include "dosing/rate.h"
#include "dosing/transfusion.h"
#include "tests/monotone/cases.h"

namespace dwell::monotone {
namespace {

using verdict::Verdict;

/// The names of medicines whose entry has a limit of strength or speed.
const std::vector<std::string>& limited() {
  static const auto all = [] {
    std::vector<std::string> out;
    for (const auto& [name, entry] : library().infusates)
      if (entry.giving) out.push_back(name);
    return out;
  }();
  return all;
}

/// One relation of a function whose answer has a verdict and looks.
template <class Input>
struct Relations {
  std::function<Input(Random&)> some;
  std::function<bool(const Input&, Verdict&, std::vector<verdict::LookReport>&)> ask;
  using Change = std::function<bool(Input&, Random&)>;

  void more_danger(const char* name, const Change& change, const std::vector<std::string>& but = {}) const {
    compare(name, change, [&](auto& before, auto& after, Verdict was, Verdict is, const auto& input) {
      expect_no_milder(before, after, input, but);
      if (but.empty()) {
        EXPECT_GE(rank(is), rank(was)) << input;
      }
    });
  }
  void less_knowledge(const char* name, const Change& change) const {
    compare(name, change, [&](auto& before, auto& after, Verdict was, Verdict is, const auto& input) {
      expect_not_reassured(before, after, input);
      expect_not_reassured(was, is, input);
    });
  }
  void same_in_form(const char* name, const Change& change) const {
    compare(name, change, [&](auto& before, auto& after, Verdict was, Verdict is, const auto& input) {
      EXPECT_EQ(ranks(before), ranks(after)) << input;
      EXPECT_EQ(was, is) << input;
    });
  }
  void becomes(const char* name, Verdict least, const Change& change) const {
    compare(name, change,
            [&](auto&, auto&, Verdict, Verdict is, const auto& input) { EXPECT_GE(rank(is), rank(least)) << input; });
  }

 private:
  template <class Judge>
  void compare(const char* name, const Change& change, Judge judge) const {
    each_case(name, [&](Random& random) {
      auto in = some(random);
      Verdict was, is;
      std::vector<verdict::LookReport> before, after;
      if (!ask(in, was, before) || !change(in, random) || !ask(in, is, after)) return false;
      judge(before, after, was, is, written(in));
      return true;
    });
  }
};

// ---- pushed ----

const Relations<dosing::PushInput>& push() {
  static const Relations<dosing::PushInput> relations{
      [](Random& random) {
        dosing::PushInput in;
        in.volume = random.spread(0.5, 50) * millilitre;
        in.over = random.spread(10, 3000) * second;
        in.step = in.volume / double(random.whole(1, 20));
        in.dose = random.spread(0.1, 3000) * milligram;
        if (random.one_in(2)) in.highest_rate = random.spread(0.1, 200) * milligram / minute;
        in.medicine = random.one_in(3) ? random.of(names()) : random.of(limited());
        in.weight = random.spread(0.5, 250) * kilogram;
        in.patient = patient(random);
        return in;
      },
      [](const dosing::PushInput& in, Verdict& verdict, std::vector<verdict::LookReport>& looks) {
        const auto plan = dosing::push_plan(in, library().infusates);
        if (!plan) return false;
        verdict = plan->verdict;
        looks = plan->looks;
        return true;
      }};
  return relations;
}

TEST(Push, MoreOfTheDose) {
  push().more_danger("push: more", [](auto& in, Random& random) {
    *in.dose *= random.spread(1.01, 50);
    return true;
  });
}
TEST(Push, Faster) {
  push().more_danger("push: faster", [](auto& in, Random& random) {
    in.over *= 1 / random.spread(1.01, 20);
    return true;
  });
}
TEST(Push, LessThinned) {
  push().more_danger("push: stronger", [](auto& in, Random& random) {
    const double less = 1 / random.spread(1.01, 10);
    in.volume *= less;
    in.step *= less;
    return true;
  });
}
TEST(Push, ALighterPerson) {
  push().more_danger("push: lighter", [](auto& in, Random& random) {
    *in.weight *= 1 / random.spread(1.01, 20);
    return true;
  });
}
TEST(Push, ASlowerLimit) {
  push().more_danger("push: slower limit", [](auto& in, Random& random) {
    if (!in.highest_rate) return false;
    *in.highest_rate *= 1 / random.spread(1.01, 20);
    return true;
  });
}
TEST(Push, OneLimitMore) {
  push().more_danger("push: limit more", [](auto& in, Random& random) {
    if (in.highest_rate) return false;
    in.highest_rate = random.spread(0.1, 200) * milligram / minute;
    return true;
  });
}
TEST(Push, NoMedicineNamed) {
  push().becomes("push: unnamed", Verdict::not_fully_checked, [](auto& in, Random&) {
    in.medicine.reset();
    return true;
  });
}
TEST(Push, AnUnknownMedicine) {
  push().becomes("push: unknown", Verdict::stop, [](auto& in, Random&) {
    *in.medicine += ", or so";
    return true;
  });
}
TEST(Push, NoWeight) {
  push().less_knowledge("push: no weight", [](auto& in, Random&) {
    in.weight.reset();
    return true;
  });
}
TEST(Push, NoDose) {
  push().less_knowledge("push: no dose", [](auto& in, Random&) {
    if (in.highest_rate) return false;  // refused: the two go together
    in.dose.reset();
    return true;
  });
}
TEST(Push, NamesInCapitals) {
  push().same_in_form("push: capitals", [](auto& in, Random&) {
    for (char& c : *in.medicine) c = c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
    return true;
  });
}
TEST(Push, OtherSteps) {
  push().same_in_form("push: steps", [](auto& in, Random&) {
    in.step = in.volume;
    return true;
  });
}
TEST(Push, WhatMustBeDilutedIsNeverPushed) {
  push().becomes("push: concentrate", Verdict::stop, [](auto& in, Random&) {
    in.medicine = "potassium chloride 2 mmol/mL concentrate";
    return true;
  });
}

TEST(Push, WhatThePatientIsAllergicTo) {
  push().becomes("push: allergy", Verdict::stop, [](auto& in, Random& random) {
    in.medicine = random.of(limited());
    in.patient->allergies = {*in.medicine};
    return true;
  });
}
TEST(Push, NobodyAskedAboutAllergies) {
  push().less_knowledge("push: no patient", [](auto& in, Random&) {
    in.patient.reset();
    return true;
  });
  push().becomes("push: no patient at all", Verdict::not_fully_checked, [](auto& in, Random&) {
    in.patient.reset();
    return true;
  });
}

// ---- run by dose ----

const Relations<dosing::DoseInput>& dose() {
  static const Relations<dosing::DoseInput> relations{
      [](Random& random) {
        dosing::DoseInput in;
        static const std::vector<dosing::DoseUnit> units{dosing::DoseUnit::mg_per_min, dosing::DoseUnit::mg_per_h,
                                                         dosing::DoseUnit::mcg_per_kg_min,
                                                         dosing::DoseUnit::mg_per_kg_h, dosing::DoseUnit::g_per_h};
        in.dose_unit = random.of(units);
        in.dose = random.spread(0.1, 500);
        in.bag.mass = random.spread(1, 5000) * milligram;
        in.bag.volume = random.spread(10, 1000) * millilitre;
        in.weight = random.spread(0.5, 250) * kilogram;
        in.medicine = random.one_in(3) ? random.of(names()) : random.of(limited());
        in.patient = patient(random);
        return in;
      },
      [](const dosing::DoseInput& in, Verdict& verdict, std::vector<verdict::LookReport>& looks) {
        const auto result = dosing::dose_rate(in, library().infusates);
        if (!result) return false;
        verdict = result->verdict;
        looks = result->looks;
        return true;
      }};
  return relations;
}

TEST(DoseRate, AHigherDose) {
  dose().more_danger("dose: higher", [](auto& in, Random& random) {
    *in.dose *= random.spread(1.01, 50);
    return true;
  });
}
TEST(DoseRate, AHigherRate) {
  each_case("dose: higher rate", [](Random& random) {
    auto in = dose().some(random);
    in.dose.reset();
    in.flow = random.spread(0.1, 900) * millilitre / hour;
    Verdict was, is;
    std::vector<verdict::LookReport> before, after;
    if (!dose().ask(in, was, before)) return false;
    *in.flow *= random.spread(1.01, 2);
    if (!dose().ask(in, is, after)) return false;
    expect_no_milder(before, after, written(in));
    EXPECT_GE(rank(is), rank(was)) << written(in);
    return true;
  });
}
/// How much a look could not look at.
std::size_t missing_of(const std::vector<verdict::LookReport>& looks, std::string_view name) {
  for (const auto& look : looks)
    if (look.look == name) return look.missing.size();
  return 0;
}

// At the same dose rate a bag with more in it lasts longer: a medicine that must take its time is then given more
// slowly. That it was too short may go; nothing else that was found of its speed may, nor of anything beside it.
TEST(DoseRate, AStrongerBag) {
  each_case("dose: stronger bag", [](Random& random) {
    auto in = dose().some(random);
    const auto before = dosing::dose_rate(in, library().infusates);
    *in.bag.mass *= random.spread(1.01, 20);
    const auto after = dosing::dose_rate(in, library().infusates);
    if (!before || !after) return false;
    expect_no_milder(before->looks, after->looks, written(in), {"speed"});
    for (const auto& finding : before->findings) {
      if (finding.code == "too_short" || finding.severity == Severity::information) continue;
      EXPECT_TRUE(std::any_of(
          after->findings.begin(), after->findings.end(),
          [&](const Finding& later) { return later.code == finding.code && later.severity >= finding.severity; }))
          << finding.code << " " << written(in);
    }
    EXPECT_EQ(missing_of(before->looks, "speed"), missing_of(after->looks, "speed")) << written(in);
    return true;
  });
}
TEST(DoseRate, LessFluidInTheBag) {
  dose().more_danger("dose: less fluid", [](auto& in, Random& random) {
    in.bag.volume *= 1 / random.spread(1.01, 20);
    return true;
  });
}
TEST(DoseRate, NoMedicineNamed) {
  dose().becomes("dose: unnamed", Verdict::not_fully_checked, [](auto& in, Random&) {
    in.medicine.reset();
    return true;
  });
}
TEST(DoseRate, AnUnknownMedicine) {
  dose().becomes("dose: unknown", Verdict::stop, [](auto& in, Random&) {
    *in.medicine += ", or so";
    return true;
  });
}
TEST(DoseRate, TheSameDoseInAnotherUnit) {
  dose().same_in_form("dose: other unit", [](auto& in, Random&) {
    if (in.dose_unit != dosing::DoseUnit::mg_per_min) return false;
    in.dose_unit = dosing::DoseUnit::mg_per_h;
    *in.dose *= 60;
    return true;
  });
}
TEST(DoseRate, TheRateThatTheDoseGave) {
  dose().same_in_form("dose: rate for dose", [](auto& in, Random&) {
    in.flow = dosing::dose_rate(in)->flow;
    in.dose.reset();
    return *in.flow >= 0.05 * millilitre / hour && *in.flow <= 2000.0 * millilitre / hour;
  });
}

TEST(DoseRate, WhatThePatientIsAllergicTo) {
  dose().becomes("dose: allergy", Verdict::stop, [](auto& in, Random& random) {
    in.medicine = random.of(limited());  // "water for injection" names a form, and nobody is allergic to water
    in.patient->allergies = {*in.medicine};
    return true;
  });
}
TEST(DoseRate, NobodyAskedAboutAllergies) {
  dose().less_knowledge("dose: no patient", [](auto& in, Random&) {
    in.patient.reset();
    return true;
  });
  dose().becomes("dose: no patient at all", Verdict::not_fully_checked, [](auto& in, Random&) {
    in.patient.reset();
    return true;
  });
}

// ---- made up ----

const Relations<dosing::DilutionInput>& dilution() {
  static const Relations<dosing::DilutionInput> relations{
      [](Random& random) {
        dosing::DilutionInput in;
        in.medicine = random.of(limited());
        in.dose = random.spread(0.5, 3000) * milligram;
        if (random.one_in(2)) in.volume = random.spread(1, 1000) * millilitre;
        if (random.one_in(2)) in.duration = random.spread(1, 600) * minute;
        in.fluid_restricted = random.one_in(4);
        in.frail = random.one_in(4);
        in.diluent = random.one_in(2) ? "sodium chloride 0.9 %" : random.of(names());
        in.in_syringe = random.one_in(3);
        in.patient = patient(random);
        in.today = *parse_date("2026-11-25");
        return in;
      },
      [](const dosing::DilutionInput& in, Verdict& verdict, std::vector<verdict::LookReport>& looks) {
        const auto plan = dosing::dilution(in, library().infusates, library().policy);
        if (!plan) return false;
        verdict = plan->verdict;
        looks = plan->looks;
        return true;
      }};
  return relations;
}

TEST(Dilution, MoreOfTheDose) {
  dilution().more_danger("dilution: more", [](auto& in, Random& random) {
    in.dose *= random.spread(1.01, 50);
    return in.volume && in.duration;
  });
}
TEST(Dilution, InLessFluid) {
  // What goes into a syringe at last is another matter.
  dilution().more_danger("dilution: less fluid",
                         [](auto& in, Random& random) {
                           if (!in.volume) return false;
                           *in.volume *= 1 / random.spread(1.01, 20);
                           return true;
                         },
                         {"container"});
}
TEST(Dilution, InLessTime) {
  dilution().more_danger("dilution: less time", [](auto& in, Random& random) {
    if (!in.duration) return false;
    *in.duration *= 1 / random.spread(1.01, 20);
    return true;
  });
}
TEST(Dilution, ForALighterPerson) {
  dilution().more_danger("dilution: lighter",
                         [](auto& in, Random& random) {
                           *in.patient->weight *= 1 / random.spread(1.01, 20);
                           return in.duration.has_value();
                         },
                         {"body_weight"});
}
TEST(Dilution, ForAFrailPerson) {
  dilution().more_danger("dilution: frail", [](auto& in, Random&) {
    if (in.frail || !in.duration) return false;
    return in.frail = true;
  });
}
TEST(Dilution, ForAChildOfTheSameWeight) {
  dilution().more_danger("dilution: child",
                         [](auto& in, Random& random) {
                           if (!in.duration || line::is_child(line::age_band(*in.patient, *in.today))) return false;
                           in.patient->birth_date =
                               Date(std::chrono::sys_days(*in.today) - std::chrono::days{random.whole(0, 5800)});
                           return true;
                         },
                         {"body_weight"});
}
TEST(Dilution, WhatThePatientIsAllergicTo) {
  dilution().becomes("dilution: allergy", Verdict::stop, [](auto& in, Random&) {
    in.patient->allergies = {in.medicine};
    return true;
  });
}
TEST(Dilution, NobodySaidForWhom) {
  dilution().less_knowledge("dilution: no patient", [](auto& in, Random&) {
    in.patient.reset();
    return in.duration.has_value();
  });
  dilution().becomes("dilution: no patient at all", Verdict::not_fully_checked, [](auto& in, Random&) {
    in.patient.reset();
    return true;
  });
}
TEST(Dilution, NeitherWeightNorAge) {
  dilution().less_knowledge("dilution: no weight, no day", [](auto& in, Random& random) {
    if (random.one_in(2))
      in.today.reset();
    else
      in.patient->weight.reset();
    return in.duration.has_value();
  });
}
TEST(Dilution, NobodySaidWhatItIsMadeUpIn) {
  dilution().less_knowledge("dilution: no diluent", [](auto& in, Random&) {
    in.diluent.reset();
    return true;
  });
}
TEST(Dilution, NamesInCapitals) {
  dilution().same_in_form("dilution: capitals", [](auto& in, Random&) {
    for (char& c : in.medicine) c = c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
    return true;
  });
}

// ---- transfused ----

const Relations<dosing::TransfusionInput>& transfusion() {
  using line::AgeBand;
  static const Relations<dosing::TransfusionInput> relations{
      [](Random& random) {
        dosing::TransfusionInput in;
        in.volume = random.spread(15, 600) * millilitre;
        in.over = random.spread(20, 400) * minute;
        in.first_flow = random.spread(5, 100) * millilitre / hour;
        in.start = *parse_instant("2026-11-25T12:00:00Z");
        in.left_storage = *in.start - std::chrono::minutes{random.whole(0, 300)};
        static const std::vector<AgeBand> bands{AgeBand::neonate, AgeBand::infant, AgeBand::child, AgeBand::adult,
                                                AgeBand::older_adult};
        in.age_band = random.of(bands);
        in.weight = random.spread(0.5, 250) * kilogram;
        return in;
      },
      [](const dosing::TransfusionInput& in, Verdict& verdict, std::vector<verdict::LookReport>& looks) {
        const auto plan = dosing::transfusion_plan(in, library().policy.order);
        if (!plan) return false;
        verdict = plan->verdict;
        looks = plan->looks;
        return true;
      }};
  return relations;
}

TEST(Transfusion, LongerOutOfStorage) {
  transfusion().more_danger("blood: out", [](auto& in, Random& random) {
    *in.left_storage -= std::chrono::minutes{random.whole(1, 300)};
    return true;
  });
}
TEST(Transfusion, OverALongerTime) {
  transfusion().more_danger("blood: longer",
                            [](auto& in, Random& random) {
                              in.over *= random.spread(1.01, 5);
                              return true;
                            },
                            {"flow_for_body"});
}
TEST(Transfusion, OverAShorterTime) {
  transfusion().more_danger("blood: shorter",
                            [](auto& in, Random& random) {
                              in.over *= 1 / random.spread(1.01, 5);
                              return true;
                            },
                            {"hanging"});
}
TEST(Transfusion, ALargerUnit) {
  transfusion().more_danger("blood: larger", [](auto& in, Random& random) {
    in.volume *= random.spread(1.01, 5);
    return true;
  });
}
TEST(Transfusion, ALighterPerson) {
  transfusion().more_danger("blood: lighter", [](auto& in, Random& random) {
    *in.weight *= 1 / random.spread(1.01, 20);
    return true;
  });
}
TEST(Transfusion, NoTimeOfLeavingStorage) {
  transfusion().less_knowledge("blood: no storage", [](auto& in, Random&) {
    in.left_storage.reset();
    return true;
  });
}
TEST(Transfusion, NoStart) {
  transfusion().less_knowledge("blood: no start", [](auto& in, Random&) {
    in.start.reset();
    return true;
  });
}
TEST(Transfusion, NoWeight) {
  transfusion().less_knowledge("blood: no weight", [](auto& in, Random&) {
    in.weight.reset();
    return true;
  });
}
TEST(Transfusion, NoAge) {
  transfusion().less_knowledge("blood: no age", [](auto& in, Random&) {
    in.age_band.reset();
    return true;
  });
}
TEST(Transfusion, OutOfTimeNeverRunsFaster) {
  each_case("blood: never faster", [](Random& random) {
    const auto in = transfusion().some(random);
    const auto plan = dosing::transfusion_plan(in, library().policy.order);
    if (!plan || !plan->ends_at || *plan->ends_at <= *plan->finish_by) return false;
    EXPECT_EQ(plan->verdict, Verdict::stop) << written(in);
    auto unhurried = in;
    unhurried.left_storage.reset();
    EXPECT_EQ(plan->then_flow.value(), dosing::transfusion_plan(unhurried, library().policy.order)->then_flow.value())
        << written(in);
    return true;
  });
}

}  // namespace
}  // namespace dwell::monotone

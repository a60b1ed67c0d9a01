// What a child is kept on, under more of it and under other names: neither a medicine in the bag nor what the order is
// called hides a fluid.
#include "tests/monotone/cases.h"

namespace dwell::monotone {
namespace {

using dosing::OrderCheckInput;
using dosing::Purpose;

constexpr const char* look = "maintenance_fluid";

std::optional<std::map<std::string, int>> ranks_of(const OrderCheckInput& in) {
  const auto check = dosing::check_order(in, library().infusates, library().policy);
  return check ? std::optional(ranks(check->looks)) : std::nullopt;
}

/// Newborn to 15 years; the birth date of every eighth is not known.
line::Patient childs(Random& random) {
  line::Patient child;
  const Date today = utc_date(*parse_instant("2026-11-25T12:00:00Z"));
  const auto born = [&](int days) { return Date(std::chrono::sys_days(today) - std::chrono::days{days}); };
  switch (random.whole(0, 2)) {
    case 0: child.birth_date = born(random.whole(0, 27)), child.weight = random.spread(0.5, 5) * kilogram; break;
    case 1: child.birth_date = born(random.whole(28, 364)), child.weight = random.spread(2, 12) * kilogram; break;
    default: child.birth_date = born(random.whole(366, 5800)), child.weight = random.spread(7, 110) * kilogram; break;
  }
  if (random.one_in(8)) child.birth_date.reset();
  child.allergies_known = true;
  child.heart_or_kidney_failure = false;
  return child;
}

Purpose but_to_fill(Random& random) {
  static const std::vector<Purpose> purposes{Purpose::maintenance, Purpose::rehydration, Purpose::medicine,
                                             Purpose::blood,       Purpose::keep_open,   Purpose::contrast,
                                             Purpose::other};
  return random.of(purposes);
}

infusate::Mixture fluid(Random& random) {
  static const std::vector<std::string> fluids{"dextrose 5 %", "dextrose 10 %", "sodium chloride 0.45 %",
                                               "sodium chloride 0.9 %", "dextrose 5 % with sodium chloride 0.45 %"};
  return {random.of(fluids), random.spread(2, 1500) * millilitre, {}};
}

/// Brings neither the sodium nor the sugar that the fluid wants.
const std::vector<std::string>& medicines() {
  static const auto all = [] {
    std::vector<std::string> out;
    const auto least = library().policy.order.child->isotonic_sodium_least.value;
    for (const auto& [name, entry] : library().infusates) {
      const auto alone = *infusate::mix({name, 1.0 * litre, {}}, library().infusates);
      if (entry.kind == infusate::FluidKind::medicine && alone.sodium_at_least < least &&
          !(alone.glucose_at_least > MassConcentration()))
        out.push_back(name);
    }
    return out;
  }();
  return all;
}

OrderCheckInput childs_order(Random& random, infusate::Mixture mixture) {
  OrderCheckInput in;
  in.order.mixture = std::move(mixture);
  in.order.flow = random.spread(0.5, 400) * millilitre / hour;
  in.order.purpose = but_to_fill(random);
  in.patient = childs(random);
  in.now = *parse_instant("2026-11-25T12:00:00Z");
  return in;
}

infusate::Mixture with_medicine(Random& random) {
  auto mixture = fluid(random);
  mixture.additives = {{random.of(medicines()), random.spread(0.2, 100) * millilitre}};
  return mixture;
}

using Change = std::function<bool(OrderCheckInput&, Random&)>;

void no_milder(const char* name, bool has_medicine, const Change& change) {
  each_case(name, [&](Random& random) {
    auto in = childs_order(random, has_medicine ? with_medicine(random) : fluid(random));
    const auto before = ranks_of(in);
    if (!before || !change(in, random)) return false;
    auto after = ranks_of(in);
    if (!after) return false;
    EXPECT_GE((*after)[look], before->at(look)) << written(in);
    return true;
  });
}

/// A tenth of the largest need that a child has by the kilogram: in more, no dose is made up.
constexpr VolumePerMass more_than_a_dose = 18.0 * millilitre / kilogram;

Volume in_a_day(const OrderCheckInput& in) {
  Volume all = in.order.mixture.volume;
  for (const auto& additive : in.order.mixture.additives) all += additive.volume;
  return std::min(all, Volume(*in.order.flow * (24.0 * hour)));
}

TEST(ChildFluid, AMedicineInIt) {
  // A little fluid is no dose without a medicine, and asked about whatever it is called; with one it is what a dose is
  // made up in.
  no_milder("child: a medicine in it", false, [](OrderCheckInput& in, Random& random) {
    if (in_a_day(in) < *in.patient.weight * more_than_a_dose) return false;
    in.order.mixture.additives = {{random.of(medicines()), random.spread(0.2, 100) * millilitre}};
    return true;
  });
}
TEST(ChildFluid, ALargerBag) {
  no_milder("child: larger bag", true, [](OrderCheckInput& in, Random& random) {
    const double more = random.spread(1.01, 30);
    in.order.mixture.volume *= more;
    for (auto& additive : in.order.mixture.additives) additive.volume *= more;
    return true;
  });
}
TEST(ChildFluid, AFasterRate) {
  no_milder("child: faster", true, [](OrderCheckInput& in, Random& random) {
    *in.order.flow *= random.spread(1.01, 30);
    return true;
  });
}
TEST(ChildFluid, ALighterChild) {
  no_milder("child: lighter", true, [](OrderCheckInput& in, Random& random) {
    *in.patient.weight *= 1 / random.spread(1.01, 20);
    return true;
  });
}
TEST(ChildFluid, OneMoreBesideIt) {
  no_milder("child: one more beside", true, [](OrderCheckInput& in, Random& random) {
    dosing::Companion one{with_medicine(random), random.spread(0.5, 200) * millilitre / hour, std::nullopt, false};
    if (random.one_in(2)) one.every = random.spread(60, 1440) * minute;
    if (random.one_in(8)) one.flow.reset();
    in.beside.push_back(std::move(one));
    return true;
  });
}
TEST(ChildFluid, ThoseBesideItComeOftener) {
  no_milder("child: oftener", true, [](OrderCheckInput& in, Random& random) {
    in.beside = {{with_medicine(random), std::nullopt, random.spread(60, 1440) * minute, false}};
    const auto once = ranks_of(in);
    *in.beside.front().every *= 1 / random.spread(1.01, 6);
    auto oftener = ranks_of(in);
    if (!once || !oftener) return false;
    EXPECT_GE((*oftener)[look], once->at(look)) << written(in);
    return true;
  });
}

TEST(ChildFluid, ABagThatKeepsAChildIsAskedAsOneWhateverItIsCalled) {
  each_case("child: keeps it", [](Random& random) {
    auto in = childs_order(random, with_medicine(random));
    if (in_a_day(in) < *in.patient.weight * more_than_a_dose) return false;
    const auto called = ranks_of(in);
    in.order.purpose = Purpose::other;
    const auto asked = ranks_of(in);
    if (!called || !asked) return false;
    EXPECT_GE(called->at(look), asked->at(look)) << written(in);
    return true;
  });
}

}  // namespace
}  // namespace dwell::monotone

// What is made at the bedside is judged as the premixed bag of the same solutes in the same strength is: for every
// entry of the list whose solutes come stronger in another one.
#include <optional>
#include <set>

#include "suitability/suitability.h"
#include "tests/monotone/cases.h"

namespace dwell::monotone {
namespace {

using dosing::OrderCheckInput;
using infusate::Infusate;
using infusate::Mixture;
using infusate::Solute;

constexpr const char* water = "water for injection";

std::optional<AmountConcentration> amount_of(const Solute& solute) {
  if (solute.amount_concentration) return solute.amount_concentration;
  if (solute.mass_concentration && solute.molar_mass) return *solute.mass_concentration / *solute.molar_mass;
  return std::nullopt;
}
double share_of(const Solute& wanted, const Solute& source) {
  if (wanted.mass_concentration && source.mass_concentration)
    return *wanted.mass_concentration / *source.mass_concentration;
  const auto amount = amount_of(wanted), than = amount_of(source);
  return amount && than ? double(*amount / *than) : 2;
}

/// The strongest entry of this solute alone.
const Infusate* source_of_solute(const Solute& wanted) {
  const Infusate* strongest = nullptr;
  for (const auto& [name, entry] : library().infusates) {
    if (entry.solutes.size() != 1 || entry.solutes.front().name != wanted.name) continue;
    if (share_of(wanted, entry.solutes.front()) >= 1) continue;
    if (!strongest || share_of(wanted, entry.solutes.front()) < share_of(wanted, strongest->solutes.front()))
      strongest = &entry;
  }
  return strongest;
}

struct Recipe {
  const Infusate* premixed = nullptr;
  std::vector<std::pair<std::string, double>> shares;  ///< of the volume; water first
};

std::vector<Recipe> recipes() {
  std::vector<Recipe> all;
  for (const auto& [name, entry] : library().infusates) {
    Recipe recipe{&entry, {{water, 1}}};
    for (const auto& solute : entry.solutes) {
      const auto* source = source_of_solute(solute);
      const double share = source ? share_of(solute, source->solutes.front()) : 2;
      if (source) recipe.shares.emplace_back(source->name, share);
      recipe.shares.front().second -= share;
    }
    if (!entry.solutes.empty() && recipe.shares.front().second > 0) all.push_back(std::move(recipe));
  }
  return all;
}

Mixture made(const Recipe& recipe, Volume all, Random& random) {
  Mixture mixture;
  auto shares = recipe.shares;
  std::rotate(shares.begin(), shares.begin() + random.whole(0, static_cast<int>(shares.size()) - 1), shares.end());
  mixture.base = shares.front().first;
  mixture.volume = shares.front().second * all;
  for (std::size_t i = 1; i < shares.size(); ++i)
    mixture.additives.push_back({shares[i].first, shares[i].second * all});
  return mixture;
}

/// Two orders that differ in who mixed the bag.
struct Pair {
  OrderCheckInput premixed, made;
  const Recipe* recipe = nullptr;
};

Pair pair_of(const std::vector<Recipe>& all, Random& random) {
  Pair pair;
  pair.recipe = &random.of(all);
  pair.premixed = order(random);
  if (random.one_in(3)) pair.premixed.order.drop_factor = 20.0 * drop / millilitre;
  pair.premixed.patient.allergies.clear();  // of a name that one of the two does not hold
  pair.made = pair.premixed;
  const Volume volume = random.spread(20, 2000) * millilitre;
  pair.premixed.order.mixture = {pair.recipe->premixed->name, volume, {}};
  pair.made.order.mixture = made(*pair.recipe, volume, random);
  return pair;
}

const std::set<std::string> of_the_mixing{"dilution", "compatibility", "notes"};

TEST(MadeAtTheBedside, EverySoluteThatComesStrongerIsTried) {
  std::set<std::string> tried;
  for (const auto& recipe : recipes())
    for (const auto& solute : recipe.premixed->solutes) tried.insert(solute.name);
  EXPECT_EQ(tried, (std::set<std::string>{"dextrose monohydrate", "mannitol", "potassium chloride",
                                          "sodium bicarbonate", "sodium chloride"}));
}

TEST(MadeAtTheBedside, IsNeverMilderThanThePremixedBag) {
  const auto all = recipes();
  each_case("never milder", [&](Random& random) {
    const auto pair = pair_of(all, random);
    const auto premixed = dosing::check_order(pair.premixed, library().infusates, library().policy);
    const auto own = dosing::check_order(pair.made, library().infusates, library().policy);
    EXPECT_EQ(premixed.has_value(), own.has_value());
    if (!premixed || !own) return false;
    EXPECT_GE(rank(own->verdict), rank(premixed->verdict)) << written(pair.made);
    auto y = ranks(own->looks);
    for (const auto& [look, was] : ranks(premixed->looks))
      if (!of_the_mixing.contains(look)) {
        EXPECT_GE(y[look], was) << look << " " << pair.recipe->premixed->name << " " << written(pair.made);
      }
    return true;
  });
}

TEST(MadeAtTheBedside, OfSaltsAndSugarThatMixFreelyIsJudgedAlike) {
  auto all = recipes();
  std::erase_if(
      all, [](const Recipe& recipe) { return !infusate::mixes_freely(*recipe.premixed, library().policy.infusate); });
  each_case("judged alike", [&](Random& random) {
    const auto pair = pair_of(all, random);
    const auto premixed = dosing::check_order(pair.premixed, library().infusates, library().policy);
    const auto own = dosing::check_order(pair.made, library().infusates, library().policy);
    if (!premixed || !own) return false;
    EXPECT_EQ(premixed->verdict, own->verdict) << pair.recipe->premixed->name << " " << written(pair.made);
    EXPECT_EQ(premixed->mixture.harm, own->mixture.harm) << written(pair.made);
    auto y = ranks(own->looks);
    for (const auto& [look, was] : ranks(premixed->looks))
      if (!of_the_mixing.contains(look)) {
        EXPECT_EQ(y[look], was) << look << " " << pair.recipe->premixed->name << " " << written(pair.made);
      }
    return true;
  });
}

// Whatever comes to the bedside to be mixed in: of a bag ordered as a medicine it makes none.
TEST(MadeAtTheBedside, SaltsAndSugarMakeNoMedicineOfAFluid) {
  std::vector<std::string> salts;
  for (const auto& [name, entry] : library().infusates)
    if (!entry.solutes.empty() && !entry.giving) salts.push_back(name);
  each_case("no medicine", [&](Random& random) {
    auto in = order(random);
    in.order.mixture = {random.of(salts), random.spread(50, 1000) * millilitre, {}};
    in.order.mixture.additives.push_back({random.of(salts), random.spread(1, 50) * millilitre});
    in.order.purpose = dosing::Purpose::other;
    const auto as_fluid = dosing::check_order(in, library().infusates, library().policy);
    in.order.purpose = dosing::Purpose::medicine;
    const auto as_medicine = dosing::check_order(in, library().infusates, library().policy);
    if (!as_fluid || !as_medicine) return false;
    EXPECT_EQ(as_fluid->verdict, as_medicine->verdict) << written(in);
    EXPECT_EQ(ranks(as_fluid->looks), ranks(as_medicine->looks)) << written(in);
    return true;
  });
}

}  // namespace
}  // namespace dwell::monotone

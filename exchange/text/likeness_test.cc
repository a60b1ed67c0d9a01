#include "exchange/text/likeness.h"

#include <gtest/gtest.h>

#include "line/test_events.h"
#include "line/test_policy.h"
#include "say/record.h"

namespace dwell::unicode {
namespace {

line::Event opening_of(const std::string& family) {
  auto fact = test::opened();
  fact.patient.family = family;
  return test::History{}.at(std::chrono::minutes{0}, fact).events.front();
}
std::vector<std::string> paths(const std::vector<Said>& said) {
  std::vector<std::string> out;
  for (const auto& one : said) out.push_back(one.path);
  return out;
}

TEST(Likeness, NamesOfOneWritingAreNotSpokenOf) {
  const Likeness ward;
  for (const char* name :
       {"Koller", "O'Brien-Ng", "Ödön", "Коллер", "Ηλέκτρα", "李雷", "山田 はなこ", "محمد", "김영희"})
    EXPECT_TRUE(ward.say(opening_of(name)).empty()) << name;
}

TEST(Likeness, LettersOfSeveralWritingsAreSaid) {
  const Likeness ward;
  EXPECT_EQ(paths(ward.say(opening_of("K\u043Eller"))), std::vector<std::string>{"/body/patient/family"})
      << "Cyrillic o";
}

TEST(Likeness, ANameThatLooksLikeAKnownOneIsSaid) {
  Likeness ward;
  ward.know("Koller");
  const auto said = ward.say(opening_of("\u039Aoller"));  // Greek capital kappa
  ASSERT_EQ(said.size(), 2u);
  EXPECT_EQ(said.back().text, say::looks_like_somebody_known("“\u039Aoller”", "“Koller”"));
  EXPECT_TRUE(ward.say(opening_of("Koller")).empty()) << "the same name is the same";
  EXPECT_TRUE(ward.say(opening_of("Keller")).empty());
}

TEST(Likeness, AWholeNameInAnotherWritingIsSaidToo) {
  Likeness ward;
  ward.know("cope");
  EXPECT_EQ(ward.say(opening_of("\u0441\u043E\u0440\u0435")).size(), 1u) << "all Cyrillic";
}

TEST(Likeness, KnowsThePeopleOfALine) {
  Likeness ward;
  const auto history =
      test::History{}.at(std::chrono::minutes{0}, test::opened()).at(std::chrono::minutes{1}, test::placed());
  ward.know(line::fold(history.events, test::small_policy()));
  auto event = opening_of("M\u0430rsh");
  event.author = "R. \u039Fde";
  EXPECT_EQ(paths(ward.say(event)),
            (std::vector<std::string>{"/author", "/author", "/body/patient/family", "/body/patient/family"}));
}

}  // namespace
}  // namespace dwell::unicode

#include "infusate/list.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "exchange/library.h"
#include "say/infusate.h"
#include "say/wording.h"

namespace dwell::infusate {
namespace {

const Formulary& formulary() { return exchange::default_library().infusates; }

TEST(InfusateList, TheWholeListSaysWhatIsNotKnown) {
  const auto all = list({}, formulary());
  EXPECT_EQ(all.entries.size(), formulary().size());
  EXPECT_TRUE(all.nearest.empty());
  const auto& contrast = *std::find_if(all.entries.begin(), all.entries.end(),
                                       [](const Listed& one) { return one.name == "contrast, non-ionic iodinated"; });
  EXPECT_TRUE(contrast.osmolarity);
  EXPECT_EQ(contrast.not_known, (std::vector<Message>{say::sodium_name(), say::potassium_name(), say::giving_name()}));
}

TEST(InfusateList, AnotherNameIsAsGoodAsTheName) {
  for (const char* name : {"normal saline", "NORMAL  SALINE", "sodium chloride 0.9%", "suero fisiológico"}) {
    const auto found = list({name}, formulary());
    ASSERT_EQ(found.entries.size(), 1u) << name;
    EXPECT_EQ(found.entries.front().name, "sodium chloride 0.9 %");
  }
  EXPECT_EQ(list({"noradrenaline 16 mcg/mL"}, formulary()).entries.front().name, "norepinephrine 16 mcg/mL");
}

TEST(InfusateList, AWrongNameGetsTheNearestAndIsNeverTakenForOne) {
  const std::pair<const char*, const char*> slips[]{
      {"vancomicin 5 mg/mL", "vancomycin 5 mg/mL"},     {"gentamycin", "gentamicin 1 mg/mL"},
      {"norepinefrine", "norepinephrine 16 mcg/mL"},    {"phenytion", "phenytoin 10 mg/mL"},
      {"noradrenalin", "norepinephrine 16 mcg/mL"},     {"glucose 5", "dextrose 5 %"},
      {"sodium cloride 0.9 %", "sodium chloride 0.9 %"}};
  for (const auto& [typed, meant] : slips) {
    const auto answer = list({typed}, formulary());
    EXPECT_TRUE(answer.entries.empty()) << typed;
    ASSERT_FALSE(answer.nearest.empty()) << typed;
    EXPECT_LE(answer.nearest.size(), 5u);
    EXPECT_NE(std::find(answer.nearest.begin(), answer.nearest.end(), meant), answer.nearest.end()) << typed;
  }
  EXPECT_EQ(list({"gentamycin"}, formulary()).nearest.front(), "gentamicin 1 mg/mL");
  EXPECT_TRUE(list({""}, formulary()).nearest.empty());
  EXPECT_TRUE(list({"zzzzzzzzzzzzzzzzzzzz"}, formulary()).nearest.empty());
}

TEST(InfusateList, NoNoteIsLeftUnsaid) {
  for (const auto& [name, infusate] : formulary()) {
    const auto notes = notes_of(parts_of({name, 100.0 * millilitre, {}}, formulary()));
    ASSERT_EQ(notes.empty(), infusate.note.empty()) << name;
    if (notes.empty()) continue;
    EXPECT_EQ(notes.front().text, say::named_text(title_of(infusate), infusate.note));
  }
}

// Damerau 1964 (value from memory): one slip is a letter changed, dropped, added, or two neighbours swapped.
TEST(LettersApart, OneSlipIsOne) {
  for (const char* slip : {"vancomicin", "vancomycn", "vancomyciin", "vnacomycin"})
    EXPECT_EQ(letters_apart("vancomycin", slip), 1) << slip;
  EXPECT_EQ(letters_apart("", "abc"), 3);
}

RC_GTEST_PROP(LettersApart, IsADistanceFromNothingToEachOther, (const std::string& a, const std::string& b)) {
  RC_ASSERT(letters_apart(a, b) == letters_apart(b, a));
  RC_ASSERT((letters_apart(a, b) == 0) == (a == b));
  RC_ASSERT(letters_apart(a, b) <= static_cast<int>(std::max(a.size(), b.size())));
}

}  // namespace
}  // namespace dwell::infusate

#include "exchange/text/composed.h"

#include <gtest/gtest.h>

#include "line/test_events.h"

namespace dwell::unicode {
namespace {

// Examples of UAX #15, figures 3 and 4: sources.md#unicode.
TEST(Composed, LettersAndAccentsAreOne) {
  EXPECT_TRUE(is_composed("\u00C5ngstr\u00F6m"));
  EXPECT_FALSE(is_composed("A\u030Angstr\u00F6m")) << "ring apart";
  EXPECT_FALSE(is_composed("\u212Bngstr\u00F6m")) << "the ångström sign";
  EXPECT_TRUE(is_composed("q\u0323\u0307")) << "what has no composed form stays as it is";
  EXPECT_FALSE(is_composed("q\u0307\u0323")) << "marks out of order";
  EXPECT_TRUE(is_composed(""));
}

TEST(Composed, IsAskedOfEveryText) {
  auto fact = test::opened();
  fact.patient.given = "Rene\u0301";
  fact.patient.allergies = {"cafe\u0301"};
  FieldErrors errors;
  check_composed("", test::History{}.at(std::chrono::minutes{0}, fact).events.front(), errors);
  ASSERT_EQ(errors.size(), 2u);
  EXPECT_EQ(errors[0].path, "/body/patient/given");
  EXPECT_EQ(errors[1].path, "/body/patient/allergies/0");
}

}  // namespace
}  // namespace dwell::unicode

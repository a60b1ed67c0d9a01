#include "line/clauses.h"

#include <gtest/gtest.h>

#include "json/codec.h"
#include "json/parse.h"
#include "say/common.h"
#include "say/line.h"

namespace dwell::line {
namespace {

std::size_t leaves(const Message& message) {
  std::size_t all = message.id() == "no_signs" ? 1 : 0;
  for (const auto& argument : message.arguments())
    if (const auto* within = std::get_if<message::Messages>(&argument.value))
      for (const auto& one : within->all) all += leaves(one);
  return all;
}

TEST(Clauses, LoseNoneHoweverManyTheyAre) {
  for (std::size_t n = 0; n < 60; ++n) EXPECT_EQ(leaves(clauses(std::vector<Message>(n, say::no_signs()))), n);
}

TEST(Clauses, LeaveOutWhatSaysNothing) {
  EXPECT_TRUE(clauses({Message(), Message()}).empty());
  EXPECT_EQ(clauses({Message(), say::resistance()}), say::resistance());
  EXPECT_EQ(clauses({say::no_signs(), Message(), say::resistance()}),
            say::two_clauses(say::no_signs(), say::resistance()));
}

TEST(KeyOf, IsTheSameExactlyForTheSame) {
  EXPECT_EQ(key_of(say::pain_of_ten(3)), key_of(say::pain_of_ten(3)));
  EXPECT_NE(key_of(say::pain_of_ten(3)), key_of(say::pain_of_ten(4)));
  EXPECT_NE(key_of(say::no_signs()), key_of(say::as_written("no_signs")));
}

}  // namespace
}  // namespace dwell::line

#include "text/mentions.h"

#include <gtest/gtest.h>

namespace dwell::text {
namespace {

TEST(Mentions, AreWholeWordsWhateverTheCapitals) {
  for (const char* words :
       {"chlorhexidine", "Chlorhexidine (swollen eyes)", "rash from CHLORHEXIDINE wipes", "latex, chlorhexidine"})
    EXPECT_TRUE(mentions(words, "chlorhexidine")) << words;
  for (const char* words : {"", "chlorhexidinium", "latex", "chlor hexidine"})
    EXPECT_FALSE(mentions(words, "chlorhexidine")) << words;
  EXPECT_TRUE(mentions("local anaesthetics", "local anaesthetics"));
  EXPECT_FALSE(mentions("anything", ""));
}

TEST(Mentions, ALetterBeyondAsciiIsALetter) {
  EXPECT_FALSE(mentions("yodoformé", "yodoform"));
  EXPECT_TRUE(mentions("alergia a la clorhexidina", "clorhexidina"));
}

}  // namespace
}  // namespace dwell::text

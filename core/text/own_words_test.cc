#include "text/own_words.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace dwell::text {
namespace {

TEST(OwnWords, StandBetweenMarksThatNothingWithinCloses) {
  EXPECT_EQ(quoted("no pain"), "“no pain”");
  EXPECT_EQ(quoted("a” Signed: B “c"), "“a’ Signed: B ‘c”");
  EXPECT_EQ(quoted(""), "");
}

TEST(OwnWords, AreOnOneLine) {
  EXPECT_EQ(one_line("a\nb\tc"), "a ⏎ b c");
  EXPECT_EQ(one_line("a\u2028b\u0085c"), "a ⏎ b ⏎ c");
  EXPECT_EQ(one_line("a\u202Eb\rc"), "a\uFFFDb\uFFFDc");
  EXPECT_EQ(one_line("\xFF"), "\uFFFD");
  EXPECT_EQ(one_line("“Ödön”"), "“Ödön”") << "the marks of the document stay";
}

TEST(OwnWords, AreAttributed) {
  EXPECT_EQ(attributed("told: “a”; “b”", "M. Koller"), "told: M. Koller wrote: “a”; M. Koller wrote: “b”");
  EXPECT_EQ(attributed("told: “a”", ""), "told: “a”");
  EXPECT_EQ(attributed("“a”", "M. “K”"), "M. ‘K’ wrote: “a”");
}

RC_GTEST_PROP(OwnWordsProperty, HoldOneMarkAtEachEndAndNoLineBreak, (const std::string& any)) {
  const auto words = text::quoted(any + "”“\n\u2029x");
  RC_ASSERT(words.find(opening, 1) == std::string::npos);
  RC_ASSERT(words.find(closing) == words.size() - closing.size());
  RC_ASSERT(words.find_first_of("\n\r\v\f") == std::string::npos);
}

}  // namespace
}  // namespace dwell::text

#include "say/text.h"
#include "text/each_text.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace dwell::text {
namespace {

FieldErrors faults(std::string_view text, Rule rule) {
  FieldErrors errors;
  check("/here", text, rule, errors);
  return errors;
}
bool is_name(std::string_view text) { return faults(text, Rule::name).empty(); }
bool is_note(std::string_view text) { return faults(text, Rule::note).empty(); }

std::string repeated(std::string_view text, std::size_t times) {
  std::string out;
  for (std::size_t i = 0; i < times; ++i) out += text;
  return out;
}

TEST(TextRule, NamesOfManyWritingsAreNames) {
  for (const char* name : {"", "M. Koller", "Ödön O'Brien-Ng", "李 雷", "Ηλέκτρα", "محمد", "Ward 3 (east)", "x"})
    EXPECT_TRUE(is_name(name)) << name;
}

TEST(TextRule, ANameIsOneLineOfWhatCanBeSeen) {
  for (const char* name :
       {"A\nSigned: B", "A\r",      "A\tB",     "A\u2028B", "A\u2029B", "A\u0085B", "A\u202EB", "A\u2066B",
        "A\u200EB",     "A\u061CB", "A\u200BB", "A\u200DB", "A\u00ADB", "A\uFEFFB", "\u3164",   "\U000E0041",
        "A\x7F",        " ",        "\u00A0",   " A",       "A ",       "A\u3000"})
    EXPECT_EQ(faults(name, Rule::name).size(), 1u) << name;
  EXPECT_FALSE(is_name(std::string_view("A\0B", 3)));
}

TEST(TextRule, ANoteHasLinesAndTabsAndNothingThatTurnsThem) {
  EXPECT_TRUE(is_note(" two lines\n\tand a tab "));
  EXPECT_TRUE(is_note("\U0001F469\u200D\u2695\uFE0F")) << "an emoji joined of several";
  for (const char* note : {"A\r\nB", "A\u2028B", "A\u0085B", "A\u202EB", "A\u2067B", "A\u200FB", "A\x1B[2K"})
    EXPECT_EQ(faults(note, Rule::note).size(), 1u) << note;
}

TEST(TextRule, CountsCharactersNotBytes) {
  EXPECT_TRUE(is_name(repeated("é", 200)));
  EXPECT_FALSE(is_name(repeated("é", 201)));
  EXPECT_TRUE(is_note(repeated("é", 4000)));
  EXPECT_FALSE(is_note(repeated("é", 4001)));
}

TEST(TextRule, RefusesWhatIsNotUtf8) {
  for (const char* bytes : {"\xFF", "\xC0\x80", "\xED\xA0\x80", "\xC3", "\xF4\x90\x80\x80"}) {
    EXPECT_FALSE(is_name(bytes));
    EXPECT_FALSE(is_note(bytes));
  }
}

TEST(TextRule, NamesWhatWasFoundWithoutRepeatingIt) {
  const auto errors = faults("ab\u202Ecd", Rule::name);
  ASSERT_EQ(errors.size(), 1u);
  EXPECT_EQ(errors.front().path, "/here");
  EXPECT_EQ(errors.front().found, "U+202E");
  EXPECT_EQ(errors.front().expected, say::no_turned_reading_order(3));
}

RC_GTEST_PROP(TextRuleProperty, EveryNameIsANote, (const std::string& text)) {
  if (is_name(text)) RC_ASSERT(is_note(text));
}

RC_GTEST_PROP(TextRuleProperty, AnAcceptedNameIsOneLine, ()) {
  const auto text =
      *rc::gen::container<std::string>(rc::gen::element('A', ' ', '\n', '\r', '\t', '\0', '\xC2', '\x85'));
  if (is_name(text)) RC_ASSERT(text.find_first_of("\n\r\t\v\f") == std::string::npos);
}

struct Bed {
  std::string number, note;
};
constexpr auto names_in(const Bed*) { return std::tuple(&Bed::number); }
struct Remark {
  std::string said;
};

enum class Kind { one };
struct Ward {
  std::map<std::string, std::string> remarks;
  std::map<Kind, Bed> beds;
  std::optional<std::vector<Bed>> more;
  std::variant<int, Remark> last;
};
BOOST_DESCRIBE_STRUCT(Bed, (), (number, note))
BOOST_DESCRIBE_STRUCT(Remark, (), (said))
BOOST_DESCRIBE_STRUCT(Ward, (), (remarks, beds, more, last))

TEST(EachText, IsMetWithItsRuleAndPlace) {
  Ward ward{{{"key", "value"}}, {{Kind::one, {"12", "near"}}}, {{{"13", "far"}}}, Remark{"x"}};
  std::vector<std::string> met;
  each_text(ward, [&](const std::string& text, Rule rule, const Trail& trail) {
    met.push_back(trail.path() + " " + text + (rule == Rule::name ? " name" : " note"));
  });
  EXPECT_EQ(met, (std::vector<std::string>{"/remarks/key key name", "/remarks/key value note", "/beds/number 12 name",
                                           "/beds/note near note", "/more/0/number 13 name", "/more/0/note far note",
                                           "/last/said x note"}));
}

TEST(TextRule, IsDeclaredBesideTheType) {
  static_assert(rule_of<Bed>(&Bed::number) == Rule::name);
  static_assert(rule_of<Bed>(&Bed::note) == Rule::note);
  static_assert(rule_of<Remark>(&Remark::said) == Rule::note, "what nobody declared is a note");
}

}  // namespace
}  // namespace dwell::text

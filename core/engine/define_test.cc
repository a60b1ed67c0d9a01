#include "engine/define.h"

#include <gtest/gtest.h>

namespace dwell::engine {
namespace {

struct Asked {
  int number = 0;
};
BOOST_DESCRIBE_STRUCT(Asked, (), (number))

json::Value call(const Function& function, const Library& library, const char* input = R"({"number": 3})") {
  return function.call(json::parse_text(input).value(), library, policy::decimal_sign(library.policy)).value();
}

Checked<int> twice(const Asked& in) { return in.number * 2; }
int of_a_copy(Asked in) { return in.number; }
std::string of_parts(const Asked& in, const policy::Policy& policy, const infusate::Formulary& formulary,
                     const policy::Watch& watch, const device::Catalogue& catheters) {
  return policy.name + std::to_string(in.number) + std::to_string(formulary.size()) + show(watch.soon.value) +
         std::to_string(catheters.size());
}
Checked<int> refused(const Asked&) { return refuse("/number", "3", in_english_only("another")); }

TEST(Define, TakesAFunctionAsItStands) {
  const Function function = define<&twice>("a", "A.");
  EXPECT_EQ(function.name, "a");
  EXPECT_EQ(function.summary, "A.");
  EXPECT_EQ(call(function, {}), 6);
  EXPECT_EQ(call(define<&of_a_copy>("a", "A."), {}), 3);
  EXPECT_EQ(function.call(json::parse_text("{}").value(), {}, DecimalSign::point).error().front().path, "/number");
  EXPECT_EQ(define<&refused>("a", "A.")
                .call(json::parse_text(R"({"number": 3})").value(), {}, DecimalSign::point)
                .error()
                .front()
                .expected,
            in_english_only("another"));
}

TEST(Define, HandsEachPartOfTheLibraryThatIsAskedFor) {
  Library library;
  library.policy.name = "ward ";
  library.policy.watch.soon.value = std::chrono::minutes{30};
  library.infusates["water"] = {};
  EXPECT_EQ(call(define<&of_parts>("a", "A."), library).as_string(), "ward 3130 min0");
}

TEST(Define, TakesALambdaAndHowDecimalsAreWritten) {
  Library library;
  library.policy.decimal_sign = Figure<DecimalSign>{DecimalSign::comma, "", Mark::practice};
  const auto sign = [](const Asked&, const Library& whole, const DecimalSign& sign) {
    return sign == DecimalSign::comma && policy::decimal_sign(whole.policy) == sign;
  };
  EXPECT_EQ(call(define("a", "A.", sign), library), true);
  EXPECT_EQ(call(define("a", "A.", sign), {}), false);
}

}  // namespace
}  // namespace dwell::engine

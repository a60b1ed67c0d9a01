// Wherever a weight and a birth date are both given the same question is asked, and nowhere is a birth date to come
// taken: tried on the example of each function that takes a patient, or a weight and the person it belongs to.
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <sstream>

#include "engine/engine.h"
#include "exchange/library.h"
#include "say/growth.h"

namespace dwell::engine {
namespace {

struct Asked {
  const char* function;
  const char* who;  ///< the member that holds birth date and sex
  /// The answer says it; the rest of a patient's functions do not go by the weight, or have no day.
  bool questions = true;
};

std::ostream& operator<<(std::ostream& out, const Asked& asked) { return out << asked.function; }

class WeightForAge : public testing::TestWithParam<Asked> {
 protected:
  /// The example with a weight of 80 kg and this birth date.
  static Checked<json::Value> answer(const Asked& asked, const std::string& birth_date) {
    std::ostringstream text;
    text << std::ifstream(std::string(EXAMPLES) + "/" + asked.function + ".json").rdbuf();
    json::Object input = json::parse_text(text.str())->as_object();
    if (std::string_view(asked.who) == "person")
      input["person"] = json::Object{{"birth_date", birth_date}, {"sex", "female"}, {"today", "2026-11-25"}};
    else
      input.at("patient").as_object()["birth_date"] = birth_date;
    (std::string_view(asked.who) == "person" ? input : input.at("patient").as_object())["weight"] = "80 kg";
    return call(asked.function, input, exchange::default_library());
  }
};

TEST_P(WeightForAge, IsQuestionedWhereverBothAreGiven) {
  const auto& asked = GetParam();
  const auto says = [&](const char* birth_date) {
    const auto found = answer(asked, birth_date);
    EXPECT_TRUE(found.has_value()) << (found ? "" : found.error().front().path + found.error().front().expected.id());
    // The line of the chart goes by the example's sex; the weight and the age before it do not.
    return found && json::to_text(*found).find(
                        R"("weight_far_above_chart","args":{"weight":{"quantity":[["80","kg"]]},)"
                        R"("age":{"messages":[{"id":"age_in_years","args":{"years":{"count":2,)") != std::string::npos;
  };
  EXPECT_EQ(says("2024-11-01"), asked.questions);
  EXPECT_FALSE(says("1970-11-01"));
}

TEST_P(WeightForAge, OfADayToComeIsRefused) {
  const auto& asked = GetParam();
  const auto found = answer(asked, "2027-01-01");
  ASSERT_FALSE(found.has_value());
  EXPECT_EQ(found.error().front().path, std::string("/") + asked.who + "/birth_date");
  EXPECT_EQ(found.error().front().expected, say::a_day_that_has_come());
}

INSTANTIATE_TEST_SUITE_P(Engine, WeightForAge,
                         testing::Values(Asked{"dosing.check_order", "patient"}, Asked{"device.plan", "patient"},
                                         Asked{"procedure.placing", "patient"}, Asked{"growth.weight", "patient"},
                                         Asked{"line.age", "patient", false}, Asked{"dosing.dose_rate", "person"},
                                         Asked{"dosing.transfusion", "person"}, Asked{"dosing.push", "person"},
                                         Asked{"hydration.maintenance", "person"}, Asked{"hydration.deficit", "person"},
                                         Asked{"hydration.sodium", "person"}, Asked{"hydration.forecast", "person"},
                                         Asked{"hydration.balance", "person"}),
                         [](const auto& one) {
                           std::string name = one.param.function;
                           std::replace(name.begin(), name.end(), '.', '_');
                           return name;
                         });

}  // namespace
}  // namespace dwell::engine

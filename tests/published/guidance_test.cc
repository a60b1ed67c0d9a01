// What guidance asks to be seen and acted upon, sign by sign, through the engine as every host asks it.
//   [CDC 2011]  peripheral catheters come out at signs of phlebitis (warmth, tenderness, redness, palpable cord), of
//               infection, or when they do not work (value from memory)
//   [CDC 2002]  MMWR 51(RR-10), item II.A: tenderness at the site or fever without another source: the dressing comes
//   off
//               and the site is looked at (read)
//   [INS]       infiltration is graded from the first blanching, coolness or swelling on (value from memory)
#include <gtest/gtest.h>

#include "engine/engine.h"
#include "exchange/library.h"

namespace dwell::engine {
namespace {

struct Guidance {
  const char* name;
  const char* sign;
  const char* harm;  ///< of what runs
  const char* source;
};

std::ostream& operator<<(std::ostream& out, const Guidance& g) { return out << g.name; }

class PublishedGuidance : public testing::TestWithParam<Guidance> {};

TEST_P(PublishedGuidance, OneSignIsEnoughToBeAskedAbout) {
  const auto& g = GetParam();
  const auto answer =
      call("site.assess",
           json::Object{{"signs", json::Object{{"assessed", true}, {"present", json::Array{g.sign}}}},
                        {"exposure", json::Object{{"harm", g.harm}, {"leak_family", "none"}, {"flow", "100 mL/h"}}}},
           exchange::default_library());
  ASSERT_TRUE(answer.has_value()) << answer.error().front().path;
  bool graded = false;
  for (const auto& grade : answer->at("grades").as_array()) {
    const auto* number = grade.as_object().if_contains("grade");
    graded = graded || (number && number->is_int64() && number->as_int64() > 0);
  }
  const bool asked = answer->at("ask").as_bool() || answer->as_object().contains("response");
  EXPECT_TRUE(graded || asked) << g.source;
}

INSTANTIATE_TEST_SUITE_P(Phlebitis, PublishedGuidance,
                         testing::Values(Guidance{"warmth", "warmth", "harmless", "[CDC 2011]"},
                                         Guidance{"tenderness", "pain", "harmless", "[CDC 2011], [CDC 2002]"},
                                         Guidance{"redness", "redness", "harmless", "[CDC 2011]"},
                                         Guidance{"palpable cord", "palpable_cord", "harmless", "[CDC 2011]"},
                                         Guidance{"streak", "streak", "harmless", "phlebitis scales (secondary)"}));
INSTANTIATE_TEST_SUITE_P(Infection, PublishedGuidance,
                         testing::Values(Guidance{"pus", "pus", "harmless", "[CDC 2011]"},
                                         Guidance{"fever", "fever", "harmless", "[CDC 2002]"}));
INSTANTIATE_TEST_SUITE_P(
    Infiltration, PublishedGuidance,
    testing::Values(Guidance{"blanching", "blanching", "harmless", "[INS]"},
                    Guidance{"coolness", "coolness", "harmless", "[INS]"},
                    Guidance{"swelling", "swelling", "harmless", "[INS]"},
                    Guidance{"leaking", "leaking", "harmless", "[INS]"},
                    Guidance{"swelling over a vesicant", "swelling", "vesicant", "[INS], grade 4"},
                    Guidance{"swelling over the unknown", "swelling", "unknown", "unknown is not harmless"},
                    Guidance{"numbness", "numbness", "harmless", "teaching page on nerve contact (read)"},
                    Guidance{"slow refill", "poor_circulation", "harmless", "emergency text on compartments (read)"}));

}  // namespace
}  // namespace dwell::engine

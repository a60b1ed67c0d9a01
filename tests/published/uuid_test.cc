// Source: RFC 9562 (May 2024), appendix A.6, example of a UUIDv7; the layout in section 5.7. The other versions are the
// examples of appendices A.1 to A.5 and B.1, values from memory.
#include <gtest/gtest.h>

#include "line/event.h"

namespace dwell::line {
namespace {

constexpr std::string_view example = "017f22e2-79b0-7cc3-98c4-dc0c0c07398f";

TEST(PublishedUuid, ExampleOfVersion7) {
  // Tuesday, 22 February 2022, 14:22:22.00, GMT-05:00; rand_a 0xCC3; rand_b 0x18C4DC0C0C07398F
  const auto moment = parse_instant("2022-02-22T14:22:22-05:00").value();
  EXPECT_EQ(moment.time_since_epoch().count(), 0x017F22E279B0);
  EXPECT_EQ(make_id(moment, {0x0C, 0xC3, 0x18, 0xC4, 0xDC, 0x0C, 0x0C, 0x07, 0x39, 0x8F}), example);
  EXPECT_TRUE(is_id(example));
}

TEST(PublishedUuid, VersionAndVariantAreSetWhateverTheRandomBits) {
  // Section 5.7: version bits 0111, variant bits 10. The same moment with every random bit set.
  const auto moment = Instant{std::chrono::milliseconds{0x017F22E279B0}};
  EXPECT_EQ(make_id(moment, {255, 255, 255, 255, 255, 255, 255, 255, 255, 255}),
            "017f22e2-79b0-7fff-bfff-ffffffffffff");
  EXPECT_EQ(make_id(moment, {}), "017f22e2-79b0-7000-8000-000000000000");
}

TEST(PublishedUuid, OtherVersionsAreNotOurs) {
  for (const std::string_view other : {"c232ab00-9414-11ec-b3c8-9f6bdeced846", "5df41881-3aed-3515-88a7-2f4a814cf09e",
                                       "919108f7-52d1-4320-9bac-f847db4148a8", "2ed6657d-e927-568b-95e1-2665a8aea6a2",
                                       "1ec9414c-232a-6b00-b3c8-9f6bdeced846", "2489e9ad-2ee2-8e00-8ec9-32d5f69181c0"})
    EXPECT_FALSE(is_id(other)) << other;
}

TEST(PublishedUuid, NilAndMaxAreNotIds) {
  // Sections 5.9 and 5.10.
  EXPECT_FALSE(is_id("00000000-0000-0000-0000-000000000000"));
  EXPECT_FALSE(is_id("ffffffff-ffff-ffff-ffff-ffffffffffff"));
}

}  // namespace
}  // namespace dwell::line

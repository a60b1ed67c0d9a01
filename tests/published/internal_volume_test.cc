// What tubes hold, and the flush that clears them.
//   Goossens 2015 (Nursing Research and Practice, 985686), table 4 (read): a peripheral catheter's internal volume 0.03
//   mL. Macfie 1990 (Anaesthesia), abstract (read): 10 to 30 % of a dose of 1 mL stays in the cannula with its hub. A
//   package of R for mass spectrometry, tubing of its two documented calls: the same formula, in micrometres (read;
//   values computed with it).
//   A health technology report, Ontario 2014, table 17 (read): about 3.5 mL from a set's lower port to the vein, so a
//   flush of more than 3.5 mL alone clears it. An open textbook of clinical skills (read): a locked line is flushed
//   with 3 to 5 mL. Lengths and bores of common tubes: our arithmetic, by hand.
#include <gtest/gtest.h>

#include "exchange/library.h"
#include "procedure/flush_volume.h"

namespace dwell::procedure {
namespace {

struct Tube {
  double bore_mm, length_mm, microlitres, within;
};

class PublishedTube : public testing::TestWithParam<Tube> {};

TEST_P(PublishedTube, HoldsWhatItsBoreAndLengthSay) {
  const auto& c = GetParam();
  EXPECT_NEAR(in(tube_volume(c.bore_mm * millimetre, c.length_mm * millimetre), millilitre) * 1000, c.microlitres,
              c.within);
}

INSTANTIATE_TEST_SUITE_P(Rows, PublishedTube,
                         testing::Values(Tube{0.024, 450, 0.203575, 1e-6},  // R, first documented call
                                         Tube{0.047, 330, 0.572532, 1e-6},  // R, second documented call
                                         Tube{1.0, 1000, 785.398, 1e-3},    // by hand: π/4 mL a metre
                                         Tube{1.5, 1000, 1767.146, 1e-3},   // by hand: × 2.25
                                         Tube{3.0, 1500, 10602.875, 1e-3},  // by hand: a set's tubing
                                         Tube{1.2, 150, 169.646, 1e-3},     // by hand: a short extension
                                         Tube{0.745, 32, 13.949, 1e-3},     // by hand: 20 gauge
                                         Tube{0.59, 25, 6.835, 1e-3},       // by hand: 22 gauge
                                         Tube{0.429, 19, 2.746, 1e-3}));    // by hand: 24 gauge

FlushVolume of(int gauge, double length_mm, std::vector<LinePart> parts) {
  const auto& ward = exchange::default_library();
  FlushVolumeInput line;
  line.today = *parse_date("2026-11-25");
  line.patient.birth_date = *parse_date("1970-05-05");
  line.gauge = Gauge{gauge};
  line.length = length_mm * millimetre;
  line.parts = std::move(parts);
  return *flush_volume(line, ward.catheters, ward.add_ons, ward.policy.place);
}

TEST(PublishedFlush, APeripheralCatheterHoldsAsMuchAsGoossensSays) {
  // 0.03 mL without its hub: that of an 18 gauge catheter of 45 mm; others of the catalogue hold from a tenth to three
  // times that.
  const auto hub = exchange::default_library().add_ons.front().holds;
  EXPECT_NEAR(in(Volume(*of(18, 45, {}).holds - hub), millilitre), 0.03, 0.005);
  EXPECT_GT(in(Volume(*of(24, 19, {}).holds - hub), millilitre), 0.0025);
  EXPECT_LT(in(Volume(*of(16, 50, {}).holds - hub), millilitre), 0.09);
}

TEST(PublishedFlush, ACannulaWithItsHubHoldsWhatMacfieMeasured) {
  for (const int gauge : {16, 18, 20, 22, 24}) {
    const double holds = in(*of(gauge, 25, {}).holds, millilitre);
    EXPECT_GE(holds, 0.1);
    EXPECT_LE(holds, 0.3 + 0.1);  // the most of the abstract stands for the hub, the catheter comes on top
  }
}

TEST(PublishedFlush, ThreeAndAHalfMillilitresOfTubingTakeMoreThanSeven) {
  const auto flush = of(20, 32, {{"set from its lower port", 3.5 * millilitre}});
  EXPECT_GT(in(*flush.volume, millilitre), 7.0);
  EXPECT_GE(in(*flush.least, millilitre), 2 * 3.5);
}

TEST(PublishedFlush, ALockedLineTakesTheTextbooksThreeToFive) {
  const auto flush = of(20, 32, {{"short_extension"}, {"connector"}});
  EXPECT_LE(in(*flush.least, millilitre), 3.0);
  EXPECT_GE(in(*flush.volume, millilitre), 3.0);
  EXPECT_LE(in(*flush.volume, millilitre), 5.0);
}

}  // namespace
}  // namespace dwell::procedure

// The times and limits of the default policy against the guidance that each of them cites: inside the span that the
// guidance gives, at its careful end where texts disagree, and carrying the mark of how well that text was read.
//   [INS site]   Infusion Nurses Society on site checks, 2012 and 2016, as a web page reports (weak); newborn and
//   child: a
//                children's hospital guideline, read in a copy (secondary)
//   [locked]     emergency departments of a health service: once a shift; one hospital every 8 h (secondary)
//   [local]      local rules: vesicants 5 to 30 min (secondary), flexion sites (value from memory)
//   [INS 2021]   Infusion Therapy Standards of Practice 2021, as a skills textbook reports (secondary)
//   [sets]       set-change charts that cite INS and CDC 2011 (secondary)
//   [CDC 2011]   emergency lines by 48 h (value from memory); emergency departments of a health service 24 h
//   (secondary) [idle]       INS 2016 and 2021, not used for 24 h (value from memory) [flush]      every 12 h, open
//   textbook of clinical skills (secondary); INS at least every 24 h (value from memory) [RNAO]       table of
//   antiseptic times (read); [BC] open textbook of clinical procedures, about 30 s (secondary) [INS dry]
//   povidone-iodine 1.5 to 2 min, as Palese & Cescon 2013 report (secondary) [Open RN]    nursing skills checklist:
//   press 2 to 3 min, 5 to 10 min with an anticoagulant (read) [Webster]    Webster 2015 and Rickard 2012: phlebitis
//   looked for until 48 h after removal (read) [MAGIC]      short peripheral up to 5 d, opening part read in a copy
//   (secondary); 6 to 14 d longer peripheral, as reported (secondary) [UK blood]   UK transfusion handbook: finished
//   within 4 h of leaving storage (read) [tourniquet] at most 1 min, a laboratory standard as reported (secondary), 2
//   min the usual ceiling (value from memory)
#include <gtest/gtest.h>

#include <functional>

#include "exchange/library.h"
#include "quantity/display.h"

namespace dwell::policy {
namespace {

using std::chrono::hours;
using std::chrono::minutes;
using std::chrono::seconds;
using enum SiteCheckClass;

const Policy& standard() { return exchange::default_library().policy; }
Figure<Interval> look(SiteCheckClass kind) { return standard().watch.site_check.at(kind); }
Figure<Interval> numb(const char* key) { return standard().place.topical_anaesthetics.at(key).dwell; }
const Antiseptic& antiseptic(const char* key) { return standard().place.antiseptics.at(key); }

/// The careful end of a span is the shorter time for what must not wait, the longer for what must not be cut short.
enum class Careful { shorter, longer, either };

struct Guidance {
  const char* name;
  std::function<Figure<Interval>()> figure;
  seconds from, to;
  Careful careful;
  Mark mark;
};

std::ostream& operator<<(std::ostream& out, const Guidance& i) { return out << i.name; }

class PublishedIntervals : public testing::TestWithParam<Guidance> {};

TEST_P(PublishedIntervals, InsideTheGuidanceAtItsCarefulEnd) {
  const auto& guidance = GetParam();
  const auto figure = guidance.figure();
  EXPECT_GE(figure.value, guidance.from) << show(figure.value);
  EXPECT_LE(figure.value, guidance.to) << show(figure.value);
  if (guidance.careful == Careful::shorter) {
    EXPECT_EQ(figure.value, guidance.from);
  }
  if (guidance.careful == Careful::longer) {
    EXPECT_EQ(figure.value, guidance.to);
  }
  EXPECT_EQ(figure.mark, guidance.mark);
  EXPECT_FALSE(figure.source.empty());
}

#define FIGURE(expression) [] { return Figure<Interval>(expression); }

INSTANTIATE_TEST_SUITE_P(SiteChecks, PublishedIntervals,
                         testing::Values(Guidance{"[INS site] adult, 4 h", FIGURE(look(adult_infusing)), hours{4},
                                                  hours{4}, Careful::shorter, Mark::weak},
                                         Guidance{"[INS site] cannot report, 1 to 2 h", FIGURE(look(cannot_report)),
                                                  hours{1}, hours{2}, Careful::shorter, Mark::weak},
                                         Guidance{"[INS site] newborn and child, 1 h", FIGURE(look(child)), hours{1},
                                                  hours{1}, Careful::shorter, Mark::secondary},
                                         Guidance{"[local] vesicant, 5 to 15 min", FIGURE(look(vesicant)), minutes{5},
                                                  minutes{15}, Careful::either, Mark::secondary},
                                         Guidance{"[local] flexion site, 1 to 2 h", FIGURE(look(flexion_site)),
                                                  hours{1}, hours{2}, Careful::shorter, Mark::memory},
                                         Guidance{"[locked] 8 h, else each shift", FIGURE(look(locked)), hours{8},
                                                  hours{12}, Careful::shorter, Mark::secondary}));

INSTANTIATE_TEST_SUITE_P(
    Dwell, PublishedIntervals,
    testing::Values(Guidance{"[INS 2021] film, 7 d", FIGURE(standard().watch.film_dressing), hours{5 * 24},
                             hours{7 * 24}, Careful::either, Mark::secondary},
                    Guidance{"[INS 2021] gauze, 2 d", FIGURE(standard().watch.gauze_dressing), hours{48}, hours{48},
                             Careful::shorter, Mark::secondary},
                    Guidance{"[sets] continuous, from 96 h to 7 d", FIGURE(standard().watch.set_continuous), hours{96},
                             hours{7 * 24}, Careful::shorter, Mark::secondary},
                    Guidance{"[sets] intermittent, 24 h", FIGURE(standard().watch.set_intermittent), hours{24},
                             hours{24}, Careful::shorter, Mark::secondary},
                    Guidance{"[sets] blood, 4 h INS, 24 h CDC", FIGURE(standard().watch.set_blood), hours{4}, hours{24},
                             Careful::shorter, Mark::secondary},
                    Guidance{"[sets] connector, from 96 h to 7 d", FIGURE(standard().watch.add_ons), hours{96},
                             hours{7 * 24}, Careful::longer, Mark::secondary},
                    Guidance{"[practice] tubing traced on arrival", FIGURE(standard().watch.trace_after_move),
                             minutes{5}, minutes{15}, Careful::either, Mark::practice},
                    Guidance{"[practice] a task waits 1 h at most", FIGURE(standard().watch.longest_put_off),
                             minutes{15}, hours{1}, Careful::either, Mark::practice},
                    Guidance{"[flush] locked", FIGURE(standard().watch.flush_locked), hours{8}, hours{24},
                             Careful::either, Mark::secondary},
                    Guidance{"[idle] 24 h", FIGURE(standard().watch.idle), hours{24}, hours{24}, Careful::shorter,
                             Mark::memory},
                    Guidance{"[CDC 2011] emergency, 48 h", FIGURE(standard().watch.emergency_dwell), hours{24},
                             hours{48}, Careful::either, Mark::secondary},
                    Guidance{"[MAGIC] short peripheral, 5 d", FIGURE(standard().infusate.longest_short_peripheral),
                             hours{5 * 24}, hours{6 * 24}, Careful::shorter, Mark::secondary},
                    Guidance{"[MAGIC] longer peripheral, 14 d", FIGURE(standard().infusate.longest_longer_peripheral),
                             hours{6 * 24}, hours{14 * 24}, Careful::either, Mark::secondary},
                    Guidance{"[UK blood] 4 h", FIGURE(standard().order.blood_hang), hours{4}, hours{4},
                             Careful::shorter, Mark::read}));

// Creams and gels before a vein is entered: drug references and a dosage page, each with its mark.
INSTANTIATE_TEST_SUITE_P(TopicalAnaesthetics, PublishedIntervals,
                         testing::Values(Guidance{"lidocaine with prilocaine, 60 min",
                                                  FIGURE(numb("lidocaine_prilocaine")), minutes{60}, minutes{60},
                                                  Careful::longer, Mark::secondary},
                                         Guidance{"tetracaine 4 %, 45 min for a cannula", FIGURE(numb("tetracaine")),
                                                  minutes{45}, minutes{45}, Careful::longer, Mark::read},
                                         Guidance{"lidocaine 4 %, 30 min", FIGURE(numb("lidocaine")), minutes{30},
                                                  minutes{30}, Careful::longer, Mark::secondary}));

INSTANTIATE_TEST_SUITE_P(
    PlacingAndRemoving, PublishedIntervals,
    testing::Values(
        Guidance{"[tourniquet] 1 to 2 min", FIGURE(standard().place.tourniquet_longest), minutes{1}, minutes{2},
                 Careful::shorter, Mark::secondary},
        Guidance{"[BC] chlorhexidine in alcohol, scrub 30 s", FIGURE(antiseptic("chlorhexidine_alcohol").scrub.value()),
                 seconds{30}, seconds{30}, Careful::longer, Mark::secondary},
        Guidance{"[RNAO] chlorhexidine in alcohol, dry 30 s", FIGURE(antiseptic("chlorhexidine_alcohol").dry.value()),
                 seconds{30}, seconds{30}, Careful::longer, Mark::read},
        Guidance{"[RNAO] chlorhexidine in water, dry 2 min", FIGURE(antiseptic("chlorhexidine_water").dry.value()),
                 minutes{2}, minutes{2}, Careful::longer, Mark::read},
        Guidance{"[INS dry] povidone-iodine, dry 1.5 to 2 min", FIGURE(antiseptic("povidone_iodine").dry.value()),
                 seconds{90}, minutes{2}, Careful::longer, Mark::secondary},
        Guidance{"[Open RN] pressure, 2 to 3 min", FIGURE(standard().remove.pressure), minutes{2}, minutes{3},
                 Careful::either, Mark::read},
        Guidance{"[Open RN] pressure with an anticoagulant, 5 to 10 min",
                 FIGURE(standard().remove.pressure_anticoagulant), minutes{5}, minutes{10}, Careful::either,
                 Mark::read},
        Guidance{"[Webster] after removal, 48 h", FIGURE(standard().remove.after_watch), hours{48}, hours{48},
                 Careful::longer, Mark::read}));

#undef FIGURE

// RNAO (read): 70 % alcohol dries quickly, no fixed time. None may be made up.
TEST(PublishedLimits, AlcoholHasNoDryTime) { EXPECT_FALSE(antiseptic("alcohol_70").dry.has_value()); }

// CDC 2011 leaves the routine change of adult lines unresolved; INS, as a 2016 text: when clinically indicated (value
// from memory). Only a ward's own policy sets a schedule.
TEST(PublishedLimits, NoRoutineChangeByDefault) { EXPECT_FALSE(standard().watch.routine_dwell.has_value()); }

// INS 2016, standard 33, as an infusion nursing page reports (secondary).
TEST(PublishedLimits, TwoAttemptsEachFourInAll) {
  EXPECT_EQ(standard().place.attempts_per_clinician.value, 2);
  EXPECT_EQ(standard().place.attempts_in_all.value, 4);
  EXPECT_EQ(standard().place.attempts_in_all.mark, Mark::secondary);
}

// East Carolina University, nursing skills page: 10 to 15 cm above the site (secondary).
TEST(PublishedLimits, TourniquetDistance) {
  EXPECT_NEAR(in(standard().place.tourniquet_nearest.value, centimetre), 10, 1e-9);
  EXPECT_NEAR(in(standard().place.tourniquet_farthest.value, centimetre), 15, 1e-9);
  EXPECT_EQ(standard().place.tourniquet_nearest.mark, Mark::secondary);
}

// Ratio: 33 % bench study (read); 41 % first stick, 610 adults (abstract read); 45 % INS 2016/2021 from memory. Share:
// Pandurangadu 2018, n = 86 (read).
TEST(PublishedLimits, ShareOfTheVeinAndInTheVein) {
  const auto& vessel = standard().vessel;
  EXPECT_NEAR(vessel.good_ratio.value.value(), 0.33, 1e-12);
  EXPECT_NEAR(vessel.highest_ratio.value.value(), 0.41, 1e-12);
  EXPECT_EQ(vessel.highest_ratio.mark, Mark::read);
  EXPECT_NEAR(vessel.target_share_in_vein.value.value(), 0.65, 1e-12);
  EXPECT_NEAR(vessel.least_share_in_vein.value.value(), 0.30, 1e-12);
}

// 600: US label caution for hypertonic saline (read). 900: INS 2016 onward, as a chart reports (secondary).
TEST(PublishedLimits, Osmolarity) {
  const auto& limits = standard().infusate;
  EXPECT_NEAR(in(limits.caution_osmolarity.value, milliosmole_per_litre), 600, 1e-9);
  EXPECT_NEAR(in(limits.highest_osmolarity.value, milliosmole_per_litre), 900, 1e-9);
  EXPECT_EQ(limits.highest_osmolarity.mark, Mark::secondary);
}

// NHS Highland (read): 10 mmol/h usual, above 20 only with continuous ECG; above 40 mmol/L only centrally. Leeds
// (read): above 80 mmol/L central.
TEST(PublishedLimits, Potassium) {
  const auto& order = standard().order;
  EXPECT_NEAR(in(order.potassium_rate_caution.value, millimole / hour), 10, 1e-9);
  EXPECT_NEAR(in(order.potassium_rate_stop.value, millimole / hour), 20, 1e-9);
  EXPECT_NEAR(in(order.potassium_concentration_caution.value, millimole / litre), 40, 1e-9);
  EXPECT_NEAR(in(order.potassium_concentration_stop.value, millimole / litre), 80, 1e-9);
}

// NICE CG174 as reported (secondary): 25 to 30 mL/kg a day; frail, renal or cardiac impairment 20 to 25.
TEST(PublishedLimits, AdultMaintenance) {
  const auto per_day = [](const Figure<FlowPerMass>& f) { return in(f.value, millilitre / kilogram / day); };
  const auto& order = standard().order;
  EXPECT_NEAR(per_day(order.maintenance_low), 25, 1e-9);
  EXPECT_NEAR(per_day(order.maintenance_high), 30, 1e-9);
  EXPECT_NEAR(per_day(order.maintenance_low_frail), 20, 1e-9);
  EXPECT_NEAR(per_day(order.maintenance_high_frail), 25, 1e-9);
}

// A short press bleeds under the skin: no policy below 30 s is taken (common practice, no source).
TEST(PublishedLimits, PressureHasAFloor) {
  Policy p = standard();
  p.remove.pressure.value = seconds{30};
  EXPECT_TRUE(check(p).empty());
  p.remove.pressure.value = seconds{29};
  const auto errors = check(p);
  ASSERT_EQ(errors.size(), 1u);
  EXPECT_EQ(errors.front().path, "/remove/pressure");
}

}  // namespace
}  // namespace dwell::policy

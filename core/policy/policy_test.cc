#include <gtest/gtest.h>

#include <algorithm>
#include <functional>
#include <set>

#include "exchange/library.h"
#include "json/codec.h"

namespace dwell::policy {
namespace {

const Policy& standard() { return exchange::default_library().policy; }

bool names(const FieldErrors& errors, const std::string& path) {
  return std::any_of(errors.begin(), errors.end(), [&](const FieldError& e) { return e.path == path; });
}

TEST(PolicyCheck, TheDefaultIsGood) { EXPECT_TRUE(check(standard()).empty()); }

TEST(PolicyCheck, NoPolicyPressesForLessThanThirtySeconds) {
  Policy p = standard();
  p.remove.pressure.value = Interval{20};
  EXPECT_TRUE(names(check(p), "/remove/pressure"));
}

TEST(PolicyCheck, AllFaultsAtOnce) {
  Policy p = standard();
  p.infusate.highest_osmolarity.value = 100.0 * milliosmole_per_litre;
  p.watch.site_check.erase(SiteCheckClass::vesicant);
  p.responses.erase("catheter_fragment");
  p.order.older_age.source.clear();
  p.scales.front().grades[1].grade = 0;
  const auto errors = check(p);
  for (const char* path : {"/infusate/highest_osmolarity", "/watch/site_check/vesicant", "/responses/catheter_fragment",
                           "/order/older_age/source", "/scales/0/grades/1/grade"})
    EXPECT_TRUE(names(errors, path)) << path;
}

// A policy from before the giving set had figures of its own: it names tubing and a bedside factor, and no set.
TEST(PolicyCheck, OneWithTheBedsideFactorCanStillBeRead) {
  auto text = json::encode(standard());
  auto& gravity = text.as_object()["gravity"].as_object();
  for (const char* newer : {"ward_set", "wide_set", "venous_spread", "sleeve_shift", "sleeve_spread", "rig_spread"})
    gravity.erase(newer);
  for (const auto& [name, value] : {std::pair{"tubing_bore", "3 mm"},
                                    {"tubing_length", "180 cm"},
                                    {"bedside_factor", "80 %"},
                                    {"bedside_factor_low", "58 %"},
                                    {"bedside_factor_high", "100 %"}})
    gravity[name] = json::Object{{"value", value}, {"source", "common practice, no source"}, {"mark", "practice"}};
  const auto read = json::decode<Policy>(text);
  ASSERT_TRUE(read.has_value());
  EXPECT_TRUE(check(*read).empty());
  EXPECT_FALSE(read->gravity.ward_set.has_value());
  EXPECT_TRUE(read->gravity.bedside_factor.has_value());
}

// One fault at a time, so that a check that is lost is seen.
struct Fault {
  const char* path;
  std::function<void(Policy&)> make;
};

TEST(PolicyCheck, EachFaultHasItsPath) {
  const Fault faults[]{
      {"/remove/pressure_anticoagulant", [](Policy& p) { p.remove.pressure_anticoagulant.value = Interval{60}; }},
      {"/remove/length_tolerance", [](Policy& p) { p.remove.length_tolerance.value = 20.0 * millimetre; }},
      {"/remove/after_watch", [](Policy& p) { p.remove.after_watch.value = Interval{0}; }},
      {"/place/usual_antiseptic", [](Policy& p) { p.place.usual_antiseptic = "soap"; }},
      {"/place/antiseptics/chlorhexidine_alcohol/dry",
       [](Policy& p) { p.place.antiseptics["chlorhexidine_alcohol"].dry->value = Interval{0}; }},
      {"/place/insertion_angle/adult/value",
       [](Policy& p) { p.place.insertion_angle.at(line::AgeBand::adult).value = {}; }},
      {"/place/attempts_per_clinician", [](Policy& p) { p.place.attempts_per_clinician.value = 0; }},
      {"/place/attempts_in_all", [](Policy& p) { p.place.attempts_in_all.value = 1; }},
      {"/vessel/highest_ratio", [](Policy& p) { p.vessel.highest_ratio.value = Ratio::from_value(4.5); }},
      {"/vessel/target_share_in_vein", [](Policy& p) { p.vessel.least_share_in_vein.value = Ratio::from_value(0.9); }},
      {"/infusate/highest_ph", [](Policy& p) { p.infusate.highest_ph.value = 3; }},
      {"/order/potassium_rate_stop", [](Policy& p) { p.order.potassium_rate_stop.value = AmountRate(); }},
      {"/order/highest_flow", [](Policy& p) { p.order.highest_flow.value = Flow(); }},
      {"/gravity/ward_set/open_flow",
       [](Policy& p) { p.gravity.ward_set->open_flow->value = 5.0 * millilitre / minute; }},
      {"/gravity/ward_set/open_flow_low", [](Policy& p) { p.gravity.ward_set->open_flow_high.reset(); }},
      {"/gravity/wide_set/laminar_share",
       [](Policy& p) { p.gravity.wide_set->laminar_share->value = Ratio::from_value(3); }},
      {"/watch/set_blood", [](Policy& p) { p.watch.set_blood.value = Interval{-1}; }},
      {"/watch/drip_recount", [](Policy& p) { p.watch.drip_recount.value = Interval{0}; }},
      {"/choice/preferred_gauges/child/value",
       [](Policy& p) { p.choice.preferred_gauges[line::AgeBand::child].value.clear(); }},
      {"/choice/region_preference/foot", [](Policy& p) { p.choice.region_preference[access::Region::foot].value = 2; }},
      {"/choice/weight_flow", [](Policy& p) { p.choice.weight_flow.value = -1; }},
      {"/scales/1/credit", [](Policy& p) { p.scales[1].credit = {}; }},
      {"/scales/1/source/text", [](Policy& p) { p.scales[1].source.text.clear(); }},
      {"/scales/1/grades/2/count", [](Policy& p) { p.scales[1].grades[2].count = 4; }},
      {"/scales/1/grades/2/advice", [](Policy& p) { p.scales[1].grades[2].advice = "wait"; }},
      {"/scales/2/grades/2/swelling_below", [](Policy& p) { p.scales[2].grades[2].swelling_below = 1.0 * millimetre; }},
      {"/responses/leak_vesicant_acidic", [](Policy& p) { p.responses.erase("leak_vesicant_acidic"); }},
      {"/responses/haematoma/steps", [](Policy& p) { p.responses["haematoma"].steps.clear(); }},
      {"/responses/occlusion/steps/0/source/text",
       [](Policy& p) { p.responses["occlusion"].steps[0].source.text.clear(); }},
      {"/region_rules/0/card", [](Policy& p) { p.region_rules->front().card = "nothing"; }},
      {"/region_rules/0/regions", [](Policy& p) { p.region_rules->front().regions.clear(); }},
      {"/region_rules/0/source/text", [](Policy& p) { p.region_rules->front().source.text.clear(); }},
      {"/region_rules/4/any_of", [](Policy& p) { p.region_rules->back().any_of.clear(); }},
      {"/remove/stays_listed", [](Policy& p) { p.remove.stays_listed->value = std::chrono::days{13}; }},
  };
  for (const auto& fault : faults) {
    Policy p = standard();
    fault.make(p);
    EXPECT_TRUE(names(check(p), fault.path)) << fault.path;
  }
}

/// The source string and mark of every figure and step, by path.
void each_source(const json::Value& v, const std::string& path,
                 const std::function<void(const std::string&, const std::string&, const std::string&)>& see) {
  if (const auto* object = v.if_object()) {
    for (const char* name : {"source", "text"}) {
      const auto* text = object->contains("mark") ? object->if_contains(name) : nullptr;
      if (text && text->is_string())
        see(path, std::string(text->as_string()), std::string(object->at("mark").as_string()));
    }
    for (const auto& member : *object) each_source(member.value(), path + "/" + std::string(member.key()), see);
  } else if (v.is_array()) {
    std::size_t i = 0;
    for (const auto& item : v.as_array()) each_source(item, path + "/" + std::to_string(i++), see);
  }
}

TEST(PolicyMarks, AMarkAndItsSourceTextAgree) {
  int seen = 0;
  each_source(json::encode(standard()), "",
              [&](const std::string& path, const std::string& source, const std::string& mark) {
                ++seen;
                const bool recalled = source.find("from memory") != std::string::npos;
                const bool no_source = source.starts_with("common practice, no source");
                EXPECT_FALSE(source.empty()) << path;
                EXPECT_FALSE(recalled && mark == "read") << path << ": " << source;
                EXPECT_FALSE(mark == "memory" && !recalled) << path << ": a recalled figure says so; " << source;
                EXPECT_FALSE(no_source && mark != "practice") << path << ": " << source;
              });
  EXPECT_GT(seen, 150);
}

// The reference marks these as known from memory only, or as read in a text of low authority.
TEST(PolicyMarks, RecalledAndWeakFiguresKeepTheirMark) {
  const auto& p = standard();
  using enum SiteCheckClass;
  EXPECT_EQ(p.place.hub_scrub->mark, Mark::memory);
  EXPECT_EQ(p.watch.idle.mark, Mark::memory);
  EXPECT_EQ(p.watch.site_check.at(flexion_site).mark, Mark::memory);
  EXPECT_EQ(p.watch.site_check.at(adult_infusing).mark, Mark::weak);
  EXPECT_EQ(p.watch.site_check.at(cannot_report).mark, Mark::weak);
  EXPECT_EQ(p.vessel.insertion_angle_degrees_older.mark, Mark::weak);
  EXPECT_EQ(p.scales.back().source.mark, Mark::memory);
}

// Read in a copy, on an answer page, or told by another text: second-hand, however good the text is that it tells of.
TEST(PolicyMarks, SecondHandIsNeverRead) {
  const auto& p = standard();
  using enum SiteCheckClass;
  for (const auto kind : {child, infant, neonate, child_locked, vesicant, locked})
    EXPECT_EQ(p.watch.site_check.at(kind).mark, Mark::secondary) << json::name_of(kind);
  EXPECT_EQ(p.place.topical_anaesthetics.at("lidocaine_prilocaine").dwell.mark, Mark::secondary);
  EXPECT_EQ(p.watch.emergency_dwell.mark, Mark::secondary);
  EXPECT_EQ(p.access.vein_saving_stop->mark, Mark::secondary);
}

// Every figure in its JSON form, put to 0 and to something absurd: none is forgotten by the check.
TEST(PolicyCheck, EveryFigureIsBounded) {
  const json::Value good = json::encode(standard());
  int tried = 0;
  const std::set<std::string> may_be_zero{"/remove/length_tolerance", "/choice/weight_gauge", "/choice/weight_region",
                                          "/choice/weight_ratio",     "/choice/weight_share", "/choice/weight_flow",
                                          "/choice/weight_side",      "/infusate/lowest_ph"};
  const auto walk = [&](auto&& self, const json::Value& at, const std::string& path) -> void {
    if (const auto* object = at.if_object()) {
      const auto* value = object->contains("mark") ? object->if_contains("value") : nullptr;
      const bool number = value && (value->is_number() || (value->is_object() && value->as_object().contains("unit")));
      if (number) {
        ++tried;
        for (const double wrong : {-1e9, 0.0, 1e12}) {
          if (wrong == 0.0 && (may_be_zero.contains(path) || path.starts_with("/choice/region_preference/") ||
                               path.starts_with("/gravity/")))
            continue;
          json::Value changed = good;
          json::Value* here = &changed.at_pointer(path).as_object()["value"];
          if (here->is_object())
            here->as_object() = {{"value", wrong}, {"unit", here->as_object().at("unit")}};
          else if (here->is_int64())
            *here = static_cast<std::int64_t>(wrong == 1e12 ? 2000000000 : wrong);
          else
            *here = wrong;
          const auto read = json::decode<Policy>(changed);
          EXPECT_TRUE(!read || !check(*read).empty()) << path << " = " << wrong;
        }
        return;
      }
      for (const auto& member : *object) self(self, member.value(), path + "/" + std::string(member.key()));
    } else if (at.is_array()) {
      std::size_t i = 0;
      for (const auto& item : at.as_array()) self(self, item, path + "/" + std::to_string(i++));
    }
  };
  walk(walk, good, "");
  EXPECT_GT(tried, 120);
}

TEST(PolicyCheck, WhoIsInMoreDangerIsNotLookedAtLessOften) {
  using enum SiteCheckClass;
  for (const auto kind : {vesicant, cannot_report, child, infant, neonate, child_locked}) {
    Policy p = standard();
    p.watch.site_check.at(kind).value = std::chrono::hours{10};
    EXPECT_TRUE(names(check(p), "/watch/site_check/" + std::string(json::name_of(kind)))) << json::name_of(kind);
  }
}

}  // namespace
}  // namespace dwell::policy

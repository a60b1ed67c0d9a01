// How strong and how fast, by generic name: each limit of a label is tried from both sides through the order check. A
// row that the label forbids must be stopped, whatever else is found; a row that it allows must not be stopped for
// strength or speed. Figures come from the texts named in each row, not from the program's own list.
//   (read)       the sentence was read at the address, or in a copy of the label
//   (secondary)  a text reports the label
//   (memory)     value from memory
#include <gtest/gtest.h>

#include "dosing/order.h"
#include "engine/engine.h"
#include "exchange/library.h"

namespace dwell::dosing {
namespace {

enum class Label { allows, forbids };

struct LabelCase {
  const char* name;    ///< in the ward's list
  double milligrams;   ///< of the medicine …
  double millilitres;  ///< … in so much of saline and medicine together
  double minutes;
  Label label;
  bool frail;  ///< heart or kidney failure
  const char* source;
};

std::ostream& operator<<(std::ostream& out, const LabelCase& c) {
  return out << c.name << ", " << c.milligrams << " mg in " << c.millilitres << " mL over " << c.minutes << " min";
}

class PublishedLabel : public testing::TestWithParam<LabelCase> {};

OrderCheckInput order_of(const LabelCase& c, const infusate::Formulary& list) {
  const Mass dose = c.milligrams * milligram;
  const Volume whole = c.millilitres * millilitre;
  const Volume medicine = dose / *list.at(c.name).strength;
  OrderCheckInput in;
  in.order.mixture = medicine < 0.999 * whole
                         ? infusate::Mixture{"sodium chloride 0.9 %", whole - medicine, {{c.name, medicine}}}
                         : infusate::Mixture{c.name, whole, {}};
  in.order.duration = c.minutes * minute;
  in.order.purpose = Purpose::medicine;
  in.patient.weight = 70.0 * kilogram;
  in.patient.birth_date = Date{std::chrono::year{1980} / 5 / 5};
  in.patient.heart_or_kidney_failure = c.frail;
  in.now = *parse_instant("2026-11-25T08:00:00Z");
  return in;
}

/// As every host asks: through the engine.
json::Object checked(const LabelCase& c) {
  const auto& library = exchange::default_library();
  auto answer = engine::call("dosing.check_order", json::encode(order_of(c, library.infusates)), library);
  if (answer) return answer->as_object();
  ADD_FAILURE() << answer.error().front().path << " " << answer.error().front().found;
  return {};
}

TEST_P(PublishedLabel, FromBothSides) {
  const auto& c = GetParam();
  const json::Object answer = checked(c);
  ASSERT_TRUE(answer.contains("verdict"));
  const auto& findings = answer.at("findings").as_array();
  const bool stopped_for_giving = std::any_of(findings.begin(), findings.end(), [](const json::Value& f) {
    return f.at("severity") == "stop" && f.at("code").as_string().starts_with("giving");
  });
  if (c.label == Label::forbids)
    EXPECT_EQ(answer.at("verdict"), "stop") << c.source;
  else
    EXPECT_FALSE(stopped_for_giving) << c.source;
}

constexpr auto allows = Label::allows, forbids = Label::forbids;
constexpr const char* vancomycin = "vancomycin label: at most 5 mg/mL, 10 mg/min or 60 min, whichever is longer (read)";
constexpr const char* phenytoin = "phenytoin label, boxed warning: at most 50 mg/min in adults (read)";
constexpr const char* phenytoin_heart = "handbook on injectable drugs: with heart disease at most 25 mg/min (read)";
constexpr const char* furosemide = "product information: a rate of 4 mg per minute must not be exceeded (read)";
constexpr const char* magnesium = "handbook on injectable drugs: at most 20 %, not above 150 mg a minute (read)";
constexpr const char* calcium =
    "calcium gluconate label: at most 200 mg/min in adults, infused at 5.8 to 10 mg/mL (read)";
constexpr const char* aciclovir = "product information: over 1 h, not above 5 to 7 mg/mL (read)";
constexpr const char* erythromycin = "label as quoted: 1 to 5 mg/mL over 20 to 60 min, never a push (secondary)";
constexpr const char* ciprofloxacin = "product information: over 60 min into a larger vein (read)";
constexpr const char* levofloxacin = "label: 250 or 500 mg over 60 min, 750 mg over 90 min, 5 mg/mL (read)";
constexpr const char* paracetamol = "label: 1 g over 15 min (read)";
constexpr const char* diazepam = "label as quoted: at least one minute for each 5 mg (secondary)";
constexpr const char* amiodarone = "label as quoted: beyond 1 h at most 2 mg/mL by a peripheral vein (secondary)";

INSTANTIATE_TEST_SUITE_P(ByWeightAndTime, PublishedLabel,
                         testing::Values(LabelCase{"vancomycin 5 mg/mL", 500, 100, 60, allows, false, vancomycin},
                                         LabelCase{"vancomycin 5 mg/mL", 500, 100, 59, forbids, false, vancomycin},
                                         LabelCase{"vancomycin 5 mg/mL", 500, 100, 30, forbids, false, vancomycin},
                                         LabelCase{"vancomycin 5 mg/mL", 750, 150, 75, allows, false, vancomycin},
                                         LabelCase{"vancomycin 5 mg/mL", 750, 150, 70, forbids, false, vancomycin},
                                         LabelCase{"vancomycin 5 mg/mL", 1000, 200, 100, allows, false, vancomycin},
                                         LabelCase{"vancomycin 5 mg/mL", 1000, 200, 60, forbids, false, vancomycin},
                                         LabelCase{"vancomycin 5 mg/mL", 1000, 500, 99, forbids, false, vancomycin},
                                         LabelCase{"vancomycin 5 mg/mL", 1250, 250, 125, allows, false, vancomycin},
                                         LabelCase{"vancomycin 5 mg/mL", 1250, 250, 120, forbids, false, vancomycin},
                                         LabelCase{"vancomycin 5 mg/mL", 2000, 400, 200, allows, false, vancomycin},
                                         LabelCase{"vancomycin 5 mg/mL", 2000, 400, 120, forbids, false, vancomycin}));

INSTANTIATE_TEST_SUITE_P(ByRate, PublishedLabel,
                         testing::Values(LabelCase{"phenytoin 10 mg/mL", 500, 50, 10, allows, false, phenytoin},
                                         LabelCase{"phenytoin 10 mg/mL", 500, 50, 9, forbids, false, phenytoin},
                                         LabelCase{"phenytoin 10 mg/mL", 1000, 100, 20, allows, false, phenytoin},
                                         LabelCase{"phenytoin 10 mg/mL", 1000, 100, 15, forbids, false, phenytoin},
                                         LabelCase{"phenytoin 10 mg/mL", 500, 50, 20, allows, true, phenytoin_heart},
                                         LabelCase{"phenytoin 10 mg/mL", 500, 50, 19, forbids, true, phenytoin_heart},
                                         LabelCase{"phenytoin 10 mg/mL", 500, 50, 10, forbids, true, phenytoin_heart},
                                         LabelCase{"furosemide 10 mg/mL", 80, 50, 20, allows, false, furosemide},
                                         LabelCase{"furosemide 10 mg/mL", 80, 50, 19, forbids, false, furosemide},
                                         LabelCase{"furosemide 10 mg/mL", 250, 100, 63, allows, false, furosemide},
                                         LabelCase{"furosemide 10 mg/mL", 250, 100, 30, forbids, false, furosemide},
                                         LabelCase{"magnesium sulfate 4 %", 4000, 100, 30, allows, false, magnesium},
                                         LabelCase{"magnesium sulfate 4 %", 4000, 100, 26, forbids, false, magnesium},
                                         LabelCase{"magnesium sulfate 50 %", 4000, 100, 30, allows, false, magnesium},
                                         LabelCase{"magnesium sulfate 50 %", 4000, 100, 20, forbids, false, magnesium},
                                         LabelCase{"magnesium sulfate 50 %", 10000, 40, 90, forbids, false, magnesium},
                                         LabelCase{"calcium gluconate 10 %", 1000, 100, 20, allows, false, calcium},
                                         LabelCase{"calcium gluconate 10 %", 1000, 100, 4, forbids, false, calcium},
                                         LabelCase{"calcium gluconate 10 %", 2000, 200, 30, allows, false, calcium},
                                         LabelCase{"calcium gluconate 10 %", 2000, 200, 9, forbids, false, calcium},
                                         LabelCase{"diazepam 5 mg/mL", 10, 2, 2, allows, false, diazepam},
                                         LabelCase{"diazepam 5 mg/mL", 10, 2, 1, forbids, false, diazepam}));

INSTANTIATE_TEST_SUITE_P(ByTimeAndStrength, PublishedLabel,
                         testing::Values(LabelCase{"aciclovir 5 mg/mL", 500, 100, 60, allows, false, aciclovir},
                                         LabelCase{"aciclovir 5 mg/mL", 500, 100, 59, forbids, false, aciclovir},
                                         LabelCase{"erythromycin 5 mg/mL", 500, 100, 60, allows, false, erythromycin},
                                         LabelCase{"erythromycin 5 mg/mL", 500, 100, 15, forbids, false, erythromycin},
                                         LabelCase{"ciprofloxacin 2 mg/mL", 400, 200, 60, allows, false, ciprofloxacin},
                                         LabelCase{"ciprofloxacin 2 mg/mL", 400, 200, 30, forbids, false,
                                                   ciprofloxacin},
                                         LabelCase{"levofloxacin 5 mg/mL", 500, 100, 60, allows, false, levofloxacin},
                                         LabelCase{"levofloxacin 5 mg/mL", 500, 100, 30, forbids, false, levofloxacin},
                                         LabelCase{"levofloxacin 5 mg/mL", 750, 150, 90, allows, false, levofloxacin},
                                         LabelCase{"levofloxacin 5 mg/mL", 750, 150, 60, forbids, false, levofloxacin},
                                         LabelCase{"paracetamol 10 mg/mL", 1000, 100, 15, allows, false, paracetamol},
                                         LabelCase{"paracetamol 10 mg/mL", 1000, 100, 10, forbids, false, paracetamol},
                                         LabelCase{"amiodarone 1.8 mg/mL", 360, 200, 360, allows, false, amiodarone}));

}  // namespace
}  // namespace dwell::dosing

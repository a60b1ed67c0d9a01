#include "demo/demo_ward.h"

#include <algorithm>
#include <cmath>

#include "demo/story.h"

namespace dwell::demo {
namespace {

using namespace std::chrono_literals;
using access::Region;
using access::Side;
using line::Asepsis;
using line::AttemptOutcome;
using line::Delivery;
using line::Dressing;
using site::Sign;

constexpr const char* crystalloid = "balanced crystalloid (acetate-gluconate)";
constexpr const char* saline = "sodium chloride 0.9 %";

struct Person {
  const char* bed;
  const char* number;
  const char* family;
  const char* given;
  int age;
  line::Sex sex;
  double weight_kg;
  bool anticoagulant;
  bool fragile_skin;
  bool can_report;
  const char* allergy;  ///< null: none known
};

constexpr Person people[] = {
    {"1", "L70113", "ABARA", "Ines", 71, line::Sex::female, 64, false, false, true, nullptr},
    {"2", "L70127", "BRANDT", "Oskar", 58, line::Sex::male, 88, true, false, true, "penicillin"},
    {"3", "L70131", "CORVO", "Lucia", 46, line::Sex::female, 70, false, false, true, nullptr},
    {"4", "L70146", "DEWITT", "Anton", 67, line::Sex::male, 79, false, false, true, nullptr},
    {"5", "L70152", "ELSTAD", "Noa", 6, line::Sex::female, 21, false, false, true, nullptr},
    {"6", "L70168", "FERREIRA", "Paulo", 39, line::Sex::male, 92, false, false, true, nullptr},
    {"7", "L70174", "GRANQVIST", "Elsa", 63, line::Sex::female, 68, true, false, true, "adhesive tape"},
    {"8", "L70189", "HOLLOWAY", "Dean", 52, line::Sex::male, 84, false, false, true, nullptr},
    {"9", "L70195", "IVARSSON", "Britt", 77, line::Sex::female, 59, false, true, true, nullptr},
    {"10", "L70201", "JANKOVIC", "Mila", 34, line::Sex::female, 61, false, false, true, nullptr},
    {"11", "L70216", "KOSTOV", "Petar", 69, line::Sex::male, 81, true, false, true, nullptr},
    {"12", "L70222", "LINDQUIST", "Alma", 84, line::Sex::female, 47, false, true, true, nullptr},
    {"13", "L70238", "MORETTI", "Franco", 73, line::Sex::male, 76, true, false, true, "latex"},
    {"14", "L70244", "NAKAMOTO", "Yuki", 29, line::Sex::female, 55, false, false, true, nullptr},
    {"15", "L70259", "OYELARAN", "Tunde", 81, line::Sex::male, 66, false, true, false, nullptr},
};

/// Writes the open ward; one small function a bed.
class Ward {
 public:
  Ward(Instant now, std::uint64_t seed) : now_(now), ids_(seed) {}

  std::vector<line::Event> write() {
    new_line();
    locked_and_flush_overdue();
    grade_two_site();
    vesicant_through_hand();
    child();
    idle();
    two_lines();
    emergency_line();
    old_dressing();
    transfusion();
    removed_today();
    to_be_placed();
    removal_ordered();
    hard_to_place();
    cannot_report();
    return std::move(events_);
  }

 private:
  using Minutes = std::chrono::minutes;

  [[nodiscard]] Instant ago(Minutes m) const { return now_ - m; }

  line::Patient patient(const Person& p) const {
    line::Patient out;
    out.number = p.number;
    out.family = p.family;
    out.given = p.given;
    const Date today = utc_date(now_);
    out.birth_date = Date{today.year() - std::chrono::years(p.age), std::chrono::March, std::chrono::day(3)};
    if (age_in_years(*out.birth_date, today) < p.age)
      out.birth_date = Date{today.year() - std::chrono::years(p.age + 1), std::chrono::March, std::chrono::day(3)};
    out.sex = p.sex;
    out.weight = p.weight_kg * kilogram;
    out.allergies_known = true;
    if (p.allergy) out.allergies.emplace_back(p.allergy);
    out.anticoagulant = p.anticoagulant;
    out.fragile_skin = p.fragile_skin;
    out.can_report_pain = p.can_report;
    out.heart_or_kidney_failure = false;
    out.dominant_hand = Side::right;
    return out;
  }

  Story open(const Person& p, Minutes since, std::vector<access::Restriction> restrictions = {}) {
    Story story(ids_, events_, ago(since));
    line::Opened opened{patient(p), demo_place()};
    opened.patient.restrictions = std::move(restrictions);
    opened.place.bed = p.bed;
    story.at(ago(since), opened, "R. Amsel");
    return story;
  }

  static infusate::Mixture bag(const char* base, double mL) { return {base, mL * millilitre, {}}; }

  static dosing::Order order(const char* base, double mL, double hours, dosing::Purpose purpose) {
    dosing::Order o;
    o.mixture = bag(base, mL);
    o.duration = hours * hour;
    o.purpose = purpose;
    o.prescriber = "Dr T. Weller";
    return o;
  }

  static line::Placed placed(Side side, Region region, const char* vein, int gauge, double length_mm,
                             Asepsis asepsis = Asepsis::aseptic) {
    line::Placed p;
    p.site = {side, region, vein};
    p.gauge = Gauge{gauge};
    p.length = length_mm * millimetre;
    p.inserter = "M. Koller";
    p.asepsis = asepsis;
    p.antiseptic = "chlorhexidine 2 % in 70 % alcohol";
    p.dried_for = Interval{34};
    p.blood_return = true;
    p.flushed = 5.0 * millilitre;
    p.securement = "sutureless securement device";
    p.tolerance = "well";
    p.teaching = "report pain, swelling, wetness";
    p.lot = "DW-" + std::to_string(gauge) + "041";
    return p;
  }

  static line::SiteChecked sound() {
    line::SiteChecked check;
    check.signs.assessed = true;
    check.signs.pain_score = 0;
    check.grades = {{"phlebitis 0 to 4", "1", 0, false}, {"infiltration 0 to 4", "1", 0, false}};
    check.dressing_intact = true;
    check.still_needed = true;
    return check;
  }

  /// Sound checks every `every`, from `from` down to `last` minutes ago.
  void sound_checks(Story& story, Minutes from, Minutes every, Minutes last) {
    for (Minutes m = from; m >= last; m -= every) story.at(ago(m), sound(), "S. Iqbal");
  }

  static line::InfusionStarted infusion(const char* base, double mL, double mL_per_h, Delivery delivery,
                                        double drops_per_mL = 0) {
    line::InfusionStarted started;
    started.mixture = bag(base, mL);
    started.flow = mL_per_h * millilitre / hour;
    started.delivery = delivery;
    if (drops_per_mL > 0) started.drop_factor = drops_per_mL * drop / millilitre;
    return started;
  }

  static line::Flushed flush(bool locks) { return {"sodium chloride 0.9 %", 5.0 * millilitre, true, false, locks}; }

  void new_line() {
    auto s = open(people[0], 70min);
    s.at(ago(65min), line::Ordered{order(crystalloid, 1000, 8, dosing::Purpose::rehydration)}, "R. Amsel");
    s.at(ago(26min),
         line::Attempted{
             {Side::left, Region::forearm_middle, "cephalic"}, Gauge{22}, "M. Koller", AttemptOutcome::placed, ""},
         "M. Koller");
    s.at(ago(25min), placed(Side::left, Region::forearm_middle, "cephalic", 22, 25), "M. Koller");
    s.at(ago(20min), infusion(crystalloid, 1000, 125, Delivery::gravity, 20), "M. Koller");
  }

  void locked_and_flush_overdue() {
    auto s = open(people[1], 47h);
    s.at(ago(46h + 30min), placed(Side::right, Region::forearm_lower, "cephalic", 20, 32), "M. Koller");
    s.at(ago(46h), flush(true), "M. Koller");
    sound_checks(s, 40h, 8h, 5h);
    s.at(ago(26h), flush(true), "S. Iqbal");
  }

  void grade_two_site() {
    auto s = open(people[2], 60h);
    s.at(ago(59h), placed(Side::left, Region::wrist_back, "cephalic", 20, 32), "J. Ruan");
    s.at(ago(58h), infusion(saline, 1000, 40, Delivery::pump), "J. Ruan");
    sound_checks(s, 54h, 4h, 4h);
    line::SiteChecked check = sound();
    check.signs.present = {Sign::redness, Sign::pain};
    check.signs.pain_score = 4;
    check.grades = {{"phlebitis 0 to 4", "1", 2, false}, {"infiltration 0 to 4", "1", 0, false}};
    check.response = "phlebitis_remove";
    s.at(ago(35h), infusion(saline, 1000, 40, Delivery::pump), "S. Iqbal");
    s.at(ago(12h), infusion(saline, 1000, 40, Delivery::pump), "S. Iqbal");
    s.at(ago(25min), check, "S. Iqbal");
  }

  void vesicant_through_hand() {
    auto s = open(people[3], 7h);
    s.at(ago(6h), placed(Side::left, Region::hand_back, "dorsal", 20, 32), "J. Ruan");
    s.at(ago(330min), infusion("norepinephrine 16 mcg/mL", 250, 15, Delivery::pump), "J. Ruan");
    sound_checks(s, 300min, 60min, 60min);
  }

  void child() {
    auto s = open(people[4], 15h);
    s.at(ago(14h), placed(Side::left, Region::hand_back, "dorsal", 24, 19), "M. Koller");
    s.at(ago(13h), infusion("dextrose 5 % with sodium chloride 0.9 %", 1000, 62, Delivery::pump), "M. Koller");
    sound_checks(s, 12h, 1h, 2h);
  }

  void idle() {
    auto s = open(people[5], 75h);
    s.at(ago(74h), placed(Side::right, Region::antecubital, "median cubital", 18, 32), "J. Ruan");
    s.at(ago(73h), infusion(saline, 500, 250, Delivery::gravity, 20), "J. Ruan");
    s.at(ago(71h), line::InfusionEnded{500.0 * millilitre, "container empty"}, "J. Ruan");
    s.at(ago(33h), flush(true), "S. Iqbal");
    sound_checks(s, 66h, 8h, 3h);
  }

  void two_lines() {
    const Person& p = people[6];
    auto first = open(p, 30h);
    first.at(ago(29h), placed(Side::left, Region::forearm_upper, "cephalic", 20, 32), "M. Koller");
    first.at(ago(8h), infusion(crystalloid, 1000, 83, Delivery::pump), "M. Koller");
    sound_checks(first, 28h, 4h, 3h);
    auto second = open(p, 20h);
    second.at(ago(19h), placed(Side::right, Region::forearm_lower, "basilic", 22, 25), "S. Iqbal");
    second.at(ago(18h), flush(true), "S. Iqbal");
    second.at(ago(7h), flush(true), "S. Iqbal");
    sound_checks(second, 16h, 8h, 2h);
  }

  void emergency_line() {
    auto s = open(people[7], 42h);
    s.at(ago(41h), placed(Side::right, Region::antecubital, "median cubital", 16, 45, Asepsis::not_assured),
         "field crew");
    s.at(ago(40h), flush(true), "J. Ruan");
    s.at(ago(6h), flush(true), "S. Iqbal");
    sound_checks(s, 38h, 8h, 5h);
  }

  void old_dressing() {
    auto s = open(people[8], 165h);
    s.at(ago(164h), placed(Side::left, Region::forearm_middle, "cephalic", 22, 25), "M. Koller");
    s.at(ago(10h), infusion(crystalloid, 1000, 60, Delivery::pump), "S. Iqbal");
    s.at(ago(70h), line::SetChanged{"at its interval"}, "S. Iqbal");
    sound_checks(s, 160h, 4h, 2h);
  }

  void transfusion() {
    auto s = open(people[9], 5h);
    s.at(ago(4h), placed(Side::left, Region::forearm_upper, "cephalic", 18, 32), "J. Ruan");
    s.at(ago(75min), infusion("red cells", 300, 120, Delivery::gravity, 20), "J. Ruan");
    sound_checks(s, 3h, 1h, 1h);
  }

  void removed_today() {
    auto s = open(people[10], 80h);
    s.at(ago(79h), placed(Side::left, Region::forearm_lower, "cephalic", 20, 32), "M. Koller");
    s.at(ago(78h), flush(true), "M. Koller");
    s.at(ago(30h), flush(true), "S. Iqbal");
    sound_checks(s, 76h, 8h, 6h);
    s.at(ago(5h + 10min), line::RemovalOrdered{"Dr T. Weller", "therapy complete"}, "R. Amsel");
    line::Removed removed;
    removed.reason = line::RemovalReason::therapy_complete;
    removed.ground = "order of Dr T. Weller";
    removed.length_found = 32.0 * millimetre;
    removed.tip_whole = true;
    removed.pressed_for = Interval{330};
    removed.bleeding_stopped = true;
    removed.signs.assessed = true;
    removed.signs.pain_score = 0;
    removed.remover = "S. Iqbal";
    removed.tolerance = "well";
    removed.teaching = "watch the site for two days";
    s.at(ago(5h), removed, "S. Iqbal");
  }

  void to_be_placed() {
    auto s =
        open(people[11], 40min, {{Side::right, access::Limb::arm, access::RestrictionReason::node_dissection, ""}});
    auto o = order(crystalloid, 1000, 8, dosing::Purpose::rehydration);
    o.drop_factor = 20.0 * drop / millilitre;
    o.therapy = Interval{2 * 86400};
    s.at(ago(35min), line::Ordered{o}, "R. Amsel");
    line::NeedReviewed need;
    need.ground = line::NeedGround::volume;
    need.what_for = "drinks too little";
    need.next_use = ago(-30min);
    s.at(ago(30min), need, "R. Amsel");
  }

  void removal_ordered() {
    auto s = open(people[12], 52h);
    s.at(ago(51h), placed(Side::left, Region::forearm_middle, "cephalic", 20, 32), "J. Ruan");
    s.at(ago(50h), flush(true), "J. Ruan");
    s.at(ago(9h), flush(true), "S. Iqbal");
    sound_checks(s, 48h, 8h, 4h);
    s.at(ago(45min), line::RemovalOrdered{"Dr T. Weller", "going home"}, "R. Amsel");
  }

  void hard_to_place() {
    auto s = open(people[13], 3h);
    s.at(ago(170min), line::Ordered{order(saline, 1000, 12, dosing::Purpose::maintenance)}, "R. Amsel");
    s.at(ago(80min),
         line::Attempted{
             {Side::left, Region::forearm_lower, "cephalic"}, Gauge{22}, "J. Ruan", AttemptOutcome::no_flashback, ""},
         "J. Ruan");
    s.at(ago(70min),
         line::Attempted{
             {Side::left, Region::hand_back, "dorsal"}, Gauge{22}, "J. Ruan", AttemptOutcome::no_advance, ""},
         "J. Ruan");
  }

  void cannot_report() {
    auto s = open(people[14], 22h);
    s.at(ago(21h), placed(Side::left, Region::forearm_middle, "cephalic", 22, 25), "M. Koller");
    s.at(ago(9h), infusion(crystalloid, 1000, 83, Delivery::gravity, 20), "S. Iqbal");
    s.at(ago(6h),
         line::DripCounted{28.0 * drop / minute, 84.0 * millilitre / hour, 75.0 * millilitre / hour,
                           93.0 * millilitre / hour, "hold"},
         "S. Iqbal");
    sound_checks(s, 20h, 1h, 40min);
  }

  Instant now_;
  IdSource ids_;
  std::vector<line::Event> events_;
};

/// Invented failure hazards a day, larger at the hand and for narrow catheters.
struct HistoryShape {
  Region region;
  double share;
  double hazard;
};
constexpr HistoryShape regions[] = {{Region::forearm_lower, 0.22, 0.075}, {Region::forearm_middle, 0.26, 0.070},
                                    {Region::hand_back, 0.24, 0.125},     {Region::antecubital, 0.16, 0.105},
                                    {Region::wrist_back, 0.08, 0.115},    {Region::upper_arm, 0.04, 0.090}};
struct GaugeShape {
  int gauge;
  double length_mm, share, factor;
};
constexpr GaugeShape gauges[] = {{18, 32, 0.18, 1.05}, {20, 32, 0.46, 1.0}, {22, 25, 0.30, 1.2}, {24, 19, 0.06, 1.45}};
constexpr const char* units[] = {"Ward 7", "Ward 8", "Ward 11", "Day unit"};
constexpr const char* inserters[] = {"M. Koller", "J. Ruan",  "S. Iqbal",  "R. Amsel",
                                     "P. Osei",   "L. Varga", "C. Dunmore"};

template <class Shape, std::size_t n>
const Shape& pick(const Shape (&shapes)[n], double u) {
  for (const auto& shape : shapes) {
    if (u < shape.share) return shape;
    u -= shape.share;
  }
  return shapes[n - 1];
}

line::RemovalReason failure(double u) {
  using R = line::RemovalReason;
  if (u < 0.30) return R::phlebitis;
  if (u < 0.56) return R::infiltration;
  if (u < 0.72) return R::occlusion;
  if (u < 0.84) return R::dislodgement;
  if (u < 0.93) return R::leakage;
  return u < 0.995 ? R::pain : R::infection;
}

line::RemovalReason other_end(double u) {
  using R = line::RemovalReason;
  if (u < 0.62) return R::therapy_complete;
  if (u < 0.88) return R::discharge;
  if (u < 0.97) return R::idle;
  return u < 0.985 ? R::unknown : R::patient_request;
}

}  // namespace

line::Place demo_place() { return {"Larkmoor Hospital (invented)", "Ward 7", ""}; }

std::vector<line::Event> demo_ward(Instant now, std::uint64_t seed) { return Ward(now, seed).write(); }

std::vector<line::Event> demo_history(Instant now, std::uint64_t seed, int lines) {
  IdSource ids(seed);
  auto& generator = ids.generator();
  std::uniform_real_distribution<double> uniform(0.0, 1.0);
  const auto exponential = [&](double hazard_per_day) { return -std::log1p(-uniform(generator)) / hazard_per_day; };
  std::vector<line::Event> events;
  for (int i = 0; i < lines; ++i) {
    const auto& region = pick(regions, uniform(generator));
    const auto& gauge = pick(gauges, uniform(generator));
    const char* inserter = inserters[generator() % std::size(inserters)];
    const double fails = exponential(region.hazard * gauge.factor);
    const double ends = 0.4 + exponential(0.30);
    const double days = std::min({fails, ends, 14.0});
    const auto dwell = std::chrono::minutes(static_cast<int>(std::max(20.0, days * 1440)));
    // Early enough for the look at the site two days after the end, and for its charting.
    constexpr auto afterwards = std::chrono::hours(48) + std::chrono::minutes(2);
    const std::chrono::minutes ago(static_cast<int>((15 + uniform(generator) * 530) * 1440));
    const auto placed_at = now - std::max<std::chrono::minutes>(ago, dwell + afterwards);

    Story story(ids, events, placed_at - std::chrono::minutes(12));
    line::Opened opened;
    opened.patient.number = "H" + std::to_string(100000 + i);
    opened.patient.family = "INVENTED";
    opened.patient.given = "Person " + std::to_string(i + 1);
    opened.place = demo_place();
    opened.place.unit = units[generator() % std::size(units)];
    story.at(placed_at - std::chrono::minutes(12), opened, inserter);
    const access::Site where{uniform(generator) < 0.55 ? Side::left : Side::right, region.region, ""};
    for (int attempt = 0; attempt < 3 && uniform(generator) < 0.19; ++attempt)
      story.at(placed_at - std::chrono::minutes(9 - 3 * attempt),
               line::Attempted{where, Gauge{gauge.gauge}, inserter, AttemptOutcome::no_flashback, ""}, inserter);
    line::Placed placed;
    placed.site = where;
    placed.gauge = Gauge{gauge.gauge};
    placed.length = gauge.length_mm * millimetre;
    placed.inserter = inserter;
    placed.antiseptic = "chlorhexidine 2 % in 70 % alcohol";
    placed.dried_for = Interval{30};
    placed.blood_return = true;
    story.at(placed_at, placed, inserter);
    line::Removed removed;
    removed.reason = fails <= std::min(ends, 14.0) ? failure(uniform(generator)) : other_end(uniform(generator));
    removed.length_found = placed.length;
    removed.tip_whole = true;
    removed.pressed_for = Interval{150};
    removed.remover = inserters[generator() % std::size(inserters)];
    story.at(placed_at + dwell, removed, removed.remover);
    line::AfterChecked after;
    after.signs.assessed = true;
    after.healed = true;
    story.at(placed_at + dwell + std::chrono::hours(48), after, removed.remover);
  }
  return events;
}

}  // namespace dwell::demo

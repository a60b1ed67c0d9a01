// Every series was read as an abstract, a table or a copy; addresses and marks stand beside each. Gauges that a source
// does not describe have the bore found from declared flows (docs/flow.md); head 1 m where none is given.
#include "tests/published/flow_rows.h"

#include <algorithm>
#include <cmath>

namespace dwell::flow::published {
namespace {

constexpr Flow mL_per_min = millilitre / minute;
constexpr Pressure mmHg = millimetre_of_mercury;

struct Size {
  int gauge;
  double bore, length;  // mm, in use
  double bore_before, length_before;
};
constexpr Size g24{24, 0.429, 19, 0.47, 19}, g22{22, 0.590, 25, 0.60, 25}, g20{20, 0.745, 32, 0.75, 32},
    g18{18, 0.927, 38, 0.95, 32}, g16{16, 1.263, 45, 1.30, 45}, g14{14, 1.559, 45, 1.55, 45};
/// The catheter that a source describes by its length.
constexpr Size g18_45{18, 0.927, 45, 0.95, 45};

enum class Set { none, ward, wide, infuser };

UsualSet set_of(Set set) {
  if (set == Set::wide) return wide_set();
  if (set == Set::ward) return ward_set();
  // A rapid infuser's own tubing: 600 mL/min (330 to 1,080).
  if (set == Set::infuser) return {{600.0 * mL_per_min, Ratio(0.3)}, 330.0 * mL_per_min, 1080.0 * mL_per_min};
  return {{1e6 * mL_per_min, Ratio(0.3)}, 1e6 * mL_per_min, 1e6 * mL_per_min};  // the catheter alone
}

OpenLine line(Size size, Set set) {
  OpenLine l;
  l.catheter = by_gauge(Gauge{size.gauge}, {size.bore * millimetre, size.length * millimetre});
  l.set = set_of(set);
  l.in_vein = false;
  return l;
}

/// With a vein behind the tip; an artificial one has no pressure of its own.
OpenLine veined(Size size, Set set, double venous_mmHg = 9) {
  OpenLine l = line(size, set);
  l.in_vein = true;
  l.vein = usual_vein(Gauge{size.gauge});
  l.venous_pressure = venous_mmHg * mmHg;
  if (venous_mmHg == 0) l.venous_spread = Pressure();
  return l;
}

Fluid saline(double celsius = 20) {
  return celsius == 20 ? reference_fluid() : aqueous(1.02, 1004.6 * kilogram_per_cubic_metre, Temperature{celsius});
}

Standing standing(double height_m, double cuff_mmHg = 0, Fluid fluid = saline(), double viscosity_spread = 0.05) {
  Standing s;
  s.fluid = fluid;
  s.viscosity_spread = viscosity_spread;
  s.bag_height = height_m * metre;
  s.cuff = cuff_mmHg * mmHg;
  return s;
}

Standing pressed(double mmHg_in_fluid, Fluid fluid = saline(), double viscosity_spread = 0.05) {
  Standing s = standing(0, mmHg_in_fluid, fluid, viscosity_spread);
  s.pressed_by_machine = true;
  return s;
}

double flow_of(const OpenLine& l, const Standing& s, const Deviations& x) { return in(flow_at(l, s, x), mL_per_min); }

/// The second catheter has a bore, a length and a hub of its own; the rest is the same rig.
Deviations second(const RowDeviations& x) {
  Deviations other = x.line;
  for (const auto unknown : {Unknown::bore, Unknown::length, Unknown::hub})
    other[static_cast<std::size_t>(unknown)] = x.second[static_cast<std::size_t>(unknown)];
  return other;
}

// ---- the model before: the catalogue's bores, a tube of 3 mm x 1.8 m, and in a vein 0.8 times, 10 mmHg ----

double before(Size size, double tubing_mm, double height_m, double fluid_mmHg, Fluid fluid = saline(),
              double venous_mmHg = 0, double connector_k = 0) {
  Path path;
  path.fluid = fluid;
  path.bag_height = height_m * metre;
  path.bag_pressure = fluid_mmHg * mmHg;
  path.venous_pressure = venous_mmHg * mmHg;
  if (tubing_mm > 0) path.tubing = {{tubing_mm * millimetre, 1.8 * metre}};
  path.connector_k = connector_k;
  path.catheter = {size.bore_before * millimetre, size.length_before * millimetre};
  return in(steady_flow(path), mL_per_min);
}

double before_in_vein(Size size, double height_m, double cuff = 0) {
  return 0.8 * before(size, 3, height_m, cuff, saline(), 10);
}

using Predicted = std::function<double(const RowDeviations&)>;

Predicted flow_row(OpenLine l, Standing s) {
  return [l, s](const RowDeviations& x) { return flow_of(l, s, x.line); };
}
Predicted ratio_row(OpenLine l, Standing a, Standing b) {
  return [l, a, b](const RowDeviations& x) { return flow_of(l, a, x.line) / flow_of(l, b, x.line); };
}
Predicted two_catheters(OpenLine a, Standing sa, OpenLine b, Standing sb) {
  return [=](const RowDeviations& x) { return flow_of(a, sa, x.line) / flow_of(b, sb, second(x)); };
}
/// n of Q ~ P^n between two standings whose pressures stand in this ratio.
Predicted exponent_row(OpenLine l, Standing low, Standing high, double times) {
  return [=](const RowDeviations& x) {
    return std::log(flow_of(l, high, x.line) / flow_of(l, low, x.line)) / std::log(times);
  };
}

void s1_to_s3(std::vector<Row>& all) {
  // S1 vein model 2007: https://insights.ovid.com/crossref?an=00003643-200706001-00122 (read as abstract):
  // 20 gauge, Q = 2.87 P^0.62, P in cmH2O.
  const auto cm = [](double height) { return standing(height * 98.0665 / (1004.6 * 9.80665)); };
  auto model = veined(g20, Set::ward, 0);
  model.vein = 3.0 * millimetre;  // of the vein model; not stated
  const auto was = [&](double cmH2O) { return before(g20, 3, 0, cmH2O * 98.0665 / 133.322); };
  all.push_back({"S1", "20 gauge, 100 cmH2O, mL/min", 49.9, was(100), flow_row(model, cm(100)), true});
  all.push_back({"S1", "20 gauge, 50 cmH2O, mL/min", 32.5, was(50), flow_row(model, cm(50)), true});
  all.push_back({"S1", "exponent, 20 to 100 cmH2O", 0.62, std::log(was(100) / was(20)) / std::log(5.0),
                 exponent_row(model, cm(20), cm(100), 5), true});
  // S2 dogs, 0.91 m: http://www.ncbi.nlm.nih.gov/pubmed/2061178 (read as abstract).
  for (const auto& [size, measured] : {std::pair{g14, 137.0}, {g16, 88.0}, {g18, 75.0}, {g20, 45.0}})
    all.push_back({"S2", std::to_string(size.gauge) + " gauge in dogs, 0.91 m, mL/min", measured,
                   before_in_vein(size, 0.91), flow_row(veined(size, Set::ward), standing(0.91)), true, true});
  const auto bench = line(g18, Set::ward), vein = veined(g18, Set::ward);
  all.push_back({"S2", "in a vein / on the bench", 0.93, before_in_vein(g18, 0.91) / before(g18, 3, 0.91, 0),
                 [bench, vein](const RowDeviations& x) {
                   return flow_of(vein, standing(0.91), x.line) / flow_of(bench, standing(0.91), x.line);
                 },
                 true, true});
  // S3 Stoneham 1995: https://www.mendeley.com/catalogue/cc91359e-5f9a-39b5-879e-86269c3f0858/ (read as abstract).
  const auto wide14 = line(g14, Set::wide), wide16 = line(g16, Set::wide);
  all.push_back({"S3", "14 gauge, 300 mmHg, mL/min (nearly 600)", 600, before(g14, 3, 1, 300),
                 flow_row(wide14, standing(1, 300))});
  all.push_back({"S3", "14 instead of 16 gauge, times", 1.5, before(g14, 3, 1, 0) / before(g16, 3, 1, 0),
                 two_catheters(wide14, standing(1), wide16, standing(1))});
  all.push_back({"S3", "300 mmHg, times", 2, before(g14, 3, 1, 300) / before(g14, 3, 1, 0),
                 ratio_row(wide14, standing(1, 300), standing(1))});
  all.push_back({"S3", "both, times", 3, before(g14, 3, 1, 300) / before(g16, 3, 1, 0),
                 two_catheters(wide14, standing(1, 300), wide16, standing(1))});
}

void s4_to_s6(std::vector<Row>& all) {
  // S4, S5 exponents to 450 mmHg: https://ouci.dntb.gov.ua/works/4gn8VNL7 (read as abstract).
  const auto was = [](Size size, double tubing) {
    return std::log(before(size, tubing, 0, 450) / before(size, tubing, 0, 100)) / std::log(4.5);
  };
  for (const auto& [size, measured] : {std::pair{g24, 0.67}, {g22, 0.63}, {g20, 0.56}, {g18, 0.44}})
    all.push_back({"S4", "exponent, " + std::to_string(size.gauge) + " gauge alone", measured, was(size, 0),
                   exponent_row(line(size, Set::none), pressed(100), pressed(450), 4.5), true});
  for (const auto& [size, measured] : {std::pair{g24, 0.76}, {g22, 0.82}, {g20, 0.81}, {g18, 0.86}})
    all.push_back({"S5", "exponent, " + std::to_string(size.gauge) + " gauge and line", measured, was(size, 3),
                   exponent_row(line(size, Set::wide), standing(0, 100), standing(0, 450), 4.5)});
  // S6 wide tubing 1985: https://pubmed.ncbi.nlm.nih.gov/3994794/ (read as abstract): up to so much more; the largest
  // gain of 18 to 14 gauge, with water and with diluted red cells (haematocrit 45 %).
  for (const auto& [cuff, measured] : {std::pair{300.0, 1.97}, {600.0, 3.41}})
    all.push_back({"S6", std::to_string(static_cast<int>(cuff)) + " mmHg, most gained, times", measured,
                   before(g14, 3.2, 1, cuff) / before(g14, 3.2, 1, 0) - 1, [cuff = cuff](const RowDeviations& x) {
                     double most = 0;
                     for (const auto& size : {g18, g16, g14})
                       for (const auto& fluid : {saline(), blood(Ratio(0.45), Temperature{20})})
                         most = std::max(most, flow_of(line(size, Set::wide), standing(1, cuff, fluid), x.line) /
                                                       flow_of(line(size, Set::wide), standing(1, 0, fluid), x.line) -
                                                   1);
                     return most;
                   }});
}

void s7_to_s9(std::vector<Row>& all) {
  // S7 a unit of red cells at 4 degrees, 16 gauge (read as abstract): more than 13 min. 300 mL, haematocrit 60 %.
  const Fluid cold = blood(Ratio(0.6), Temperature{4});
  all.push_back({"S7", "unit of red cells, 4 °C, 16 gauge, min (more than 13)", 13,
                 300 / before(g16, 3, 0.91, 0, cold, 10),
                 [cold](const RowDeviations& x) {
                   return 300 / flow_of(line(g16, Set::ward), standing(1, 0, cold, 0.2), x.line);
                 },
                 true});
  // S8 rapid infuser, red cells and plasma: https://scholarlycommons.henryford.com/anesthesiology_articles/104/
  const Fluid mixed = blood(Ratio(0.3), Temperature{37});
  all.push_back({"S8", "18 gauge, mL/min/mmHg", 0.6, before(g18, 4, 0, 300, mixed) / 300,
                 [mixed](const RowDeviations& x) {
                   return flow_of(line(g18, Set::infuser), pressed(300, mixed, 0.2), x.line) / 300;
                 },
                 true});
  // S9 rapid infuser 2024, abstract 31-05 of its meeting: 300 mmHg, 37 degrees; blood of haematocrit 23 % (computed
  // from its recipe).
  const Fluid warm = saline(37), thin = blood(Ratio(0.23), Temperature{37});
  for (const auto& [size, measured] : {std::pair{g22, 95.0}, {g20, 127.0}, {g18, 205.0}, {g16, 414.0}})
    all.push_back({"S9", std::to_string(size.gauge) + " gauge, saline, 300 mmHg, mL/min", measured,
                   before(size, 3, 0, 300, warm), flow_row(line(size, Set::infuser), pressed(300, warm)), true});
  for (const auto& [size, measured] : {std::pair{g18, 0.75}, {g16, 0.78}})
    all.push_back({"S9", std::to_string(size.gauge) + " gauge, blood / saline", measured,
                   before(size, 3, 0, 300, thin) / before(size, 3, 0, 300, warm),
                   ratio_row(line(size, Set::infuser), pressed(300, thin, 0.2), pressed(300, warm)), true});
}

// S10 exchange circuit: bmjpaedsopen.bmj.com, highwire/markup/69, Table 1. What the circuit costs by itself was
// measured with its tap alone: milk 51, 89, 168, 224 mL/min at 50 to 200 mmHg, nearly a straight line; horse blood 5,
// 13, 26, 35 mmHg at 20 to 50 mL/min, nearly a parabola (both through 0, least squares). Milk of 3.5 % fat at 20
// degrees: 2.09 mPa s by ln mu = -8.9 + 0.1 F + 2721.5/T (experts.umn.edu); horse blood taken as haematocrit 35 % at 21
// degrees (value from memory).
struct Exchange {
  const char* fluid_name;
  Fluid fluid;
  double viscosity_spread;
  DeclaredPart circuit;
};

Exchange with_milk() {
  const Fluid milk{2.09 * millipascal_second, 1030.0 * kilogram_per_cubic_metre};
  const double metre_of_saline = 1004.6 * 9.80665 / mmHg.value(), mmHg_for_each = 0.916;
  const double open = metre_of_saline / mmHg_for_each * double(milk.viscosity / reference_fluid().viscosity);
  return {"milk", milk, 0.05, {open * mL_per_min, Ratio(1.0)}};
}

Exchange with_horse_blood() {
  const Fluid horse = blood(Ratio(0.35), Temperature{21});
  const double metre_of_saline = 1004.6 * 9.80665 / mmHg.value(), mmHg_for_square = 0.0146;
  const double open = std::sqrt(metre_of_saline * double(horse.density / reference_fluid().density) / mmHg_for_square);
  return {"horse blood", horse, 0.2, {open * mL_per_min, Ratio(0.0)}};
}

OpenLine exchange_line(Size size, const Exchange& exchange) {
  OpenLine l = line(size, Set::none);
  l.connector = exchange.circuit;
  return l;
}

double before_exchange(Size size, const Exchange& exchange, double pressure) {
  Path was;
  was.fluid = exchange.fluid;
  was.catheter = {size.bore_before * millimetre, size.length_before * millimetre};
  was.connector = exchange.circuit;
  was.bag_pressure = pressure * mmHg;
  return in(steady_flow(was), mL_per_min);
}

struct Reading {
  double pressure, flow;  // mmHg, mL/min
};
const std::vector<Reading>& readings(Size size, bool milk) {
  static const std::vector<Reading> milk_18{{50, 23}, {100, 60}, {150, 82}, {200, 100}},
      milk_20{{50, 21}, {100, 47}, {150, 64}, {200, 77}}, blood_18{{32, 20}, {44, 30}, {68, 40}, {97, 50}},
      blood_20{{38, 20}, {57, 30}, {86, 40}, {120, 50}};
  if (milk) return size.gauge == 18 ? milk_18 : milk_20;
  return size.gauge == 18 ? blood_18 : blood_20;
}

void s10(std::vector<Row>& all) {
  for (const bool milk : {true, false})
    for (const auto& size : {g18_45, g20}) {
      const Exchange exchange = milk ? with_milk() : with_horse_blood();
      for (const auto& [pressure, flow] : readings(size, milk))
        all.push_back(
            {"S10",
             std::to_string(size.gauge) + " gauge, " + exchange.fluid_name + ", " +
                 std::to_string(static_cast<int>(pressure)) + " mmHg, mL/min",
             flow, before_exchange(size, exchange, pressure),
             flow_row(exchange_line(size, exchange), pressed(pressure, exchange.fluid, exchange.viscosity_spread)),
             true});
    }
}

/// An orifice that leaves this share of a flow, without it Q, at the same head.
DeclaredPart valve_from(const OpenLine& l, const Standing& s, double share_left) {
  const Path path = path_at(l, s);
  const Flow left = share_left * flow_at(l, s);
  const Pressure spare = head_of(path) - loss_of(path, left);
  // b Q^2 = spare, b = P1 / q1^2 at the fluid's density.
  const double metre_of_fluid = path.fluid.density.value() * standard_gravity.value();
  return {left * std::sqrt(metre_of_fluid / spare.value()), Ratio(0.0)};
}

Predicted valve_row(OpenLine l, Standing s, DeclaredPart valve) {
  OpenLine with = l;
  with.connector = valve;
  return [=](const RowDeviations& x) { return flow_of(with, s, x.line) / flow_of(l, s, x.line); };
}

void s11_to_s16(std::vector<Row>& all) {
  // S11 training arm, 2014: https://metajournal.com/articles/1442685 (read as abstract). Starch 4.0 mPa s (memory).
  const Fluid starch{4.0 * millipascal_second, 1025.0 * kilogram_per_cubic_metre};
  const auto arm = line(g18, Set::ward);
  all.push_back({"S11", "18 gauge, Ringer, gravity, mL/min", 52.4, before(g18, 3, 1, 0), flow_row(arm, standing(1))});
  all.push_back({"S11", "starch slower, times", 2.58, before(g18, 3, 1, 0) / before(g18, 3, 1, 0, starch),
                 [arm, starch](const RowDeviations& x) {
                   return flow_of(arm, standing(1), x.line) / flow_of(arm, standing(1, 0, starch, 0.2), x.line);
                 }});
  // S12 anti-reflux valve, 2013 (read as abstract): 48 % left through 14 gauge by gravity, from which the valve is
  // found.
  const auto valve = valve_from(line(g14, Set::wide), standing(1), 0.48);
  const auto was_left = [](Size size, double cuff, double k) {
    return before(size, 3, 1, cuff, saline(), 0, k) / before(size, 3, 1, cuff);
  };
  const auto heads_for = [&](Size size, double cuff, double share) {
    double low = 0, high = 1000;
    for (int i = 0; i < 60; ++i) {
      const double k = (low + high) / 2;
      (was_left(size, cuff, k) > share ? low : high) = k;
    }
    return (low + high) / 2;
  };
  const double k14 = heads_for(g14, 0, 0.48);
  // The same orifice behind another bore: velocity heads go with its fourth power.
  const auto k_for = [](double k, Size from, Size to) { return k * std::pow(to.bore_before / from.bore_before, 4); };
  all.push_back({"S12", "valve: flow left, 16 gauge, gravity", 0.61, was_left(g16, 0, k_for(k14, g14, g16)),
                 valve_row(line(g16, Set::wide), standing(1), valve)});
  all.push_back({"S12", "valve: flow left, 14 gauge, 300 mmHg", 0.26, was_left(g14, 300, k14),
                 valve_row(line(g14, Set::wide), standing(1, 300), valve)});
  all.push_back({"S12", "valve: flow left, 16 gauge, 300 mmHg", 0.44, was_left(g16, 300, k_for(k14, g14, g16)),
                 valve_row(line(g16, Set::wide), standing(1, 300), valve)});
  // S13 needle-free connector in the rig of S9, found from its 16 gauge row.
  const Fluid warm = saline(37);
  constexpr double left_of_16 = 0.55;
  const auto connector = valve_from(line(g16, Set::infuser), pressed(300, warm), left_of_16);
  for (const auto& [size, measured, was] : {std::tuple{g18, 0.77, 0.75}, {g20, 0.88, 0.89}, {g22, 0.87, 0.95}})
    all.push_back({"S13", "connector: flow left, " + std::to_string(size.gauge) + " gauge", measured, was,
                   valve_row(line(size, Set::infuser), pressed(300, warm), connector)});
  // S14 blood warmed from 5 to 37 degrees, 150 mmHg: https://scilit.com/publications/40010e40d66ade6edab601c3bda9be6d
  const Fluid cold = blood(Ratio(0.45), Temperature{5}), warmed = blood(Ratio(0.45), Temperature{37});
  all.push_back({"S14", "blood warmed 5 to 37 °C, times faster (1.49 to 1.86)", 1.67,
                 before(g14, 3, 0, 150, warmed) / before(g14, 3, 0, 150, cold),
                 ratio_row(line(g14, Set::wide), standing(0, 150, warmed, 0.2), standing(0, 150, cold, 0.2)), true});
  // S15 piglets: https://www.ncbi.nlm.nih.gov/pubmed/8427428?dopt=Abstract
  all.push_back({"S15", "22 gauge in piglets, gravity, mL/min", 13.1, before_in_vein(g22, 1),
                 flow_row(veined(g22, Set::ward), standing(1)), false, true});
  all.push_back({"S15", "22 gauge in piglets, 300 mmHg, mL/min", 40.9, before_in_vein(g22, 1, 300),
                 flow_row(veined(g22, Set::ward), standing(1, 300)), false, true});
  // S16 student bench, low grade: https://nhsjs.com/?p=24496
  all.push_back({"S16", "16 gauge, 300 mmHg and 2.03 m, mL/min", 237, before(g16, 3, 2.03, 300),
                 flow_row(line(g16, Set::ward), standing(2.03, 300))});
}

}  // namespace

std::vector<Row> rows() {
  std::vector<Row> all;
  s1_to_s3(all);
  s4_to_s6(all);
  s7_to_s9(all);
  s10(all);
  s11_to_s16(all);
  return all;
}

double variance_of(const Row& row) {
  constexpr double step = 0.25;
  double variance = 0;
  for (std::size_t i = 0; i < 2 * unknowns; ++i) {
    RowDeviations up, down;
    (i < unknowns ? up.line[i] : up.second[i - unknowns]) += step;
    (i < unknowns ? down.line[i] : down.second[i - unknowns]) -= step;
    const double slope = std::log(row.predicted(up) / row.predicted(down)) / (2 * step);
    variance += slope * slope;
  }
  return variance;
}

std::vector<Rig> rigs() {
  const auto counted = [](Standing s, double flow) { return OpenCount{s, flow * mL_per_min, 0.05, std::nullopt}; };
  const auto cm = [](double height) { return standing(height * 98.0665 / (1004.6 * 9.80665)); };
  const Fluid warm = saline(37), thin = blood(Ratio(0.23), Temperature{37});
  std::vector<Rig> all;
  auto model = veined(g20, Set::ward, 0);
  model.vein = 3.0 * millimetre;
  all.push_back({"S1, 20 gauge", model, {counted(cm(100), 49.9), counted(cm(50), 32.5)}});
  all.push_back({"S3, 14 gauge", line(g14, Set::wide), {counted(standing(1, 300), 600), counted(standing(1), 300)}});
  for (const auto& [size, flow, share] : {std::tuple{g18, 205.0, 0.75}, {g16, 414.0, 0.78}})
    all.push_back({"S9, " + std::to_string(size.gauge) + " gauge",
                   line(size, Set::infuser),
                   {counted(pressed(300, warm), flow), counted(pressed(300, thin, 0.2), share * flow)}});
  for (const bool milk : {true, false})
    for (const auto& size : {g18_45, g20}) {
      const Exchange exchange = milk ? with_milk() : with_horse_blood();
      Rig rig{
          "S10, " + std::to_string(size.gauge) + " gauge, " + exchange.fluid_name, exchange_line(size, exchange), {}};
      for (const auto& [pressure, flow] : readings(size, milk))
        rig.states.insert(rig.states.begin(),
                          counted(pressed(pressure, exchange.fluid, exchange.viscosity_spread), flow));
      all.push_back(rig);
    }
  all.push_back({"S15, 22 gauge in piglets",
                 veined(g22, Set::ward),
                 {counted(standing(1), 13.1), counted(standing(1, 300), 40.9)}});
  return all;
}

}  // namespace dwell::flow::published

#include "hydration/body_size.h"

#include <cmath>

#include "growth/weight_question.h"
#include "quantity/display.h"
#include "quantity/shown_in.h"
#include "say/common.h"
#include "say/growth.h"
#include "say/hydration.h"

namespace dwell::hydration {
namespace {

constexpr BodySurface square_metre = BodySurface::from_value(1.0);
constexpr Length inch = 2.54 * centimetre;
constexpr int adult_from = 18;

FieldErrors check(const BodySizeInput& in) {
  FieldErrors errors;
  constexpr Length shortest = 30.0 * centimetre, tallest = 250.0 * centimetre;
  constexpr BodyWeight lightest = 0.3 * kilogram, heaviest = 400.0 * kilogram;
  if (!(in.height >= shortest && in.height <= tallest))
    errors.push_back({"/height", show_in(in.height, centimetre, "cm"),
                      say::from_to(shown_in(shortest, centimetre, "cm"), shown_in(tallest, centimetre, "cm"))});
  if (!(in.weight >= lightest && in.weight <= heaviest))
    errors.push_back({"/weight", show(in.weight), say::a_body_weight_from_to(lightest, heaviest)});
  if (in.age_years && !(*in.age_years >= 0 && *in.age_years <= 125))
    errors.push_back({"/age_years", std::to_string(*in.age_years), say::years_from_to(0, 125)});
  return errors;
}

std::vector<WorkingInput> size_inputs(const BodySizeInput& in) {
  return {{say::height_name(), say::quantity(shown_in(in.height, centimetre, "cm"))},
          {say::weight_name(), say::quantity(shown(in.weight))}};
}

void add_surface(const BodySizeInput& in, BodySize& out) {
  out.surface_mosteller = body_surface_mosteller(in.height, in.weight);
  out.surface_du_bois = body_surface_du_bois(in.height, in.weight);
  out.workings.push_back({say::surface_working(),
                          say::surface_formula(shown_in(out.surface_du_bois, square_metre, "m²")),
                          size_inputs(in),
                          say::quantity(shown_in(out.surface_mosteller, square_metre, "m²")),
                          {"Mosteller 1987, Du Bois 1916 (values from memory)", Mark::memory}});
}

void add_ideal(const BodySizeInput& in, BodySize& out) {
  if (in.height < 60.0 * inch) {
    out.findings.push_back({Severity::information,
                            "short_for_ideal_weight",
                            say::no_ideal_weight_below(),
                            {"Devine's formula starts at 60 inches", Mark::read}});
    return;
  }
  out.ideal_weight = ideal_weight(in.height, in.sex);
  out.workings.push_back({say::ideal_weight_working(),
                          say::ideal_weight_formula(in.sex),
                          {{say::height_name(), say::quantity(shown_in(in.height, inch, "in"))}},
                          say::quantity(shown(*out.ideal_weight)),
                          {"Devine, pharmacokinetics course page", Mark::read}});
  if (in.weight > *out.ideal_weight) {
    out.adjusted_weight = adjusted_weight(*out.ideal_weight, in.weight);
    out.workings.push_back({say::adjusted_weight_working(),
                            say::adjusted_weight_formula(),
                            {{say::ideal_name(), say::quantity(shown(*out.ideal_weight))},
                             {say::actual_name(), say::quantity(shown(in.weight))}},
                            say::quantity(shown(*out.adjusted_weight)),
                            {"value from memory", Mark::memory}});
  }
}

void add_water(const BodySizeInput& in, BodySize& out) {
  if (!in.age_years || *in.age_years < adult_from) return;
  out.body_water = body_water_watson(in.height, in.weight, in.sex, *in.age_years);
  auto inputs = size_inputs(in);
  inputs.push_back({say::age_name(), say::so_many_years(*in.age_years)});
  out.workings.push_back(
      {say::body_water_working(),
       say::body_water_formula(in.sex),
       std::move(inputs),
       say::quantity(shown_in(*out.body_water, litre, "L")),
       {"Watson 1980 (value from memory); too high in the obese, too low in the lean (Johansson 2001)", Mark::memory}});
}

}  // namespace

BodySurface body_surface_mosteller(Length height, BodyWeight weight) {
  return std::sqrt(in(height, centimetre) * in(weight, kilogram) / 3600) * square_metre;
}

BodySurface body_surface_du_bois(Length height, BodyWeight weight) {
  return 0.007184 * std::pow(in(weight, kilogram), 0.425) * std::pow(in(height, centimetre), 0.725) * square_metre;
}

BodyWeight ideal_weight(Length height, FormulaSex sex) {
  const BodyWeight at_sixty_inches = (sex == FormulaSex::male ? 50.0 : 45.5) * kilogram;
  return at_sixty_inches + 2.3 * kilogram * (double(height / inch) - 60);
}

BodyWeight adjusted_weight(BodyWeight ideal, BodyWeight actual) { return ideal + 0.4 * (actual - ideal); }

BodyWater body_water_watson(Length height, BodyWeight weight, FormulaSex sex, int age_years) {
  const double cm = in(height, centimetre), kg = in(weight, kilogram);
  return (sex == FormulaSex::male ? 2.447 - 0.09516 * age_years + 0.1074 * cm + 0.3362 * kg
                                  : -2.097 + 0.1069 * cm + 0.2466 * kg) *
         litre;
}

Checked<BodySize> body_size(const BodySizeInput& input) {
  if (auto errors = check(input); !errors.empty()) return refuse(std::move(errors));
  BodySize out;
  if (input.age_years)
    if (auto doubt = growth::question_weight(input.weight, growth::age_in_whole_years(*input.age_years),
                                             input.sex == FormulaSex::female ? line::Sex::female : line::Sex::male))
      out.findings.push_back(std::move(*doubt));
  add_surface(input, out);
  add_ideal(input, out);
  add_water(input, out);
  return out;
}

}  // namespace dwell::hydration

#include "procedure/flush_volume.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "quantity/display.h"
#include "quantity/within.h"
#include "say/common.h"
#include "say/dosing.h"
#include "say/procedure.h"

namespace dwell::procedure {
namespace {

const Source twice_rule{"INS (value from memory): at least twice the internal volume of catheter and add-on devices",
                        Mark::memory};
constexpr std::size_t most_parts = 12;

/// Up to the next tenth of a millilitre, which a syringe shows; a hair for binary noise, so that 1.2 mL stays 1.2 mL.
Volume rounded_up(Volume volume) { return std::ceil(in(volume, millilitre) * 10 - 1e-6) / 10 * millilitre; }

const device::AddOn* find(const device::AddOns& add_ons, const std::string& name) {
  const auto found = std::find_if(add_ons.begin(), add_ons.end(), [&](const auto& one) { return one.name == name; });
  return found == add_ons.end() ? nullptr : &*found;
}

/// The widest of that gauge: a flush that clears it clears the narrower ones.
std::optional<Diameter> widest_bore(Gauge gauge, const device::Catalogue& catheters) {
  std::optional<Diameter> widest;
  for (const auto& one : catheters)
    if (one.gauge == gauge && (!widest || *widest < one.bore)) widest = one.bore;
  return widest;
}

FieldErrors check(const FlushVolumeInput& input) {
  FieldErrors errors;
  if (input.length) check_within("/length", *input.length, 5.0 * millimetre, 300.0 * millimetre, errors);
  if (!input.parts) return errors;
  if (input.parts->size() > most_parts)
    errors.push_back(
        {"/parts", std::to_string(input.parts->size()), say::from_to(shown_number(0), shown_number(most_parts))});
  for (std::size_t i = 0; i < input.parts->size(); ++i)
    if (const auto& holds = (*input.parts)[i].holds)
      check_within("/parts/" + std::to_string(i) + "/holds", *holds, device::least_held, device::most_held, errors);
  return errors;
}

class Reckoning {
 public:
  Reckoning(const FlushVolumeInput& input, const device::Catalogue& catheters, const device::AddOns& add_ons)
      : input_(input), catheters_(catheters), add_ons_(add_ons) {
    hub();
    catheter();
    between();
  }

  [[nodiscard]] Volume known() const { return known_; }
  [[nodiscard]] const std::vector<std::string>& unknown() const { return unknown_; }
  [[nodiscard]] std::vector<WorkingInput>& inputs() { return inputs_; }

 private:
  void add(Message name, Volume volume) {
    known_ += volume;
    inputs_.push_back({std::move(name), say::quantity(shown(volume))});
  }

  void hub() {
    if (const auto* own = find(add_ons_, device::hub_name))
      add(own->title, own->holds);
    else
      unknown_.emplace_back(device::hub_name);
  }

  void catheter() {
    const auto bore = input_.gauge ? widest_bore(*input_.gauge, catheters_) : std::nullopt;
    if (bore && input_.length)
      add(say::part_catheter(), tube_volume(*bore, *input_.length));
    else
      unknown_.emplace_back("catheter");
  }

  void between() {
    if (!input_.parts) {
      unknown_.emplace_back("add_ons");
      return;
    }
    for (const auto& part : *input_.parts) {
      const auto* own = find(add_ons_, part.name);
      const Message name = own != nullptr ? Message(own->title) : say::symbol(part.name);
      if (part.holds)
        add(name, *part.holds);
      else if (own != nullptr)
        add(name, own->holds);
      else
        unknown_.push_back(part.name);
    }
  }

  const FlushVolumeInput& input_;
  const device::Catalogue& catheters_;
  const device::AddOns& add_ons_;
  Volume known_{};
  std::vector<std::string> unknown_;
  std::vector<WorkingInput> inputs_;
};

void tell(const Figure<Volume>* ward, bool is_child, FlushVolume& out) {
  if (!out.unknown.empty())
    out.findings.push_back({Severity::caution, "line_not_known", say::line_holds_not_known(), twice_rule});
  if (ward == nullptr && out.volume)
    out.findings.push_back({Severity::caution, "no_flush_of_age", say::flush_as_the_ward_sets(), twice_rule});
  if (is_child && ward != nullptr && out.volume && *out.volume > ward->value)
    out.findings.push_back(
        {Severity::caution, "more_than_usual", say::flush_more_than_usual(ward->value), source_of(*ward)});
}

}  // namespace

Volume tube_volume(Diameter bore, Length length) { return std::numbers::pi / 4 * bore * bore * length; }

const Figure<Volume>* policy_flush(const policy::Place& place, line::AgeBand band) {
  const auto own = place.ages.find(band);
  if (own != place.ages.end() && own->second.first_flush) return &*own->second.first_flush;
  return line::is_child(band) ? nullptr : &place.first_flush;
}

Checked<FlushVolume> flush_volume(const FlushVolumeInput& input, const device::Catalogue& catheters,
                                  const device::AddOns& add_ons, const policy::Place& place) {
  if (auto errors = check(input); !errors.empty()) return refuse(std::move(errors));
  Reckoning line(input, catheters, add_ons);
  FlushVolume out;
  out.unknown = line.unknown();
  out.holds_at_least = line.known();
  const Volume twice = rounded_up(2.0 * line.known());
  if (out.unknown.empty()) {
    out.holds = line.known();
    out.least = twice;
  }
  const auto band = line::age_band(input.patient, input.today);
  const auto* ward = policy_flush(place, band);
  out.source = twice_rule;
  if (ward != nullptr) {
    out.volume = std::max(twice, ward->value);
    if (!(twice > ward->value)) out.source = source_of(*ward);
  } else {
    out.volume = out.least;
  }
  tell(ward, line::is_child(band), out);
  auto inputs = std::move(line.inputs());
  if (ward != nullptr) inputs.push_back({say::flush_of_the_ward(), say::quantity(shown(ward->value))});
  out.workings.push_back({say::flush_volume_name(), say::flush_volume_formula(), std::move(inputs),
                          out.volume ? say::quantity(shown(*out.volume)) : say::flush_as_the_ward_sets(), twice_rule});
  return out;
}

}  // namespace dwell::procedure

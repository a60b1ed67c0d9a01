#include <iostream>
#include <sstream>

#include "cli/commands.h"
#include "dosing/rate.h"
#include "flow/drops.h"
#include "quantity/display.h"
#include "say/command.h"

namespace dwell::cli {
namespace {

struct Options {
  std::string volume, time, rate, drop_factor, taps, ordered;
  std::string drug, in, weight, dose, dose_unit, medicine;
  bool workings = false;
  DecimalSign sign = DecimalSign::unknown;  ///< as the ward writes decimals
};

template <class Q>
std::optional<Q> read(const std::string& text, const char* field, DecimalSign sign, FieldErrors& errors) {
  if (text.empty()) return std::nullopt;
  auto read = parse<Q>(text, sign);
  if (read) return *read;
  errors.push_back({std::string("/") + field, text, read.error().front().expected});
  return std::nullopt;
}

/// A bare 20 means 20 drops/mL: that is how the packet says it.
std::optional<DropFactor> read_drop_factor(std::string text, DecimalSign sign, FieldErrors& errors) {
  if (!text.empty() && text.find_first_not_of("0123456789") == std::string::npos) text += " drops/mL";
  return read<DropFactor>(text, "drop-factor", sign, errors);
}

void print_rate(const dosing::RateResult& r, bool workings) {
  std::vector<Message> rate{r.rate_text};
  if (r.drops_per_minute) rate.push_back(say::drops_a_minute_and_in_15_s(*r.drops_per_minute, *r.drops_per_15_seconds));
  std::cout << say::volume_in_time_at_rate(r.volume, r.duration, std::move(rate)) << '\n';
  if (workings) print_workings(std::cout, r.workings);
}

void run_drip(const Options& o, const Session& session, Exit& exit) {
  FieldErrors errors;
  flow::DripCount count;
  std::istringstream taps(o.taps);
  for (std::string tap; std::getline(taps, tap, ',');) {
    // Moments are plain seconds, parted by commas, and "1.250" of a clock is no thousand.
    if (const auto at = number_from(tap))
      count.taps.push_back(*at * second);
    else
      errors.push_back({"/taps", tap, in_english_only("seconds such as 0,1.2,2.4")});
  }
  const auto factor = read_drop_factor(o.drop_factor, o.sign, errors);
  count.ordered = read<Flow>(o.ordered, "ordered", o.sign, errors);
  if (!factor && errors.empty())
    errors.push_back({"/drop-factor", "", in_english_only("the set's drop factor, as on its packet")});
  if (!errors.empty()) throw BadInput{errors};
  count.drop_factor = *factor;
  count.drop_size_tolerance = library(session).policy.gravity.drop_size_tolerance.value;
  count.catch_up_limit = library(session).policy.gravity.catch_up_limit.value;
  const auto estimate = need(flow::estimate_drip(count));
  // With an order to compare, only a drip that is known to fit it is a yes.
  if ((count.ordered && estimate.advice != flow::DripAdvice::hold) || asks_for_more(estimate.findings))
    exit = Exit::answer_is_no;
  if (session.json) return print_json(json::encode(estimate));
  std::cout << say::drip_as_counted(estimate.flow, estimate.flow_low, estimate.flow_high, estimate.drop_rate,
                                    estimate.drops_counted)
            << '\n'
            << estimate.advice_text << '\n';
  print_findings(std::cout, estimate.findings);
  if (o.workings) print_workings(std::cout, estimate.workings);
}

void run_dose(const Options& o, const Session& session, Exit& exit) {
  FieldErrors errors;
  dosing::DoseInput input;
  if (o.drug.find("unit") != std::string::npos)
    input.bag.units = read<BiologicalUnits>(o.drug, "drug", o.sign, errors);
  else if (o.drug.find("mol") != std::string::npos)
    input.bag.amount = read<Amount>(o.drug, "drug", o.sign, errors);
  else
    input.bag.mass = read<Mass>(o.drug, "drug", o.sign, errors);
  const auto volume = read<Volume>(o.in, "in", o.sign, errors);
  if (!volume && errors.empty())
    errors.push_back({"/in", "", in_english_only("the volume that holds the drug, such as 250 mL")});
  if (volume) input.bag.volume = *volume;
  input.weight = read<BodyWeight>(o.weight, "weight", o.sign, errors);
  input.flow = read<Flow>(o.rate, "rate", o.sign, errors);
  input.drop_factor = read_drop_factor(o.drop_factor, o.sign, errors);
  if (!o.dose.empty()) {
    const auto dose = json::decode<double>(json::Value(o.dose), o.sign);
    if (dose)
      input.dose = *dose;
    else
      errors.push_back({"/dose", o.dose, dose.error().front().expected});
  }
  if (const auto unit = json::Codec<dosing::DoseUnit>::from_name(o.dose_unit))
    input.dose_unit = *unit;
  else
    errors.push_back({"/dose-unit", o.dose_unit,
                      in_english_only("one of " + json::to_text(json::Codec<dosing::DoseUnit>::names()))});
  if (!errors.empty()) throw BadInput{errors};
  if (!o.medicine.empty()) input.medicine = o.medicine;
  const auto result = need(dosing::dose_rate(input, library(session).infusates));
  if (verdict::holds_back(result.verdict)) exit = Exit::answer_is_no;
  if (session.json) return print_json(json::encode(result));
  std::vector<Message> rate{result.flow_text};
  if (result.drops_per_minute) rate.push_back(say::whole_drops_a_minute(*result.drops_per_minute));
  std::cout << say::dose_of_concentration(result.dose_text, result.concentration_text, std::move(rate)) << "  "
            << say::verdict_in_brackets(result.verdict) << '\n';
  print_findings(std::cout, result.findings);
  print_looks(std::cout, result.looks);
  if (o.workings) print_workings(std::cout, result.workings);
}

void run_rate(const Options& o, const Session& session) {
  FieldErrors errors;
  dosing::RateInput input;
  input.volume = read<Volume>(o.volume, "volume", o.sign, errors);
  input.duration = read<Duration>(o.time, "time", o.sign, errors);
  input.flow = read<Flow>(o.rate, "rate", o.sign, errors);
  input.drop_factor = read_drop_factor(o.drop_factor, o.sign, errors);
  input.start = now();
  if (!errors.empty()) throw BadInput{errors};
  const auto result = need(dosing::rate(input));
  if (session.json) return print_json(json::encode(result));
  print_rate(result, o.workings);
  if (result.ends_at)
    std::cout << said::said(say::started_now_ends(*result.ends_at), on_the_ward(session, now())) << '\n';
}

}  // namespace

void add_infuse(CLI::App& app, Session& session, Exit& exit) {
  auto options = std::make_shared<Options>();
  auto* command = app.add_subcommand("infuse", "Rate, drops and dose; a counted drip against its order");
  auto* volume = command->add_option("--volume", options->volume, "such as \"1 L\"");
  auto* time = command->add_option("--time", options->time, "such as \"8 h\"");
  auto* rate = command->add_option("--rate", options->rate, "such as \"125 mL/h\"");
  command->add_option("--drop-factor", options->drop_factor, "drops/mL, as on the set's packet");
  auto* taps = command->add_option("--taps", options->taps, "Seconds at which drops fell: 0,1.2,2.4,…");
  // What belongs to another of the three sums is refused, so that nothing given is left out in silence.
  for (auto* other : {volume, time, rate}) taps->excludes(other);
  command->add_option("--ordered", options->ordered, "Ordered rate, to compare the drip with")->needs(taps);
  auto* drug = command->add_option("--drug", options->drug, "Drug in the bag: \"200 mg\", \"25000 units\"");
  for (auto* other : {volume, time, taps}) drug->excludes(other);
  command->add_option("--in", options->in, "Volume that holds the drug: \"250 mL\"")->needs(drug);
  command->add_option("--medicine", options->medicine, "Its name on the ward's list: strength and speed are looked at")
      ->needs(drug);
  command->add_option("--weight", options->weight, "Body weight, for doses by weight")->needs(drug);
  command->add_option("--dose", options->dose, "Dose, a number in --dose-unit")->needs(drug);
  command->add_option("--dose-unit", options->dose_unit, "mcg_per_kg_min, mg_per_h, units_per_h, …")->needs(drug);
  command->add_flag("--workings", options->workings, "Show formula, inputs and source");
  command->callback([=, &session, &exit] {
    options->sign = policy::decimal_sign(library(session).policy);
    if (!options->taps.empty())
      run_drip(*options, session, exit);
    else if (!options->drug.empty())
      run_dose(*options, session, exit);
    else
      run_rate(*options, session);
  });
}

}  // namespace dwell::cli

// What is asked at the bedside many times a shift: the rate, the counted drip, a quantity as it is typed.
#include "dosing/order.h"
#include "dosing/rate.h"
#include "engine/define.h"
#include "flow/drops.h"

namespace dwell::engine {
namespace {

struct ReadInput {
  QuantityKind quantity = QuantityKind::flow;
  std::string text;
};
BOOST_DESCRIBE_STRUCT(ReadInput, (), (quantity, text))

struct DripInput {
  std::vector<Duration> taps;
  DropFactor drop_factor;
  std::optional<Flow> ordered;
  std::optional<Ratio> drop_size_tolerance;  ///< absent: the policy's
};
BOOST_DESCRIBE_STRUCT(DripInput, (), (taps, drop_factor, ordered, drop_size_tolerance))

struct CompareInput {
  dosing::Order first, second;
};
BOOST_DESCRIBE_STRUCT(CompareInput, (), (first, second))

struct CompareOutput {
  bool agrees = false;
  std::vector<dosing::Disagreement> disagreements;
};
BOOST_DESCRIBE_STRUCT(CompareOutput, (), (agrees, disagreements))

}  // namespace

std::vector<Function> rate_functions() {
  std::vector<Function> all;
  all.push_back(define("quantity.read", "Reads a quantity as a person writes it and gives it back in its usual unit.",
                       [](const ReadInput& in, DecimalSign sign) -> Checked<json::AnyQuantity> {
                         return parse_quantity(in.quantity, in.text, sign)
                             .map([&](double si) {
                               return json::AnyQuantity{in.quantity, si};
                             })
                             .map_error([](FieldErrors errors) {
                               for (auto& e : errors) e.path = "/text";
                               return errors;
                             });
                       }));
  all.push_back(define<&dosing::rate>(
      "dosing.rate", "Volume, time and rate: any two give the third, with drops a minute and the end."));
  all.push_back(define("dosing.compare_orders", "Two people's own entries of one order, compared field by field.",
                       [](const CompareInput& in, const Library& library) -> Checked<CompareOutput> {
                         CompareOutput out;
                         out.disagreements = dosing::compare_orders(in.first, in.second, library.infusates);
                         out.agrees = out.disagreements.empty();
                         return out;
                       }));
  all.push_back(define("flow.drip", "The rate of a drip counted by taps, with its error, against the order.",
                       [](const DripInput& in, const Library& library) {
                         return flow::estimate_drip(
                             {in.taps, in.drop_factor, in.ordered,
                              in.drop_size_tolerance.value_or(library.policy.gravity.drop_size_tolerance.value),
                              library.policy.gravity.catch_up_limit.value});
                       }));
  return all;
}

}  // namespace dwell::engine

// Sodium that a vein bears and a brain does not: a bag stronger than the blood raises it.
#include <algorithm>

#include "dosing/order_looks.h"
#include "quantity/display.h"
#include "say/dosing.h"

namespace dwell::dosing {
namespace {

using infusate::FluidKind;
using infusate::Part;
using verdict::Look;

/// Of the parts that are known: what is not known of the others is not taken for water.
AmountConcentration sodium_of_known(const OrderCase& order) {
  Amount sum;
  Volume volume;
  for (const auto& part : order.parts)
    if (part.infusate && part.infusate->sodium) {
      sum += *part.infusate->sodium * part.volume;
      volume += part.volume;
    }
  return volume > Volume() ? AmountConcentration(sum / volume) : AmountConcentration();
}

/// Of a listed medicine little is brought; a fluid, or what is not listed, may be a strong salt.
bool matters(const Part& part, const std::vector<std::string>& without) {
  if (!part.infusate) return true;
  return part.infusate->kind != FluidKind::medicine &&
         std::find(without.begin(), without.end(), part.name) != without.end();
}

}  // namespace

void look_at_sodium(const OrderCase& order, Look& look) {
  if (order.is_blood()) return look.does_not_apply();
  const auto& most = order.limits().sodium_most;
  const AmountConcentration sodium = sodium_of_known(order);
  if (!most && sodium > AmountConcentration()) look.lacks(say::sodium_limit_missing());
  for (const auto& part : order.parts)
    if (matters(part, order.out.mixture.without_sodium)) look.lacks(say::sodium_of(part.name));
  if (most && sodium > most->value * hair)
    look.say(Severity::caution, "sodium_strong", say::sodium_strong(sodium, most->value), source_of(*most));
}

}  // namespace dwell::dosing

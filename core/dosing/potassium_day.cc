// What potassium comes to in a day: each bag within its rate, and together more than a body takes.
#include "dosing/order_looks.h"
#include "quantity/display.h"
#include "say/dosing.h"

namespace dwell::dosing {
namespace {

using verdict::Look;

Amount potassium_ordered(const OrderCase& order) {
  return order.out.mixture.potassium_at_least * ordered_in_a_day(order);
}

struct Over {
  Severity severity;
  Message text;
  Source source;
};

std::optional<Over> over_the_limit(const OrderCase& order, Amount amount, Look& look) {
  if (!(amount > Amount())) return std::nullopt;
  const auto& caution = order.limits().potassium_day_caution;
  const auto& stop = order.limits().potassium_day_stop;
  if (!caution || !stop) look.lacks(say::potassium_day_limit_missing());
  if (stop && amount > stop->value * hair)
    return Over{Severity::stop, say::potassium_day_stop(amount, stop->value), source_of(*stop)};
  if (caution && amount > caution->value * hair)
    return Over{Severity::caution, say::potassium_day_caution(amount, caution->value), source_of(*caution)};
  return std::nullopt;
}

}  // namespace

void look_at_potassium_of_a_day(const OrderCase& order, Look& look) {
  if (order.is_blood()) return;
  if (const auto over = over_the_limit(order, potassium_ordered(order), look))
    look.say(over->severity, "potassium_day", over->text, over->source);
}

void look_at_potassium_of_a_day_together(const OrderCase& order, Look& look) {
  if (order.beside.empty()) return;
  Amount sum = potassium_ordered(order);
  for (const auto& beside : order.beside) {
    for (const auto& name : beside.mixture.without_potassium) look.lacks(say::potassium_of(name));
    if (const auto more = in_a_day(beside))
      sum += beside.mixture.potassium_at_least * *more;
    else
      look.lacks(say::rate_of(beside.parts.front().name));
  }
  if (const auto over = over_the_limit(order, sum, look))
    look.say(over->severity, "potassium_day_together", say::together(over->text), over->source);
}

}  // namespace dwell::dosing

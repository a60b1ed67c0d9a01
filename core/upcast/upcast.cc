#include "upcast/upcast.h"

#include <algorithm>
#include <array>
#include <string>

namespace dwell::upcast {
namespace {

using json::Object;
using json::Value;

/// The member at the end of the path, or null where anything on the way is no object or is not there.
template <class Holder, class... Names>
auto* within(Holder& object, std::string_view name, Names... deeper) {
  auto* member = object.if_contains(name);
  if constexpr (sizeof...(deeper) == 0) {
    return member;
  } else {
    auto* next = member ? member->if_object() : nullptr;
    return next ? within(*next, deeper...) : nullptr;
  }
}

/// Calls visit(object) for each object in the list or map at the path, until it answers true; whether it did.
template <class Holder, class Visit, class... Names>
bool any_object(Holder& kept, const Visit& visit, Names... path) {
  const auto visited = [&](auto& value) {
    auto* object = value.if_object();
    return object && visit(*object);
  };
  auto* all = within(kept, path...);
  if (!all) return false;
  if (auto* list = all->if_array()) return std::any_of(list->begin(), list->end(), visited);
  auto* map = all->if_object();
  return map && std::any_of(map->begin(), map->end(), [&](auto&& member) { return visited(member.value()); });
}

// ---- practice ----

template <class Score>
bool lacks_must_not(Score& step) {
  return !step.contains("must_not");
}
bool has_steps_without_must_not(const Object& practice) {
  return any_object(practice, lacks_must_not<const Object>, "score", "steps");
}
void say_of_each_step_that_it_may_be_done(Object& practice) {
  any_object(
      practice,
      [](Object& step) {
        if (lacks_must_not(step)) step["must_not"] = false;
        return false;
      },
      "score", "steps");
}

// ---- policies ----

/// The unit of a limit of glucose, when it is one without a kilogram.
template <class Limits>
auto* unit_without_kilogram(Limits& limits, std::string_view limit) {
  auto* unit = within(limits, limit, "value", "unit");
  const bool by_kilogram = unit && unit->is_string() && unit->as_string().find("/kg") != std::string_view::npos;
  return unit && unit->is_string() && !by_kilogram ? unit : nullptr;
}
constexpr std::array glucose_limits{"glucose_caution", "glucose_stop"};

bool has_glucose_without_kilogram(const Object& change) {
  return any_object(
      change,
      [](const Object& limits) {
        return std::any_of(glucose_limits.begin(), glucose_limits.end(),
                           [&](const char* limit) { return unit_without_kilogram(limits, limit) != nullptr; });
      },
      "policy", "order", "by_age");
}
/// "mg/h" becomes "mg/kg/h": the figure was always for each kilogram, only its unit did not say so.
void say_glucose_by_kilogram(Object& change) {
  any_object(
      change,
      [](Object& limits) {
        for (const char* limit : glucose_limits)
          if (auto* unit = unit_without_kilogram(limits, limit)) {
            std::string text(unit->as_string());
            text.insert(std::min(text.find('/'), text.size()), "/kg");
            *unit = text;
            within(limits, limit, "value")->as_object().erase("text");
          }
        return false;
      },
      "policy", "order", "by_age");
}

constexpr std::array all{
    Upcaster{Kept::practice, "ledger schema 4, before there were steps that must not be done",
             "steps_that_must_not_be_done",
             "A score says of each step whether doing it is the fault; before there were such steps, none was.",
             &has_steps_without_must_not, &say_of_each_step_that_it_may_be_done},
    Upcaster{Kept::policy_change, "ledger schema 4, before doses by weight had units of their own",
             "glucose_by_kilogram",
             "Limits of glucose by age were for each kilogram, in a unit that did not say so; now it says so.",
             &has_glucose_without_kilogram, &say_glucose_by_kilogram},
};

}  // namespace

std::span<const Upcaster> upcasters() { return all; }

const Value& in_todays_form(Kept of, const Value& kept, Value& room) {
  const Value* form = &kept;
  for (const auto& upcaster : all) {
    if (upcaster.of != of || !form->is_object() || !upcaster.fits(form->as_object())) continue;
    if (form == &kept) room = kept;
    form = &room;
    upcaster.apply(room.as_object());
  }
  return *form;
}

}  // namespace dwell::upcast

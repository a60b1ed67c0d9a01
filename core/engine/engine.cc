#include "engine/engine.h"

#include <algorithm>

#include "engine/define.h"
#include "say/engine.h"

namespace dwell::engine {

json::Value input_in_place(const Function& function) {
  json::Schemas schemas(json::Form::read);
  return function.input_schema(schemas);
}

json::Value output_in_place(const Function& function) {
  json::Schemas schemas(json::Form::read);
  return function.output_schema(schemas);
}

const std::vector<Function>& functions() {
  static const std::vector<Function> all = [] {
    std::vector<Function> joined;
    const auto join = [&](std::vector<Function> part) { joined.insert(joined.end(), part.begin(), part.end()); };
    join(watch_functions());
#ifndef DWELL_FIRST_FUNCTIONS_ONLY
    // All but what a nurse needs in the first minute: the page fetches it behind that.
    join(bedside_functions());
    join(record_functions());
    join(checking_functions());
    join(rate_functions());
    join(document_functions());
    join(planning_functions());
    join(number_functions());
    join(flow_functions());
    join(hydration_functions());
    join(procedure_functions());
#ifndef DWELL_BEDSIDE_ONLY
    // Learn looks at a whole hospital's lines: that is asked of the server, and its weight is kept from the page.
    join(learning_functions());
#endif
#endif
    std::sort(joined.begin(), joined.end(), [](const Function& a, const Function& b) { return a.name < b.name; });
    return joined;
  }();
  return all;
}

std::optional<Wording> title_of(const Library& library, const std::string& name) {
  if (const auto fluid = library.infusates.find(name); fluid != library.infusates.end())
    return infusate::title_of(fluid->second);
  for (const auto& scale : library.policy.scales)
    if (scale.name == name) return policy::title_of(scale);
  return std::nullopt;
}

const Function* find_function(std::string_view name) {
  const auto& all = functions();
  const auto found =
      std::lower_bound(all.begin(), all.end(), name, [](const Function& f, std::string_view n) { return f.name < n; });
  return found != all.end() && found->name == name ? &*found : nullptr;
}

DecimalSign sign_of(const Library& library, std::optional<DecimalSign> page) {
  const auto ward = policy::decimal_sign(library.policy);
  return !page || *page == ward ? ward : DecimalSign::unknown;
}

Checked<json::Value> call(std::string_view name, const json::Value& input, const Library& library,
                          std::optional<DecimalSign> page) {
  if (const Function* function = find_function(name)) return function->call(input, library, sign_of(library, page));
  return refuse("/name", std::string(name), say::a_function_of_the_engine());
}

std::string call_text(std::string_view name, std::string_view input, const Library& library,
                      std::optional<DecimalSign> page) {
  const auto result =
      json::parse_text(input).and_then([&](const json::Value& v) { return call(name, v, library, page); });
  if (result) return json::to_text(json::Object{{"ok", true}, {"value", *result}});
  return json::to_text(json::Object{{"ok", false}, {"errors", json::encode(result.error())}});
}

}  // namespace dwell::engine

#pragma once
// How a typed function enters the dispatcher: its name, one sentence, and a callable (Input, Library) →
// Checked<Output>.
#include <type_traits>
#include <utility>
#include <vector>

#include "engine/engine.h"

namespace dwell::engine {

template <class T>
json::Value schema_of() {
#ifdef DWELL_WITHOUT_SCHEMAS
  return json::Object{};
#else
  return json::schema<T>();
#endif
}

template <class Output, class Callable, class Input>
Checked<Output> answer(Callable callable, const Input& input, const Library& library, DecimalSign sign) {
  if constexpr (std::is_invocable_v<Callable, const Input&, const Library&, DecimalSign>)
    return callable(input, library, sign);
  else
    return callable(input, library);
}

/// `callable` is a captureless lambda: its type alone is enough to call it. One that reads text itself takes the sign
/// that decimals are written with, too.
template <class Input, class Output, class Callable>
Function define(std::string name, std::string summary, Callable) {
  return {std::move(name), std::move(summary), &schema_of<Input>, &schema_of<Output>,
          [](const json::Value& in, const Library& library, DecimalSign sign) -> Checked<json::Value> {
            auto input = json::decode<Input>(in, sign);
            if (!input) return refuse(std::move(input.error()));
            Checked<Output> output = answer<Output>(Callable{}, *input, library, sign);
            if (!output) return refuse(std::move(output.error()));
            return json::encode(*output);
          }};
}

// One list a part of the job; engine.cc joins them.
[[nodiscard]] std::vector<Function> flow_functions();
[[nodiscard]] std::vector<Function> number_functions();
[[nodiscard]] std::vector<Function> hydration_functions();
[[nodiscard]] std::vector<Function> planning_functions();
[[nodiscard]] std::vector<Function> bedside_functions();
[[nodiscard]] std::vector<Function> rate_functions();
[[nodiscard]] std::vector<Function> record_functions();
[[nodiscard]] std::vector<Function> checking_functions();
[[nodiscard]] std::vector<Function> document_functions();
[[nodiscard]] std::vector<Function> learning_functions();
[[nodiscard]] std::vector<Function> procedure_functions();

}  // namespace dwell::engine

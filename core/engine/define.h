#pragma once
// How a typed function enters the dispatcher: its name, one sentence, and a callable (Input, Library) →
// Checked<Output>.
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

/// `callable` is a captureless lambda: its type alone is enough to call it.
template <class Input, class Output, class Callable>
Function define(std::string name, std::string summary, Callable) {
  return {std::move(name), std::move(summary), &schema_of<Input>, &schema_of<Output>,
          [](const json::Value& in, const Library& library) -> Checked<json::Value> {
            auto input = json::decode<Input>(in, policy::decimal_sign(library.policy));
            if (!input) return refuse(std::move(input.error()));
            Checked<Output> output = Callable{}(*input, library);
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
[[nodiscard]] std::vector<Function> watch_functions();
[[nodiscard]] std::vector<Function> record_functions();
[[nodiscard]] std::vector<Function> checking_functions();
[[nodiscard]] std::vector<Function> document_functions();
[[nodiscard]] std::vector<Function> learning_functions();
[[nodiscard]] std::vector<Function> procedure_functions();

}  // namespace dwell::engine

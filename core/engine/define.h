#pragma once
// How a typed function enters the dispatcher: its name, one sentence, and a callable (Input, parts of the library …) →
// Output or Checked<Output>. The types are the callable's own; nobody writes them twice.
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

template <class Whole, class Part, class... Members>
constexpr int how_often(boost::mp11::mp_list<Members...>) {
  return (0 + ... + std::is_same_v<std::remove_cvref_t<decltype(std::declval<Whole&>().*Members::pointer)>, Part>);
}

/// What a function asks for beside its input: how decimals are written, the library, one of its members, or the one
/// section of the policy that is of that type.
template <class Part>
const Part& part_of(const Library& library, const DecimalSign& sign) {
  if constexpr (std::is_same_v<Part, DecimalSign>) {
    return sign;
  } else if constexpr (std::is_same_v<Part, Library>) {
    return library;
  } else {
    using boost::mp11::mp_list, boost::mp11::mp_rename;
    static_assert(how_often<Library, Part>(mp_rename<json::members_of<Library>, mp_list>()) +
                          how_often<policy::Policy, Part>(mp_rename<json::members_of<policy::Policy>, mp_list>()) ==
                      1,
                  "exactly one part of the library is of this type");
    const Part* part = nullptr;
    const auto look_in = [&](const auto& whole) {
      boost::mp11::mp_for_each<json::members_of<std::remove_cvref_t<decltype(whole)>>>([&](auto member) {
        if constexpr (std::is_same_v<std::remove_cvref_t<decltype(whole.*member.pointer)>, Part>)
          part = &(whole.*member.pointer);
      });
    };
    look_in(library.policy);
    look_in(library);
    return *part;
  }
}

template <class T>
struct Unchecked {
  using Type = T;
};
template <class T>
struct Unchecked<Checked<T>> {
  using Type = T;
};

template <class Callable, class Answer, class Argument, class... Parts>
Function defined(std::string name, std::string summary, Answer (*)(Argument, Parts...)) {
  using Input = std::remove_cvref_t<Argument>;
  using Output = typename Unchecked<Answer>::Type;
  return {std::move(name), std::move(summary), &schema_of<Input>, &schema_of<Output>,
          [](const json::Value& in, const Library& library) -> Checked<json::Value> {
            const DecimalSign sign = policy::decimal_sign(library.policy);
            auto input = json::decode<Input>(in, sign);
            if (!input) return refuse(std::move(input.error()));
            Checked<Output> output = Callable{}(*input, part_of<std::remove_cvref_t<Parts>>(library, sign)...);
            if (!output) return refuse(std::move(output.error()));
            return json::encode(*output);
          }};
}

/// `callable` is a captureless lambda: its type alone is enough to call it, and to know what it takes and gives.
template <class Callable>
Function define(std::string name, std::string summary, Callable callable) {
  return defined<Callable>(std::move(name), std::move(summary), +callable);
}

template <auto function>
struct Calling {
  auto operator()(const auto&... arguments) const { return function(arguments...); }
};
/// A function as it stands: define<&dosing::push_plan>("dosing.push", "A dose pushed by hand, …").
template <auto function>
Function define(std::string name, std::string summary) {
  return defined<Calling<function>>(std::move(name), std::move(summary), function);
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

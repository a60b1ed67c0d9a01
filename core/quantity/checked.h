#pragma once
// Errors that a person can cause come back as values: every wrong field at once, never only the first, each with what
// was found and what was expected. Exceptions are left for broken promises of our own.
#include <string>
#include <tl/expected.hpp>
#include <utility>
#include <vector>

#include "message/message.h"

namespace dwell {

struct FieldError {
  std::string path;   ///< JSON pointer into the input: "/order/rate"
  std::string found;  ///< what the person gave, as given: "1250 mL/h"
  Message expected;   ///< what would be accepted: "at most 999 mL/h; is it 125?"
  friend bool operator==(const FieldError&, const FieldError&) = default;
};

using FieldErrors = std::vector<FieldError>;

template <class T>
using Checked = tl::expected<T, FieldErrors>;

[[nodiscard]] inline tl::unexpected<FieldErrors> refuse(std::string path, std::string found, Message expected) {
  return tl::unexpected<FieldErrors>(FieldErrors{{std::move(path), std::move(found), std::move(expected)}});
}

[[nodiscard]] inline tl::unexpected<FieldErrors> refuse(FieldErrors errors) {
  return tl::unexpected<FieldErrors>(std::move(errors));
}

}  // namespace dwell

#pragma once
// From what a scanner or a person gives to a list of identifiers and values. Nothing is judged here but the form.
#include <string>
#include <string_view>
#include <vector>

#include "quantity/checked.h"

namespace dwell::supply {

struct RawElement {
  std::string identifier;
  std::string value;
};

/// What was read, and everything that was wrong with its form.
struct RawPack {
  std::vector<RawElement> elements;
  FieldErrors errors;
};

[[nodiscard]] RawPack split_pack_text(std::string_view text);
[[nodiscard]] RawPack split_digital_link(std::string_view address);

/// For messages: what can be printed, as it is; a separator as <GS>; any other byte in brackets.
[[nodiscard]] std::string printable(std::string_view bytes);

}  // namespace dwell::supply

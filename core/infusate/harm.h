#pragma once
// How a mixture harms outside a vein, alone: a ward's clocks ask for it again and again, and for nothing else of it.
#include <vector>

#include "infusate/infusate.h"

namespace dwell::infusate {

struct Harm {
  HarmClass harm = HarmClass::unknown;
  LeakFamily leak_family = LeakFamily::none;
  friend bool operator==(const Harm&, const Harm&) = default;
};

/// As `mix` has it; unknown where `mix` refuses.
[[nodiscard]] Harm harm_of(const Mixture& mixture, const Formulary& formulary,
                           const std::vector<SoluteHarm>& by_solute = {});

}  // namespace dwell::infusate

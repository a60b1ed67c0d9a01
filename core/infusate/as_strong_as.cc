#include "infusate/as_strong_as.h"

#include <algorithm>
#include <optional>

#include "infusate/amount.h"

namespace dwell::infusate {
namespace {

/// How many times as strong; 0 when it is another solute, or nobody can say.
double times_as_strong(const Solute& one, const Solute& other) {
  if (one.name != other.name) return 0;
  if (one.mass_concentration && other.mass_concentration) return *one.mass_concentration / *other.mass_concentration;
  const auto amount = amount_of(one), than = amount_of(other);
  return amount && than && than->value() > 0 ? double(*amount / *than) : 0;
}

bool reaches(const std::vector<Part>& parts, Volume total, const Solute& wanted) {
  constexpr double hair = 1e-9;  // a strength exactly that of the bag is not missed for binary noise
  double strength = 0;
  for (const auto& part : parts)
    if (part.infusate)
      for (const auto& solute : part.infusate->solutes)
        strength += part.volume / total * times_as_strong(solute, wanted);
  return strength >= 1 - hair;
}

}  // namespace

std::vector<const Infusate*> as_strong_as(const std::vector<Part>& parts, const Formulary& formulary) {
  Volume total;
  for (const auto& part : parts) total += part.volume;
  std::vector<const Infusate*> found;
  for (const auto& [name, entry] : formulary) {
    const bool is_part =
        std::any_of(parts.begin(), parts.end(), [&here = entry](const Part& part) { return part.infusate == &here; });
    if (entry.solutes.empty() || is_part) continue;
    if (std::all_of(entry.solutes.begin(), entry.solutes.end(),
                    [&](const Solute& solute) { return reaches(parts, total, solute); }))
      found.push_back(&entry);
  }
  return found;
}

bool strength_is_unknown(const Infusate& infusate) {
  return infusate.must_be_diluted && infusate.kind != FluidKind::water && infusate.solutes.empty() &&
         !infusate.potassium;
}

}  // namespace dwell::infusate

#pragma once
// Which listed bags a mixture comes up to. What the list says of a premixed bag holds for one that is made as strong at
// the bedside: the salt does not know who mixed it.
#include <vector>

#include "infusate/infusate.h"

namespace dwell::infusate {

/// The entries with solutes of `formulary`, none of them a part itself, in each of whose solutes the mixture of `parts`
/// is at least as strong. A solute is the same by its name; what parts bring of it adds up.
[[nodiscard]] std::vector<const Infusate*> as_strong_as(const std::vector<Part>& parts, const Formulary& formulary);

/// Whether it cannot be said what a part comes up to: a concentrate of which neither the solutes are known nor the
/// potassium, which is what such bags hold.
[[nodiscard]] bool strength_is_unknown(const Infusate& infusate);

}  // namespace dwell::infusate

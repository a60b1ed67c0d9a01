#pragma once
// Whether a person's own words speak of a name: an allergy is charted as "chlorhexidine (swollen eyes)", a tray holds
// "chlorhexidine". Found is a reason to ask, never a diagnosis; not found is no proof that there is none.
#include <string_view>

namespace dwell::text {

/// The name as whole words, whatever the capitals: "Latex gloves" mentions "latex", "latexate" does not.
[[nodiscard]] bool mentions(std::string_view own_words, std::string_view name);

}  // namespace dwell::text

#pragma once
// One dispatcher for three hosts. Every public function of the engine has a name and takes and gives JSON; the command
// line, the server and the browser call this and nothing else, so that no clinical number is computed in two ways.
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "device/add_on.h"
#include "device/plan.h"
#include "infusate/infusate.h"
#include "json/codec.h"
#include "policy/policy_codec.h"

namespace dwell::engine {

/// The data that the engine works with: policy and catalogues, read outside core and given as values.
struct Library {
  policy::Policy policy;
  device::Catalogue catheters;
  infusate::Formulary infusates;
  device::AddOns add_ons{};  ///< what stands between catheter and syringe; a library of an earlier edition has none
};
BOOST_DESCRIBE_STRUCT(Library, (), (policy, catheters, infusates, add_ons))

/// What the fluid, medicine or scale of that name is called where it is shown; nothing when there is none.
[[nodiscard]] std::optional<Wording> title_of(const Library& library, const std::string& name);

struct Function {
  std::string name;     ///< "dosing.rate"
  std::string summary;  ///< one sentence for people
  json::Value (*input_schema)(json::Schemas& schemas);
  json::Value (*output_schema)(json::Schemas& schemas);
  Checked<json::Value> (*call)(const json::Value& input, const Library& library, DecimalSign sign);
};

/// Both schemas as they are read, everything written out in place.
[[nodiscard]] json::Value input_in_place(const Function& function);
[[nodiscard]] json::Value output_in_place(const Function& function);

/// All functions, by name.
[[nodiscard]] const std::vector<Function>& functions();
[[nodiscard]] const Function* find_function(std::string_view name);

/// How what was typed is read: as the ward's policy writes decimals, when the page that it was typed in writes them so
/// too; else nobody knows, and what the two read apart is a question. Absent: typed in no page.
[[nodiscard]] DecimalSign sign_of(const Library& library, std::optional<DecimalSign> page);

/// Decodes, calls, encodes. An unknown name is a field error too. `page` is the sign of the language of the page that
/// the input was typed in.
[[nodiscard]] Checked<json::Value> call(std::string_view name, const json::Value& input, const Library& library,
                                        std::optional<DecimalSign> page = std::nullopt);

/// The same from text to text, as the hosts use it: {"ok": true, "value": …} or {"ok": false, "errors": […]}.
[[nodiscard]] std::string call_text(std::string_view name, std::string_view input, const Library& library,
                                    std::optional<DecimalSign> page = std::nullopt);

}  // namespace dwell::engine

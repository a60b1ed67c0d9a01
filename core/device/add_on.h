#pragma once
// What stands between a catheter and the syringe, by what it is and not by maker: how much it holds, so that a flush
// can be as large as the line that it is to clear.
#include <boost/describe.hpp>
#include <string>
#include <vector>

#include "quantity/checked.h"
#include "quantity/figure.h"
#include "quantity/quantity.h"

namespace dwell::device {

struct AddOn {
  std::string name;  ///< key: "connector"
  Wording title;
  Volume holds;  ///< the most that one of its kind holds; what its pack declares counts before it
  Source source;
  friend bool operator==(const AddOn&, const AddOn&) = default;
};
BOOST_DESCRIBE_STRUCT(AddOn, (), (name, title, holds, source))

using AddOns = std::vector<AddOn>;

/// Between these lies what one add-on may hold.
inline const Volume least_held = 0.01 * millilitre, most_held = 20.0 * millilitre;

/// The hub of the catheter itself, which a bore and a length do not show: it counts in every line.
inline constexpr const char* hub_name = "hub";

/// What no codec can see. Errors: a volume outside 0.01 to 20 mL.
[[nodiscard]] FieldErrors check_add_on(const std::string& path, const AddOn& add_on);

}  // namespace dwell::device

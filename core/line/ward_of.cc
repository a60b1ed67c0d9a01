#include "line/state.h"
#include "text/text_rule.h"

namespace dwell::line {

bool belongs_to(std::string_view unit, std::string_view ward) {
  return ward.empty() || unit == ward || text::is_blank(unit);
}

bool belongs_to(const Place& place, std::string_view ward) { return belongs_to(place.unit, ward); }

}  // namespace dwell::line

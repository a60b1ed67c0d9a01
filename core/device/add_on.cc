#include "device/add_on.h"

#include "quantity/within.h"

namespace dwell::device {

FieldErrors check_add_on(const std::string& path, const AddOn& add_on) {
  FieldErrors errors;
  check_within(path + "/holds", add_on.holds, least_held, most_held, errors);
  return errors;
}

}  // namespace dwell::device

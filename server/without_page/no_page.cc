// Built when the page is left out (tests of the server alone): there is nothing to serve at "/".
#include "server/page.h"

namespace dwell::server {

std::span<const PageFile> page_files() { return {}; }

}  // namespace dwell::server

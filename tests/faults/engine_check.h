#pragma once
// What the engines themselves find damaged in a record, page by page and index by index, when nothing of Dwell is
// asked.
#include <string>

namespace dwell::faults {

/// In the engine's words; empty when it finds nothing. SQLite: integrity_check. PostgreSQL: amcheck, every table's
/// pages and every index against its table.
[[nodiscard]] std::string damage_found_by_engine(const std::string& where);

}  // namespace dwell::faults

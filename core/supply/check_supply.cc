// Is it in date? The words that the nurse reads before the pack is opened.
#include <algorithm>

#include "supply/pack_code.h"

namespace dwell::supply {
namespace {

const Source practice{"common practice, no source", Mark::practice};

/// Typed beside scanned: where they differ, both are told, and the earlier expiry holds.
void add_typed(const SupplyInput& input, PackCode& pack) {
  const auto differ = [&](const std::string& what, const std::string& typed, const std::string& scanned) {
    pack.findings.push_back({Severity::caution, "typed_differs",
                             "typed " + what + " " + typed + ", but the code says " + scanned + ": look at the pack",
                             practice});
  };
  if (input.expiry) {
    if (pack.expiry && *pack.expiry != *input.expiry) differ("expiry", show(*input.expiry), show(*pack.expiry));
    pack.expiry = pack.expiry ? std::min(*pack.expiry, *input.expiry) : *input.expiry;
  }
  if (input.lot && !input.lot->empty()) {
    if (pack.lot && *pack.lot != *input.lot) differ("lot", *input.lot, *pack.lot);
    if (!pack.lot) pack.lot = input.lot;
  }
}

DateState date_state(const std::optional<Date>& expiry, Date today) {
  if (!expiry) return DateState::unknown;
  if (today == *expiry) return DateState::last_day;
  return today < *expiry ? DateState::in_date : DateState::expired;
}

std::string words(const SupplyCheck& check, const std::string& what) {
  const std::string another = "take another " + (what.empty() ? "one" : what);
  switch (check.state) {
    case DateState::in_date: return "in date, to " + show(*check.pack.expiry);
    case DateState::last_day: return "in date, today is the last day: " + show(*check.pack.expiry);
    case DateState::expired: return "expired on " + show(*check.pack.expiry) + ": " + another;
    case DateState::unknown: break;
  }
  return "expiry not known: read it from the pack, or " + another;
}

}  // namespace

Checked<SupplyCheck> check_supply(const SupplyInput& input) {
  FieldErrors errors;
  if (!input.today.ok()) errors.push_back({"/today", "an impossible date", "today's date"});
  if (input.expiry && !input.expiry->ok())
    errors.push_back({"/expiry", "an impossible date", "a date such as 2027-02-28"});
  SupplyCheck out;
  if (!input.code.empty() && input.today.ok()) {
    if (auto read = read_pack_code(input.code, input.today))
      out.pack = *std::move(read);
    else
      for (const auto& error : read.error()) errors.push_back({"/code" + error.path, error.found, error.expected});
  }
  if (!errors.empty()) return refuse(std::move(errors));
  add_typed(input, out.pack);
  out.state = date_state(out.pack.expiry, input.today);
  out.usable = out.state == DateState::in_date || out.state == DateState::last_day;
  out.text = words(out, input.what);
  return out;
}

}  // namespace dwell::supply

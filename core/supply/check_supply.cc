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

/// A clock that was never set says 1970, and everything is in date. So a day on which nobody can have this program is
/// not today; nor is one before the pack was made.
bool can_be_today(Date today) {
  constexpr Date first{std::chrono::year{2026}, std::chrono::January, std::chrono::day{1}};
  constexpr Date after_last{std::chrono::year{2076}, std::chrono::January, std::chrono::day{1}};
  return today >= first && today < after_last;
}

/// Whether the code says which item this is: without it, expiry and lot could be of anything.
bool is_named(const SupplyInput& input, const PackCode& pack) { return input.code.empty() || pack.gtin.has_value(); }

bool made_after(const PackCode& pack, Date today) { return pack.produced && *pack.produced > today; }

DateState date_state(const PackCode& pack, Date today) {
  const auto& expiry = pack.expiry;
  if (!expiry || made_after(pack, today)) return DateState::unknown;
  if (today == *expiry) return DateState::last_day;
  return today < *expiry ? DateState::in_date : DateState::expired;
}

std::string words(const SupplyCheck& check, const SupplyInput& input) {
  const std::string another = "take another " + (input.what.empty() ? "one" : input.what);
  if (made_after(check.pack, input.today))
    return "made on " + show(*check.pack.produced) + ", which is still to come: set the clock, or " + another;
  if (!is_named(input, check.pack) && check.state != DateState::expired)
    return "the code does not say which item this is: scan the pack's other code, or " + another;
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
  if (!input.today.ok())
    errors.push_back({"/today", "an impossible date", "today's date"});
  else if (!can_be_today(input.today))
    errors.push_back({"/today", show(input.today), "today's date; is the clock right?"});
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
  out.state = date_state(out.pack, input.today);
  out.usable = (out.state == DateState::in_date || out.state == DateState::last_day) && is_named(input, out.pack);
  out.text = words(out, input);
  return out;
}

}  // namespace dwell::supply

// Is it in date? The words that the nurse reads before the pack is opened.
#include <algorithm>

#include "json/codec.h"
#include "say/supply.h"
#include "supply/pack_code.h"

namespace dwell::supply {
namespace {

const Source practice{"common practice, no source", Mark::practice};

/// Typed beside scanned: where they differ, both are told, and the earlier expiry holds.
void add_typed(const SupplyInput& input, PackCode& pack) {
  const auto differ = [&](Message text) {
    pack.findings.push_back({Severity::caution, "typed_differs", std::move(text), practice});
  };
  if (input.expiry) {
    if (pack.expiry && *pack.expiry != *input.expiry) differ(say::typed_expiry_differs(*input.expiry, *pack.expiry));
    pack.expiry = pack.expiry ? std::min(*pack.expiry, *input.expiry) : *input.expiry;
  }
  if (input.lot && !input.lot->empty()) {
    if (pack.lot && *pack.lot != *input.lot) differ(say::typed_lot_differs(*input.lot, *pack.lot));
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

Message words(const SupplyCheck& check, const SupplyInput& input) {
  const auto what = json::Codec<SupplyKind>::from_name(input.what).value_or(SupplyKind::other);
  if (made_after(check.pack, input.today)) return say::made_in_the_future(*check.pack.produced, what);
  if (!is_named(input, check.pack) && check.state != DateState::expired) return say::code_names_no_item(what);
  switch (check.state) {
    case DateState::in_date: return say::in_date_to(*check.pack.expiry);
    case DateState::last_day: return say::in_date_on_its_last_day(*check.pack.expiry);
    case DateState::expired: return say::expired_on(*check.pack.expiry, what);
    case DateState::unknown: break;
  }
  return say::expiry_not_known(what);
}

}  // namespace

Checked<SupplyCheck> check_supply(const SupplyInput& input) {
  FieldErrors errors;
  if (!input.today.ok())
    errors.push_back({"/today", iso(input.today), say::todays_date()});
  else if (!can_be_today(input.today))
    errors.push_back({"/today", show(input.today), say::todays_date_by_a_right_clock()});
  if (input.expiry && !input.expiry->ok()) errors.push_back({"/expiry", iso(*input.expiry), say::an_expiry_such_as()});
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

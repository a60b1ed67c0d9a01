#pragma once
// What happened, in one short text for the ribbon and the note.
#include <optional>
#include <string>
#include <string_view>

#include "line/event.h"

namespace dwell::line {

/// "sodium chloride 0.9 % 1 000 mL with potassium chloride 15 % 10 mL"
[[nodiscard]] Message describe(const infusate::Mixture& mixture);
/// "pain, redness; pain 3 of 10; swelling 20 mm", "no signs", "not assessed"
[[nodiscard]] Message describe(const site::Signs& signs);
/// "phlebitis 0 to 4 (version 1): grade 2"
[[nodiscard]] Message describe(const GradeGiven& given);
/// "sodium chloride 0.9 % 1 000 mL at 125 mL/h over 8 h"
[[nodiscard]] Message to_run(const dosing::Order& order);
/// "22 gauge"
[[nodiscard]] Message describe(Gauge gauge);
/// A name that a policy gave, for people: "leak_harmless" reads "leak harmless".
[[nodiscard]] std::string spoken(std::string_view name);

/// In one line, without its moment and author. A person's own words stand in it between the marks of text/own_words.h.
[[nodiscard]] Message history_text(const Body& body);
/// The highest grade that a look at the site gave, or nothing.
[[nodiscard]] std::optional<int> worst_grade(const Body& body);
[[nodiscard]] std::optional<int> worst_grade(const std::vector<GradeGiven>& grades);
/// Whether a look found signs that match no grade of one of its scales.
[[nodiscard]] bool matches_no_grade(const Body& body);

}  // namespace dwell::line

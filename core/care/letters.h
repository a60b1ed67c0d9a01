#pragma once
// For tests: what can be charted on a line, as letters of which histories are made. Each kind of event is there, in its
// dangerous and in its harmless form where it has both.
#include <vector>

#include "care/test_ward.h"

namespace dwell::test {

struct Letter {
  line::Body body;
  const char* author = "R. Ode";
  bool takes_back = false;  ///< the entry before it
};

template <class Fact>
[[nodiscard]] Fact with(auto&& change) {
  Fact fact{};
  change(fact);
  return fact;
}

/// What acts on catheter, clock or finding, in its dangerous and its harmless form.
[[nodiscard]] inline std::vector<Letter> acting() {
  auto short_of_it = removed();
  short_of_it.length_found = 20.0 * millimetre;
  auto unknown_length = removed();
  unknown_length.length_found.reset();
  auto broken = all_normal();
  broken.dressing_intact = false;
  broken.still_needed = false;
  auto stiff = flushed(true);
  stiff.resistance = true;
  return {{placed()},
          {removed()},
          {short_of_it},
          {unknown_length},
          {infusion(50)},
          {infusion(5, vasopressor)},
          {line::InfusionEnded{}},
          {flushed(true)},
          {stiff},
          {pushed(vasopressor)},
          {pushed("")},
          {leak()},
          {all_normal()},
          {all_normal(), "B. Cole"},
          {not_looked()},
          {broken},
          {answered_leak()},
          {line::Responded{"", {}, "", "", {}}},
          {line::Responded{"catheter_fragment", {"Call now."}, "the doctor", "", {}}},
          {with<line::Attempted>([](auto& a) { a.outcome = line::AttemptOutcome::nerve_pain; })},
          {with<line::Attempted>([](auto& a) { a.outcome = line::AttemptOutcome::placed; })},
          {after_checked(3, true)},
          {after_checked(0, true)},
          {line::Retracted{"wrong line"}, "R. Ode", true}};
}

[[nodiscard]] inline line::Event event_of(line::Body body, Instant at, unsigned number) {
  line::Event event;
  event.id = id(number);
  event.line = line_id;
  event.occurred_at = event.recorded_at = at;
  event.author = "R. Ode";
  event.body = std::move(body);
  return event;
}

/// What is kept and read again, and moves no clock: the tests hold it to that.
[[nodiscard]] inline std::vector<line::Body> inert() {
  return {line::Assessed{},
          line::OrderDoubleChecked{"B. Cole", false, ""},
          line::OrderDoubleChecked{"B. Cole", true, ""},
          line::Prepared{},
          line::Refused{"a check", "", ""},
          line::SupplyUsed{},
          line::Photographed{},
          line::Assigned{},
          line::HandedOver{},
          line::Noted{},
          line::RetentionHeld{},
          line::RetentionReleased{}};
}

[[nodiscard]] inline line::Body attempt(line::AttemptOutcome outcome) {
  return with<line::Attempted>([&](auto& a) { a.outcome = outcome; });
}
template <class Fact>
[[nodiscard]] Fact without_blood(Fact fact) {
  fact.blood_return = false;
  return fact;
}

[[nodiscard]] inline line::LeftWithLine left_with_line() {
  return {"antibiotic at home", "the patient and the home nurses", "home nurses"};
}

/// Every other kind.
[[nodiscard]] inline std::vector<Letter> moving() {
  auto letters = acting();
  dosing::Order order;
  order.mixture = infusion(50).mixture;
  auto of_another = opened();
  of_another.patient.number = "2002";
  const std::vector<line::Body> rest{opened(),
                                     of_another,
                                     without_blood(flushed(true)),
                                     without_blood(all_normal()),
                                     checked(2),
                                     attempt(line::AttemptOutcome::infiltrated),
                                     line::Ordered{order},
                                     line::Planned{},
                                     line::RateChanged{5.0 * litre / hour, ""},
                                     line::DripCounted{},
                                     line::DressingChanged{line::Dressing::film, ""},
                                     line::SetChanged{},
                                     line::AddOnChanged{},
                                     line::TubingTraced{false, ""},
                                     line::TubingTraced{true, ""},
                                     line::PutOff{care::Task::response, after(std::chrono::hours{10}), "later"},
                                     line::PutOff{care::Task::site_check, after(std::chrono::hours{10}), "later"},
                                     line::RemovalOrdered{},
                                     line::Moved{},
                                     line::Departed{line::Departure::discharged, ""},
                                     left_with_line(),
                                     line::NeedReviewed{},
                                     line::NotPlaced{line::NotPlacedReason::another_route, ""}};
  for (const auto& body : rest) letters.push_back({body});
  return letters;
}

[[nodiscard]] inline line::NeedReviewed in_case() {
  return with<line::NeedReviewed>([](auto& need) {
    need.ground = line::NeedGround::in_case;
    need.in_case_by = "Dr T. Weller";
  });
}

/// Every kind, and the other forms of those that move something.
[[nodiscard]] inline std::vector<Letter> alphabet() {
  auto letters = moving();
  for (const auto& body : inert()) letters.push_back({body});
  const std::vector<line::Body> forms{without_blood(placed()),
                                      attempt(line::AttemptOutcome::arterial),
                                      attempt(line::AttemptOutcome::no_flashback),
                                      line::RateChanged{},
                                      line::Departed{},
                                      in_case(),
                                      line::DressingChanged{line::Dressing::gauze, ""},
                                      after_checked(0, false),
                                      line::Moved{{"Hill Hospital", "Ward 4", "1"}}};
  for (const auto& body : forms) letters.push_back({body});
  return letters;
}

}  // namespace dwell::test

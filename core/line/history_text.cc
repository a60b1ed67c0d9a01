#include "line/history_text.h"

#include <algorithm>
#include <utility>

#include "json/codec.h"
#include "line/state.h"
#include "text/each_text.h"
#include "text/own_words.h"

namespace dwell::line {
namespace {

/// ": text", or nothing when there is none.
std::string after_colon(const std::string& text) { return text.empty() ? "" : ": " + text; }
std::string bracketed(const std::string& text) { return text.empty() ? "" : " (" + text + ")"; }
std::string by(const std::string& person) { return person.empty() ? "" : " by " + person; }
std::string yes_or_no(std::optional<bool> value, const char* yes, const char* no) {
  return value ? std::string("; ") + (*value ? yes : no) : "";
}

std::string grades_text(const std::vector<GradeGiven>& grades) {
  std::string text;
  for (const auto& given : grades) text += "; " + describe(given);
  return text;
}

std::string came_from(std::optional<Origin> origin) {
  switch (origin.value_or(Origin::here)) {
    case Origin::here: return "";
    case Origin::field: return "; started in the field";
    case Origin::other_hospital: return "; started in another hospital";
    case Origin::other_unit: return "; started in another unit";
  }
  return "";
}

std::string listed(const char* before, const std::vector<std::string>& items) {
  std::string text;
  for (const auto& item : items) text += (text.empty() ? before : ", ") + item;
  return text;
}

std::string where(const Place& place) {
  return (place.unit.empty() ? "" : place.unit + ", ") + "bed " + (place.bed.empty() ? "not recorded" : place.bed);
}

struct Text {
  std::string operator()(const Opened& e) const { return "record opened, " + where(e.place); }
  std::string operator()(const Ordered& e) const {
    const auto& order = e.order;
    return "ordered: " + describe(order.mixture) + (order.flow ? " at " + show(*order.flow) : "") +
           (order.duration ? " over " + show(*order.duration) : "") + by(order.prescriber);
  }
  std::string operator()(const Assessed& e) const {
    std::string text = "veins assessed";
    for (std::size_t i = 0; i < e.veins.size(); ++i)
      text += (i ? "; " : ": ") + access::describe(e.veins[i].site) + ", " + show(e.veins[i].diameter) + " wide";
    return text;
  }
  std::string operator()(const OrderDoubleChecked& e) const {
    return std::string("order double-checked") + by(e.second_person) + (e.agrees ? ": agrees" : ": differs") +
           bracketed(e.note);
  }
  std::string operator()(const Planned& e) const {
    return "planned: " + e.catheter + ", " + access::describe(e.site) + after_colon(e.override_reason.value_or(""));
  }
  std::string operator()(const Prepared& e) const {
    std::string text = "prepared";
    if (e.preferred_side) text += "; prefers the " + std::string(json::name_of(*e.preferred_side)) + " side";
    if (e.dominant_hand) text += "; " + std::string(json::name_of(*e.dominant_hand)) + "-handed";
    if (!e.earlier_sites.empty()) text += "; earlier lines: " + e.earlier_sites;
    if (!e.topical_anaesthetic.empty()) text += "; skin numbed with " + spoken(e.topical_anaesthetic);
    text += yes_or_no(e.warmed, "warmed", "not warmed");
    return text + (e.positioning.empty() ? "" : "; " + e.positioning);
  }
  std::string operator()(const Refused& e) const {
    return "refused: " + e.what + bracketed(e.reason) + (e.told.empty() ? "" : "; told: " + e.told);
  }
  std::string operator()(const SupplyUsed& e) const {
    return e.what + " used" + (e.lot ? ", lot " + *e.lot : "") + (e.expiry ? ", expiry " + show(*e.expiry) : "") +
           after_colon(e.reason.value_or(""));
  }
  std::string operator()(const Attempted& e) const {
    return "attempt" + by(e.clinician) + ", " + access::describe(e.site) + ", " + show(e.gauge) +
           (e.aid.empty() ? "" : ", with " + e.aid) + ": " + spoken(json::name_of(e.outcome));
  }
  std::string operator()(const Placed& e) const {
    return "placed" + by(e.inserter) + ": " + access::describe(e.site) + ", " + show(e.gauge) + ", " + show(e.length) +
           (e.asepsis == Asepsis::not_assured ? "; asepsis not assured" : "") + came_from(e.origin) +
           listed("; drawn: ", e.samples.value_or(std::vector<std::string>()));
  }
  std::string operator()(const InfusionStarted& e) const {
    return "infusion started: " + describe(e.mixture) + " at " + show(e.flow) + " by " +
           spoken(json::name_of(e.delivery)) + (e.drop_factor ? ", " + show(*e.drop_factor) : "");
  }
  std::string operator()(const RateChanged& e) const {
    return "rate changed to " + show(e.flow) + after_colon(e.reason);
  }
  std::string operator()(const DripCounted& e) const {
    return "drip counted: " + show(e.drop_rate) + ", " + show(e.flow) + " (" + show(e.flow_low) + " to " +
           show(e.flow_high) + ")" + after_colon(e.advice);
  }
  std::string operator()(const InfusionEnded& e) const {
    return "infusion ended" + (e.given ? ", " + show(*e.given) + " given" : std::string()) + after_colon(e.reason);
  }
  std::string operator()(const Flushed& e) const {
    return "flushed with " + (e.fluid.empty() ? "fluid not recorded" : e.fluid) + ", " + show(e.volume) +
           yes_or_no(e.blood_return, "blood return", "no blood return") + (e.resistance ? "; resistance" : "") +
           (e.locks ? "; locked" : "");
  }
  std::string operator()(const SiteChecked& e) const {
    return "site checked: " + describe(e.signs) + grades_text(e.grades) +
           yes_or_no(e.dressing_intact, "dressing intact", "dressing not intact") +
           yes_or_no(e.still_needed, "still needed", "no longer needed") +
           yes_or_no(e.blood_return, "blood return", "no blood return") + bracketed(e.note);
  }
  std::string operator()(const DressingChanged& e) const {
    return "dressing changed to " + spoken(json::name_of(e.dressing)) + after_colon(e.reason);
  }
  std::string operator()(const SetChanged& e) const { return "set changed" + after_colon(e.reason); }
  std::string operator()(const AddOnChanged& e) const {
    return (e.add_on.empty() ? "add-on" : e.add_on) + " changed" + after_colon(e.reason);
  }
  std::string operator()(const TubingTraced& e) const {
    return std::string("tubing traced from bag to vein: ") + (e.as_meant ? "as meant" : "NOT as meant") +
           bracketed(e.note);
  }
  std::string operator()(const Photographed& e) const { return "site photographed" + bracketed(e.note); }
  std::string operator()(const PutOff& e) const {
    return "put off: " + spoken(json::name_of(e.task)) + after_colon(e.reason);
  }
  std::string operator()(const Assigned& e) const {
    return e.nurse.empty() ? "assigned to nobody" : "assigned to " + e.nurse;
  }
  std::string operator()(const HandedOver& e) const {
    return "handed over" + by(e.from) + " to " + e.to + bracketed(e.note);
  }
  std::string operator()(const RetentionHeld& e) const { return "record held" + after_colon(e.reason); }
  std::string operator()(const RetentionReleased& e) const {
    return "hold on the record ended" + after_colon(e.reason);
  }
  std::string operator()(const Responded& e) const {
    std::string text = "responded" + after_colon(spoken(e.response));
    for (const auto& step : e.done) text += "; " + step;
    for (const auto& act : e.acts.value_or(std::vector<std::string>())) text += "; " + spoken(act);
    return text + (e.called.empty() ? "" : "; called " + e.called) + bracketed(e.note);
  }
  std::string operator()(const RemovalOrdered& e) const {
    return "removal ordered" + by(e.prescriber) + after_colon(e.reason);
  }
  std::string operator()(const Removed& e) const {
    return "removed" + by(e.remover) + ": " + spoken(json::name_of(e.reason)) + bracketed(e.ground) + "; " +
           describe(e.signs) + grades_text(e.grades);
  }
  std::string operator()(const AfterChecked& e) const {
    return "looked at after removal: " + describe(e.signs) + grades_text(e.grades) + (e.healed ? "; healed" : "") +
           bracketed(e.note);
  }
  std::string operator()(const Moved& e) const { return "moved to " + where(e.place); }
  std::string operator()(const Noted& e) const { return e.text; }
  std::string operator()(const Retracted& e) const { return "an entry was taken back" + after_colon(e.reason); }
};

}  // namespace

std::string spoken(std::string_view name) {
  std::string text(name);
  std::replace(text.begin(), text.end(), '_', ' ');
  return text;
}

std::string describe(const infusate::Mixture& mixture) {
  std::string text = mixture.base + " " + show(mixture.volume);
  const char* joint = " with ";
  for (const auto& additive : mixture.additives)
    text += std::exchange(joint, ", ") + additive.name + " " + show(additive.volume);
  return text;
}

std::string describe(const site::Signs& signs) {
  if (!signs.assessed) return "not assessed";
  std::string text;
  for (const auto sign : signs.present) text += (text.empty() ? "" : ", ") + spoken(json::name_of(sign));
  if (text.empty()) text = "no signs";
  if (signs.pain_score) text += "; pain " + std::to_string(*signs.pain_score) + " of 10";
  if (signs.swelling_extent) text += "; swelling " + show(*signs.swelling_extent);
  if (signs.cord_length) text += "; cord " + show(*signs.cord_length);
  return text;
}

std::string describe(const GradeGiven& given) {
  const std::string scale = given.scale + " (version " + (given.version.empty() ? "not recorded" : given.version) + ")";
  if (given.unmatched) return scale + ": signs match no grade";
  return scale + (given.grade ? ": grade " + std::to_string(*given.grade) : ": not graded");
}

std::string history_text(const Body& body) {
  Body shown = body;
  text::each_text(shown, [](std::string& words, text::Rule rule, const text::Trail&) {
    words = rule == text::Rule::note ? text::quoted(words) : text::unmarked(words);
  });
  return std::visit(Text{}, shown);
}

std::string shown_removal_order(const State& state) {
  const std::string reason = state.removal_order.value_or("");
  return reason == no_reason_recorded ? reason : text::quoted(reason);
}

std::optional<int> worst_grade(const std::vector<GradeGiven>& grades) {
  std::optional<int> worst;
  for (const auto& given : grades)
    if (given.grade && (!worst || *given.grade > *worst)) worst = given.grade;
  return worst;
}

bool matches_no_grade(const Body& body) {
  return std::visit(
      [](const auto& fact) {
        if constexpr (requires { fact.grades; })
          return std::any_of(fact.grades.begin(), fact.grades.end(), [](const GradeGiven& g) { return g.unmatched; });
        else
          return false;
      },
      body);
}

std::optional<int> worst_grade(const Body& body) {
  return std::visit(
      [](const auto& fact) -> std::optional<int> {
        if constexpr (requires { fact.grades; })
          return worst_grade(fact.grades);
        else
          return std::nullopt;
      },
      body);
}

}  // namespace dwell::line

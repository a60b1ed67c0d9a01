#include "line/history_text.h"

#include <algorithm>
#include <utility>

#include "line/clauses.h"
#include "line/state.h"
#include "quantity/display.h"
#include "say/common.h"
#include "say/line.h"
#include "say/site.h"
#include "text/each_text.h"
#include "text/own_words.h"

namespace dwell::line {
namespace {

Message because(Message what, const std::string& reason) {
  return reason.empty() ? what : say::with_reason(std::move(what), say::as_written(reason));
}
Message noted(Message what, const std::string& note) {
  return note.empty() ? what : say::with_note(std::move(what), note);
}
/// Of two answers the one that was given; nothing when it is not known.
Message answer(std::optional<bool> value, Message yes, Message no) {
  if (!value) return {};
  return *value ? std::move(yes) : std::move(no);
}
Message said_if(bool is_so, Message what) { return is_so ? std::move(what) : Message(); }

std::vector<Message> names(const std::vector<std::string>& all) {
  std::vector<Message> out;
  out.reserve(all.size());
  for (const auto& one : all) out.push_back(say::as_written(one));
  return out;
}

/// What a look found, part by part.
std::vector<Message> parts_of(const site::Signs& signs) {
  if (!signs.assessed) return {say::site_not_assessed()};
  std::vector<Message> present;
  for (const auto sign : signs.present) present.push_back(say::sign_seen(sign));
  std::vector<Message> parts{present.empty() ? say::no_signs() : say::signs_seen(std::move(present))};
  if (signs.pain_score) parts.push_back(say::pain_of_ten(*signs.pain_score));
  if (signs.swelling_extent) parts.push_back(say::swelling_extent(shown(*signs.swelling_extent)));
  if (signs.cord_length) parts.push_back(say::cord_length(shown(*signs.cord_length)));
  return parts;
}
std::vector<Message> parts_of(const site::Signs& signs, const std::vector<GradeGiven>& grades) {
  auto parts = parts_of(signs);
  for (const auto& given : grades) parts.push_back(describe(given));
  return parts;
}

/// A look while the line was in, or after.
template <class Look>
std::vector<Message> parts_of_look(const Look& look) {
  auto parts = parts_of(look.signs, look.grades);
  if (look.pain_unsaid) parts.push_back(say::pain_unsaid(*look.pain_unsaid));
  parts.push_back(answer(look.seen_before_gone, say::seen_before_gone(), say::seen_before_still_there()));
  return parts;
}

Message where(const Place& place) {
  if (place.bed.empty()) return place.unit.empty() ? say::bed_not_recorded() : say::unit_without_bed(place.unit);
  return place.unit.empty() ? say::bed_alone(place.bed) : say::bed_of_unit(place.unit, place.bed);
}

/// What was advised after a count, by the name that the entry keeps.
Message advised(const std::string& advice) {
  if (advice == "hold") return say::drip_held();
  if (advice == "slower") return say::drip_slower();
  if (advice == "faster") return say::drip_faster();
  if (advice == "count_longer") return say::drip_count_longer();
  return advice.empty() ? Message() : say::as_written(advice);
}

Message changed(const std::string& add_on) {
  if (add_on == "connector") return say::connector_changed();
  if (add_on == "extension") return say::extension_changed();
  if (add_on == "stopcock") return say::stopcock_changed();
  return add_on.empty() ? say::add_on_changed() : say::named_add_on_changed(add_on);
}

struct Text {
  Message operator()(const Opened& e) const { return say::record_opened(where(e.place)); }
  Message operator()(const Ordered& e) const {
    const auto& by = e.order.prescriber;
    return by.empty() ? say::ordered_to_run(to_run(e.order)) : say::ordered_to_run_by(to_run(e.order), by);
  }
  Message operator()(const Assessed& e) const {
    std::vector<Message> veins;
    for (const auto& vein : e.veins) veins.push_back(say::vein_seen(access::said_of(vein.site), shown(vein.diameter)));
    return veins.empty() ? say::veins_assessed() : say::veins_assessed_as(clauses(std::move(veins)));
  }
  Message operator()(const OrderDoubleChecked& e) const {
    const auto& by = e.second_person;
    if (e.agrees) return noted(by.empty() ? say::order_agrees() : say::order_agrees_by(by), e.note);
    return noted(by.empty() ? say::order_differs() : say::order_differs_by(by), e.note);
  }
  Message operator()(const Planned& e) const {
    return because(say::catheter_planned(e.catheter, access::said_of(e.site)), e.override_reason.value_or(""));
  }
  Message operator()(const Prepared& e) const {
    const auto& numbed = e.topical_anaesthetic;
    return clauses({say::prepared(), e.preferred_side ? say::prefers_side(*e.preferred_side) : Message(),
                    e.dominant_hand ? say::handed(*e.dominant_hand) : Message(),
                    e.earlier_sites.empty() ? Message() : say::earlier_lines(e.earlier_sites),
                    numbed.empty() ? Message() : say::skin_numbed(spoken(numbed)),
                    answer(e.warmed, say::limb_warmed(), say::limb_not_warmed()),
                    e.positioning.empty() ? Message() : say::as_written(e.positioning)});
  }
  Message operator()(const Refused& e) const {
    return clauses(
        {noted(say::patient_refused(e.what), e.reason), said_if(!e.told.empty(), say::patient_told(e.told))});
  }
  Message operator()(const SupplyUsed& e) const {
    const auto used = [&] {
      if (e.lot && e.expiry) return say::supply_used_lot_expiry(e.what, *e.lot, *e.expiry);
      if (e.lot) return say::supply_used_lot(e.what, *e.lot);
      return e.expiry ? say::supply_used_expiry(e.what, *e.expiry) : say::supply_used(e.what);
    };
    return because(used(), e.reason.value_or(""));
  }
  Message operator()(const Attempted& e) const {
    const Message site = access::said_of(e.site), gauge = describe(e.gauge), outcome = say::attempt_outcome(e.outcome);
    if (e.clinician.empty())
      return e.aid.empty() ? say::attempted(site, gauge, outcome) : say::attempted_with(site, gauge, e.aid, outcome);
    return e.aid.empty() ? say::attempted_by(e.clinician, site, gauge, outcome)
                         : say::attempted_by_with(e.clinician, site, gauge, e.aid, outcome);
  }
  Message operator()(const Placed& e) const {
    const Message site = access::said_of(e.site), gauge = describe(e.gauge);
    const auto samples = e.samples.value_or(std::vector<std::string>());
    const Origin origin = e.origin.value_or(Origin::here);
    return clauses({e.inserter.empty() ? say::catheter_placed(site, gauge, shown(e.length))
                                       : say::catheter_placed_by(e.inserter, site, gauge, shown(e.length)),
                    said_if(e.asepsis == Asepsis::not_assured, say::asepsis_not_assured()),
                    said_if(origin != Origin::here, say::started_elsewhere(origin)),
                    said_if(!samples.empty(), say::samples_drawn(names(samples)))});
  }
  Message operator()(const InfusionStarted& e) const {
    return e.drop_factor
               ? say::infusion_started_with(describe(e.mixture), shown(e.flow), e.delivery, shown(*e.drop_factor))
               : say::infusion_started(describe(e.mixture), shown(e.flow), e.delivery);
  }
  Message operator()(const RateChanged& e) const { return because(say::rate_changed_to(shown(e.flow)), e.reason); }
  Message operator()(const DripCounted& e) const {
    Message counted = say::drip_counted(shown(e.drop_rate), shown(e.flow), shown(e.flow_low), shown(e.flow_high));
    Message advice = advised(e.advice);
    return advice.empty() ? counted : say::with_reason(std::move(counted), std::move(advice));
  }
  Message operator()(const InfusionEnded& e) const {
    return because(e.given ? say::infusion_ended_given(shown(*e.given)) : say::infusion_ended(), e.reason);
  }
  Message operator()(const Flushed& e) const {
    return clauses(
        {e.fluid.empty() ? say::flushed_with_unknown(shown(e.volume)) : say::flushed_with(e.fluid, shown(e.volume)),
         answer(e.blood_return, say::blood_return(), say::no_blood_return()), said_if(e.resistance, say::resistance()),
         said_if(e.locks, say::line_locked())});
  }
  Message operator()(const SiteChecked& e) const {
    auto parts = parts_of_look(e);
    parts.push_back(answer(e.dressing_intact, say::dressing_intact(), say::dressing_not_intact()));
    parts.push_back(answer(e.still_needed, say::still_needed(), say::no_longer_needed()));
    parts.push_back(answer(e.blood_return, say::blood_return(), say::no_blood_return()));
    return noted(say::site_checked(clauses(std::move(parts))), e.note);
  }
  Message operator()(const DressingChanged& e) const { return because(say::dressing_changed_to(e.dressing), e.reason); }
  Message operator()(const SetChanged& e) const { return because(say::set_changed(), e.reason); }
  Message operator()(const AddOnChanged& e) const { return because(changed(e.add_on), e.reason); }
  Message operator()(const TubingTraced& e) const {
    return noted(e.as_meant ? say::tubing_as_meant() : say::tubing_not_as_meant(), e.note);
  }
  Message operator()(const Photographed& e) const { return noted(say::site_photographed(), e.note); }
  Message operator()(const PutOff& e) const { return because(say::task_put_off(say::task_name(e.task)), e.reason); }
  Message operator()(const Assigned& e) const {
    return e.nurse.empty() ? say::assigned_to_nobody() : say::assigned_to(e.nurse);
  }
  Message operator()(const HandedOver& e) const {
    return noted(e.from.empty() ? say::handed_over_to(e.to) : say::handed_over_by(e.from, e.to), e.note);
  }
  Message operator()(const RetentionHeld& e) const { return because(say::record_held(), e.reason); }
  Message operator()(const RetentionReleased& e) const { return because(say::record_hold_ended(), e.reason); }
  Message operator()(const Responded& e) const {
    std::vector<Message> parts{e.response.empty() ? say::responded() : say::responded_by(spoken(e.response))};
    for (const auto& step : e.done) parts.push_back(say::as_written(step));
    for (const auto& act : e.acts.value_or(std::vector<std::string>())) parts.push_back(say::as_written(spoken(act)));
    parts.push_back(said_if(!e.called.empty(), say::person_called(e.called)));
    return noted(clauses(std::move(parts)), e.note);
  }
  Message operator()(const RemovalOrdered& e) const {
    return because(e.prescriber.empty() ? say::removal_ordered() : say::removal_ordered_by(e.prescriber), e.reason);
  }
  Message operator()(const Removed& e) const {
    const Message reason = say::removal_reason(e.reason);
    auto parts = parts_of(e.signs, e.grades);
    parts.insert(
        parts.begin(),
        noted(e.remover.empty() ? say::line_removed(reason) : say::line_removed_by(e.remover, reason), e.ground));
    return clauses(std::move(parts));
  }
  Message operator()(const AfterChecked& e) const {
    auto parts = parts_of_look(e);
    parts.push_back(said_if(e.healed, say::site_healed()));
    return noted(say::looked_at_after_removal(clauses(std::move(parts))), e.note);
  }
  Message operator()(const Moved& e) const { return say::moved_to(where(e.place)); }
  Message operator()(const Departed& e) const {
    return e.to.empty() ? say::patient_departed(e.how) : say::patient_departed_to(e.how, e.to);
  }
  Message operator()(const LeftWithLine& e) const {
    return because(say::left_with_line(e.told, e.looks_after_it), e.why);
  }
  Message operator()(const NeedReviewed& e) const {
    return clauses(
        {noted(e.ground == NeedGround::in_case ? say::need_in_case(e.in_case_by) : say::need_reviewed(e.ground),
               e.what_for),
         e.next_use ? say::next_use_planned(*e.next_use) : say::no_next_use(),
         said_if(e.asked != AskedFor::nothing,
                 e.prescriber.empty() ? say::asked_for(e.asked) : say::asked_prescriber_for(e.prescriber, e.asked))});
  }
  Message operator()(const NotPlaced& e) const { return noted(say::not_placed_because(e.reason), e.note); }
  Message operator()(const Noted& e) const { return say::as_written(e.text); }
  Message operator()(const Retracted& e) const { return because(say::entry_taken_back(), e.reason); }
};

}  // namespace

std::string spoken(std::string_view name) {
  std::string text(name);
  std::replace(text.begin(), text.end(), '_', ' ');
  return text;
}

Message describe(const infusate::Mixture& mixture) {
  Message base = say::fluid_volume(mixture.base, shown(mixture.volume));
  std::vector<Message> additives;
  for (const auto& additive : mixture.additives)
    additives.push_back(say::fluid_volume(additive.name, shown(additive.volume)));
  return additives.empty() ? base : say::fluid_with(std::move(base), std::move(additives));
}

Message to_run(const dosing::Order& order) {
  Message mixture = describe(order.mixture);
  if (order.flow && order.duration) return say::mixture_at_over(mixture, shown(*order.flow), shown(*order.duration));
  if (order.flow) return say::mixture_at(std::move(mixture), shown(*order.flow));
  return order.duration ? say::mixture_over(std::move(mixture), shown(*order.duration)) : mixture;
}

Message describe(const site::Signs& signs) { return clauses(parts_of(signs)); }

Message describe(const GradeGiven& given) {
  Message scale =
      given.version.empty() ? say::scale_without_version(given.scale) : say::scale_version(given.scale, given.version);
  if (given.unmatched) return say::scale_unmatched(std::move(scale));
  return given.grade ? say::scale_grade(std::move(scale), *given.grade) : say::scale_ungraded(std::move(scale));
}

Message describe(Gauge gauge) { return say::catheter_gauge(gauge.number); }

Message history_text(const Body& body) {
  Body shown = body;
  text::each_text(shown, [](std::string& words, text::Rule rule, const text::Trail&) {
    words = rule == text::Rule::note ? text::quoted(words) : text::unmarked(words);
  });
  return std::visit(Text{}, shown);
}

std::optional<Message> shown_removal_order(const State& state) {
  if (!state.removal_order) return std::nullopt;
  return state.removal_order->empty() ? say::ordered_without_reason()
                                      : say::as_written(text::quoted(*state.removal_order));
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

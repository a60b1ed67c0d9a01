// What a single event must hold. One walk over the described members looks at every text and every quantity, so that a
// field added to an event is checked from its first day.
#include <cmath>

#include "growth/weight_question.h"
#include "json/codec.h"
#include "line/event.h"
#include "quantity/display.h"
#include "say/common.h"
#include "say/line.h"
#include "text/each_text.h"

namespace dwell::line {
namespace {

using text::Trail;

constexpr std::chrono::minutes clock_ahead{5};
constexpr std::chrono::hours longest_wait{24};
constexpr Instant earliest{std::chrono::sys_days{std::chrono::year{2000} / 1 / 1}};
constexpr Instant latest{std::chrono::sys_days{std::chrono::year{2200} / 1 / 1}};
constexpr Interval longest_span{366 * 86400};

struct Bounds {
  double low = 0, high = 0;  ///< SI
};

/// What a body, a bag or a catheter can be at all. Limits of good practice are policy, not these.
std::optional<Bounds> possible(QuantityKind kind) {
  switch (kind) {
    case QuantityKind::length: return Bounds{0, metre.value()};
    case QuantityKind::volume: return Bounds{0, (20.0 * litre).value()};
    case QuantityKind::body_weight: return Bounds{(0.2 * kilogram).value(), (650.0 * kilogram).value()};
    case QuantityKind::duration: return Bounds{0, (366.0 * day).value()};
    case QuantityKind::flow: return Bounds{0, Flow(60.0 * litre / hour).value()};
    case QuantityKind::drop_factor:
      return Bounds{DropFactor(5.0 * drop / millilitre).value(), DropFactor(100.0 * drop / millilitre).value()};
    case QuantityKind::drop_rate: return Bounds{0, DropRate(1000.0 * drop / minute).value()};
    default: return std::nullopt;
  }
}

class Examination {
 public:
  [[nodiscard]] FieldErrors take() { return std::move(errors_); }
  void refuse(const Trail& path, std::string found, Message expected) {
    errors_.push_back({path.path(), std::move(found), std::move(expected)});
  }

  void texts(const Event& event) { text::check_texts("", event, errors_); }

  template <class T>
  void look(const Trail& path, const T& value) {
    if constexpr (json::is_optional<T>::value) {
      if (value) look(path, *value);
    } else if constexpr (QuantityType<T>) {
      quantity(path, KindOf<T>::value, value.value());
    } else if constexpr (json::DescribedStruct<T>) {
      members(path, value);
    } else {
      plain(path, value);
    }
  }

 private:
  template <class T>
  void plain(const Trail& path, const std::vector<T>& values) {
    std::size_t i = 0;
    for (const auto& value : values) look(Trail{&path, {}, i++}, value);
  }
  template <class T>
  void plain(const Trail&, const T&) {}  // closed sets and texts; see check_texts

  void plain(const Trail& path, const Gauge& gauge) {
    if (gauge.number < 10 || gauge.number > 30) refuse(path, show(gauge), say::gauge_from_10_to_30());
  }
  void plain(const Trail& path, const Interval& interval) {
    if (interval < Interval{0} || interval > longest_span) refuse(path, show(interval), say::time_up_to_366_days());
  }
  void plain(const Trail& path, const Instant& moment) {
    if (moment < earliest || moment > latest) refuse(path, iso(moment), say::moment_from_2000_to_2200());
  }
  void plain(const Trail& path, const Date& date) {
    if (!date.ok() || date.year() < std::chrono::year{1900} || date.year() > std::chrono::year{2199})
      refuse(path, iso(date), say::date_from_1900());
  }

  void quantity(const Trail& path, QuantityKind kind, double si) {
    const auto bounds = possible(kind);
    if (!std::isfinite(si) || (bounds && (si < bounds->low || si > bounds->high)))
      refuse(path, show_quantity(kind, si),
             bounds ? say::from_to(shown_quantity(kind, bounds->low), shown_quantity(kind, bounds->high))
                    : say::any_number());
  }

  template <class T>
  void members(const Trail& path, const T& value) {
    boost::mp11::mp_for_each<json::members_of<T>>([&](auto member) {
      look(Trail{&path, member.name}, value.*member.pointer);
    });
    together(path, value);
  }

  template <class T>
  void together(const Trail&, const T&) {}
  void together(const Trail& path, const site::Signs& signs) {
    if (signs.pain_score && (*signs.pain_score < 0 || *signs.pain_score > 10))
      refuse(Trail{&path, "pain_score"}, std::to_string(*signs.pain_score), say::pain_from_0_to_10());
    if (!signs.assessed && !signs.present.empty())
      refuse(Trail{&path, "assessed"}, "false, with signs present", say::true_when_looked());
  }
  void together(const Trail& path, const GradeGiven& given) {
    if (given.grade && (*given.grade < 0 || *given.grade > 10))
      refuse(Trail{&path, "grade"}, std::to_string(*given.grade), say::grade_from_0_to_10());
    if (given.grade && given.unmatched)
      refuse(Trail{&path, "unmatched"}, "true, with a grade", say::grade_or_unmatched());
  }
  void together(const Trail& path, const Placed& placed) {
    if (placed.length.value() == 0) refuse(Trail{&path, "length"}, show(placed.length), say::catheter_length_above_0());
    if (placed.stands_in_for && !is_line_id(*placed.stands_in_for))
      refuse(Trail{&path, "stands_in_for"}, *placed.stands_in_for, say::id_of_a_line());
  }
  void together(const Trail& path, const Moved& moved) {
    // The house may be unknown: whoever takes in a line that came from nowhere still has to be able to say to where.
    if (text::is_blank(moved.place.unit)) refuse(Trail{&path, "place/unit"}, "", say::ward_moved_to());
  }
  void together(const Trail& path, const PutOff& put_off) {
    if (put_off.reason.empty()) refuse(Trail{&path, "reason"}, "", say::why_it_waits());
  }
  void together(const Trail& path, const Refused& refused) {
    if (refused.what.empty()) refuse(Trail{&path, "what"}, "", say::what_was_refused());
  }
  void together(const Trail& path, const HandedOver& handed_over) {
    if (handed_over.to.empty()) refuse(Trail{&path, "to"}, "", say::who_has_it_now());
  }
  void together(const Trail& path, const Retracted& retracted) {
    if (text::is_blank(retracted.reason)) refuse(Trail{&path, "reason"}, "", say::why_taken_back());
  }
  void together(const Trail& path, const LeftWithLine& left) {
    if (text::is_blank(left.why)) refuse(Trail{&path, "why"}, "nothing", say::why_line_stays_in());
    if (text::is_blank(left.told)) refuse(Trail{&path, "told"}, "nothing", say::who_was_told_of_line());
    if (text::is_blank(left.looks_after_it))
      refuse(Trail{&path, "looks_after_it"}, "nothing", say::who_looks_after_line());
  }
  void together(const Trail& path, const NeedReviewed& need) {
    if (need.ground == NeedGround::in_case && text::is_blank(need.in_case_by))
      refuse(Trail{&path, "in_case_by"}, "nothing", say::who_wants_it_in_case());
  }
  void together(const Trail& path, const NotPlaced& not_placed) {
    if (not_placed.reason == NotPlacedReason::other && text::is_blank(not_placed.note))
      refuse(Trail{&path, "note"}, "nothing", say::why_not_placed());
  }
  void together(const Trail& path, const RetentionHeld& held) {
    if (held.reason.empty()) refuse(Trail{&path, "reason"}, "", say::why_kept_longer());
  }
  void together(const Trail& path, const Photographed& photo) {
    const bool digits = photo.hash.find_first_not_of("0123456789abcdef") == std::string::npos;
    if (photo.hash.size() != 64 || !digits) refuse(Trail{&path, "hash"}, photo.hash, say::hash_digits());
    if (photo.media_type != "image/jpeg" && photo.media_type != "image/png" && photo.media_type != "image/webp")
      refuse(Trail{&path, "media_type"}, photo.media_type, say::picture_types());
    if (photo.bytes < 1 || photo.bytes > largest_photo)
      refuse(Trail{&path, "bytes"}, std::to_string(photo.bytes), say::picture_bytes(largest_photo));
  }
  void together(const Trail& path, const infusate::Mixture& mixture) {
    if (mixture.base.empty()) refuse(Trail{&path, "base"}, "", say::name_of_fluid());
    if (mixture.volume.value() == 0) refuse(Trail{&path, "volume"}, show(mixture.volume), say::volume_above_0());
  }
  void together(const Trail& path, const DripCounted& counted) {
    if (counted.flow_low > counted.flow || counted.flow > counted.flow_high)
      refuse(Trail{&path, "flow"}, show(counted.flow),
             say::between_its_bounds(shown(counted.flow_low), shown(counted.flow_high)));
  }

  FieldErrors errors_;
};

void check_moment(Examination& examination, const Trail& path, Instant moment, Instant now) {
  if (moment < earliest) examination.refuse(path, iso(moment), say::moment_from_2000());
  if (moment > now + clock_ahead) examination.refuse(path, iso(moment), say::not_later_than_now(iso(now)));
}

}  // namespace

FieldErrors check(const Event& event, Instant now) {
  Examination examination;
  if (!is_id(event.id)) examination.refuse({nullptr, "/id"}, event.id, say::id_of_entry());
  if (!is_line_id(event.line)) examination.refuse({nullptr, "/line"}, event.line, say::id_of_line());
  check_moment(examination, {nullptr, "/occurred_at"}, event.occurred_at, now);
  check_moment(examination, {nullptr, "/recorded_at"}, event.recorded_at, now);
  if (event.author.empty()) examination.refuse({nullptr, "/author"}, "", say::who_writes());
  examination.texts(event);
  if (event.schema < 1 || event.schema > schema_version)
    examination.refuse({nullptr, "/schema"}, std::to_string(event.schema), say::schema_up_to(schema_version));
  if (event.corrects && (!is_id(*event.corrects) || *event.corrects == event.id))
    examination.refuse({nullptr, "/corrects"}, *event.corrects, say::id_of_other_entry());
  if (event.receipt)
    examination.refuse({nullptr, "/receipt"}, std::to_string(event.receipt->sequence), say::no_receipt());
  if (std::holds_alternative<Retracted>(event.body) && !event.corrects)
    examination.refuse({nullptr, "/corrects"}, "", say::id_of_entry_taken_back());
  std::visit([&](const auto& fact) { examination.look({nullptr, "/body"}, fact); }, event.body);
  const auto* put_off = std::get_if<PutOff>(&event.body);
  if (put_off && !(put_off->until > event.occurred_at && put_off->until <= event.occurred_at + longest_wait))
    examination.refuse({nullptr, "/body/until"}, iso(put_off->until), say::after_put_off_within_a_day());
  const auto* opened = std::get_if<Opened>(&event.body);
  FieldErrors errors = examination.take();
  if (opened) growth::check_birth_date(opened->patient.birth_date, now, "/body/patient/birth_date", errors);
  return errors;
}

}  // namespace dwell::line

// What a single event must hold. One walk over the described members looks at every text and every quantity, so that a
// field added to an event is checked from its first day.
#include <cmath>

#include "growth/weight_question.h"
#include "json/codec.h"
#include "line/event.h"
#include "text/each_text.h"

namespace dwell::line {
namespace {

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
    case QuantityKind::mass: return Bounds{(0.2 * kilogram).value(), (650.0 * kilogram).value()};
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
  void refuse(const std::string& path, std::string found, std::string expected) {
    errors_.push_back({path, std::move(found), std::move(expected)});
  }

  void texts(const Event& event) { text::check_texts("", event, errors_); }

  template <class T>
  void look(const std::string& path, const T& value) {
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
  void plain(const std::string& path, const std::vector<T>& values) {
    std::size_t i = 0;
    for (const auto& value : values) look(path + "/" + std::to_string(i++), value);
  }
  template <class T>
  void plain(const std::string&, const T&) {}  // closed sets and texts; see check_texts

  void plain(const std::string& path, const Gauge& gauge) {
    if (gauge.number < 10 || gauge.number > 30) refuse(path, show(gauge), "a gauge from 10 to 30");
  }
  void plain(const std::string& path, const Interval& interval) {
    if (interval < Interval{0} || interval > longest_span) refuse(path, show(interval), "a time from 0 s to 366 d");
  }
  void plain(const std::string& path, const Instant& moment) {
    if (moment < earliest || moment > latest) refuse(path, iso(moment), "a moment from 2000 to 2200");
  }
  void plain(const std::string& path, const Date& date) {
    if (!date.ok() || date.year() < std::chrono::year{1900} || date.year() > std::chrono::year{2199})
      refuse(path, date.ok() ? iso(date) : "an impossible date", "a date from 1900 to 2199, such as 2026-11-25");
  }

  void quantity(const std::string& path, QuantityKind kind, double si) {
    const auto bounds = possible(kind);
    if (!std::isfinite(si) || (bounds && (si < bounds->low || si > bounds->high)))
      refuse(path, show_quantity(kind, si),
             bounds ? "from " + show_quantity(kind, bounds->low) + " to " + show_quantity(kind, bounds->high)
                    : "a number");
  }

  template <class T>
  void members(const std::string& path, const T& value) {
    boost::mp11::mp_for_each<json::members_of<T>>(
        [&](auto member) { look(path + "/" + member.name, value.*member.pointer); });
    together(path, value);
  }

  template <class T>
  void together(const std::string&, const T&) {}
  void together(const std::string& path, const site::Signs& signs) {
    if (signs.pain_score && (*signs.pain_score < 0 || *signs.pain_score > 10))
      refuse(path + "/pain_score", std::to_string(*signs.pain_score), "a score from 0 to 10");
    if (!signs.assessed && !signs.present.empty())
      refuse(path + "/assessed", "false, with signs present", "true when signs were looked for");
  }
  void together(const std::string& path, const GradeGiven& given) {
    if (given.grade && (*given.grade < 0 || *given.grade > 10))
      refuse(path + "/grade", std::to_string(*given.grade), "a grade from 0 to 10");
    if (given.grade && given.unmatched)
      refuse(path + "/unmatched", "true, with a grade", "either a grade or unmatched");
  }
  void together(const std::string& path, const Placed& placed) {
    if (placed.length.value() == 0) refuse(path + "/length", show(placed.length), "the catheter's length, above 0 mm");
    if (placed.stands_in_for && !is_line_id(*placed.stands_in_for))
      refuse(path + "/stands_in_for", *placed.stands_in_for, "the id of a line");
  }
  void together(const std::string& path, const Moved& moved) {
    // The house may be unknown: whoever takes in a line that came from nowhere still has to be able to say to where.
    if (text::is_blank(moved.place.unit)) refuse(path + "/place/unit", "nothing", "the ward moved to");
  }
  void together(const std::string& path, const PutOff& put_off) {
    if (put_off.reason.empty()) refuse(path + "/reason", "nothing", "why it waits");
  }
  void together(const std::string& path, const Refused& refused) {
    if (refused.what.empty()) refuse(path + "/what", "nothing", "what was refused");
  }
  void together(const std::string& path, const HandedOver& handed_over) {
    if (handed_over.to.empty()) refuse(path + "/to", "nothing", "who has the line now");
  }
  void together(const std::string& path, const RetentionHeld& held) {
    if (held.reason.empty()) refuse(path + "/reason", "nothing", "why the record is kept longer");
  }
  void together(const std::string& path, const Photographed& photo) {
    const bool digits = photo.hash.find_first_not_of("0123456789abcdef") == std::string::npos;
    if (photo.hash.size() != 64 || !digits) refuse(path + "/hash", photo.hash, "64 lower-case hex digits");
    if (photo.media_type != "image/jpeg" && photo.media_type != "image/png" && photo.media_type != "image/webp")
      refuse(path + "/media_type", photo.media_type, "image/jpeg, image/png or image/webp");
    if (photo.bytes < 1 || photo.bytes > largest_photo)
      refuse(path + "/bytes", std::to_string(photo.bytes), "from 1 to 8,388,608 bytes");
  }
  void together(const std::string& path, const infusate::Mixture& mixture) {
    if (mixture.base.empty()) refuse(path + "/base", "nothing", "the name of the fluid");
    if (mixture.volume.value() == 0) refuse(path + "/volume", show(mixture.volume), "a volume above 0 mL");
  }
  void together(const std::string& path, const DripCounted& counted) {
    if (counted.flow_low > counted.flow || counted.flow > counted.flow_high)
      refuse(path + "/flow", show(counted.flow),
             "between its bounds, " + show(counted.flow_low) + " and " + show(counted.flow_high));
  }

  FieldErrors errors_;
};

void check_moment(Examination& examination, const std::string& path, Instant moment, Instant now) {
  if (moment < earliest) examination.refuse(path, iso(moment), "a moment from 2000 on");
  if (moment > now + clock_ahead)
    examination.refuse(path, iso(moment), "not later than now, " + iso(now) + "; is the clock right?");
}

}  // namespace

FieldErrors check(const Event& event, Instant now) {
  Examination examination;
  if (!is_id(event.id)) examination.refuse("/id", event.id, "a UUIDv7 in lower-case letters");
  if (!is_line_id(event.line)) examination.refuse("/line", event.line, "a UUID in lower-case letters");
  check_moment(examination, "/occurred_at", event.occurred_at, now);
  check_moment(examination, "/recorded_at", event.recorded_at, now);
  if (event.author.empty()) examination.refuse("/author", "nothing", "who writes this");
  examination.texts(event);
  if (event.schema < 1 || event.schema > schema_version)
    examination.refuse("/schema", std::to_string(event.schema), "from 1 to " + std::to_string(schema_version));
  if (event.corrects && (!is_id(*event.corrects) || *event.corrects == event.id))
    examination.refuse("/corrects", *event.corrects, "the id of another event");
  if (event.receipt)
    examination.refuse("/receipt", std::to_string(event.receipt->sequence), "nothing; only the record gives a receipt");
  if (std::holds_alternative<Retracted>(event.body) && !event.corrects)
    examination.refuse("/corrects", "nothing", "the id of the event that is taken back");
  std::visit([&](const auto& fact) { examination.look("/body", fact); }, event.body);
  const auto* put_off = std::get_if<PutOff>(&event.body);
  if (put_off && !(put_off->until > event.occurred_at && put_off->until <= event.occurred_at + longest_wait))
    examination.refuse("/body/until", iso(put_off->until), "after it was put off, by at most 24 h");
  const auto* opened = std::get_if<Opened>(&event.body);
  FieldErrors errors = examination.take();
  if (opened) growth::check_birth_date(opened->patient.birth_date, now, "/body/patient/birth_date", errors);
  return errors;
}

}  // namespace dwell::line

#include "procedure/words.h"

#include <algorithm>

#include "quantity/display.h"
#include "say/access.h"
#include "say/common.h"
#include "say/procedure.h"
#include "text/mentions.h"

namespace dwell::procedure {

Step step(const char* id, Message title, Message detail, Capture capture, Source source) {
  Step made;
  made.id = id;
  made.title = std::move(title);
  made.detail = std::move(detail);
  made.capture = capture;
  made.source = std::move(source);
  return made;
}

Step because(Step made, Message why) {
  made.why = std::move(why);
  return made;
}

Step with_clock(Step made, ClockRule rule, Message name, const Figure<Interval>& figure) {
  made.clock = Clock{rule, figure.value, std::move(name), source_of(figure)};
  return made;
}

Step with_caution(Step made, Message caution) {
  made.cautions.push_back(std::move(caution));
  return made;
}

Step with_stop(Step made, Message stop) {
  made.stops.push_back(std::move(stop));
  return made;
}

message::Quantity in_hours(Interval interval) {
  using std::chrono::hours;
  const auto whole = std::chrono::floor<hours>(interval);
  if (interval >= hours{1} && interval <= hours{72} && whole == interval)
    return {{{std::to_string(whole.count()), "h"}}};
  return shown(interval);
}

Step scrub_hub(const policy::Place& place) {
  Step scrub = because(step("scrub_hub", say::step_scrub_the_hub(), say::do_scrub_hub(), Capture::none),
                       say::why_scrub_the_hub());
  if (!place.hub_scrub) return scrub;
  scrub.source = source_of(*place.hub_scrub);
  return with_clock(std::move(scrub), ClockRule::at_least, say::clock_hub_scrub(), *place.hub_scrub);
}

Message one_of_those(const std::vector<std::string>& names) {
  std::string all;
  for (const auto& name : names) all += (all.empty() ? "" : ", ") + name;
  return all.empty() ? say::the_policy_names_none() : say::one_of(all);
}

Checked<const policy::Antiseptic*> antiseptic_of(const std::string& key, const policy::Place& place) {
  const std::string& named = key.empty() ? place.usual_antiseptic : key;
  const auto found = place.antiseptics.find(named);
  if (found == place.antiseptics.end()) return refuse("/antiseptic", named, one_of_those(keys_of(place.antiseptics)));
  return &found->second;
}

std::vector<std::string> allergies_to(const std::vector<std::string>& names, const line::Patient& patient) {
  std::vector<std::string> found;
  for (const auto& allergy : patient.allergies)
    if (std::any_of(names.begin(), names.end(), [&](const std::string& name) { return text::mentions(allergy, name); }))
      found.push_back(allergy);
  return found;
}

std::vector<Message> as_given(const std::vector<std::string>& names) {
  std::vector<Message> all;
  all.reserve(names.size());
  for (const auto& name : names) all.push_back(say::symbol(name));
  return all;
}

}  // namespace dwell::procedure

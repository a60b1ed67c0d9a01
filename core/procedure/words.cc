#include "procedure/words.h"

#include <algorithm>

#include "quantity/display.h"
#include "text/mentions.h"

namespace dwell::procedure {

Step step(const char* id, const char* title, std::string detail, Capture capture, Source source) {
  Step made;
  made.id = id;
  made.title = title;
  made.detail = std::move(detail);
  made.capture = capture;
  made.source = std::move(source);
  return made;
}

Step because(Step made, std::string why) {
  made.why = std::move(why);
  return made;
}

Step with_clock(Step made, ClockRule rule, const char* name, const Figure<Interval>& figure) {
  made.clock = Clock{rule, figure.value, name, source_of(figure)};
  return made;
}

Step with_caution(Step made, std::string caution) {
  made.cautions.push_back(std::move(caution));
  return made;
}

Step with_stop(Step made, std::string stop) {
  made.stops.push_back(std::move(stop));
  return made;
}

std::string in_hours(Interval interval) {
  using std::chrono::hours;
  const auto whole = std::chrono::floor<hours>(interval);
  if (interval >= hours{1} && interval <= hours{72} && whole == interval) return std::to_string(whole.count()) + " h";
  return show(interval);
}

Step scrub_hub(const policy::Place& place) {
  Step scrub = because(
      step("scrub_hub", "Scrub the hub",
           "Top and sides of the connector, hard; let it dry. Before every access, from now on.", Capture::none),
      "What sits on the connector goes into the blood with the first flush.");
  if (!place.hub_scrub) return scrub;
  scrub.source = source_of(*place.hub_scrub);
  return with_clock(std::move(scrub), ClockRule::at_least, "hub scrub", *place.hub_scrub);
}

std::vector<std::string> allergies_to(const std::vector<std::string>& names, const line::Patient& patient) {
  std::vector<std::string> found;
  for (const auto& allergy : patient.allergies)
    if (std::any_of(names.begin(), names.end(), [&](const std::string& name) { return text::mentions(allergy, name); }))
      found.push_back(allergy);
  return found;
}

std::string listed(const std::vector<std::string>& words) {
  std::string text;
  for (const auto& word : words) text += (text.empty() ? "" : ", ") + word;
  return text;
}

}  // namespace dwell::procedure

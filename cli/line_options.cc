#include "cli/line_options.h"

#include <sstream>

#include "json/codec.h"

namespace dwell::cli {

Checked<access::Site> read_site(const std::string& text) {
  std::istringstream in(text);
  std::string side, region;
  in >> side >> region;
  access::Site site;
  std::getline(in >> std::ws, site.vein);
  const auto found_side = json::Codec<access::Side>::from_name(side);
  const auto found_region = json::Codec<access::Region>::from_name(region);
  if (!found_side || !found_region)
    return refuse("/site", text,
                  in_english_only("left or right, then one of " + json::to_text(json::Codec<access::Region>::names()) +
                                  ", then the vein: \"left forearm_middle cephalic\""));
  site.side = *found_side;
  site.region = *found_region;
  return site;
}

Checked<site::Signs> read_signs(const std::string& text, int pain_score, const std::string& swelling,
                                const std::string& cord, DecimalSign sign) {
  site::Signs signs;
  FieldErrors errors;
  signs.assessed = !text.empty();
  std::istringstream in(text == "none" ? "" : text);
  for (std::string word; std::getline(in, word, ',');) {
    if (const auto sign = json::Codec<site::Sign>::from_name(word))
      signs.present.push_back(*sign);
    else
      errors.push_back(
          {"/signs", word, in_english_only("none, or signs among " + json::to_text(json::Codec<site::Sign>::names()))});
  }
  if (pain_score >= 0) signs.pain_score = pain_score;
  const auto measure = [&](const std::string& given, const char* field, std::optional<Length>& out) {
    if (given.empty()) return;
    if (auto read = parse<Length>(given, sign))
      out = *read;
    else
      errors.push_back({field, given, read.error().front().expected});
  };
  measure(swelling, "/swelling", signs.swelling_extent);
  measure(cord, "/cord", signs.cord_length);
  if (!errors.empty()) return refuse(std::move(errors));
  return signs;
}

std::vector<line::GradeGiven> grades_given(const site::Assessment& assessment) {
  std::vector<line::GradeGiven> given;
  for (const auto& g : assessment.grades) given.push_back({g.scale, g.version, g.grade, g.unmatched});
  return given;
}

Checked<std::optional<bool>> read_yes_no(const std::string& text, const std::string& field) {
  if (text.empty()) return std::optional<bool>();
  if (text == "yes") return std::optional<bool>(true);
  if (text == "no") return std::optional<bool>(false);
  return refuse("/" + field, text, in_english_only("yes or no"));
}

}  // namespace dwell::cli

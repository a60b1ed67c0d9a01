#include "site/grade.h"

#include <algorithm>
#include <array>

#include "json/codec.h"
#include "quantity/display.h"

namespace dwell::site {
namespace {

using infusate::HarmClass;
using infusate::LeakFamily;

bool has(const std::vector<Sign>& signs, Sign sign) {
  return std::find(signs.begin(), signs.end(), sign) != signs.end();
}

/// What is present, with a pain score above 0 counted as pain whether or not it was ticked.
std::vector<Sign> present_signs(const Signs& signs) {
  auto present = signs.present;
  if (signs.pain_score.value_or(0) > 0 && !has(present, Sign::pain)) present.push_back(Sign::pain);
  // Pain along the vein is pain at the site too.
  if (has(present, Sign::pain_along_path) && !has(present, Sign::pain)) present.push_back(Sign::pain);
  return present;
}

bool leak_suspected(const std::vector<Sign>& present) {
  constexpr std::array leak_signs{Sign::swelling, Sign::leaking, Sign::tightness, Sign::blanching};
  return std::any_of(leak_signs.begin(), leak_signs.end(), [&](Sign s) { return has(present, s); });
}

bool harmful(HarmClass harm) { return harm == HarmClass::irritant || harm == HarmClass::vesicant; }

bool asks_nothing(const GradeCriteria& c) {
  return c.all_of.empty() && c.count_of.empty() && !c.swelling_from && !c.swelling_below && !c.cord_from;
}

/// A measure that was not taken meets no bound: unknown is not small.
bool measures_hold(const GradeCriteria& c, const Signs& signs) {
  if (c.swelling_from && !(signs.swelling_extent && *signs.swelling_extent >= *c.swelling_from)) return false;
  if (c.swelling_below && !(signs.swelling_extent && *signs.swelling_extent < *c.swelling_below)) return false;
  return !c.cord_from || (signs.cord_length && *signs.cord_length > *c.cord_from);
}

bool holds(const GradeCriteria& c, const std::vector<Sign>& present, const Signs& signs, bool any_concern,
           const Exposure& exposure) {
  if (c.also_any_leak_of_irritant_or_vesicant.value_or(false) && harmful(exposure.harm) && leak_suspected(present)) return true;
  if (asks_nothing(c)) return !any_concern;
  if (!std::all_of(c.all_of.begin(), c.all_of.end(), [&](Sign s) { return has(present, s); })) return false;
  const auto counted = std::count_if(c.count_of.begin(), c.count_of.end(), [&](Sign s) { return has(present, s); });
  return counted >= c.count.value_or(0) && measures_hold(c, signs);
}

std::vector<Sign> unexplained_by(const GradeCriteria& c, const std::vector<Sign>& concerns) {
  std::vector<Sign> left;
  for (const Sign s : concerns)
    if (!has(c.all_of, s) && !has(c.count_of, s)) left.push_back(s);
  return left;
}

std::string words(const std::vector<Sign>& signs) {
  std::string text;
  for (const Sign s : signs) {
    std::string word(json::name_of(s));
    std::replace(word.begin(), word.end(), '_', ' ');
    text += (text.empty() ? "" : ", ") + word;
  }
  return text;
}

std::string leak_response(const Exposure& exposure) {
  if (exposure.harm == HarmClass::unknown) return "leak_unknown";
  if (exposure.harm == HarmClass::irritant) return "leak_irritant";
  if (exposure.harm == HarmClass::harmless) return "leak_harmless";
  if (exposure.leak_family == LeakFamily::vasopressor) return "leak_vesicant_vasopressor";
  const bool hyperosmolar = exposure.leak_family == LeakFamily::hyperosmolar ||
                            exposure.leak_family == LeakFamily::calcium || exposure.leak_family == LeakFamily::contrast;
  return hyperosmolar ? "leak_vesicant_hyperosmolar" : "leak_vesicant_other";
}

/// The graver card wins; a card not in this list comes last.
int gravity(const std::string& response) {
  constexpr std::array<std::string_view, 11> gravest_first{"leak_vesicant_vasopressor",
                                                           "leak_vesicant_hyperosmolar",
                                                           "leak_vesicant_other",
                                                           "leak_unknown",
                                                           "leak_irritant",
                                                           "phlebitis_treat",
                                                           "infection",
                                                           "nerve_pain",
                                                           "leak_harmless",
                                                           "phlebitis_remove",
                                                           "phlebitis_watch"};
  return static_cast<int>(gravest_first.end() - std::find(gravest_first.begin(), gravest_first.end(), response));
}

FieldErrors check(const Signs& signs) {
  FieldErrors errors;
  if (signs.pain_score && (*signs.pain_score < 0 || *signs.pain_score > 10))
    errors.push_back({"/signs/pain_score", std::to_string(*signs.pain_score), "0 to 10"});
  const auto measure = [&](const char* path, const std::optional<Length>& length, Sign sign, const char* name) {
    if (!length) return;
    if (!(*length >= Length() && *length <= 1.0 * metre)) errors.push_back({path, show(*length), "from 0 to 1 m"});
    if (!has(signs.present, sign))
      errors.push_back({path, show(*length), std::string("the sign \"") + name + "\" ticked too"});
  };
  measure("/signs/swelling_extent", signs.swelling_extent, Sign::swelling, "swelling");
  measure("/signs/cord_length", signs.cord_length, Sign::palpable_cord, "palpable cord");
  if (!signs.assessed && !signs.present.empty())
    errors.push_back({"/signs/assessed", "false", "true; signs are ticked"});
  return errors;
}

void add_leaked_volume(const Exposure& exposure, Assessment& out) {
  if (!exposure.flow || !exposure.since_last_sound_check) return;
  const Duration since = to_duration(std::max(*exposure.since_last_sound_check, Interval{0}));
  out.worst_leaked_volume = *exposure.flow * since;
  out.workings.push_back({"volume that can have leaked, at most",
                          "rate × time since the site was last seen sound",
                          {{"rate", show(*exposure.flow)}, {"time", show(*exposure.since_last_sound_check)}},
                          "up to " + show(*out.worst_leaked_volume),
                          {"common practice: an upper bound, never a measurement", Mark::practice}});
}

void add_findings(const Grade& g, Assessment& out) {
  if (g.unmatched) {
    out.ask = true;
    out.findings.push_back({Severity::caution, "unmatched_signs",
                            "No grade of \"" + g.scale + "\" describes: " + words(g.unexplained) +
                                ". Judge yourself; do not take it for nothing.",
                            g.source});
  } else if (!g.unexplained.empty() && g.grade) {
    out.findings.push_back({Severity::caution, "unexplained_signs",
                            "Grade " + std::to_string(*g.grade) + " of \"" + g.scale +
                                "\" does not speak of: " + words(g.unexplained) + ".",
                            g.source});
  }
}

std::vector<std::string> responses_of(const std::vector<Grade>& grades, const std::vector<Sign>& present,
                                      const Exposure& exposure) {
  std::vector<std::string> names;
  bool infiltration_graded = false;
  for (const auto& g : grades) {
    if (g.advice.empty()) continue;
    names.push_back(g.advice == "leak" ? leak_response(exposure) : g.advice);
    infiltration_graded = infiltration_graded || g.advice == "leak";
  }
  const bool running_harm = exposure.harm != HarmClass::harmless && exposure.flow;
  if (!infiltration_graded && leak_suspected(present) && running_harm) names.push_back(leak_response(exposure));
  if (has(present, Sign::numbness) && !infiltration_graded) names.emplace_back("nerve_pain");
  if (has(present, Sign::fever) || has(present, Sign::pus)) names.emplace_back("infection");
  return names;
}

}  // namespace

Grade grade(const Signs& signs, const Scale& scale, const Exposure& exposure) {
  Grade out;
  out.scale = scale.name;
  out.version = scale.version;
  out.subject = scale.subject;
  out.credit = scale.credit;
  out.source = scale.source;
  if (!signs.assessed) {
    out.meaning = "not assessed";
    return out;
  }
  const auto present = present_signs(signs);
  std::vector<Sign> concerns;
  for (const Sign s : present)
    if (has(scale.concerns, s)) concerns.push_back(s);
  const auto found = std::find_if(scale.grades.rbegin(), scale.grades.rend(), [&](const GradeCriteria& c) {
    return holds(c, present, signs, !concerns.empty(), exposure);
  });
  if (found == scale.grades.rend()) {
    out.unmatched = true;
    out.unexplained = std::move(concerns);
    out.meaning = "no grade describes these signs";
    return out;
  }
  out.grade = found->grade;
  out.meaning = found->meaning;
  out.advice = found->advice.value_or("");
  out.unexplained = unexplained_by(*found, concerns);
  return out;
}

Checked<Assessment> assess(const Signs& signs, const Exposure& exposure, const policy::Policy& policy) {
  if (auto errors = check(signs); !errors.empty()) return refuse(std::move(errors));
  Assessment out;
  for (const auto& scale : policy.scales) {
    out.grades.push_back(grade(signs, scale, exposure));
    add_findings(out.grades.back(), out);
  }
  if (!signs.assessed) return out;
  const auto present = present_signs(signs);
  for (const auto& name : responses_of(out.grades, present, exposure)) {
    const auto card = policy.responses.find(name);
    if (card == policy.responses.end()) continue;
    out.removal_advised = out.removal_advised || card->second.remove_advised;
    if (!out.response || gravity(name) > gravity(*out.response)) {
      out.response = name;
      out.card = card->second;
    }
  }
  if (leak_suspected(present)) add_leaked_volume(exposure, out);
  return out;
}

}  // namespace dwell::site

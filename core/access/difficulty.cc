#include "access/difficulty.h"

#include <algorithm>

#include "say/access.h"

namespace dwell::access {
namespace {

using policy::DifficultyBand;
using policy::DifficultyItem;
using policy::DifficultyScale;

template <class List>
auto find_named(const List& list, const std::string& name) {
  return std::find_if(list.begin(), list.end(), [&](const auto& one) { return one.name == name; });
}

template <class List>
std::string names_of(const List& list) {
  std::string text;
  for (const auto& one : list) text += (text.empty() ? "" : ", ") + one.name;
  return text;
}

FieldErrors check(const DifficultyInput& in, const DifficultyScale& scale) {
  FieldErrors errors;
  for (const auto& [item_name, answer_name] : in.answers) {
    const auto item = find_named(scale.items, item_name);
    if (item == scale.items.end())
      errors.push_back({"/answers/" + item_name, item_name, say::one_of(names_of(scale.items))});
    else if (find_named(item->answers, answer_name) == item->answers.end())
      errors.push_back({"/answers/" + item_name, answer_name, say::one_of(names_of(item->answers))});
  }
  return errors;
}

const DifficultyBand& band_at(const DifficultyScale& scale, int points) {
  const DifficultyBand* found = &scale.bands.front();
  for (const auto& band : scale.bands)
    if (band.from <= points) found = &band;
  return *found;
}

/// Adds an item: its answer's points, or its least and most when it is unknown.
void add_item(const DifficultyItem& item, const DifficultyInput& in, DifficultyResult& out, Working& working) {
  const auto said = in.answers.find(item.name);
  if (said != in.answers.end()) {
    const auto& answer = *find_named(item.answers, said->second);
    out.points_least += answer.points;
    out.points_most += answer.points;
    working.inputs.push_back({item.question, say::answer_with_points(answer.text, answer.points)});
    return;
  }
  const auto [least, most] = std::minmax_element(item.answers.begin(), item.answers.end(),
                                                 [](const auto& a, const auto& b) { return a.points < b.points; });
  out.points_least += least->points;
  out.points_most += most->points;
  out.unknown_items.push_back(item.name);
  working.inputs.push_back({item.question, say::not_answered()});
}

void judge(const DifficultyScale& scale, DifficultyResult& out) {
  const auto& low = band_at(scale, out.points_least);
  const auto& high = band_at(scale, out.points_most);
  if (low.from == high.from) {
    out.band = policy::title_of(low);
    if (low.success) out.success = low.success->value;
  }
  out.call_for_help = high.call_for_help;
  if (out.call_for_help)
    out.findings.push_back({Severity::caution, "call_for_help",
                            low.call_for_help ? say::hard_vein_likely() : say::missing_answers_matter(), high.source});
  if (!out.success)
    out.findings.push_back({Severity::information, "success_unknown", say::success_not_published(), low.source});
}

}  // namespace

Checked<DifficultyResult> difficulty(const DifficultyInput& in, const policy::Access& policy) {
  const auto scale = find_named(policy.difficulty, in.scale);
  if (scale == policy.difficulty.end())
    return refuse("/scale", in.scale, say::one_of_the_policy(names_of(policy.difficulty)));
  if (auto errors = check(in, *scale); !errors.empty()) return refuse(std::move(errors));
  DifficultyResult out;
  Working working{say::difficulty_points(), say::difficulty_formula(), {}, Message(), scale->source};
  for (const auto& item : scale->items) add_item(item, in, out, working);
  working.result = out.points_most > out.points_least ? say::points_between(out.points_least, out.points_most)
                                                      : say::points(out.points_least);
  out.workings.push_back(std::move(working));
  judge(*scale, out);
  return out;
}

}  // namespace dwell::access

#include "exchange/text/likeness.h"

#include <unicode/uspoof.h>

#include <stdexcept>

#include "say/record.h"
#include "text/each_text.h"
#include "text/own_words.h"

namespace dwell::unicode {
namespace {

void expect_success(UErrorCode status) {
  if (U_FAILURE(status)) throw std::runtime_error("Unicode's tables are missing");
}

}  // namespace

void Likeness::Close::operator()(USpoofChecker* checker) const { uspoof_close(checker); }

Likeness::Likeness() {
  UErrorCode status = U_ZERO_ERROR;
  checker_.reset(uspoof_open(&status));
  expect_success(status);
  uspoof_setChecks(checker_.get(), USPOOF_RESTRICTION_LEVEL | USPOOF_CONFUSABLE, &status);
  // Writings that belong together, such as those of Japanese, and Latin beside one of them, are one.
  uspoof_setRestrictionLevel(checker_.get(), USPOOF_HIGHLY_RESTRICTIVE);
  expect_success(status);
}

std::string Likeness::skeleton_of(const std::string& name) const {
  UErrorCode status = U_ZERO_ERROR;
  const auto length = static_cast<std::int32_t>(name.size());
  std::string skeleton(4 * name.size() + 16, '\0');
  const auto fill = [&] {
    return uspoof_getSkeletonUTF8(checker_.get(), 0, name.data(), length, skeleton.data(),
                                  static_cast<std::int32_t>(skeleton.size()), &status);
  };
  auto needed = fill();
  if (status == U_BUFFER_OVERFLOW_ERROR) {
    status = U_ZERO_ERROR;
    skeleton.resize(static_cast<std::size_t>(needed));
    needed = fill();
  }
  if (U_FAILURE(status)) return name;
  skeleton.resize(static_cast<std::size_t>(needed));
  return skeleton;
}

bool Likeness::is_of_several_writings(const std::string& name) const {
  UErrorCode status = U_ZERO_ERROR;
  const auto found =
      uspoof_check2UTF8(checker_.get(), name.data(), static_cast<std::int32_t>(name.size()), nullptr, &status);
  return U_SUCCESS(status) && (found & USPOOF_RESTRICTION_LEVEL) != 0;
}

void Likeness::know(const std::string& name) {
  if (!name.empty() && known_.insert(name).second) by_skeleton_.emplace(skeleton_of(name), name);
}

void Likeness::know(const line::State& state) {
  for (const auto* name : {&state.patient.family, &state.patient.given, &state.nurse}) know(*name);
  if (!state.placement) return;
  know(state.placement->author);
  know(state.placement->placed.inserter);
}

std::vector<Said> Likeness::say(const line::Event& event) const {
  std::vector<Said> out;
  text::each_text(event, [&](const std::string& name, text::Rule rule, const text::Trail& trail) {
    if (rule != text::Rule::name || name.empty() || known_.contains(name)) return;
    if (is_of_several_writings(name))
      out.push_back({trail.path(), say::letters_of_several_writings(text::quoted(name))});
    const auto alike = by_skeleton_.find(skeleton_of(name));
    if (alike != by_skeleton_.end())
      out.push_back({trail.path(), say::looks_like_somebody_known(text::quoted(name), text::quoted(alike->second))});
  });
  return out;
}

}  // namespace dwell::unicode

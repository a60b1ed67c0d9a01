#include "verdict/verdict.h"

#include <algorithm>

namespace dwell::verdict {
namespace {

bool any_of_severity(const std::vector<Finding>& findings, Severity severity) {
  return std::any_of(findings.begin(), findings.end(), [&](const Finding& f) { return f.severity == severity; });
}

bool any_in_state(const std::vector<LookReport>& looks, LookState state) {
  return std::any_of(looks.begin(), looks.end(), [&](const LookReport& look) { return look.state == state; });
}

/// Two rules of one look may lack the same.
std::vector<Message> each_once(std::vector<Message> all) {
  std::vector<Message> once;
  for (auto& one : all)
    if (std::find(once.begin(), once.end(), one) == once.end()) once.push_back(std::move(one));
  return once;
}

}  // namespace

void Composition::add(std::string_view name, Look look) {
  LookReport report;
  report.look = std::string(name);
  report.state = !look.missing_.empty()                     ? LookState::could_not_look
                 : look.applies_ || !look.findings_.empty() ? LookState::looked
                                                            : LookState::does_not_apply;
  for (const auto& finding : look.findings_)
    report.worst = std::max(report.worst.value_or(finding.severity), finding.severity);
  report.missing = each_once(std::move(look.missing_));
  answer_.looks.push_back(std::move(report));
  for (auto& finding : look.findings_) answer_.findings.push_back(std::move(finding));
}

void Composition::add(const Answer& other) {
  answer_.looks.insert(answer_.looks.end(), other.looks.begin(), other.looks.end());
  answer_.findings.insert(answer_.findings.end(), other.findings.begin(), other.findings.end());
}

Answer Composition::answer() && {
  if (any_of_severity(answer_.findings, Severity::stop))
    answer_.verdict = Verdict::stop;
  else if (any_in_state(answer_.looks, LookState::could_not_look) || !any_in_state(answer_.looks, LookState::looked))
    answer_.verdict = Verdict::not_fully_checked;
  else if (any_of_severity(answer_.findings, Severity::caution))
    answer_.verdict = Verdict::caution;
  else
    answer_.verdict = Verdict::pass;
  return std::move(answer_);
}

}  // namespace dwell::verdict

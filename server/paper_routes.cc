// What is of no line: runs of practice, and the policy that is in force.
#include <algorithm>

#include "json/parse.h"
#include "ledger/policy_change.h"
#include "policy/difference.h"
#include "procedure/practice.h"
#include "say/record.h"
#include "server/answers.h"
#include "server/replies.h"
#include "server/routes.h"

namespace dwell::server {
Reply Routes::practice(const Asked& asked) const {
  const auto first = asked_number(asked.query, "first", 500, 500);
  if (!first) return refusal(422, first.error());
  const std::string after = asked.query.value("after");
  const auto papers = options_.reading->papers(ledger::practice_paper, asked.query.value("learner")).papers;
  auto at = papers.begin();
  if (!after.empty()) {
    at = std::find_if(papers.begin(), papers.end(), [&](const ledger::Paper& paper) { return paper.id == after; });
    if (at == papers.end()) return refusal(422, "/after", after, "the id of a run");
    ++at;
  }
  json::Array runs;
  std::string last;
  for (; at != papers.end() && runs.size() < *first; ++at) {
    if (auto run = json::parse_text(at->json)) runs.push_back(std::move(*run));
    last = at->id;
  }
  json::Object answer{{"runs", std::move(runs)}};
  if (at != papers.end()) answer["next"] = last;
  return json_reply(200, answer);
}

Reply Routes::keep_practice(const Asked& asked) const {
  constexpr json::Limits limits{16, 50'000};
  auto run = json::parse_text(asked.request.body, limits).and_then([](const json::Value& value) {
    return json::decode<procedure::PracticeRun>(value);
  });
  if (!run) return refusal(422, run.error());
  if (const auto errors = procedure::check_words(*run); !errors.empty()) return refusal(422, errors);
  if (!line::is_id(run->id)) return refusal(422, "/id", run->id, say::id_as_entries_have());
  const auto* person = asked.asker.person();
  if (person && run->observer != person->name)
    return refusal(422, "/observer", run->observer, say::who_is_signed_in(person->name));
  auto score = procedure::score(*run, watch_.in_force()->library.policy);
  if (!score) return refusal(422, score.error());
  const procedure::Practised done{std::move(*run), std::move(*score)};
  const auto value = json::encode(done);
  const auto kept = options_.ledger->keep_paper(
      {done.run.id, ledger::practice_paper, done.run.learner, done.run.ended_at, json::to_text(value)}, std::nullopt,
      options_.clock());
  if (!kept) return refusal(422, kept.error());
  Reply reply = json_reply(200, json::encode(PractiseKept{true, done}));
  reply.changed = true;
  return reply;
}

/// Where the ward's policy differs from the one that comes with Dwell, and who changed it when and why.
Reply Routes::policy_page(const Asked&) const {
  const auto in_force = watch_.in_force();
  PolicyPage page;
  auto kept = options_.reading->papers(ledger::policy_paper);
  for (const auto& paper : kept.papers) {
    const auto change = ledger::read_policy_change(paper.json);
    page.changes.push_back(
        {paper.at, paper.who, change ? change->reason : std::string(), paper.id == in_force->policy_paper});
  }
  page.differences = policy::differences(in_force->library.policy, options_.standard_policy);
  page.set_aside = std::move(kept.set_aside);
  page.paper = in_force->policy_paper;
  page.policy = in_force->library.policy;
  page.standard = options_.standard_policy;
  return json_reply(200, json::encode(page));
}

/// What was kept is answered as kept; a ward that cannot be read anew at this moment is by the next look.
Reply Routes::keep_policy(const Asked& asked) const {
  const auto change = ledger::new_policy_change(asked.request.body);
  if (!change) return refusal(422, change.error());
  const Instant now = options_.clock();
  const auto* person = asked.asker.person();
  if (person && change->who != person->name)
    return refusal(422, "/who", change->who, say::who_is_signed_in(person->name));
  if (const auto errors = ledger::check_words(*change); !errors.empty()) return refusal(422, errors);
  const auto kept = options_.ledger->keep_paper(
      {change->id, ledger::policy_paper, change->who, now, json::to_text(json::encode(*change))}, change->after, now);
  if (!kept) return refusal(422, kept.error());
  watch_.refresh(now);
  Reply reply = json_reply(200, json::encode(PolicyKept{}));
  reply.changed = true;
  return reply;
}

}  // namespace dwell::server

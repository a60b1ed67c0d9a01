// What is of no line: runs of practice, and the policy that is in force.
#include <iostream>

#include "json/codec.h"
#include "ledger/policy_change.h"
#include "policy/difference.h"
#include "procedure/practice.h"
#include "server/replies.h"
#include "server/routes.h"

namespace dwell::server {
namespace {

/// A run and what it came to.
struct Practised {
  procedure::PracticeRun run;
  procedure::PracticeScore score;
};
BOOST_DESCRIBE_STRUCT(Practised, (), (run, score))

}  // namespace

Reply Routes::practice(std::string_view query) const {
  json::Array runs;
  for (const auto& paper :
       options_.ledger->papers(ledger::practice_paper, url_decoded(query_value(query, "learner"))).papers)
    if (auto run = json::parse_text(paper.json)) runs.push_back(std::move(*run));
  return json_reply(200, json::Object{{"runs", std::move(runs)}});
}

Reply Routes::keep_practice(const std::string& body) const {
  auto run = json::parse_text(body).and_then(
      [](const json::Value& value) { return json::decode<procedure::PracticeRun>(value); });
  if (!run) return refusal(422, run.error());
  if (!line::is_id(run->id)) return refusal(422, "/id", run->id, "an id as entries have");
  auto score = procedure::score(*run, options_.library.policy);
  if (!score) return refusal(422, score.error());
  const Practised done{std::move(*run), std::move(*score)};
  const auto value = json::encode(done);
  const auto kept = options_.ledger->keep_paper(
      {done.run.id, ledger::practice_paper, done.run.learner, done.run.ended_at, json::to_text(value)}, std::nullopt,
      options_.clock());
  if (!kept) return refusal(422, kept.error());
  return json_reply(200, json::Object{{"ok", true}, {"value", value}});
}

/// Where the ward's policy differs from the one that comes with Dwell, and who changed it when and why.
Reply Routes::policy_page() const {
  json::Array changes;
  const auto kept = options_.ledger->papers(ledger::policy_paper);
  for (const auto& paper : kept.papers) {
    const auto change = ledger::read_policy_change(paper.json);
    changes.push_back(json::Object{{"at", iso(paper.at)},
                                   {"who", paper.who},
                                   {"reason", change ? change->reason : std::string()},
                                   {"in_force", paper.id == policy_paper_}});
  }
  const auto found = policy::differences(options_.library.policy, options_.standard_policy);
  return json_reply(200, json::Object{{"differences", json::encode(found)},
                                      {"changes", std::move(changes)},
                                      {"set_aside", json::encode(kept.set_aside)},
                                      {"paper", policy_paper_},
                                      {"policy", json::encode(options_.library.policy)},
                                      {"standard", json::encode(options_.standard_policy)}});
}

Reply Routes::keep_policy(const std::string& body) {
  const auto change = ledger::read_policy_change(body);
  if (!change) return refusal(422, change.error());
  const auto kept = options_.ledger->keep_paper(
      {change->id, ledger::policy_paper, change->who, options_.clock(), json::to_text(json::encode(*change))},
      change->after, options_.clock());
  if (!kept) return refusal(422, kept.error());
  Reply reply = json_reply(200, json::Object{{"ok", true}});
  reply.policy_changed = take_policy();
  return reply;
}

bool Routes::take_policy() {
  const auto last = options_.ledger->last_paper(ledger::policy_paper);
  if (!last || last->id == policy_paper_) return false;
  policy_paper_ = last->id;
  const auto change = ledger::read_policy_change(last->json);
  if (!change) {
    std::cerr << "the policy of " << iso(last->at) << " cannot be read by this version; the one before stays\n";
    return false;
  }
  options_.library.policy = change->policy;
  library_json_ = json::to_text(json::encode(options_.library));
  ward_.begin_again(options_.clock());
  return true;
}

}  // namespace dwell::server

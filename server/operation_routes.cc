// What whoever runs the server asks of it: does it live, can it answer, and in numbers how it does.
#include "say/record.h"
#include "server/routes.h"

namespace dwell::server {

/// No lock, no disk: an answer is all that it says.
Reply Routes::alive(const Asked&) const { return json_reply(200, json::encode(Alive{})); }

/// Only after the record was reached by its last look, not long ago, and whoever signs in can.
Reply Routes::ready(const Asked&) const {
  constexpr std::chrono::seconds long_ago{30};
  const Standing standing = watch_.standing();
  const auto age = options_.clock() - standing.true_at;
  if (!standing.reachable || age > long_ago)
    return try_again("/ledger", iso(standing.true_at), say::a_record_that_can_be_reached());
  if (gate_.has_accounts()) static_cast<void>(gate_.accounts().has_administrator());
  return json_reply(200, json::encode(Ready{true, standing.true_at}));
}

/// Told to this machine alone: how busy a ward is at night concerns whoever runs the server.
Reply Routes::measures(const Asked& asked) const {
  if (!asked.request.from_here)
    return refusal(403, "/address", "another machine", "a request from this machine itself");
  const Standing standing = watch_.standing();
  measures_.record({standing.reachable, standing.true_at, !options_.proof || options_.proof().empty()});
  if (options_.tls) measures_.certificate_ends(options_.tls->ends());
  Reply reply;
  reply.content_type = "text/plain; version=0.0.4; charset=utf-8";
  reply.body = measures_.text();
  return reply;
}

}  // namespace dwell::server

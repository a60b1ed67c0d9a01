// Coming in and going out, and the accounts of the house. What is secret in a request is overwritten after it was
// looked at, and stands in no answer and no log.
#include "json/parse.h"
#include "say/accounts.h"
#include "server/answers.h"
#include "server/replies.h"
#include "server/routes.h"

namespace dwell::server {
namespace {

template <class T>
Checked<T> body_of(const Request& request) {
  constexpr json::Limits limits{8, 500};
  return json::parse_text(request.body, limits).and_then([](const json::Value& value) {
    return json::decode<T>(value);
  });
}

Reply done() { return json_reply(200, json::encode(Done{})); }
Reply no_accounts() { return refusal(404, "", "no accounts", "a server to which people sign in"); }

SessionNow now_of(const std::optional<accounts::Session>& session, const accounts::Rules& rules) {
  SessionNow now;
  now.has_accounts = true;
  now.idle_minutes = static_cast<int>(std::chrono::duration_cast<std::chrono::minutes>(rules.idle).count());
  if (!session) return now;
  now.person = session->person;
  now.locked = session->locked;
  now.ends = session->ends;
  now.elsewhere.assign(session->elsewhere.begin(), session->elsewhere.end());
  now.opened = session->opened;
  return now;
}

/// By which name she came; the head was looked at: it is one of the certificate's.
accounts::RelyingParty party_of(const Request& request) {
  const std::string host = header(request, "host");
  return {host.substr(0, host.find(':')), "https://" + host};
}

}  // namespace

Reply Routes::session_now(const Asked& asked) const {
  if (!gate_.has_accounts()) return json_reply(200, json::encode(SessionNow{}));
  return json_reply(200, json::encode(now_of(asked.asker.session, gate_.accounts().rules())));
}

/// The same words whatever was wrong; a wait is said apart, for names that are there and for those that are not.
Reply Routes::is_in(const Asked& asked, const std::string& act, const Checked<accounts::SignedIn>& signed_in) const {
  const unsigned status = signed_in ? 200 : signed_in.error().front().path == "/wait" ? 429 : 401;
  const Asker known{"", signed_in ? std::optional(signed_in->session) : asked.asker.session, true};
  gate_.write_down(known, act, {}, status, options_.clock());
  if (!signed_in) {
    Reply reply = refusal(status, signed_in.error());
    if (status == 429) reply.headers["Retry-After"] = signed_in.error().front().found;
    return reply;
  }
  Reply reply = json_reply(200, json::encode(now_of(signed_in->session, gate_.accounts().rules())));
  reply.headers["Set-Cookie"] = session_cookie(signed_in->token);
  return reply;
}

Reply Routes::sign_in(const Asked& asked) const {
  if (!gate_.has_accounts()) return no_accounts();
  auto given = body_of<SignIn>(asked.request);
  if (!given) return refusal(422, given.error());
  const auto signed_in = gate_.accounts().sign_in(given->sign_in, given->password, asked.asker.token, options_.clock());
  accounts::wipe(given->password);
  return is_in(asked, "sign in", signed_in);
}

Reply Routes::open_again(const Asked& asked) const {
  if (!gate_.has_accounts()) return no_accounts();
  auto given = body_of<Pin>(asked.request);
  if (!given) return refusal(422, given.error());
  const auto signed_in = gate_.accounts().open_again(asked.asker.token, given->pin, options_.clock());
  accounts::wipe(given->pin);
  return is_in(asked, "PIN", signed_in);
}

Reply Routes::begin_sign_in(const Asked& asked) const {
  if (!gate_.has_accounts()) return no_accounts();
  return json_reply(
      200, json::encode(PasskeyAsked{gate_.accounts().begin_sign_in(options_.clock()), party_of(asked.request).host}));
}

Reply Routes::sign_in_by_passkey(const Asked& asked) const {
  if (!gate_.has_accounts()) return no_accounts();
  const auto given = body_of<accounts::PasskeyUsed>(asked.request);
  if (!given) return refusal(422, given.error());
  return is_in(
      asked, "passkey",
      gate_.accounts().sign_in_by_passkey(*given, party_of(asked.request), asked.asker.token, options_.clock()));
}

Reply Routes::passkeys(const Asked& asked) const {
  if (!gate_.has_accounts()) return no_accounts();
  return json_reply(200, json::encode(Passkeys{gate_.accounts().passkeys(asked.asker.person()->id)}));
}

Reply Routes::begin_passkey(const Asked& asked) const {
  if (!gate_.has_accounts()) return no_accounts();
  auto given = body_of<Password>(asked.request);
  if (!given) return refusal(422, given.error());
  const auto& person = *asked.asker.person();
  const auto challenge = gate_.accounts().begin_passkey(person, given->password, options_.clock());
  accounts::wipe(given->password);
  gate_.write_down(asked.asker, "asked for a passkey", {}, challenge ? 200 : 403, options_.clock());
  if (!challenge) return refusal(challenge.error().front().path == "/wait" ? 429 : 403, challenge.error());
  NewPasskeyAsked answer;
  answer.challenge = *challenge;
  answer.host = party_of(asked.request).host;
  answer.person = person;
  for (const auto& one : gate_.accounts().passkeys(person.id)) answer.known.push_back(one.id);
  return json_reply(200, json::encode(answer));
}

Reply Routes::keep_passkey(const Asked& asked) const {
  if (!gate_.has_accounts()) return no_accounts();
  const auto given = body_of<accounts::PasskeyMade>(asked.request);
  if (!given) return refusal(422, given.error());
  const auto kept =
      gate_.accounts().keep_passkey(*asked.asker.person(), *given, party_of(asked.request), options_.clock());
  gate_.write_down(asked.asker, "made a passkey", {}, kept ? 200 : 422, options_.clock());
  return kept ? passkeys(asked) : refusal(422, kept.error());
}

Reply Routes::forget_passkey(const Asked& asked) const {
  if (!gate_.has_accounts()) return no_accounts();
  const auto given = body_of<PasskeyId>(asked.request);
  if (!given) return refusal(422, given.error());
  gate_.accounts().forget_passkey(asked.asker.person()->id, given->id);
  gate_.write_down(asked.asker, "took a passkey away", {}, 200, options_.clock());
  return passkeys(asked);
}

Reply Routes::stay(const Asked& asked) const {
  if (!gate_.has_accounts()) return no_accounts();
  gate_.accounts().stays(asked.asker.token, options_.clock());
  return done();
}

Reply Routes::lock(const Asked& asked) const {
  if (!gate_.has_accounts()) return no_accounts();
  gate_.accounts().lock(asked.asker.token);
  return done();
}

/// Written down with the reason, also when it was refused: whoever opens a ward is asked about it afterwards.
Reply Routes::open_ward(const Asked& asked) const {
  if (!gate_.has_accounts()) return no_accounts();
  const auto given = body_of<OpenWard>(asked.request);
  if (!given) return refusal(422, given.error());
  const auto opened = gate_.accounts().open_ward(*asked.asker.person(), given->ward, given->reason, options_.clock());
  if (!opened) {
    gate_.write_down(asked.asker, "another ward in an emergency", {}, 422, options_.clock());
    return refusal(422, opened.error());
  }
  gate_.write_down(asked.asker, "another ward in an emergency: " + given->ward + ". " + given->reason, {}, 200,
                   options_.clock());
  return json_reply(200, json::encode(now_of(gate_.accounts().session(asked.asker.token, options_.clock()),
                                             gate_.accounts().rules())));
}

Reply Routes::sign_out(const Asked& asked) const {
  if (!gate_.has_accounts()) return no_accounts();
  gate_.accounts().end(asked.asker.token);
  gate_.write_down(asked.asker, "sign out", {}, 200, options_.clock());
  Reply reply = done();
  reply.headers["Set-Cookie"] = session_cookie("");
  return reply;
}

Reply Routes::sign_out_everywhere(const Asked& asked) const {
  if (!gate_.has_accounts()) return no_accounts();
  gate_.accounts().end_everywhere(asked.asker.person()->id);
  gate_.write_down(asked.asker, "sign out everywhere", {}, 200, options_.clock());
  Reply reply = done();
  reply.headers["Set-Cookie"] = session_cookie("");
  return reply;
}

Reply Routes::invited(const Asked& asked) const {
  if (!gate_.has_accounts()) return no_accounts();
  const auto given = body_of<LinkToken>(asked.request);
  if (!given) return refusal(422, given.error());
  const auto person = gate_.accounts().invited(given->token, options_.clock());
  if (!person) return refusal(403, person.error());
  return json_reply(200, json::encode(Invited{*person, static_cast<int>(gate_.accounts().rules().least_password)}));
}

Reply Routes::accept(const Asked& asked) const {
  if (!gate_.has_accounts()) return no_accounts();
  auto given = body_of<accounts::Acceptance>(asked.request);
  if (!given) return refusal(422, given.error());
  const auto person = gate_.accounts().accept(*given, options_.clock());
  accounts::wipe(given->password);
  accounts::wipe(given->pin);
  if (!person) return refusal(person.error().front().path == "/token" ? 403 : 422, person.error());
  gate_.write_down({"", accounts::Session{*person, false, {}, {}, {}}, true}, "set a password", {}, 200,
                   options_.clock());
  return done();
}

Reply Routes::people(const Asked&) const {
  if (!gate_.has_accounts()) return no_accounts();
  return json_reply(200, json::encode(People{gate_.accounts().people()}));
}

Reply Routes::keep_person(const Asked& asked) const {
  if (!gate_.has_accounts()) return no_accounts();
  auto given = body_of<accounts::Person>(asked.request);
  if (!given) return refusal(422, given.error());
  const bool is_new = given->id.empty();
  const auto kept = gate_.accounts().keep(std::move(*given));
  if (!kept) return refusal(422, kept.error());
  PersonKept answer{true, *kept, std::nullopt};
  if (is_new) {
    const auto token = gate_.accounts().invite(kept->id, options_.clock());
    if (!token) return refusal(422, token.error());
    answer.token = *token;
  }
  gate_.write_down(asked.asker, "account " + kept->id + (is_new ? " made" : " changed"), {}, 200, options_.clock());
  return json_reply(200, json::encode(answer));
}

Reply Routes::invite(const Asked& asked) const {
  if (!gate_.has_accounts()) return no_accounts();
  const std::string id(asked.parts.front());
  const auto token = gate_.accounts().invite(id, options_.clock());
  if (!token) return refusal(404, token.error());
  for (const auto& person : gate_.accounts().people())
    if (person.id == id) return json_reply(200, json::encode(PersonKept{true, person, *token}));
  return refusal(404, "/id", id, say::a_person_who_is_here());
}

}  // namespace dwell::server

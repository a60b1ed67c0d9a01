#include "server/gate.h"

#include <algorithm>
#include <iostream>

#include "say/record.h"
#include "server/replies.h"

namespace dwell::server {
namespace {

/// The prefix binds the cookie to this host, to TLS and to the whole of it: no other host or path can plant one.
/// Source: RFC 6265bis, section 4.1.3.2.
constexpr std::string_view cookie_name = "__Host-dwell";
constexpr std::size_t token_length = 64;
/// What a page says that does not know yet who is signed in.
constexpr std::string_view no_ones_page = "page";

/// The token of the session; nothing when there is none, two of them, or something that is no token.
std::string token_of(std::string_view cookies) {
  std::string found;
  int how_many = 0;
  while (!cookies.empty()) {
    auto one = cookies.substr(0, cookies.find(';'));
    cookies.remove_prefix(std::min(cookies.size(), one.size() + 1));
    while (one.starts_with(' ')) one.remove_prefix(1);
    if (one.substr(0, one.find('=')) != cookie_name || one.size() <= cookie_name.size()) continue;
    found = one.substr(cookie_name.size() + 1);
    ++how_many;
  }
  const bool is_token = found.size() == token_length && std::all_of(found.begin(), found.end(), [](char c) {
                          return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'f');
                        });
  return how_many == 1 && is_token ? found : std::string();
}

Reply not_in(std::string found, Message expected) {
  Reply reply = refusal(401, "/session", std::move(found), std::move(expected));
  reply.headers["WWW-Authenticate"] = "Session";
  return reply;
}

}  // namespace

std::string session_cookie(const std::string& token) {
  const std::string rest = "; Path=/; Secure; HttpOnly; SameSite=Strict";
  return std::string(cookie_name) + "=" + token + rest + (token.empty() ? "; Max-Age=0" : "");
}

Asker Gate::asker(const Request& request, Instant now) const {
  if (!accounts_) return {};
  const std::string token = token_of(header(request, "cookie"));
  return {token, accounts_->session(token, now), true, header(request, "x-dwell")};
}

std::optional<Reply> Gate::refuse(const Asker& asker, Whose whose) const {
  if (!accounts_ || whose.is_anybodys()) return std::nullopt;
  if (!asker.session) return not_in("nobody", say::somebody_signed_in());
  if (asker.session->locked) return not_in("locked", say::the_pin());
  // An entry of one would be refused for ever under the other: it waits instead.
  if (!asker.page_of.empty() && asker.page_of != no_ones_page && asker.page_of != asker.session->person.id)
    return not_in("another", say::the_page_of_who_is_signed_in());
  const auto role = asker.session->person.role;
  if (whose.has(role)) return std::nullopt;
  return refusal(403, "/role", std::string(json::name_of(role)), say::a_role_that_may_do_this());
}

std::optional<Reply> Gate::refuse_forged(const Request& request) const {
  if (!accounts_ || request.method == "GET" || request.method == "HEAD") return std::nullopt;
  // Each alone would do: a browser says where a request comes from, and lets no other page set this header.
  if (header(request, "origin").empty()) return refusal(403, "/origin", "", "a request from Dwell's own page");
  if (header(request, "x-dwell").empty()) return refusal(403, "/x-dwell", "", "a request from Dwell's own page");
  return std::nullopt;
}

std::vector<std::string> Gate::not_yet_written(const std::string& look, const std::vector<std::string>& lines,
                                               Instant now) {
  constexpr std::chrono::minutes once_in{10};
  constexpr std::size_t most = 100'000;
  const std::lock_guard lock(mutex_);
  if (written_.size() > most) written_.clear();
  std::vector<std::string> fresh;
  for (const auto& line : lines) {
    auto& last = written_[look + " " + line];
    if (last != Instant{} && last <= now && now < last + once_in) continue;
    last = now;
    fresh.push_back(line);
  }
  return fresh;
}

void Gate::write_down(const Asker& asker, const std::string& act, const std::vector<std::string>& lines,
                      unsigned status, Instant now) {
  if (!audit_) return;
  const auto* person = asker.person();
  const std::string who = person ? person->id : std::string();
  const bool looks = act.starts_with("GET ") || act.starts_with("HEAD ");
  const auto told = looks ? not_yet_written(who + " " + act + " " + std::to_string(status), lines, now) : lines;
  if (looks && told.empty() && !lines.empty()) return;
  try {
    audit_->add({now, who, person ? std::string(json::name_of(person->role)) : std::string(), act, told,
                 static_cast<int>(status)});
  } catch (const std::exception& e) {
    // A nurse must be able to look and chart; that the book lacks this is said to whoever runs the server.
    std::cerr << "dwell: not written into the audit: " << act << ": " << e.what() << std::endl;
  }
}

}  // namespace dwell::server

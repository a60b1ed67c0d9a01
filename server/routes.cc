#include "server/routes.h"

#include <algorithm>
#include <boost/asio/ip/address.hpp>
#include <charconv>
#include <map>

#include "document/handover.h"
#include "json/codec.h"
#include "ledger/chain.h"
#include "server/replies.h"

namespace dwell::server {
namespace {

using json::Array;
using json::Object;
using json::Value;

Reply not_found(std::string_view what) { return refusal(404, "", std::string(what), "something that is here"); }

Reply method_refused(const std::string& method, const char* allowed) {
  Reply reply = refusal(405, "/method", method, allowed);
  reply.headers["Allow"] = allowed;
  return reply;
}

std::string header(const Request& request, const std::string& name) {
  const auto found = request.headers.find(name);
  return found == request.headers.end() ? std::string() : found->second;
}

struct Target {
  std::string_view path, query;
};

Target split(std::string_view target) {
  const auto mark = target.find('?');
  return {target.substr(0, mark), mark == std::string_view::npos ? std::string_view() : target.substr(mark + 1)};
}

bool has_name(std::string_view query, std::string_view name) {
  while (!query.empty()) {
    const auto part = query.substr(0, query.find('&'));
    query.remove_prefix(std::min(part.size() + 1, query.size()));
    if (part.substr(0, part.find('=')) == name) return true;
  }
  return false;
}

/// What a ledger refused, by event ("/3/occurred_at" speaks of event 3); empty when it speaks of something else.
std::map<std::size_t, FieldErrors> by_event(const FieldErrors& errors, std::size_t of) {
  std::map<std::size_t, FieldErrors> wrong;
  for (const auto& e : errors) {
    std::size_t place = 0;
    const char* end = e.path.data() + e.path.size();
    const auto [read_to, failure] = e.path.starts_with('/') ? std::from_chars(e.path.data() + 1, end, place)
                                                            : std::from_chars_result{end, std::errc::invalid_argument};
    if (failure != std::errc() || place >= of) return {};
    wrong[place].push_back({std::string(read_to, end), e.found, e.expected});
  }
  return wrong;
}

/// Host without its port: "127.0.0.1", "localhost", "::1".
std::string host_name(std::string host) {
  if (host.starts_with('[')) return host.substr(1, host.find(']') - 1);
  return host.substr(0, host.find(':'));
}

bool is_loopback_name(const std::string& name) {
  if (name == "localhost") return true;
  boost::system::error_code failure;
  const auto address = boost::asio::ip::make_address(name, failure);
  return !failure && address.is_loopback();
}

}  // namespace

Routes::Routes(Options& options, Ward& ward)
    : options_(options), ward_(ward), library_json_(json::to_text(json::encode(options.library))) {
  std::string tags;
  for (const auto& file : options.page) tags += std::string(file.path) + std::string(file.etag);
  page_revision_ = ledger::blake2b_256(tags).substr(0, 16);
}

const std::map<std::string, std::string>& Routes::common_headers() {
  static const std::map<std::string, std::string> headers{
      {"Content-Security-Policy",
       "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' data: blob:; "
       "font-src 'self'; connect-src 'self'; manifest-src 'self'; worker-src 'self'; media-src 'self' blob:; "
       "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"},
      {"X-Content-Type-Options", "nosniff"},
      {"Referrer-Policy", "no-referrer"},
      {"Cross-Origin-Opener-Policy", "same-origin"},
      {"Cross-Origin-Resource-Policy", "same-origin"},
      {"Permissions-Policy", "camera=(self), microphone=(), geolocation=()"}};
  return headers;
}

bool Routes::is_live(const Request& request) {
  return request.method == "GET" && split(request.target).path == "/api/live";
}

std::optional<Reply> Routes::guard(const Request& request) {
  const std::string host = header(request, "host");
  if (!is_loopback_name(host_name(host)))
    return refusal(421, "/host", host, "this machine itself; Dwell listens here only until there is sign-in");
  if (request.method == "GET" || request.method == "HEAD") return std::nullopt;
  const std::string origin = header(request, "origin");
  const bool other_origin = !origin.empty() && origin != "http://" + host;
  const std::string site = header(request, "sec-fetch-site");
  if (other_origin || site == "cross-site" || site == "same-site")
    return refusal(403, "/origin", origin.empty() ? site : origin, "a request from Dwell's own page");
  return std::nullopt;
}

std::string Routes::pattern(std::string_view target) {
  const auto path = split(target).path;
  if (path.starts_with("/api/engine/")) return "/api/engine/NAME";
  if (path.starts_with("/api/photos/")) return "/api/photos/HASH";
  if (path.starts_with("/api/lines/"))
    return "/api/lines/ID" + std::string(path.find('/', 11) == std::string_view::npos ? "" : "/…");
  if (path.starts_with("/api/")) return std::string(path.substr(0, 40));
  return "page";
}

Reply Routes::answer(const Request& request) {
  const auto [path, query] = split(request.target);
  const bool get = request.method == "GET" || request.method == "HEAD";
  const bool post = request.method == "POST";
  const bool takes_post = path == "/api/events" || path == "/api/photos" || path.starts_with("/api/engine/");
  const bool takes_both = path == "/api/practice" || path == "/api/policy";
  if (takes_both ? !get && !post : takes_post ? !post : !get)
    return method_refused(request.method, takes_both ? "GET, POST" : takes_post ? "POST" : "GET");
  if (post && !header(request, "content-type").starts_with("application/json"))
    return refusal(415, "/content-type", header(request, "content-type"), "application/json");
  if (path.starts_with("/api/engine/")) return engine_call(path.substr(12), request.body);
  if (path == "/api/about") return about();
  if (path == "/api/library") {
    Reply reply;
    reply.fixed_body = library_json_;
    return reply;
  }
  if (path == "/api/page") return page_list();
  if (path == "/api/engine") return engine_list();
  if (path == "/api/ward") return ward(query);
  if (path == "/api/due") return due(query);
  if (path == "/api/handover" || path == "/api/handover.pdf") return handover(path, query);
  if (path.starts_with("/api/photos/")) return photo(path.substr(12));
  if (path == "/api/learn") return learn(query);
  if (path == "/api/practice") return post ? keep_practice(request.body) : practice(query);
  if (path == "/api/policy") return post ? keep_policy(request.body) : policy_page();
  if (path.starts_with("/api/lines/")) return line(path.substr(11));
  if (path.starts_with("/api")) return not_found(path);
  return page(request, path);
}

Reply Routes::about() const {
  return json_reply(200, Object{{"name", "Dwell"},
                                {"version", DWELL_VERSION},
                                {"demo", options_.demo},
                                {"ward", json::encode(options_.place)},
                                {"now", iso(options_.clock())},
                                {"page", page_revision_},
                                {"time_zone", options_.time_zone},
                                {"local", json::encode(options_.local)},
                                {"loopback_only", true}});
}

/// What a device keeps to open the page without a network.
Reply Routes::page_list() const {
  Array files;
  for (const auto& file : options_.page) files.emplace_back(json::Value(file.path));
  return json_reply(200, Object{{"page", page_revision_}, {"files", std::move(files)}});
}

Reply Routes::engine_list() const {
  Array all;
  for (const auto& f : engine::functions())
    all.push_back(
        Object{{"name", f.name}, {"summary", f.summary}, {"input", f.input_schema()}, {"output", f.output_schema()}});
  return json_reply(200, all);
}

Reply Routes::engine_call(std::string_view name, const std::string& body) const {
  if (!engine::find_function(name))
    return refusal(404, "/name", std::string(name), "a function of the engine; see /api/engine");
  const auto value =
      json::parse_text(body).and_then([&](const Value& in) { return engine::call(name, in, options_.library); });
  if (!value) return refusal(422, value.error());
  return json_reply(200, Object{{"ok", true}, {"value", *value}});
}

/// With what falls due and the round, so that a page need not ask its engine before the first screen stands.
Reply Routes::ward(std::string_view query) {
  const Instant now = options_.clock();
  Array states;
  std::vector<line::State> open;
  for (const auto* state : ward_.open_states(url_decoded(query_value(query, "unit")))) {
    states.push_back(json::encode(*state));
    open.push_back(*state);
  }
  const auto& library = options_.library;
  const auto due = care::ward_due(open, library.policy, library.infusates, now);
  return json_reply(200, Object{{"sequence", ward_.sequence()},
                                {"policy", policy_paper_},
                                {"now", iso(now)},
                                {"states", std::move(states)},
                                {"due", json::encode(due)},
                                {"visits", json::encode(care::visits(due))}});
}

/// The next lines of all, however many there are: for a control room, or a check from outside.
Reply Routes::due(std::string_view query) {
  constexpr int usual = 50, most = 1000;
  const std::string asked = query_value(query, "first");
  int first = usual;
  if (!asked.empty()) {
    const auto end = asked.data() + asked.size();
    const auto [read_to, failure] = std::from_chars(asked.data(), end, first);
    if (failure != std::errc() || read_to != end || first < 1 || first > most)
      return refusal(422, "/first", asked, "a number from 1 to 1000");
  }
  Array lines;
  for (const auto& place : ward_.first(static_cast<std::size_t>(first), options_.clock()))
    lines.push_back(Object{{"line", place.line}, {"unit", place.unit}, {"bed", place.bed}, {"urgency", place.urgency}});
  return json_reply(200, Object{{"now", iso(options_.clock())}, {"lines", std::move(lines)}});
}

Reply Routes::handover(std::string_view path, std::string_view query) {
  document::HandoverPeriod period;
  period.now = options_.clock();
  const auto moment = [&](const char* name, Instant usual) -> Checked<Instant> {
    const std::string text = url_decoded(query_value(query, name));
    if (text.empty()) return usual;
    if (const auto read = parse_instant(text)) return *read;
    return refuse(std::string("/") + name, text, "a moment such as 2026-11-25T07:00:00Z");
  };
  constexpr std::chrono::hours shift{8};
  const auto since = moment("since", period.now - shift), until = moment("until", period.now + shift);
  if (!since) return refusal(422, since.error());
  if (!until) return refusal(422, until.error());
  period.since = *since;
  period.until = *until;
  if (has_name(query, "nurse")) period.nurse = url_decoded(query_value(query, "nurse"));
  const std::string unit = url_decoded(query_value(query, "unit"));
  std::vector<line::State> states;
  for (const auto* state : ward_.open_states(unit)) states.push_back(*state);
  for (const auto* state : ward_.closed_since(period.since, period.now))
    if (unit.empty() || state->place.unit == unit) states.push_back(*state);
  const auto& library = options_.library;
  const auto note = document::compose_handover(states, library.policy, library.infusates, options_.local, period);
  if (!note) return refusal(422, note.error());
  if (path == "/api/handover") return json_reply(200, json::encode(*note));
  Reply reply;
  reply.content_type = "application/pdf";
  reply.body = options_.note_pdf(*note);
  return reply;
}

bool Routes::writes(const Request& request) {
  const auto path = split(request.target).path;
  return request.method == "POST" && (path == "/api/events" || path == "/api/photos");
}

Routes::Written Routes::write(const Request& request) const {
  return split(request.target).path == "/api/events" ? write_events(request) : write_photo(request);
}

Checked<ledger::Appended> Routes::append(const std::vector<Asked>& asked, Instant now) const {
  std::vector<line::Event> events;
  events.reserve(asked.size());
  for (const auto& one : asked) events.push_back(one.event);
  return options_.ledger->append(events, now);
}

/// One entry that cannot be kept does not hold up the others: it is named, and they are written. Only what was asked to
/// be kept "together", the facts of one form, is all kept or not at all.
Routes::Written Routes::write_events(const Request& request) const {
  Written out;
  const auto refused = [&](Reply reply) {
    out.refused = true;
    out.refusal = std::move(reply);
    return out;
  };
  if (!header(request, "content-type").starts_with("application/json"))
    return refused(refusal(415, "/content-type", header(request, "content-type"), "application/json"));
  const auto given = json::parse_text(request.body);
  if (!given) return refused(refusal(422, given.error()));
  if (!given->is_array()) return refused(refusal(422, "", json::found_text(*given), "a list of events"));

  const Instant now = options_.clock();
  std::vector<Asked> asked;
  FieldErrors all;
  const auto set_aside = [&](std::size_t place, const Value& id, const FieldErrors& errors) {
    out.refusals.push_back(Object{{"index", place}, {"id", id}, {"errors", json::encode(errors)}});
    for (const auto& e : errors) all.push_back({"/" + std::to_string(place) + e.path, e.found, e.expected});
  };
  for (std::size_t i = 0; i < given->as_array().size(); ++i) {
    const Value& one = given->as_array()[i];
    auto event = json::decode<line::Event>(one);
    const Value* id = one.is_object() ? one.as_object().if_contains("id") : nullptr;
    if (event)
      asked.push_back({i, std::move(*event)});
    else
      set_aside(i, id && id->is_string() ? *id : Value(nullptr), event.error());
  }
  const bool together = has_name(split(request.target).query, "together");
  if (together && !all.empty()) return refused(refusal(422, all));
  auto appended = append(asked, now);
  while (!appended) {
    if (together) return refused(refusal(422, appended.error()));
    const auto wrong = by_event(appended.error(), asked.size());
    if (wrong.empty()) return refused(refusal(422, appended.error()));
    for (auto one = wrong.rbegin(); one != wrong.rend(); ++one) {
      const auto at = asked.begin() + static_cast<std::ptrdiff_t>(one->first);
      set_aside(at->place, Value(at->event.id), one->second);
      asked.erase(at);
    }
    appended = append(asked, now);
  }
  if (asked.empty() && !all.empty()) return refused(refusal(422, all));
  for (const auto& entry : appended->entries) out.written.push_back(entry.id);
  out.already_there = std::move(appended->already_there);
  return out;
}

Routes::Written Routes::write_photo(const Request& request) const {
  Written out;
  ledger::Photo photo{ledger::blake2b_256(request.body), header(request, "content-type"), request.body};
  const bool picture =
      photo.media_type == "image/jpeg" || photo.media_type == "image/png" || photo.media_type == "image/webp";
  out.refused = !picture || request.body.empty();
  if (!picture)
    out.refusal = refusal(415, "/content-type", photo.media_type, "image/jpeg, image/png or image/webp");
  else if (request.body.empty())
    out.refusal = refusal(422, "", "nothing", "the bytes of a picture");
  else if (const auto kept = options_.ledger->keep_photo(photo); !kept)
    out.refused = true, out.refusal = refusal(422, kept.error());
  out.written = {photo.hash};
  return out;
}

Reply Routes::answer_written(Written written) {
  if (written.refused) return std::move(written.refusal);
  Array ids, already;
  for (auto& id : written.written) ids.emplace_back(std::move(id));
  for (auto& id : written.already_there) already.emplace_back(std::move(id));
  auto changed = ward_.catch_up(options_.clock());
  Reply reply = json_reply(200, Object{{"ok", true},
                                       {"sequence", ward_.sequence()},
                                       {"written", std::move(ids)},
                                       {"already_there", std::move(already)},
                                       {"refused", std::move(written.refusals)}});
  reply.changed_lines = std::move(changed);
  return reply;
}

/// A picture never changes: its name is its hash. The page may keep it, nobody between may.
Reply Routes::photo(std::string_view hash) const {
  auto photo = options_.ledger->photo(std::string(hash));
  if (!photo) return not_found("no picture of this hash");
  Reply reply;
  reply.content_type = photo->media_type;
  reply.body = std::move(photo->bytes);
  reply.headers["Cache-Control"] = "private, max-age=31536000, immutable";
  return reply;
}

Reply Routes::line(std::string_view rest) {
  const auto slash = rest.find('/');
  const auto* state = ward_.find(std::string(rest.substr(0, slash)));
  if (!state) return not_found("no line of this id");
  const auto document = slash == std::string_view::npos ? std::string_view() : rest.substr(slash + 1);
  const auto now = options_.clock();
  if (document.empty()) {
    Array events;
    const auto& entries = *ward_.entries(state->id);
    for (const auto& event : entries.events) events.push_back(json::encode(event));
    return json_reply(200, Object{{"state", json::encode(*state)},
                                  {"events", std::move(events)},
                                  {"set_aside", json::encode(entries.set_aside)}});
  }
  Reply reply;
  if (document.starts_with("note.")) {
    const auto note = document::compose_note(*state, options_.local, now);
    if (document == "note.txt") return reply.content_type = "text/plain; charset=utf-8", reply.body = note.text, reply;
    if (document == "note.pdf")
      return reply.content_type = "application/pdf", reply.body = options_.note_pdf(note), reply;
  }
  if (document.starts_with("label.")) {
    const auto label = document::compose_label(*state, options_.local);
    if (!label) return refusal(409, label.error());
    if (document == "label.txt")
      return reply.content_type = "text/plain; charset=utf-8", reply.body = label->text, reply;
    if (document == "label.pdf")
      return reply.content_type = "application/pdf", reply.body = options_.label_pdf(*label), reply;
  }
  return not_found(document);
}

Reply Routes::learn(std::string_view query) {
  statistics::LearnInput input;
  const auto by = query_value(query, "group_by");
  if (!by.empty()) {
    const auto known = json::Codec<statistics::GroupBy>::from_name(by);
    if (!known)
      return refusal(422, "/group_by", by, "one of " + json::to_text(json::Codec<statistics::GroupBy>::names()));
    input.group_by = *known;
  }
  input.cut = options_.clock();
  input.rows = ward_.rows(input.cut);
  input.set_aside_unusable = true;
  const auto result = statistics::learn(input);
  return result ? json_reply(200, json::encode(*result)) : refusal(422, result.error());
}

Reply Routes::page(const Request& request, std::string_view path) const {
  if (path == "/") path = "/index.html";
  const auto found =
      std::find_if(options_.page.begin(), options_.page.end(), [&](const PageFile& f) { return f.path == path; });
  if (found == options_.page.end()) return not_found(path);
  Reply reply;
  reply.content_type = std::string(found->content_type);
  reply.headers["ETag"] = std::string(found->etag);
  reply.headers["Vary"] = "Accept-Encoding";
  const bool hashed = path.starts_with("/assets/");
  reply.headers["Cache-Control"] = hashed ? "public, max-age=31536000, immutable" : "no-cache";
  if (header(request, "if-none-match") == found->etag) {
    reply.status = 304;
    return reply;
  }
  const std::string accepts = header(request, "accept-encoding");
  reply.fixed_body = found->plain;
  if (!found->brotli.empty() && accepts.find("br") != std::string::npos) {
    reply.fixed_body = found->brotli;
    reply.headers["Content-Encoding"] = "br";
  } else if (!found->gzip.empty() && accepts.find("gzip") != std::string::npos) {
    reply.fixed_body = found->gzip;
    reply.headers["Content-Encoding"] = "gzip";
  }
  return reply;
}

}  // namespace dwell::server

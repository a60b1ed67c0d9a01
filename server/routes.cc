#include "server/routes.h"

#include <algorithm>
#include <boost/asio/ip/address.hpp>

#include "json/codec.h"

namespace dwell::server {
namespace {

using json::Array;
using json::Object;
using json::Value;

Reply json_reply(unsigned status, const Value& value) {
  Reply reply;
  reply.status = status;
  reply.body = json::to_text(value);
  return reply;
}

Reply refusal(unsigned status, const FieldErrors& errors) {
  return json_reply(status, Object{{"ok", false}, {"errors", json::encode(errors)}});
}

Reply refusal(unsigned status, std::string path, std::string found, std::string expected) {
  return refusal(status, FieldErrors{{std::move(path), std::move(found), std::move(expected)}});
}

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

std::string query_value(std::string_view query, std::string_view name) {
  while (!query.empty()) {
    const auto part = query.substr(0, query.find('&'));
    query.remove_prefix(std::min(part.size() + 1, query.size()));
    if (part.starts_with(name) && part.size() > name.size() && part[name.size()] == '=')
      return std::string(part.substr(name.size() + 1));
  }
  return "";
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

Routes::Routes(const Options& options, Ward& ward)
    : options_(options), ward_(ward), library_json_(json::to_text(json::encode(options.library))) {}

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
  if (path.starts_with("/api/lines/"))
    return "/api/lines/ID" + std::string(path.find('/', 11) == std::string_view::npos ? "" : "/…");
  if (path.starts_with("/api/")) return std::string(path.substr(0, 40));
  return "page";
}

Reply Routes::answer(const Request& request) {
  const auto [path, query] = split(request.target);
  const bool get = request.method == "GET" || request.method == "HEAD";
  const bool post = request.method == "POST";
  if (post && !header(request, "content-type").starts_with("application/json"))
    return refusal(415, "/content-type", header(request, "content-type"), "application/json");

  const bool takes_post = path == "/api/events" || path.starts_with("/api/engine/");
  if (takes_post ? !post : !get) return method_refused(request.method, takes_post ? "POST" : "GET");
  if (path == "/api/events") return append(request.body);
  if (path.starts_with("/api/engine/")) return engine_call(path.substr(12), request.body);
  if (path == "/api/about") return about();
  if (path == "/api/library") {
    Reply reply;
    reply.fixed_body = library_json_;
    return reply;
  }
  if (path == "/api/engine") return engine_list();
  if (path == "/api/ward") return ward();
  if (path == "/api/learn") return learn(query);
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
                                {"time_zone", options_.time_zone},
                                {"local", json::encode(options_.local)},
                                {"loopback_only", true}});
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

Reply Routes::ward() const {
  Array states;
  for (const auto* state : ward_.open_states()) states.push_back(json::encode(*state));
  return json_reply(
      200, Object{{"sequence", ward_.sequence()}, {"now", iso(options_.clock())}, {"states", std::move(states)}});
}

Reply Routes::append(const std::string& body) {
  const auto events =
      json::parse_text(body).and_then([](const Value& in) { return json::decode<std::vector<line::Event>>(in); });
  if (!events) return refusal(422, events.error());
  auto appended = ward_.append(*events, options_.clock());
  if (!appended) return refusal(422, appended.error());
  Array written, already;
  for (const auto& entry : appended->entries) written.emplace_back(entry.event.id);
  for (const auto& id : appended->already_there) already.emplace_back(id);
  auto changed = ward_.catch_up();
  Reply reply = json_reply(200, Object{{"ok", true},
                                       {"sequence", ward_.sequence()},
                                       {"written", std::move(written)},
                                       {"already_there", std::move(already)}});
  reply.changed_lines = std::move(changed);
  return reply;
}

Reply Routes::line(std::string_view rest) const {
  const auto slash = rest.find('/');
  const auto* state = ward_.find(std::string(rest.substr(0, slash)));
  if (!state) return not_found("no line of this id");
  const auto document = slash == std::string_view::npos ? std::string_view() : rest.substr(slash + 1);
  const auto now = options_.clock();
  if (document.empty()) {
    Array events;
    for (const auto& event : *ward_.events(state->id)) events.push_back(json::encode(event));
    return json_reply(200, Object{{"state", json::encode(*state)}, {"events", std::move(events)}});
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

Reply Routes::learn(std::string_view query) const {
  statistics::LearnInput input;
  const auto by = query_value(query, "group_by");
  if (!by.empty()) {
    const auto known = json::Codec<statistics::GroupBy>::from_name(by);
    if (!known)
      return refusal(422, "/group_by", by, "one of " + json::to_text(json::Codec<statistics::GroupBy>::names()));
    input.group_by = *known;
  }
  input.cut = options_.clock();
  input.rows = ward_.rows();
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

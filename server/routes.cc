#include "server/routes.h"

#include <algorithm>
#include <array>
#include <boost/asio/ip/address.hpp>
#include <map>

#include "care/board.h"
#include "document/handover.h"
#include "json/parse.h"
#include "ledger/chain.h"
#include "line/newest.h"
#include "server/replies.h"
#include "statistics/lines.h"

namespace dwell::server {
namespace {

using json::Array;
using json::Object;
using json::Value;

/// Of the history of a line, and of its entries, in one answer: the newest.
constexpr std::size_t most_history = 2000;

Reply not_found(std::string_view what) { return refusal(404, "", std::string(what), "something that is here"); }

struct Target {
  std::string_view path, query;
};

Target split(std::string_view target) {
  const auto mark = target.find('?');
  return {target.substr(0, mark), mark == std::string_view::npos ? std::string_view() : target.substr(mark + 1)};
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

/// Somebody follows a link to the page, or types its address.
bool goes_to_a_page(const Request& request) {
  return (request.method == "GET" || request.method == "HEAD") && !request.target.starts_with("/api") &&
         header(request, "sec-fetch-mode") == "navigate" && header(request, "sec-fetch-dest") == "document";
}

}  // namespace

Routes::Routes(const Options& options, Watch& watch, Charting& charting)
    : options_(options), watch_(watch), charting_(charting) {
  std::string tags;
  for (const auto& file : options.page) tags += std::string(file.path) + std::string(file.etag);
  page_revision_ = ledger::blake2b_256(tags).substr(0, 16);
}

std::span<const Routes::Route> Routes::routes() {
  constexpr std::uint64_t no_body = 1024, small = 256 * 1024, large = 1024 * 1024, picture = line::largest_photo;
  static constexpr std::array all{
      Route{"/api/events", nullptr, &Routes::events, Way::charting, large},
      Route{"/api/photos", nullptr, &Routes::keep_photo, Way::charting, picture},
      Route{"/api/about", &Routes::about, nullptr, Way::at_once, no_body},
      Route{"/api/page", &Routes::page_list, nullptr, Way::at_once, no_body},
      Route{"/api/ward", &Routes::ward, nullptr, Way::looking, no_body},
      Route{"/api/due", &Routes::due, nullptr, Way::looking, no_body},
      Route{"/api/lines/", &Routes::line, nullptr, Way::looking, no_body},
      Route{"/api/photos/", &Routes::photo, nullptr, Way::looking, no_body},
      Route{"/api/library", &Routes::library, nullptr, Way::looking, no_body},
      Route{"/api/engine", &Routes::engine_list, nullptr, Way::computing, no_body},
      Route{"/api/engine/", nullptr, &Routes::engine_call, Way::computing, small},
      Route{"/api/handover", &Routes::handover, nullptr, Way::computing, no_body},
      Route{"/api/handover.pdf", &Routes::handover, nullptr, Way::computing, no_body},
      Route{"/api/learn", &Routes::learn, nullptr, Way::computing, no_body},
      Route{"/api/practice", &Routes::practice, &Routes::keep_practice, Way::computing, small},
      Route{"/api/policy", &Routes::policy_page, &Routes::keep_policy, Way::computing, large},
  };
  return all;
}

const Routes::Route* Routes::route_of(std::string_view path) {
  for (const auto& route : routes())
    if (route.path.ends_with('/') ? path.starts_with(route.path) : path == route.path) return &route;
  return nullptr;
}

Way Routes::way(const Request& request) {
  const auto path = split(request.target).path;
  const Route* route = route_of(path);
  if (!route) return Way::at_once;
  // A document is set and printed; the rest of a line is looked up.
  const bool document = route->way == Way::looking && (path.ends_with(".pdf") || path.ends_with(".txt"));
  return document ? Way::computing : route->way;
}

std::uint64_t Routes::most_body(std::string_view target) {
  constexpr std::uint64_t of_what_is_not_here = 1024 * 1024;
  const Route* route = route_of(split(target).path);
  return route ? route->most_body : of_what_is_not_here;
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
  const std::string origin = header(request, "origin"), site = header(request, "sec-fetch-site");
  const bool other_site = (site == "cross-site" || site == "same-site") && !goes_to_a_page(request);
  if ((!origin.empty() && origin != "http://" + host) || other_site)
    return refusal(403, "/origin", origin.empty() ? site : origin, "a request from Dwell's own page");
  return std::nullopt;
}

std::string Routes::pattern(std::string_view target) {
  const auto path = split(target).path;
  if (path.starts_with("/api/lines/"))
    return "/api/lines/ID" + std::string(path.find('/', 11) == std::string_view::npos ? "" : "/…");
  if (const Route* route = route_of(path)) return std::string(route->path);
  return path.starts_with("/api") ? "/api/…" : "page";
}

Reply Routes::answer(const Request& request) const {
  const auto [path, query] = split(request.target);
  const Route* route = route_of(path);
  const bool get = request.method == "GET" || request.method == "HEAD", post = request.method == "POST";
  const bool may_get = !route || route->get, may_post = route && route->post;
  if (!(get && may_get) && !(post && may_post)) {
    const std::string allowed = may_get && may_post ? "GET, POST" : may_get ? "GET" : "POST";
    Reply reply = refusal(405, "/method", request.method.substr(0, 20), allowed);
    reply.headers["Allow"] = allowed;
    return reply;
  }
  const std::string type = header(request, "content-type");
  if (post && route->post != &Routes::keep_photo && !type.starts_with("application/json"))
    return refusal(415, "/content-type", type, "application/json");
  if (!route) return path.starts_with("/api") ? not_found(path) : page(request, path);
  const Asked asked{request, path, query, path.substr(route->path.size())};
  return (this->*(get ? route->get : route->post))(asked);
}

void Routes::add_standing(Object& answer, const Standing& standing) const {
  answer["true_at"] = iso(standing.true_at);
  answer["sequence"] = standing.sequence;
  if (const std::string proof = options_.proof ? options_.proof() : std::string(); !proof.empty())
    answer["proof"] = proof;
}

Reply Routes::about(const Asked&) const {
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

Reply Routes::library(const Asked&) const {
  Reply reply;
  reply.body = watch_.in_force()->json;
  return reply;
}

/// What a device keeps to open the page without a network.
Reply Routes::page_list(const Asked&) const {
  Array files;
  for (const auto& file : options_.page) files.emplace_back(json::Value(file.path));
  return json_reply(200, Object{{"page", page_revision_}, {"files", std::move(files)}});
}

Reply Routes::engine_list(const Asked&) const {
  Array all;
  for (const auto& f : engine::functions())
    all.push_back(
        Object{{"name", f.name}, {"summary", f.summary}, {"input", f.input_schema()}, {"output", f.output_schema()}});
  return json_reply(200, all);
}

/// A call cannot be stopped once it runs: so what it is given is bounded, and it has threads of its own.
Reply Routes::engine_call(const Asked& asked) const {
  constexpr json::Limits limits{24, 50'000};
  if (!engine::find_function(asked.rest))
    return refusal(404, "/name", std::string(asked.rest), "a function of the engine; see /api/engine");
  const auto in_force = watch_.in_force();
  const auto value = json::parse_text(asked.request.body, limits).and_then([&](const Value& in) {
    return engine::call(asked.rest, in, in_force->library);
  });
  if (!value) return refusal(422, value.error());
  return json_reply(200, Object{{"ok", true}, {"value", *value}});
}

/// With what falls due and the round, so that a page need not ask its engine before the first screen stands. A
/// hospital's lines come in parts, copied a few at a time so that nobody waits long for the ward.
Reply Routes::ward(const Asked& asked) const {
  constexpr std::size_t most_lines = 500, at_once = 50, enough = longest_answer / 2;
  const Instant now = options_.clock();
  const std::string unit = url_decoded(query_value(asked.query, "unit"));
  std::string after = url_decoded(query_value(asked.query, "after")), states;
  std::vector<line::State> open;
  std::optional<Standing> standing;
  std::shared_ptr<const InForce> in_force;
  Object earlier;
  Array not_folded;
  bool more = true;
  while (more && open.size() < most_lines && states.size() < enough) {
    const auto copied = watch_.with_ward(now, [&](Ward& ward, const Standing& at) {
      std::vector<line::Newest> copies;
      for (const auto* state : ward.open_states(unit, after, at_once))
        copies.push_back(line::newest(*state, most_history));
      if (!standing) {
        standing = at;
        in_force = watch_.in_force();
      }
      not_folded.clear();  // reading these lines may have found more
      for (const auto& [line, reason] : ward.not_folded())
        not_folded.push_back(Object{{"line", line}, {"reason", reason}});
      return copies;
    });
    for (auto& [state, left_out] : copied) {
      after = state.id;
      if (!care::is_listed(state, in_force->library.policy, now)) continue;
      if (left_out > 0) earlier[state.id] = left_out;
      states += (states.empty() ? "" : ",") + json::to_text(json::encode(state));
      open.push_back(std::move(state));
    }
    more = copied.size() == at_once;
  }
  const auto& library = in_force->library;
  const auto due = care::ward_due(open, library.policy, library.infusates, now);
  Object rest{{"policy", in_force->policy_paper},
              {"now", iso(now)},
              {"due", json::encode(due)},
              {"visits", json::encode(care::visits(due))}};
  add_standing(rest, *standing);
  if (more) rest["next"] = after;
  if (!earlier.empty()) rest["earlier"] = std::move(earlier);
  if (!not_folded.empty()) rest["not_folded"] = std::move(not_folded);
  Reply reply = json_reply(200, rest);
  if (reply.status == 200) reply.body.replace(reply.body.size() - 1, 1, ",\"states\":[" + states + "]}");
  return reply;
}

/// The next lines of all, however many there are: for a control room, or a check from outside.
Reply Routes::due(const Asked& asked) const {
  const auto first = asked_number(asked.query, "first", 50, 1000);
  if (!first) return refusal(422, first.error());
  const Instant now = options_.clock();
  return watch_.with_ward(now, [&](Ward& ward, const Standing& standing) {
    Array lines;
    for (const auto& place : ward.first(*first, now))
      lines.push_back(
          Object{{"line", place.line}, {"unit", place.unit}, {"bed", place.bed}, {"urgency", place.urgency}});
    Object answer{{"now", iso(now)}, {"lines", std::move(lines)}};
    add_standing(answer, standing);
    return json_reply(200, answer);
  });
}

Reply Routes::handover(const Asked& asked) const {
  document::HandoverPeriod period;
  period.now = options_.clock();
  const auto moment = [&](const char* name, Instant usual) -> Checked<Instant> {
    const std::string text = url_decoded(query_value(asked.query, name));
    if (text.empty()) return usual;
    if (const auto read = parse_instant(text)) return *read;
    return refuse(std::string("/") + name, text, "a moment such as 2026-11-25T07:00:00Z");
  };
  constexpr std::chrono::hours shift{8}, longest{24 * 7};
  const auto since = moment("since", period.now - shift), until = moment("until", period.now + shift);
  if (!since) return refusal(422, since.error());
  if (!until) return refusal(422, until.error());
  if (*since < period.now - longest) return refusal(422, "/since", iso(*since), "a moment of the last 7 days");
  period.since = *since;
  period.until = *until;
  if (has_name(asked.query, "nurse")) period.nurse = url_decoded(query_value(asked.query, "nurse"));
  return sheet(url_decoded(query_value(asked.query, "unit")), period, asked.path.ends_with(".pdf"));
}

Reply Routes::sheet(const std::string& unit, const document::HandoverPeriod& period, bool on_paper) const {
  constexpr std::size_t most_lines = 1000;
  std::vector<line::State> states;
  std::shared_ptr<const InForce> in_force;
  const Standing standing = watch_.with_ward(period.now, [&](Ward& ward, const Standing& at) {
    for (const auto* state : ward.open_states(unit, "", most_lines + 1)) states.push_back(*state);
    for (auto& state : ward.closed_since(period.since, unit, most_lines + 1 - states.size(), period.now))
      states.push_back(std::move(state));
    in_force = watch_.in_force();
    return at;
  });
  if (states.size() > most_lines)
    return refusal(413, "/unit", "more than 1\u202f000 lines", "less: the sheet of one ward, or of a shorter time");
  const auto& library = in_force->library;
  const auto note = document::compose_handover(states, library.policy, library.infusates, options_.local, period);
  if (!note) return refusal(422, note.error());
  if (on_paper) return paper(standing, "application/pdf", options_.note_pdf(*note));
  Object answer = json::encode(*note).as_object();
  add_standing(answer, standing);
  return json_reply(200, answer);
}

/// Paper does not say that it is old: it is made only of a record that was just looked at.
Reply Routes::paper(const Standing& standing, const char* content_type, std::string body) const {
  if (!standing.reachable) return try_again("/ledger", "a record that cannot be reached", "one that can");
  Reply reply;
  reply.content_type = content_type;
  reply.body = std::move(body);
  return reply;
}

Reply Routes::events(const Asked& asked) const { return charting_.events(asked.request); }

Reply Routes::keep_photo(const Asked& asked) const { return charting_.photo(asked.request); }

/// Not to be kept by the browser, which would keep it as it is; the page seals what it keeps.
Reply Routes::photo(const Asked& asked) const {
  auto photo = options_.reading->photo(std::string(asked.rest));
  if (!photo) return not_found("no picture of this hash");
  Reply reply;
  reply.content_type = photo->media_type;
  reply.body = std::move(photo->bytes);
  reply.headers["Cache-Control"] = "private, no-store";
  return reply;
}

Reply Routes::line(const Asked& asked) const {
  const auto slash = asked.rest.find('/');
  const std::string id(asked.rest.substr(0, slash));
  if (slash == std::string_view::npos) return whole_line(id);
  const auto part = asked.rest.substr(slash + 1);
  return part == "events" ? events_of_line(id, asked.query) : document_of_line(id, part);
}

Reply Routes::whole_line(const std::string& id) const {
  std::optional<line::Newest> newest;
  std::vector<line::Event> events;
  std::vector<line::SetAside> set_aside;
  std::size_t earlier = 0;
  const Standing standing = watch_.with_ward(options_.clock(), [&](Ward& ward, const Standing& at) {
    if (const auto* found = ward.entries(id)) {
      const auto& all = found->events();
      earlier = all.size() > most_history ? all.size() - most_history : 0;
      events.assign(all.begin() + static_cast<std::ptrdiff_t>(earlier), all.end());
      set_aside = found->set_aside();
      newest = line::newest(found->state(), most_history);
    }
    return at;
  });
  if (!newest) return not_found("no line of this id");
  Object answer{
      {"state", json::encode(newest->state)}, {"events", json::encode(events)}, {"set_aside", json::encode(set_aside)}};
  if (earlier > 0) answer["earlier"] = earlier;
  add_standing(answer, standing);
  return json_reply(200, answer);
}

/// In the order of the record, behind a place in it.
Reply Routes::events_of_line(const std::string& id, std::string_view query) const {
  constexpr auto whole_record = static_cast<std::size_t>(std::numeric_limits<std::int64_t>::max());
  const auto first = asked_number(query, "first", 500, most_history);
  if (!first) return refusal(422, first.error());
  const auto after =
      query_value(query, "after") == "0" ? Checked<std::size_t>(0) : asked_number(query, "after", 0, whole_record);
  if (!after) return refusal(422, after.error());
  bool here = false, more = false;
  std::vector<line::Event> events;
  const Standing standing = watch_.with_ward(options_.clock(), [&](Ward& ward, const Standing& at) {
    if (const auto* entries = ward.entries(id)) {
      const auto* all = &entries->events();
      here = true;
      const auto begin = std::upper_bound(all->begin(), all->end(), static_cast<std::int64_t>(*after),
                                          [](std::int64_t place, const line::Event& event) {
                                            return event.receipt && place < event.receipt->sequence;
                                          });
      const auto left = static_cast<std::size_t>(all->end() - begin);
      more = left > *first;
      events.assign(begin, begin + static_cast<std::ptrdiff_t>(std::min(left, *first)));
    }
    return at;
  });
  if (!here) return not_found("no line of this id");
  Object answer{{"events", json::encode(events)}};
  if (more) answer["next"] = events.back().receipt->sequence;
  add_standing(answer, standing);
  return json_reply(200, answer);
}

Reply Routes::document_of_line(const std::string& id, std::string_view document) const {
  const Instant now = options_.clock();
  std::optional<line::State> state;
  const Standing standing = watch_.with_ward(now, [&](Ward& ward, const Standing& at) {
    if (const auto* found = ward.find(id)) state = *found;
    return at;
  });
  if (!state) return not_found("no line of this id");
  constexpr const char *text = "text/plain; charset=utf-8", *pdf = "application/pdf";
  if (document == "note.txt" || document == "note.pdf") {
    const auto note = document::compose_note(*state, options_.local, now);
    return document == "note.txt" ? paper(standing, text, note.text) : paper(standing, pdf, options_.note_pdf(note));
  }
  if (document == "label.txt" || document == "label.pdf") {
    const auto label = document::compose_label(*state, options_.local);
    if (!label) return refusal(409, label.error());
    return document == "label.txt" ? paper(standing, text, label->text)
                                   : paper(standing, pdf, options_.label_pdf(*label));
  }
  return not_found(document);
}

Reply Routes::learn(const Asked& asked) const {
  constexpr std::size_t most_set_aside = 500;
  statistics::LearnInput input;
  const auto by = query_value(asked.query, "group_by");
  if (!by.empty()) {
    const auto known = json::Codec<statistics::GroupBy>::from_name(by);
    if (!known)
      return refusal(422, "/group_by", by, "one of " + json::to_text(json::Codec<statistics::GroupBy>::names()));
    input.group_by = *known;
  }
  input.cut = options_.clock();
  const Standing standing = watch_.with_ward(input.cut, [&](Ward& ward, const Standing& at) {
    input.rows = ward.rows(input.cut);
    return at;
  });
  input.set_aside_unusable = true;
  auto result = statistics::learn(input);
  if (!result) return refusal(422, result.error());
  const std::size_t set_aside = result->set_aside.size();
  result->set_aside.resize(std::min(set_aside, most_set_aside));
  Object answer = json::encode(*result).as_object();
  if (set_aside > most_set_aside) answer["set_aside_in_all"] = set_aside;
  add_standing(answer, standing);
  return json_reply(200, answer);
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

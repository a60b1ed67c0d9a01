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
#include "say/json.h"
#include "say/quantity.h"
#include "say/record.h"
#include "server/compress.h"
#include "server/contract.h"
#include "server/replies.h"
#include "statistics/lines.h"

namespace dwell::server {
namespace {

using json::Object;
using json::Value;

/// Of the history of a line, and of its entries, in one answer: the newest.
constexpr std::size_t most_history = 2000;

constexpr const char *plain_text = "text/plain; charset=utf-8", *pdf = "application/pdf";

Reply not_found(std::string_view what) { return refusal(404, "", std::string(what), say::something_that_is_here()); }

std::string_view path_of(std::string_view target) { return target.substr(0, target.find('?')); }

/// The parts of a path that stand for a pattern's {…}; nothing when it is no such path. A part is never empty.
std::optional<std::vector<std::string_view>> parts_of(std::string_view pattern, std::string_view path) {
  std::vector<std::string_view> parts;
  while (!pattern.empty() && !path.empty()) {
    const auto wanted = pattern.substr(0, pattern.find('/', 1)), given = path.substr(0, path.find('/', 1));
    if (wanted.starts_with("/{") && given.size() > 1)
      parts.push_back(given.substr(1));
    else if (wanted != given)
      return std::nullopt;
    pattern.remove_prefix(wanted.size());
    path.remove_prefix(given.size());
  }
  if (!pattern.empty() || !path.empty()) return std::nullopt;
  return parts;
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

/// Of rows set aside an answer names so many, and says how many there are.
template <class Answer>
void name_no_more_than_fit(Answer& answer) {
  constexpr std::size_t most_set_aside = 500;
  const std::size_t set_aside = answer.set_aside.size();
  if (set_aside <= most_set_aside) return;
  answer.set_aside.resize(most_set_aside);
  answer.set_aside_in_all = static_cast<int>(set_aside);
}

}  // namespace

Routes::Routes(const Options& options, Watch& watch, Charting& charting, Gate& gate, Measures& measures)
    : options_(options), watch_(watch), charting_(charting), gate_(gate), measures_(measures) {
  std::string tags;
  for (const auto& file : options.page) tags += std::string(file.path) + std::string(file.etag);
  page_revision_ = ledger::blake2b_256(tags).substr(0, 16);
}

const Routes::Route* Routes::route_of(std::string_view method, std::string_view path) {
  if (method == "HEAD") method = "GET";
  const Route* other = nullptr;
  for (const auto& route : table()) {
    if (!parts_of(route.pattern, path)) continue;
    if (route.method == method) return &route;
    if (!other) other = &route;
  }
  return other;
}

std::string Routes::allowed(std::string_view path) {
  std::string methods;
  for (const auto& route : table())
    if (parts_of(route.pattern, path)) methods += (methods.empty() ? "" : ", ") + std::string(route.method);
  return methods.empty() ? "GET" : methods;
}

Way Routes::way(const Request& request) {
  const Route* route = route_of(request.method, path_of(request.target));
  return route ? route->way : Way::at_once;
}

std::uint64_t Routes::most_body(const Request& request) {
  constexpr std::uint64_t of_what_is_not_here = 1024 * 1024;
  const Route* route = route_of(request.method, path_of(request.target));
  return route ? route->most_body : of_what_is_not_here;
}

const std::map<std::string, std::string>& Routes::common_headers(bool secure) {
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
  static const std::map<std::string, std::string> over_tls = [] {
    auto all = headers;
    all["Strict-Transport-Security"] = "max-age=31536000";
    return all;
  }();
  return secure ? over_tls : headers;
}

bool Routes::is_live(const Request& request) {
  return request.method == "GET" && path_of(request.target) == "/api/live";
}

std::optional<Reply> Routes::guard(const Request& request) const {
  const std::string host = header(request, "host");
  if (options_.tls ? !options_.tls->is_for(host_name(host)) : !is_loopback_name(host_name(host)))
    return refusal(421, "/host", host,
                   options_.tls ? "a name that the certificate was made for"
                                : "this machine itself; without a certificate Dwell listens here only");
  const std::string origin = header(request, "origin"), site = header(request, "sec-fetch-site");
  const bool other_site = (site == "cross-site" || site == "same-site") && !goes_to_a_page(request);
  if ((!origin.empty() && origin != (request.secure ? "https://" : "http://") + host) || other_site)
    return refusal(403, "/origin", origin.empty() ? site : origin, "a request from Dwell's own page");
  return gate_.refuse_forged(request);
}

std::optional<Reply> Routes::refuse(const Request& request) const {
  const Route* route = route_of(request.method, path_of(request.target));
  return route ? gate_.refuse(gate_.asker(request, options_.clock()), route->whose) : std::nullopt;
}

std::string Routes::pattern(const Request& request) {
  const auto path = path_of(request.target);
  if (const Route* route = route_of(request.method, path)) return std::string(route->pattern);
  return path.starts_with("/api") ? "/api/…" : "page";
}

Reply Routes::answer(const Request& request) const {
  const auto path = path_of(request.target);
  const Route* route = route_of(request.method, path);
  const bool get = request.method == "GET" || request.method == "HEAD";
  if (route ? route->method != (get ? "GET" : request.method) : !get) {
    const std::string methods = allowed(path);
    Reply reply = refusal(405, "/method", request.method.substr(0, 20), methods);
    reply.headers["Allow"] = methods;
    return reply;
  }
  const std::string type = header(request, "content-type");
  if (route && route->body && !type.starts_with("application/json"))
    return refusal(415, "/content-type", type, "application/json");
  if (!route || !route->answer) return path.starts_with("/api") ? not_found(path) : page(request, path);
  // What is anybody's and lies ready asks for no session, and so waits for nothing.
  const Asker asker = route->way == Way::at_once ? Asker{} : gate_.asker(request, options_.clock());
  std::vector<std::string> lines;
  auto refused = gate_.refuse(asker, route->whose);
  const auto parts = *parts_of(route->pattern, path);
  Reply reply =
      refused ? std::move(*refused) : (this->*route->answer)({request, Query(request.target), parts, asker, lines});
  if (route->whose.is_anybodys() || route->whose.is_everybodys()) return reply;  // nothing of patients
  if (lines.empty())
    for (const auto part : parts) lines.emplace_back(part);
  if (!lines.empty() || reply.status == 403)
    gate_.write_down(asker, request.method + " " + std::string(route->pattern), lines, reply.status, options_.clock());
  return reply;
}

void Routes::add_standing(Stood& answer, const Standing& standing) const {
  answer.true_at = standing.true_at;
  answer.sequence = standing.sequence;
  if (std::string proof = options_.proof ? options_.proof() : std::string(); !proof.empty())
    answer.proof = std::move(proof);
}

Reply Routes::about(const Asked&) const {
  return json_reply(200, json::encode(About{"Dwell", DWELL_VERSION, options_.demo, options_.place, options_.clock(),
                                            page_revision_, options_.time_zone, options_.local, !options_.accounts}));
}

Reply Routes::library(const Asked&) const {
  Reply reply;
  reply.body = watch_.in_force()->json;
  return reply;
}

Reply Routes::page_list(const Asked&) const {
  PageList list{page_revision_, {}};
  for (const auto& file : options_.page)
    if (file.path != licences_file) list.files.emplace_back(file.path);
  return json_reply(200, json::encode(list));
}

Reply Routes::engine_list(const Asked&) const {
  std::vector<ListedFunction> all;
  for (const auto& f : engine::functions())
    all.push_back({f.name, f.summary, engine::input_in_place(f), engine::output_in_place(f)});
  return json_reply(200, json::encode(all));
}

/// A call cannot be stopped once it runs: so what it is given is bounded, and it has threads of its own.
Reply Routes::engine_call(const Asked& asked) const {
  constexpr json::Limits limits{24, 50'000};
  const auto name = asked.parts.front();
  if (!engine::find_function(name))
    return refusal(404, "/name", std::string(name), "a function of the engine; see /api/engine");
  // How the page's language writes decimals: "?decimal=comma".
  std::optional<DecimalSign> page;
  if (asked.query.has("decimal")) {
    const auto sign = asked.query.value("decimal");
    page = json::Codec<DecimalSign>::from_name(sign);
    if (!page) return refusal(422, "/decimal", sign, "point or comma");
  }
  const auto in_force = watch_.in_force();
  const auto value = json::parse_text(asked.request.body, limits).and_then([&](const Value& in) {
    return engine::call(name, in, in_force->library, page);
  });
  if (!value) return refusal(422, value.error());
  return json_reply(200, Object{{"ok", true}, {"value", *value}});
}

/// One for all who see the same, while nothing was charted.
Reply Routes::ward(const Asked& asked) const {
  const Instant now = options_.clock();
  const std::string unit = asked.query.value("unit");
  if (!asked.asker.sees(unit)) return refusal(403, "/unit", unit, say::a_ward_of_yours());
  std::vector<std::string> apart{unit, asked.query.value("after"), watch_.in_force()->policy_paper,
                                 options_.proof ? options_.proof() : std::string()};
  if (asked.asker.session)
    apart.insert(apart.end(), asked.asker.session->elsewhere.begin(), asked.asker.session->elsewhere.end());
  const std::string key = json::to_text(json::encode(apart));
  Reply reply;
  const bool behind = watch_.is_behind();
  const std::int64_t sequence = watch_.standing().sequence;
  if (!behind) reply.made = wards_.find(key, sequence, now);
  if (reply.made) {
    asked.lines = reply.made->lines;
    return reply;
  }
  measures_.made_ward();
  reply = make_ward(asked, now);
  // What was charted meanwhile may be in it or not: it is given to who asked, and kept for nobody.
  if (reply.status != 200 || behind || watch_.standing().sequence != sequence) return reply;
  std::string gzipped = gzip(reply.body);
  reply.made =
      std::make_shared<const Made>(Made{std::exchange(reply.body, {}), std::move(gzipped), asked.lines, sequence, now});
  wards_.keep(key, reply.made);
  return reply;
}

/// With what falls due and the round, so that a page need not ask its engine before the first screen stands. A
/// hospital's lines come in parts, copied a few at a time so that nobody waits long for the ward.
Reply Routes::make_ward(const Asked& asked, Instant now) const {
  constexpr std::size_t most_lines = 500, at_once = 50, enough = longest_answer / 2;
  const std::string unit = asked.query.value("unit");
  std::string after = asked.query.value("after"), states;
  std::vector<line::State> open;
  std::optional<Standing> standing;
  std::shared_ptr<const InForce> in_force;
  std::map<std::string, int> earlier;
  std::vector<NotFolded> not_folded;
  bool more = true;
  while (more && open.size() < most_lines && states.size() < enough) {
    const auto wanted = [&](const Ward& ward) { return ward.open_lines(unit, after, at_once); };
    const auto copied = watch_.with_ward(now, wanted, [&](Ward& ward, const Standing& at) {
      std::vector<line::Newest> copies;
      for (const auto* state : ward.open_states(unit, after, at_once))
        copies.push_back(line::newest(*state, most_history));
      if (!standing) {
        standing = at;
        in_force = watch_.in_force();
      }
      not_folded.clear();  // reading these lines may have found more
      for (const auto& [line, reason] : ward.not_folded()) not_folded.push_back({line, reason});
      return copies;
    });
    for (auto& [state, left_out] : copied) {
      after = state.id;
      if (!care::is_listed(state, in_force->library.policy, now) || !asked.asker.sees(state.place.unit)) continue;
      asked.lines.push_back(state.id);
      if (left_out > 0) earlier[state.id] = static_cast<int>(left_out);
      states += (states.empty() ? "" : ",") + json::to_text(json::encode(state));
      open.push_back(std::move(state));
    }
    more = copied.size() == at_once;
  }
  const auto& library = in_force->library;
  Board board;
  board.policy = in_force->policy_paper;
  board.now = now;
  board.due = care::ward_due(open, library.policy, library.infusates, now);
  board.visits = care::visits(board.due);
  add_standing(board, *standing);
  if (more) board.next = after;
  if (!earlier.empty()) board.earlier = std::move(earlier);
  if (!not_folded.empty()) board.not_folded = std::move(not_folded);
  Reply reply = json_reply(200, json::encode(board));
  // It ends in the empty list of states, `[]}`.
  if (reply.status == 200) reply.body.insert(reply.body.size() - 2, states);
  return reply;
}

/// The next lines of all, however many there are: for a control room, or a check from outside.
Reply Routes::due(const Asked& asked) const {
  constexpr std::size_t most_due = 100'000;
  const auto first = asked_number(asked.query, "first", 50, 1000);
  if (!first) return refusal(422, first.error());
  const Instant now = options_.clock();
  const auto wanted = [&](Ward& ward) { return ward.struck_lines(now); };
  return watch_.with_ward(now, wanted, [&](Ward& ward, const Standing& standing) {
    DueLines answer;
    answer.now = now;
    // Of the lines of her own wards; how many those are is not known before.
    for (const auto& place : ward.first(asked.asker.checked ? most_due : *first, now)) {
      if (!asked.asker.sees(place.unit) || answer.lines.size() >= *first) continue;
      answer.lines.push_back({place.line, place.unit, place.bed, place.urgency});
      asked.lines.push_back(place.line);
    }
    add_standing(answer, standing);
    return json_reply(200, json::encode(answer));
  });
}

struct Routes::ComposedSheet {
  document::HandoverSheet sheet;
  Standing standing;
};

namespace {

/// The shift that a sheet is asked for.
Checked<document::HandoverPeriod> asked_period(const Query& query, Instant now) {
  const auto moment = [&](const char* name, Instant usual) -> Checked<Instant> {
    const std::string text = query.value(name);
    if (text.empty()) return usual;
    if (const auto read = parse_instant(text)) return *read;
    return refuse(std::string("/") + name, text, say::a_moment_such_as());
  };
  constexpr std::chrono::hours shift{8};
  constexpr std::chrono::days longest{7};
  const auto since = moment("since", now - shift), until = moment("until", now + shift);
  if (!since) return refuse(since.error());
  if (!until) return refuse(until.error());
  if (*since < now - longest) return refuse("/since", iso(*since), say::a_moment_of_the_last_days(longest.count()));
  document::HandoverPeriod period;
  period.now = now;
  period.since = *since;
  period.until = *until;
  if (query.has("nurse")) period.nurse = query.value("nurse");
  return period;
}

}  // namespace

tl::expected<Routes::ComposedSheet, Reply> Routes::composed_sheet(const Asked& asked) const {
  constexpr std::size_t most_lines = 1000;
  const std::string unit = asked.query.value("unit");
  const auto period = asked_period(asked.query, options_.clock());
  if (!period) return tl::unexpected(refusal(422, period.error()));
  std::vector<line::State> states;
  std::shared_ptr<const InForce> in_force;
  const auto wanted = [&](const Ward& ward) { return ward.open_lines(unit, "", most_lines + 1); };
  const Standing standing = watch_.with_ward(period->now, wanted, [&](Ward& ward, const Standing& at) {
    for (const auto* state : ward.open_states(unit, "", most_lines + 1)) states.push_back(*state);
    for (auto& state : ward.closed_since(period->since, unit, most_lines + 1 - states.size(), period->now))
      states.push_back(std::move(state));
    in_force = watch_.in_force();
    return at;
  });
  if (states.size() > most_lines) return tl::unexpected(refusal(413, "/unit", "> 1\u202f000", say::a_sheet_of_less()));
  std::erase_if(states, [&](const line::State& state) { return !asked.asker.sees(state.place.unit); });
  for (const auto& state : states) asked.lines.push_back(state.id);
  const auto& library = in_force->library;
  auto sheet = document::compose_handover(states, library.policy, library.infusates, *period);
  if (!sheet) return tl::unexpected(refusal(422, sheet.error()));
  return ComposedSheet{std::move(*sheet), standing};
}

Reply Routes::sheet(const Asked& asked) const {
  auto made = composed_sheet(asked);
  if (!made) return std::move(made.error());
  Sheet answer{std::move(made->sheet), {}};
  add_standing(answer, made->standing);
  return json_reply(200, json::encode(answer));
}

Reply Routes::sheet_pdf(const Asked& asked) const {
  const auto reader = reader_of(asked);
  if (!reader) return refusal(422, reader.error());
  auto made = composed_sheet(asked);
  if (!made) return std::move(made.error());
  return paper(made->standing, "application/pdf", options_.handover_pdf(made->sheet, *reader));
}

Checked<said::Reader> Routes::reader_of(const Asked& asked) const {
  const std::string language = asked.query.value("language");
  if (!language.empty() && !said::is_language(language))
    return dwell::refuse("/language", language, say::one_of_these(said::languages_listed()));
  said::Reader reader;
  if (!language.empty()) reader.language = language;
  reader.title_of = [in_force = watch_.in_force()](const std::string& name) {
    return engine::title_of(in_force->library, name);
  };
  reader.decimal_sign = policy::decimal_sign(watch_.in_force()->library.policy);
  reader.utc_offset = [local = options_.local](Instant at) { return local.offset(at); };
  return reader;
}

/// Paper does not say that it is old: it is made only of a record that was just looked at.
Reply Routes::paper(const Standing& standing, const char* content_type, std::string body) const {
  if (!standing.reachable) return try_again("/ledger", "", say::a_record_that_can_be_reached());
  Reply reply;
  reply.content_type = content_type;
  reply.body = std::move(body);
  return reply;
}

Reply Routes::events(const Asked& asked) const { return charting_.events(asked.request, asked.asker, asked.lines); }

Reply Routes::keep_photo(const Asked& asked) const { return charting_.photo(asked.request); }

/// Not to be kept by the browser, which would keep it as it is; the page seals what it keeps.
Reply Routes::photo(const Asked& asked) const {
  auto photo = options_.reading->photo(std::string(asked.parts.front()));
  if (!photo) return not_found("no picture of this hash");
  Reply reply;
  reply.content_type = photo->media_type;
  reply.body = std::move(photo->bytes);
  reply.headers["Cache-Control"] = "private, no-store";
  return reply;
}

Reply Routes::line(const Asked& asked) const {
  const std::string id(asked.parts.front());
  WholeLine answer;
  std::optional<line::Newest> newest;
  std::size_t earlier = 0;
  const Standing standing = watch_.with_line(options_.clock(), id, [&](Ward& ward, const Standing& at) {
    if (const auto* found = ward.entries(id); found && asked.asker.sees(found->state().place.unit)) {
      const auto& all = found->events();
      earlier = all.size() > most_history ? all.size() - most_history : 0;
      answer.events.assign(all.begin() + static_cast<std::ptrdiff_t>(earlier), all.end());
      answer.set_aside = found->set_aside();
      newest = line::newest(found->state(), most_history);
    }
    return at;
  });
  if (!newest) return not_found("no line of this id");
  answer.state = std::move(newest->state);
  if (earlier > 0) answer.earlier = static_cast<int>(earlier);
  add_standing(answer, standing);
  return json_reply(200, json::encode(answer));
}

/// In the order of the record, behind a place in it.
Reply Routes::events_of_line(const Asked& asked) const {
  const std::string id(asked.parts.front());
  const Query& query = asked.query;
  constexpr auto whole_record = static_cast<std::size_t>(std::numeric_limits<std::int64_t>::max());
  const auto first = asked_number(query, "first", 500, most_history);
  if (!first) return refusal(422, first.error());
  const auto after =
      query.value("after") == "0" ? Checked<std::size_t>(0) : asked_number(query, "after", 0, whole_record);
  if (!after) return refusal(422, after.error());
  bool here = false, more = false;
  LineEvents answer;
  const Standing standing = watch_.with_line(options_.clock(), id, [&](Ward& ward, const Standing& at) {
    if (const auto* entries = ward.entries(id); entries && asked.asker.sees(entries->state().place.unit)) {
      const auto* all = &entries->events();
      here = true;
      const auto begin = std::upper_bound(all->begin(), all->end(), static_cast<std::int64_t>(*after),
                                          [](std::int64_t place, const line::Event& event) {
                                            return event.receipt && place < event.receipt->sequence;
                                          });
      const auto left = static_cast<std::size_t>(all->end() - begin);
      more = left > *first;
      answer.events.assign(begin, begin + static_cast<std::ptrdiff_t>(std::min(left, *first)));
    }
    return at;
  });
  if (!here) return not_found("no line of this id");
  if (more) answer.next = answer.events.back().receipt->sequence;
  add_standing(answer, standing);
  return json_reply(200, json::encode(answer));
}

template <class Write>
Reply Routes::paper_of_line(const Asked& asked, const char* content_type, const Write& write) const {
  std::optional<line::State> state;
  const std::string id(asked.parts.front());
  const Standing standing = watch_.with_line(options_.clock(), id, [&](Ward& ward, const Standing& at) {
    if (const auto* found = ward.find(id); found && asked.asker.sees(found->place.unit)) state = *found;
    return at;
  });
  if (!state) return not_found("no line of this id");
  const auto reader = reader_of(asked);
  if (!reader) return refusal(422, reader.error());
  const Checked<std::string> written = write(*state, *reader);
  return written ? paper(standing, content_type, *written) : refusal(409, written.error());
}

Reply Routes::note_text(const Asked& asked) const {
  return paper_of_line(
      asked, plain_text, [&](const line::State& state, const said::Reader& reader) -> Checked<std::string> {
        return options_.note_text(document::compose_note(state, options_.local, options_.clock()), reader);
      });
}

Reply Routes::note_pdf(const Asked& asked) const {
  return paper_of_line(asked, pdf, [&](const line::State& state, const said::Reader& reader) -> Checked<std::string> {
    return options_.note_pdf(document::compose_note(state, options_.local, options_.clock()), reader);
  });
}

Reply Routes::label_text(const Asked& asked) const {
  return paper_of_line(asked, plain_text, [&](const line::State& state, const said::Reader& reader) {
    return document::compose_label(state, watch_.in_force()->library.policy, options_.local)
        .map([&](const document::Label& label) { return options_.label_text(label, reader); });
  });
}

Reply Routes::label_pdf(const Asked& asked) const {
  using Sizes = json::Codec<document::LabelSize>;
  const auto asked_size = asked.query.value("size");
  const auto size = asked_size.empty() ? document::LabelSize::usual : Sizes::from_name(asked_size);
  if (!size) return refusal(422, "/size", asked_size, say::one_of_these(json::to_text(Sizes::names())));
  return paper_of_line(asked, pdf, [&](const line::State& state, const said::Reader& reader) {
    return document::compose_label(state, watch_.in_force()->library.policy, options_.local)
        .map([&](const document::Label& label) { return options_.label_pdf(label, *size, reader); });
  });
}

/// All rows of the record up to input.cut; what cannot be counted is to be set aside and named.
Standing Routes::rows_of_the_ward(statistics::LearnInput& input) const {
  input.set_aside_unusable = true;
  return watch_.with_ward(input.cut, [&](Ward& ward, const Standing& at) {
    input.rows = ward.rows(input.cut);
    return at;
  });
}

Reply Routes::learn(const Asked& asked) const {
  statistics::LearnInput input;
  const auto by = asked.query.value("group_by");
  if (!by.empty()) {
    const auto known = json::Codec<statistics::GroupBy>::from_name(by);
    if (!known)
      return refusal(422, "/group_by", by, say::one_of_these(json::to_text(json::Codec<statistics::GroupBy>::names())));
    const bool names = *known == statistics::GroupBy::inserter;
    const auto* person = asked.asker.person();
    if (names && person && person->role != accounts::Role::educator && person->role != accounts::Role::charge_nurse)
      return refusal(403, "/group_by", by, say::grouping_that_names_nobody());
    input.group_by = *known;
  }
  input.cut = options_.clock();
  const Standing standing = rows_of_the_ward(input);
  auto result = statistics::learn(std::move(input));
  if (!result) return refusal(422, result.error());
  Learned answer{std::move(*result), {}, std::nullopt};
  name_no_more_than_fit(answer);
  add_standing(answer, standing);
  return json_reply(200, json::encode(answer));
}

Reply Routes::indicators(const Asked&) const {
  statistics::LearnInput input;
  input.cut = options_.clock();
  const Standing standing = rows_of_the_ward(input);
  auto result = statistics::indicators(std::move(input));
  if (!result) return refusal(422, result.error());
  WardIndicators answer{std::move(*result), {}, std::nullopt};
  name_no_more_than_fit(answer);
  add_standing(answer, standing);
  return json_reply(200, json::encode(answer));
}

Reply Routes::openapi(const Asked&) const {
  static const std::string text = json::to_text(openapi_document());
  Reply reply;
  reply.body = text;
  return reply;
}

Reply Routes::browse(const Asked&) const {
  static const std::string text = browsable(openapi_document());
  Reply reply;
  reply.content_type = "text/html; charset=utf-8";
  reply.body = text;
  return reply;
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

#include "server/head.h"

#include <algorithm>
#include <boost/beast/core/string.hpp>
#include <boost/url/parse.hpp>
#include <cctype>

#include "server/replies.h"
#include "text/code_points.h"

namespace dwell::server {
namespace {

namespace http = boost::beast::http;
namespace urls = boost::urls;
using boost::beast::iequals;

constexpr unsigned http_1_1 = 11;  // the other that the reader under us takes is 10

std::string value_of(const Head& head, http::field name) {
  const auto found = head.find(name);
  return found == head.end() ? std::string() : std::string(found->value());
}

std::string lower(std::string name) {
  std::transform(name.begin(), name.end(), name.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return name;
}

Reply bad(std::string where, std::string found, std::string expected) {
  return refusal(400, std::move(where), std::move(found), std::move(expected));
}

/// RFC 9112, section 3.2: one Host, and none only in HTTP/1.0. The others would be read in two ways.
std::optional<Reply> refuse_what_is_said_twice(const Head& head) {
  for (const auto name : {http::field::host, http::field::origin, http::field::content_length,
                          http::field::transfer_encoding, http::field::content_type, http::field::expect})
    if (head.count(name) > 1) return bad("/" + lower(http::to_string(name)), "two of them", "one");
  if (head.version() == http_1_1 && head.count(http::field::host) == 0)
    return bad("/host", "", "the host that is asked");
  return std::nullopt;
}

/// RFC 9112, sections 6.1 to 6.3: where the body ends must be certain.
std::optional<Reply> refuse_unclear_body(const Head& head) {
  const bool coded = head.count(http::field::transfer_encoding) > 0;
  const std::string coding = value_of(head, http::field::transfer_encoding);
  if (coded && head.count(http::field::content_length) > 0)
    return bad("/content-length", "beside Transfer-Encoding", "one of the two");
  if (coded && head.version() != http_1_1) return bad("/transfer-encoding", coding, "none in HTTP/1.0");
  if (coded && !iequals(coding, "chunked")) return bad("/transfer-encoding", coding, "chunked");
  const std::string length = value_of(head, http::field::content_length);
  if (!std::all_of(length.begin(), length.end(), [](unsigned char c) { return std::isdigit(c) != 0; }))
    return bad("/content-length", length, "one number");
  return std::nullopt;
}

/// RFC 9112, section 3.2: origin-form, or absolute-form of this scheme and without a name before the host.
std::optional<Reply> refuse_target(std::string_view target, bool secure) {
  const urls::string_view given(target.data(), target.size());
  const bool origin_form = target.starts_with('/') && urls::parse_origin_form(given).has_value();
  const auto absolute = urls::parse_absolute_uri(given);
  const bool absolute_form = absolute.has_value() &&
                             absolute->scheme_id() == (secure ? urls::scheme::https : urls::scheme::http) &&
                             !absolute->has_userinfo() && !absolute->encoded_host().empty();
  if (!origin_form && !absolute_form)
    return bad("/target", std::string(target.substr(0, 80)), "a path, such as /api/ward");
  // An engine of the record takes no other: asked of it, they would look like a record that is away.
  const auto spelled = text::code_points(url_decoded(std::string(target)));
  if (!spelled || std::find(spelled->begin(), spelled->end(), U'\0') != spelled->end())
    return bad("/target", "bytes that spell no text", "text in UTF-8, without NUL");
  return std::nullopt;
}

}  // namespace

std::optional<Reply> refuse_head(const Head& head, bool secure) {
  if (auto refused = refuse_what_is_said_twice(head)) return refused;
  if (auto refused = refuse_unclear_body(head)) return refused;
  const std::string expected = value_of(head, http::field::expect);
  if (!expected.empty() && !iequals(expected, "100-continue"))
    return refusal(417, "/expect", expected, "100-continue or nothing");
  return refuse_target(std::string_view(head.target().data(), head.target().size()), secure);
}

Request request_of(const Head& head) {
  Request out;
  out.method = std::string(head.method_string());
  for (const auto& field : head) out.headers[lower(std::string(field.name_string()))] = std::string(field.value());
  out.target = std::string(head.target());
  if (out.target.starts_with('/')) return out;
  const auto uri = urls::parse_absolute_uri(out.target);
  out.headers["host"] = std::string(uri->encoded_host_and_port());
  const std::string path(uri->encoded_path());
  const std::string query = uri->has_query() ? "?" + std::string(uri->encoded_query()) : std::string();
  out.target = (path.empty() ? "/" : path) + query;
  return out;
}

bool expects_to_be_told(const Head& head) {
  return head.version() == http_1_1 && iequals(value_of(head, http::field::expect), "100-continue");
}

}  // namespace dwell::server

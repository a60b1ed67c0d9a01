#include "server/wire.h"

#include <boost/beast/http/error.hpp>

#include "server/compress.h"
#include "server/replies.h"
#include "server/routes.h"

namespace dwell::server {
namespace {

namespace beast = boost::beast;
namespace http = boost::beast::http;

/// The page's files come compressed already, and pictures do not shrink.
bool worth_compressing(const Reply& reply, std::string_view body) {
  constexpr std::size_t one_packet = 1400;
  const bool words = reply.content_type.starts_with("application/json") || reply.content_type.starts_with("text/");
  return words && body.size() > one_packet && !reply.headers.contains("Content-Encoding");
}

bool accepts_gzip(const Request& request) {
  const auto found = request.headers.find("accept-encoding");
  return found != request.headers.end() && found->second.find("gzip") != std::string::npos;
}

}  // namespace

Response wire(const Reply& reply, const Request& request, unsigned version, bool keep_alive) {
  Response out{static_cast<http::status>(reply.status), version};
  for (const auto& [name, value] : Routes::common_headers(request.secure)) out.set(name, value);
  if (!request.id.empty()) out.set("X-Request-Id", request.id);
  out.set(http::field::content_type, reply.content_type);
  if (!reply.headers.contains("Cache-Control")) out.set(http::field::cache_control, "no-store");
  for (const auto& [name, value] : reply.headers) out.set(name, value);
  out.keep_alive(keep_alive);
  std::string body(reply.made           ? std::string_view(reply.made->body)
                   : reply.body.empty() ? reply.fixed_body
                                        : std::string_view(reply.body));
  if (worth_compressing(reply, body) && accepts_gzip(request)) {
    body = reply.made ? reply.made->gzipped : gzip(body);
    out.set(http::field::content_encoding, "gzip");
    out.set(http::field::vary, "Accept-Encoding");
  }
  out.content_length(reply.status == 304 ? 0 : body.size());
  if (request.method != "HEAD") out.body() = std::move(body);
  return out;
}

Reply fault_reply(const beast::error_code& failure) {
  if (failure == http::error::body_limit) return refusal(413, "", failure.message(), "a shorter body");
  if (failure == http::error::header_limit) return refusal(431, "", failure.message(), "headers of at most 16 kB");
  return refusal(400, "", failure.message(), "a request that can be read");
}

}  // namespace dwell::server

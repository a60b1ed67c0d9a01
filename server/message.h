#pragma once
// A request and its reply, without any socket.
#include <cstdint>
#include <map>
#include <memory>
#include <string>
#include <string_view>

#include "server/prepared.h"

namespace dwell::server {

struct Request {
  std::string method;
  std::string target;                          ///< path and query: "/api/lines/…?x=y"
  std::map<std::string, std::string> headers;  ///< names in lower case
  std::string body;
  bool secure = false;     ///< it came over TLS
  bool from_here = false;  ///< its connection comes from this machine itself
  std::string id;          ///< stands in the answer and in the log, so that one leads to the other
};

struct Reply {
  unsigned status = 200;
  std::string content_type = "application/json; charset=utf-8";
  std::string body;
  std::string_view fixed_body;                 ///< a page file; used when body is empty
  std::map<std::string, std::string> headers;  ///< beside those that every reply carries
  std::shared_ptr<const Made> made;            ///< an answer that others are given as well; body is empty then
  bool changed = false;                        ///< the record may have changed: it is looked at soon
};

/// A header as sent, or empty.
[[nodiscard]] std::string header(const Request& request, const std::string& name);

}  // namespace dwell::server

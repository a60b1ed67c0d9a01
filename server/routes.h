#pragma once
// What the server answers, without any socket: a request in, a reply out. The live stream alone is handled by the
// session.
#include <map>
#include <string>
#include <string_view>

#include "server/server.h"
#include "server/ward.h"

namespace dwell::server {

struct Request {
  std::string method;
  std::string target;                          ///< as sent: "/api/lines/…?x=y"
  std::map<std::string, std::string> headers;  ///< names in lower case
  std::string body;
};

struct Reply {
  unsigned status = 200;
  std::string content_type = "application/json; charset=utf-8";
  std::string body;
  std::string_view fixed_body;                 ///< a page file; used when body is empty
  std::map<std::string, std::string> headers;  ///< beside those that every reply carries
  std::vector<std::string> changed_lines;      ///< to be told to the live listeners
};

class Routes {
 public:
  Routes(const Options& options, Ward& ward);

  [[nodiscard]] Reply answer(const Request& request);
  /// The pattern of a target, for the log: no ids, no names.
  [[nodiscard]] static std::string pattern(std::string_view target);
  /// Headers that every reply carries.
  [[nodiscard]] static const std::map<std::string, std::string>& common_headers();
  [[nodiscard]] static bool is_live(const Request& request);
  /// Nothing, or the refusal of a request from elsewhere (rebinding, other origins).
  [[nodiscard]] static std::optional<Reply> guard(const Request& request);

 private:
  Reply about() const;
  Reply engine_list() const;
  Reply engine_call(std::string_view name, const std::string& body) const;
  Reply ward() const;
  Reply append(const std::string& body);
  Reply line(std::string_view rest) const;
  Reply learn(std::string_view query) const;
  Reply page(const Request& request, std::string_view path) const;

  const Options& options_;
  Ward& ward_;
  std::string library_json_;
};

}  // namespace dwell::server

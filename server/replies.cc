#include "server/replies.h"

#include <algorithm>
#include <boost/url/pct_string_view.hpp>

namespace dwell::server {

Reply json_reply(unsigned status, const json::Value& value) {
  Reply reply;
  reply.status = status;
  reply.body = json::to_text(value);
  return reply;
}

Reply refusal(unsigned status, const FieldErrors& errors) {
  return json_reply(status, json::Object{{"ok", false}, {"errors", json::encode(errors)}});
}

Reply refusal(unsigned status, std::string path, std::string found, std::string expected) {
  return refusal(status, FieldErrors{{std::move(path), std::move(found), std::move(expected)}});
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

std::string url_decoded(const std::string& text) {
  const auto view = boost::urls::make_pct_string_view(boost::urls::string_view(text.data(), text.size()));
  boost::urls::encoding_opts options;
  options.space_as_plus = true;
  return view ? view->decode(options) : std::string();
}

}  // namespace dwell::server

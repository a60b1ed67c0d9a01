#include "server/replies.h"

#include <algorithm>
#include <boost/json/serializer.hpp>
#include <boost/url/parse.hpp>
#include <boost/url/pct_string_view.hpp>
#include <charconv>
#include <optional>

#include "json/told_errors.h"
#include "quantity/figure.h"
#include "say/record.h"
#include "server/answers.h"

namespace dwell::server {
namespace {

/// Nothing when it would be longer than an answer may be; the rest of it is then not written.
std::optional<std::string> text_of(const json::Value& value) {
  constexpr std::size_t piece = 64 * 1024;
  std::string text;
  boost::json::serializer writer;
  writer.reset(&value);
  while (!writer.done()) {
    if (text.size() > longest_answer) return std::nullopt;
    const std::size_t before = text.size();
    text.resize(before + piece);
    text.resize(before + writer.read(text.data() + before, piece).size());
  }
  return text;
}

}  // namespace

std::string header(const Request& request, const std::string& name) {
  const auto found = request.headers.find(name);
  return found == request.headers.end() ? std::string() : found->second;
}

Reply json_reply(unsigned status, const json::Value& value) {
  auto text = text_of(value);
  if (!text) return refusal(413, "", "> 16 MB", say::to_be_asked_for_less());
  Reply reply;
  reply.status = status;
  reply.body = std::move(*text);
  return reply;
}

Reply refusal(unsigned status, const FieldErrors& errors) {
  return json_reply(status, json::encode(Refusal{false, json::told(errors)}));
}

Reply refusal(unsigned status, std::string path, std::string found, Message expected) {
  return refusal(status, FieldErrors{{std::move(path), std::move(found), std::move(expected)}});
}

Reply refusal(unsigned status, std::string path, std::string found, std::string expected) {
  return refusal(status, std::move(path), std::move(found), in_english_only(std::move(expected)));
}

Reply try_again(std::string path, std::string found, Message expected) {
  Reply reply = refusal(503, std::move(path), std::move(found), std::move(expected));
  reply.headers["Retry-After"] = "5";
  return reply;
}

Query::Query(std::string_view target) {
  const auto url = boost::urls::parse_origin_form(boost::urls::string_view(target.data(), target.size()));
  if (!url) return;
  boost::urls::encoding_opts options;
  options.space_as_plus = true;
  for (const auto& asked : url->encoded_params())
    asked_.emplace_back(asked.key.decode(options), asked.value.decode(options));
}

std::string Query::value(std::string_view name) const {
  const auto found = std::find_if(asked_.begin(), asked_.end(), [&](const auto& asked) { return asked.first == name; });
  return found == asked_.end() ? std::string() : found->second;
}

bool Query::has(std::string_view name) const {
  return std::any_of(asked_.begin(), asked_.end(), [&](const auto& asked) { return asked.first == name; });
}

std::string url_decoded(const std::string& text) {
  const auto view = boost::urls::make_pct_string_view(boost::urls::string_view(text.data(), text.size()));
  boost::urls::encoding_opts options;
  options.space_as_plus = true;
  return view ? view->decode(options) : std::string();
}

Checked<std::size_t> asked_number(const Query& query, const char* name, std::size_t usual, std::size_t most) {
  const std::string asked = query.value(name);
  if (asked.empty()) return usual;
  std::size_t number = 0;
  const auto end = asked.data() + asked.size();
  const auto [read_to, failure] = std::from_chars(asked.data(), end, number);
  if (failure != std::errc() || read_to != end || number < 1 || number > most)
    return refuse(std::string("/") + name, asked, in_english_only("a number from 1 to " + std::to_string(most)));
  return number;
}

}  // namespace dwell::server

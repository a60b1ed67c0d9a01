// A web address that carries identifiers: https://host/any/path/01/09506000134352/10/LOT?17=270228. It is read, never
// fetched: a bedside device must not call an address that came in on a label.
#include <algorithm>
#include <boost/url/parse.hpp>
#include <boost/url/url_view.hpp>
#include <optional>

#include "say/supply.h"
#include "supply/identifiers.h"
#include "supply/pack_text.h"

namespace dwell::supply {
namespace {

std::vector<std::string> split(std::string_view text, char at) {
  std::vector<std::string> parts;
  while (!text.empty()) {
    const auto end = std::min(text.find(at), text.size());
    parts.emplace_back(text.substr(0, end));
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return parts;
}

/// Whether `found` is a part of one of the alternatives, in its order.
bool in_order(const std::vector<std::string>& found, std::string_view alternatives) {
  if (found.empty()) return true;
  for (const auto& alternative : split(alternatives, '|')) {
    std::size_t matched = 0;
    for (const auto& allowed : split(alternative, ' '))
      if (matched < found.size() && found[matched] == allowed) ++matched;
    if (matched == found.size()) return true;
  }
  return false;
}

bool all_digits(std::string_view text) { return !text.empty() && text.find_first_not_of("0123456789") == text.npos; }

/// The place of the first identifier: from the end, in steps of two, so that a value is never taken for an identifier.
std::optional<std::size_t> find_key(const std::vector<std::string>& path) {
  std::optional<std::size_t> key;
  for (std::size_t at = path.size(); at >= 2; at -= 2) {
    const auto* identifier = identifier_named(path[at - 2]);
    if (!identifier) break;
    if (identifier->opens_link) key = at - 2;
  }
  return key;
}

void read_path(const std::vector<std::string>& path, std::size_t key, RawPack& pack) {
  std::vector<std::string> qualifiers;
  for (std::size_t at = key; at + 1 < path.size(); at += 2) {
    pack.elements.push_back({path[at], path[at + 1]});
    if (at > key) qualifiers.push_back(path[at]);
  }
  const auto& allowed = identifier_named(path[key])->link_qualifiers;
  if (in_order(qualifiers, allowed)) return;
  std::string found;
  for (const auto& qualifier : qualifiers) found += "/" + qualifier;
  pack.errors.push_back(
      {"/" + path[key], found,
       allowed.empty() ? say::nothing_after("/" + path[key]) : say::in_this_order(std::string(allowed))});
}

void read_query(const boost::urls::url_view& address, std::string_view key_qualifiers, RawPack& pack) {
  for (const auto param : address.params()) {
    const std::string key(param.key), value(param.value);
    if (!all_digits(key)) continue;  // keys that are not numbers belong to the web site
    if (!identifier_named(key)) {
      pack.errors.push_back({"", printable(key), say::a_known_identifier()});
      continue;
    }
    bool qualifies = false;
    for (const auto& alternative : split(key_qualifiers, '|'))
      for (const auto& qualifier : split(alternative, ' ')) qualifies = qualifies || qualifier == key;
    if (qualifies) {
      std::string found = "?";
      found.append(key).append("=").append(value);
      pack.errors.push_back({"/" + key, printable(found), say::in_the_path()});
    }
    pack.elements.push_back({key, value});
  }
}

}  // namespace

RawPack split_digital_link(std::string_view address) {
  RawPack pack;
  const auto refused = [&](Message expected) {
    pack.errors.push_back({"", printable(address.substr(0, 60)), std::move(expected)});
    return pack;
  };
  // The part behind # says nothing about the pack; and Boost.URL 1.81 asserts when it follows an empty query.
  address = address.substr(0, address.find('#'));
  const auto parsed = boost::urls::parse_uri(boost::urls::string_view(address.data(), address.size()));
  if (!parsed) return refused(say::a_web_address());
  const boost::urls::url_view& link = *parsed;
  std::vector<std::string> path;
  for (const auto segment : link.segments()) path.emplace_back(segment);
  if (!path.empty() && path.back().empty()) path.pop_back();  // a slash at the end
  const auto key = find_key(path);
  if (!key) return refused(say::an_address_of_an_item());
  read_path(path, *key, pack);
  if (!link.encoded_query().empty()) read_query(link, identifier_named(path[*key])->link_qualifiers, pack);
  return pack;
}

}  // namespace dwell::supply

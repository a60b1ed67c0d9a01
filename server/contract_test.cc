// The table of routes, and the documents that are made of it.
#include "server/contract.h"

#include <gtest/gtest.h>

#include <set>

#include "engine/engine.h"
#include "server/routes.h"

namespace dwell::server {
namespace {

Request request(std::string method, std::string target) {
  Request asked;
  asked.method = std::move(method);
  asked.target = std::move(target);
  return asked;
}

TEST(RouteTable, EveryRowIsFoundByItsOwnPattern) {
  for (const auto& route : Routes::table()) {
    const auto asked = request(std::string(route.method), std::string(route.pattern) + "?x=1");
    EXPECT_EQ(Routes::pattern(asked), route.pattern);
    EXPECT_EQ(Routes::way(asked), route.way) << route.pattern;
    EXPECT_EQ(Routes::most_body(asked), route.most_body) << route.pattern;
  }
}

TEST(RouteTable, TheLogNamesNobody) {
  EXPECT_EQ(Routes::pattern(request("GET", "/api/lines/0190a6b2?x=Berg")), "/api/lines/{line}");
  EXPECT_EQ(Routes::pattern(request("GET", "/api/lines/0190a6b2/note.pdf")), "/api/lines/{line}/note.pdf");
  EXPECT_EQ(Routes::pattern(request("GET", "/api/lines/0190a6b2/Berg")), "/api/…");
  EXPECT_EQ(Routes::pattern(request("GET", "/api/lines/")), "/api/…") << "a part is never empty";
  EXPECT_EQ(Routes::pattern(request("GET", "/Berg")), "page");
}

TEST(RouteTable, ADocumentIsLongWorkAndALineIsNot) {
  EXPECT_EQ(Routes::way(request("GET", "/api/lines/x/label.pdf")), Way::computing);
  EXPECT_EQ(Routes::way(request("GET", "/api/lines/x")), Way::looking);
  EXPECT_EQ(Routes::way(request("HEAD", "/api/lines/x")), Way::looking);
}

TEST(RouteTable, WhatIsTakenInIsBoundedByItsMethod) {
  EXPECT_LT(Routes::most_body(request("GET", "/api/policy")), Routes::most_body(request("POST", "/api/policy")));
}

TEST(Contract, EveryReferenceLeadsToADefinition) {
  const auto document = schema_document();
  const auto& definitions = document.at("$defs").as_object();
  const std::string text = json::to_text(document);
  constexpr std::string_view mark = "\"$ref\":\"#/$defs/";
  for (auto at = text.find(mark); at != std::string::npos; at = text.find(mark, at + 1)) {
    const auto begin = at + mark.size();
    const auto name = text.substr(begin, text.find('"', begin) - begin);
    EXPECT_TRUE(definitions.contains(name)) << name;
  }
}

TEST(Contract, HasEveryFunctionAndEveryKindOfEvent) {
  const auto document = schema_document();
  const auto& functions = document.at("$defs").at("Functions").at("properties").as_object();
  EXPECT_EQ(functions.size(), engine::functions().size());
  const auto& kinds = document.at("$defs").at("line.Event").at("properties").at("body").at("oneOf").as_array();
  EXPECT_EQ(kinds.size(), std::variant_size_v<line::Body>);
}

/// The converter to the page's types leaves the dots out: then, too, no two are called alike.
TEST(Contract, NoTwoTypesAreCalledAlikeOnThePage) {
  std::set<std::string> names;
  const auto document = schema_document();
  for (const auto& member : document.at("$defs").as_object()) {
    std::string name;
    bool capital = true;
    for (const char c : member.key()) {
      if (c != '.') name += capital && c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
      capital = c == '.';
    }
    EXPECT_TRUE(names.insert(name).second) << name;
  }
}

TEST(Contract, TheOpenApiDocumentHasEveryRow) {
  const auto document = openapi_document();
  EXPECT_EQ(document.at("openapi"), "3.1.0");
  const auto& paths = document.at("paths").as_object();
  for (const auto& route : Routes::table()) {
    if (route.pattern.find("{function}") != std::string_view::npos) continue;
    ASSERT_TRUE(paths.contains(route.pattern)) << route.pattern;
    const auto& path = paths.at(route.pattern).as_object();
    EXPECT_TRUE(path.contains(route.method == "GET" ? "get" : "post")) << route.pattern;
  }
  EXPECT_TRUE(paths.contains("/api/engine/dosing.rate"));
  EXPECT_EQ(json::to_text(document).find("#/$defs/"), std::string::npos);
}

TEST(Contract, ThePageForPeopleHoldsNoScriptAndLeadsNowhereElse) {
  const auto page = browsable(openapi_document());
  EXPECT_NE(page.find("/api/lines/{line}"), std::string::npos);
  EXPECT_EQ(page.find("<script"), std::string::npos);
  EXPECT_EQ(page.find("http"), std::string::npos);
}

}  // namespace
}  // namespace dwell::server

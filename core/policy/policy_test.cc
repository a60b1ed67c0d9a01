#include <gtest/gtest.h>

#include <functional>

#include "exchange/library.h"
#include "json/codec.h"

namespace dwell::policy {
namespace {

const Policy& standard() { return exchange::default_library().policy; }

bool names(const FieldErrors& errors, const std::string& path) {
  return std::any_of(errors.begin(), errors.end(), [&](const FieldError& e) { return e.path == path; });
}

TEST(PolicyCheck, TheDefaultIsGood) { EXPECT_TRUE(check(standard()).empty()); }

TEST(PolicyCheck, NoPolicyPressesForLessThanThirtySeconds) {
  Policy p = standard();
  p.remove.pressure.value = Interval{20};
  EXPECT_TRUE(names(check(p), "/remove/pressure"));
}

TEST(PolicyCheck, AllFaultsAtOnce) {
  Policy p = standard();
  p.infusate.highest_osmolarity.value = 100.0 * milliosmole_per_litre;
  p.watch.site_check.erase(SiteCheckClass::vesicant);
  p.responses.erase("catheter_fragment");
  p.order.older_age.source.clear();
  p.scales.front().grades[1].grade = 0;
  const auto errors = check(p);
  for (const char* path : {"/infusate/highest_osmolarity", "/watch/site_check/vesicant", "/responses/catheter_fragment",
                           "/order/older_age/source", "/scales/0/grades/1/grade"})
    EXPECT_TRUE(names(errors, path)) << path;
}

TEST(PolicyMarks, WhatTheSourceTextCallsFromMemoryOrWeakIsMarkedSo) {
  // Walks every figure of the default policy in its JSON form.
  const std::function<void(const json::Value&, const std::string&)> walk = [&](const json::Value& v,
                                                                               const std::string& path) {
    if (const auto* object = v.if_object()) {
      if (object->contains("source") && object->contains("mark") && object->contains("value")) {
        const std::string source(object->at("source").as_string());
        const std::string mark(object->at("mark").as_string());
        if (mark == "read") {
          EXPECT_EQ(source.find("(value from memory)"), std::string::npos) << path;
        }
        EXPECT_FALSE(source.empty()) << path;
      }
      for (const auto& member : *object) walk(member.value(), path + "/" + std::string(member.key()));
    } else if (v.is_array()) {
      for (const auto& item : v.as_array()) walk(item, path + "/…");
    }
  };
  walk(json::encode(standard()), "");
}

}  // namespace
}  // namespace dwell::policy

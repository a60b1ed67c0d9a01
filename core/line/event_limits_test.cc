// The range of every value in an entry: what stands at its end is taken, what lies just beyond is refused by its name.
#include <gtest/gtest.h>

#include "line/test_events.h"

namespace dwell::line {
namespace {

using std::chrono::hours;
using std::chrono::milliseconds;
using std::chrono::minutes;

constexpr double beyond = 1 + 1e-6, within = 1 - 1e-6;

template <class Fact>
Event entry(Fact fact) {
  return test::History{}.at(minutes{0}, std::move(fact)).events.front();
}

bool refuses(const Event& event, std::string_view path, Instant now = test::start) {
  const auto errors = check(event, now);
  return std::any_of(errors.begin(), errors.end(), [&](const FieldError& error) { return error.path == path; });
}

template <class Value, class Ask>
void expect_range(Value low, Value high, Value below, Value above, std::string_view path, Ask ask) {
  EXPECT_FALSE(refuses(ask(low), path)) << path;
  EXPECT_FALSE(refuses(ask(high), path)) << path;
  EXPECT_TRUE(refuses(ask(below), path)) << path;
  EXPECT_TRUE(refuses(ask(above), path)) << path;
}

TEST(EventLimits, WhatACatheterABagAndABodyCanBe) {
  expect_range(Length::from_value(1e-9), 1.0 * metre, Length::from_value(-1e-9), metre * beyond, "/body/length",
               [](Length length) {
                 auto placed = test::placed();
                 placed.length = length;
                 return entry(placed);
               });
  expect_range(Volume::from_value(1e-12), 20.0 * litre, Volume::from_value(-1e-12), 20.0 * litre * beyond,
               "/body/mixture/volume", [](Volume volume) {
                 auto started = test::infusion();
                 started.mixture.volume = volume;
                 return entry(started);
               });
  expect_range(Flow(), Flow(60.0 * litre / hour), Flow::from_value(-1e-12), Flow(60.0 * litre / hour * beyond),
               "/body/flow", [](Flow flow) {
                 auto started = test::infusion();
                 started.flow = flow;
                 return entry(started);
               });
  expect_range(DropFactor(5.0 * drop / millilitre), DropFactor(100.0 * drop / millilitre),
               DropFactor(5.0 * drop / millilitre * within), DropFactor(100.0 * drop / millilitre * beyond),
               "/body/drop_factor", [](DropFactor factor) {
                 auto started = test::infusion();
                 started.drop_factor = factor;
                 return entry(started);
               });
  expect_range(BodyWeight(0.2 * kilogram), BodyWeight(650.0 * kilogram), BodyWeight(0.2 * kilogram * within),
               BodyWeight(650.0 * kilogram * beyond), "/body/patient/weight", [](BodyWeight weight) {
                 auto opened = test::opened();
                 opened.patient.weight = weight;
                 return entry(opened);
               });
  expect_range(Duration(), Duration(366.0 * day), Duration::from_value(-1e-6), Duration(366.0 * day * beyond),
               "/body/order/duration", [](Duration duration) {
                 Ordered ordered;
                 ordered.order.mixture = test::infusion().mixture;
                 ordered.order.duration = duration;
                 return entry(ordered);
               });
  expect_range(DropRate(), DropRate(1000.0 * drop / minute), DropRate::from_value(-1e-9),
               DropRate(1000.0 * drop / minute * beyond), "/body/drop_rate", [](DropRate rate) {
                 DripCounted counted;
                 counted.drop_rate = rate;
                 return entry(counted);
               });
}

TEST(EventLimits, GaugesScoresAndGrades) {
  expect_range(10, 30, 9, 31, "/body/gauge", [](int gauge) {
    auto placed = test::placed();
    placed.gauge = Gauge{gauge};
    return entry(placed);
  });
  expect_range(0, 10, -1, 11, "/body/signs/pain_score", [](int score) {
    auto look = test::checked(0);
    look.signs.pain_score = score;
    return entry(look);
  });
  expect_range(0, 10, -1, 11, "/body/grades/0/grade", [](int grade) {
    auto look = test::checked(0);
    look.grades.front().grade = grade;
    return entry(look);
  });
  auto look = test::checked(0);
  look.grades.front().unmatched = true;
  EXPECT_TRUE(refuses(entry(look), "/body/grades/0/unmatched"));
  look.grades.front().grade.reset();
  EXPECT_FALSE(refuses(entry(look), "/body/grades/0/unmatched"));
}

TEST(EventLimits, TimesAndDates) {
  expect_range(Interval{0}, Interval{366 * 86400}, Interval{-1}, Interval{366 * 86400 + 1}, "/body/dried_for",
               [](Interval dried) {
                 auto placed = test::placed();
                 placed.dried_for = dried;
                 return entry(placed);
               });
  expect_range(Date{std::chrono::year{1900} / 1 / 1}, Date{std::chrono::year{2199} / 12 / 31},
               Date{std::chrono::year{1899} / 12 / 31}, Date{std::chrono::year{2200} / 1 / 1}, "/body/expiry",
               [](Date expiry) {
                 return entry(SupplyUsed{"catheter", {}, {}, expiry, {}});
               });
  EXPECT_TRUE(
      refuses(entry(SupplyUsed{"catheter", {}, {}, Date{std::chrono::year{2025} / 2 / 29}, {}}), "/body/expiry"));
  expect_range(*parse_instant("2000-01-01T00:00:00Z"), *parse_instant("2200-01-01T00:00:00Z"),
               *parse_instant("2000-01-01T00:00:00Z") - milliseconds{1},
               *parse_instant("2200-01-01T00:00:00Z") + milliseconds{1}, "/body/until", [](Instant until) {
                 auto event = entry(PutOff{care::Task::flush, until, "asleep"});
                 event.occurred_at = until - minutes{1};
                 return event;
               });
}

TEST(EventLimits, ATaskWaitsForADayAtMost) {
  expect_range(test::start + milliseconds{1}, test::start + hours{24}, test::start,
               test::start + hours{24} + milliseconds{1}, "/body/until", [](Instant until) {
                 return entry(PutOff{care::Task::flush, until, "asleep"});
               });
}

TEST(EventLimits, WhenItHappenedAndWasWritten) {
  for (const auto& [member, path] :
       {std::pair(&Event::occurred_at, "/occurred_at"), std::pair(&Event::recorded_at, "/recorded_at")}) {
    auto event = entry(test::placed());
    event.*member = *parse_instant("2000-01-01T00:00:00Z");
    EXPECT_FALSE(refuses(event, path));
    event.*member -= milliseconds{1};
    EXPECT_TRUE(refuses(event, path));
    event.*member = test::start + minutes{5};
    EXPECT_FALSE(refuses(event, path));
    event.*member += milliseconds{1};
    EXPECT_TRUE(refuses(event, path));
  }
}

TEST(EventLimits, EditionsOfTheRecord) {
  expect_range(1, schema_version, 0, schema_version + 1, "/schema", [](int schema) {
    auto event = entry(test::placed());
    event.schema = schema;
    return event;
  });
}

TEST(EventLimits, NothingAndSomething) {
  auto placed = test::placed();
  placed.length = Length();
  EXPECT_TRUE(refuses(entry(placed), "/body/length"));
  auto started = test::infusion();
  started.mixture.volume = Volume();
  EXPECT_TRUE(refuses(entry(started), "/body/mixture/volume"));
  started = test::infusion();
  started.mixture.base.clear();
  EXPECT_TRUE(refuses(entry(started), "/body/mixture/base"));
  EXPECT_FALSE(refuses(entry(test::infusion()), "/body/mixture/base"));
  EXPECT_TRUE(refuses(entry(Refused{}), "/body/what"));
  EXPECT_TRUE(refuses(entry(HandedOver{}), "/body/to"));
  EXPECT_TRUE(refuses(entry(RetentionHeld{}), "/body/reason"));
  auto event = entry(test::placed());
  event.author.clear();
  EXPECT_TRUE(refuses(event, "/author"));
  event = entry(test::placed());
  event.receipt.emplace();
  EXPECT_TRUE(refuses(event, "/receipt"));
}

TEST(EventLimits, WhatIsCorrectedIsAnotherEntry) {
  auto event = entry(test::placed());
  EXPECT_FALSE(refuses(event, "/corrects"));
  event.corrects = test::id(7);
  EXPECT_FALSE(refuses(event, "/corrects"));
  event.corrects = event.id;
  EXPECT_TRUE(refuses(event, "/corrects"));
  event.corrects = "7";
  EXPECT_TRUE(refuses(event, "/corrects"));
  auto placed = test::placed();
  placed.stands_in_for = "7";
  EXPECT_TRUE(refuses(entry(placed), "/body/stands_in_for"));
  placed.stands_in_for = std::string(test::line_id);
  EXPECT_FALSE(refuses(entry(placed), "/body/stands_in_for"));
}

TEST(EventLimits, APhotographsSizeAndHash) {
  const auto photo = [](std::int64_t bytes, std::size_t digits) {
    Photographed fact{std::string(digits, 'a'), "image/png", 1000, ""};
    fact.bytes = static_cast<decltype(fact.bytes)>(bytes);
    return entry(fact);
  };
  expect_range<std::int64_t>(1, 8 * 1024 * 1024, 0, 8 * 1024 * 1024 + 1, "/body/bytes",
                             [&](std::int64_t bytes) { return photo(bytes, 64); });
  EXPECT_FALSE(refuses(photo(1, 64), "/body/hash"));
  EXPECT_TRUE(refuses(photo(1, 63), "/body/hash"));
  EXPECT_TRUE(refuses(photo(1, 65), "/body/hash"));
  for (const char* type : {"image/jpeg", "image/png", "image/webp"})
    EXPECT_FALSE(refuses(entry(Photographed{std::string(64, '0'), type, 1, ""}), "/body/media_type"));
  EXPECT_TRUE(refuses(entry(Photographed{std::string(64, '0'), "image/gif", 1, ""}), "/body/media_type"));
}

TEST(EventLimits, ACountLiesBetweenItsBounds) {
  const auto counted = [](double low, double flow, double high) {
    DripCounted fact;
    fact.flow_low = low * millilitre / hour;
    fact.flow = flow * millilitre / hour;
    fact.flow_high = high * millilitre / hour;
    return refuses(entry(fact), "/body/flow");
  };
  EXPECT_FALSE(counted(100, 100, 120));
  EXPECT_FALSE(counted(100, 120, 120));
  EXPECT_TRUE(counted(100, 99.9, 120));
  EXPECT_TRUE(counted(100, 120.1, 120));
}

TEST(EventLimits, AnIdHoldsItsMomentAndItsVersion) {
  // RFC 9562, section 5.7: 48 bits of milliseconds, version 7, variant 10.
  const std::array<std::uint8_t, 10> random{0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff};
  EXPECT_EQ(make_id(Instant{milliseconds{0x0123456789ab}}, random), "01234567-89ab-7fff-bfff-ffffffffffff");
  EXPECT_EQ(make_id(Instant{milliseconds{0x0123456789ab}}, {}), "01234567-89ab-7000-8000-000000000000");
  EXPECT_EQ(
      make_id(Instant{milliseconds{0x0123456789ab}}, {0xa1, 0xb2, 0xc3, 0xd4, 0xe5, 0xf6, 0x07, 0x18, 0x29, 0x3a}),
      "01234567-89ab-71b2-83d4-e5f60718293a");
}

TEST(EventLimits, WhatPutsACatheterIn) {
  Attempted attempt;
  attempt.outcome = AttemptOutcome::placed;
  EXPECT_TRUE(puts_catheter_in(attempt));
  attempt.outcome = AttemptOutcome::arterial;
  EXPECT_FALSE(puts_catheter_in(attempt));
  EXPECT_TRUE(puts_catheter_in(test::placed()));
  EXPECT_FALSE(puts_catheter_in(test::infusion()));
  EXPECT_TRUE(needs_catheter(test::removed()));
  EXPECT_TRUE(needs_catheter(test::infusion()));
  EXPECT_FALSE(needs_catheter(test::opened()));
}

}  // namespace
}  // namespace dwell::line

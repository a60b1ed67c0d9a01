#include "line/event.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <set>

#include "line/test_events.h"

namespace dwell::line {
namespace {

using std::chrono::minutes;

Event good_event() { return test::History{}.at(minutes{0}, test::placed()).events.front(); }

std::vector<std::string> wrong_paths(const Event& event) {
  std::vector<std::string> paths;
  for (const auto& error : check(event, test::after(minutes{1}))) paths.push_back(error.path);
  std::sort(paths.begin(), paths.end());
  return paths;
}

TEST(EventId, HoldsItsMomentAndNothingElse) {
  EXPECT_LT(make_id(test::start, {255, 255, 255, 255, 255, 255, 255, 255, 255, 255}),
            make_id(test::start + std::chrono::milliseconds{1}, {}));
}

RC_GTEST_PROP(EventId, EveryMadeIdIsAnId, (const std::array<std::uint8_t, 10>& random)) {
  RC_ASSERT(is_id(make_id(test::any_moment(), random)));
}

TEST(EventId, RefusesWhatIsNotOne) {
  const std::string good = test::id(1);
  EXPECT_TRUE(is_id(good));
  EXPECT_FALSE(is_id(""));
  EXPECT_FALSE(is_id(good.substr(1)));
  EXPECT_FALSE(is_id(good + "0"));
  std::string other = good;
  other[14] = '4';
  EXPECT_FALSE(is_id(other)) << "version 4";
  other = good;
  other[19] = 'c';
  EXPECT_FALSE(is_id(other)) << "another variant";
  other = good;
  other[0] = 'A';
  EXPECT_FALSE(is_id(other)) << "capital letters would make two ids of one";
  other = good;
  other[8] = '0';
  EXPECT_FALSE(is_id(other));
}

TEST(EventKind, IsTheNameInTheRecord) {
  EXPECT_EQ(kind_of(Placed{}), "placed");
  EXPECT_EQ(kind_of(OrderDoubleChecked{}), "order_double_checked");
  std::set<std::string_view> names;
  boost::mp11::mp_for_each<Body>([&](const auto& fact) { names.insert(kind_of(Body(fact))); });
  EXPECT_EQ(names.size(), std::variant_size_v<Body>) << "two kinds share a name";
}

TEST(EventCheck, AcceptsAWholeEvent) { EXPECT_EQ(wrong_paths(good_event()), std::vector<std::string>{}); }

TEST(EventCheck, NamesAllFaultsAtOnce) {
  Event event = good_event();
  event.id = "7";
  event.line = "left arm";
  event.author.clear();
  event.schema = 9;
  event.occurred_at = test::after(minutes{7});
  auto& placed = std::get<Placed>(event.body);
  placed.length = 2.0 * metre;
  placed.gauge = Gauge{3};
  placed.dried_for = Interval{-1};
  placed.teaching = std::string(4001, 'x');
  EXPECT_EQ(wrong_paths(event),
            (std::vector<std::string>{"/author", "/body/dried_for", "/body/gauge", "/body/length", "/body/teaching",
                                      "/id", "/line", "/occurred_at", "/schema"}));
}

TEST(EventCheck, AllowsFiveMinutesOfClockError) {
  Event event = good_event();
  event.occurred_at = test::after(minutes{6});
  EXPECT_TRUE(check(event, test::after(minutes{1})).empty());
  EXPECT_FALSE(check(event, test::after(minutes{1}) - std::chrono::milliseconds{1}).empty());
  event.occurred_at = *parse_instant("1999-12-31T23:59:59Z");
  EXPECT_EQ(wrong_paths(event), std::vector<std::string>{"/occurred_at"});
}

TEST(EventCheck, CountsCharactersNotBytes) {
  Event event = good_event();
  std::string& text = std::get<Placed>(event.body).tolerance;
  for (int i = 0; i < 4000; ++i) text += "é";
  EXPECT_TRUE(check(event, test::after(minutes{1})).empty());
}

TEST(EventCheck, LooksInsideListsAndOptionals) {
  Event event = good_event();
  SiteChecked look = test::checked(1);
  look.grades.push_back({"phlebitis 0 to 5", "1", 11, false});
  look.signs.pain_score = 11;
  look.signs.swelling_extent = 3.0 * metre;
  event.body = look;
  EXPECT_EQ(wrong_paths(event), (std::vector<std::string>{"/body/grades/1/grade", "/body/signs/pain_score",
                                                          "/body/signs/swelling_extent"}));
  InfusionStarted started = test::infusion();
  started.mixture.additives = {{"potassium chloride 15 %", -1.0 * millilitre}};
  started.drop_factor = 1.0 * drop / millilitre;
  event.body = started;
  EXPECT_EQ(wrong_paths(event), (std::vector<std::string>{"/body/drop_factor", "/body/mixture/additives/0/volume"}));
}

TEST(EventCheck, SignsMarkedUnassessedAreContradictory) {
  Event event = good_event();
  SiteChecked look = test::checked(1);
  look.signs.assessed = false;
  event.body = look;
  EXPECT_EQ(wrong_paths(event), std::vector<std::string>{"/body/signs/assessed"});
}

TEST(EventCheck, TakingBackNamesWhat) {
  Event event = good_event();
  event.body = Retracted{"wrong line"};
  EXPECT_EQ(wrong_paths(event), std::vector<std::string>{"/corrects"});
  event.corrects = event.id;
  EXPECT_EQ(wrong_paths(event), std::vector<std::string>{"/corrects"});
  event.corrects = test::id(99);
  EXPECT_TRUE(wrong_paths(event).empty());
}

TEST(EventCheck, BirthDateMustHaveCome) {
  Event event = good_event();
  Opened fact = test::opened();
  fact.patient.birth_date = Date{std::chrono::year{2027} / 1 / 1};
  event.body = fact;
  EXPECT_EQ(wrong_paths(event), std::vector<std::string>{"/body/patient/birth_date"});
}

template <class Fact>
void survives_the_codec() {
  Event event = test::any_event(1, 3);
  event.body = test::any<Fact>();
  const std::string written = json::to_text(json::encode(event));
  const auto read = json::decode<Event>(json::parse_text(written).value());
  RC_ASSERT(read.has_value());
  RC_ASSERT(kind_of(read->body) == Fact::kind);
  RC_ASSERT(json::to_text(json::encode(*read)) == written);
}

RC_GTEST_PROP(EventCodec, EveryKindSurvivesARoundTrip, ()) {
  boost::mp11::mp_for_each<Body>([](const auto& fact) { survives_the_codec<std::remove_cvref_t<decltype(fact)>>(); });
}

TEST(EventCheck, NoTaskIsPutOffWithoutAReasonOrForDays) {
  auto h =
      test::History{}.at(std::chrono::minutes{0}, PutOff{care::Task::flush, test::after(std::chrono::hours{1}), ""});
  EXPECT_EQ(check(h.events[0], test::start).front().path, "/body/reason");
  h = test::History{}.at(std::chrono::minutes{0},
                         PutOff{care::Task::flush, test::after(std::chrono::hours{25}), "away"});
  EXPECT_EQ(check(h.events[0], test::start).front().path, "/body/until");
  h = test::History{}.at(std::chrono::minutes{0}, PutOff{care::Task::flush, test::start, "away"});
  EXPECT_EQ(check(h.events[0], test::start).front().path, "/body/until");
}

TEST(EventCheck, APhotoIsNamedByItsHash) {
  Photographed photo{std::string(64, 'a'), "image/jpeg", 1000, ""};
  const auto faults = [&] { return check(test::History{}.at(std::chrono::minutes{0}, photo).events[0], test::start); };
  EXPECT_TRUE(faults().empty());
  photo.hash = "A" + std::string(63, 'a');
  EXPECT_EQ(faults().front().path, "/body/hash");
  photo = {std::string(64, 'a'), "image/svg+xml", 0, ""};
  ASSERT_EQ(faults().size(), 2u);
  EXPECT_EQ(faults()[0].path, "/body/media_type");
  EXPECT_EQ(faults()[1].path, "/body/bytes");
}

}  // namespace
}  // namespace dwell::line

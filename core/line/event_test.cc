#include "line/event.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <map>
#include <set>

#include "line/invented/any.h"
#include "line/test_events.h"
#include "text/each_text.h"

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

TEST(LineId, IsAUuidOfAnyVersionInOneForm) {
  EXPECT_TRUE(is_line_id(test::id(1)));
  EXPECT_TRUE(is_line_id("f81d4fae-7dec-11d0-a765-00a0c91e6bf6")) << "version 1: RFC 4122, section 3";
  EXPECT_FALSE(is_id("f81d4fae-7dec-11d0-a765-00a0c91e6bf6"));
  for (const char* other : {"F81D4FAE-7DEC-11D0-A765-00A0C91E6BF6", "{f81d4fae-7dec-11d0-a765-00a0c91e6bf6}",
                            "f81d4fae7dec11d0a76500a0c91e6bf6", "urn:uuid:f81d4fae-7dec-11d0-a765-00a0c91e6bf6", "",
                            "f81d4fae-7dec-11d0-a765-00a0c91e6bf", " f81d4fae-7dec-11d0-a765-00a0c91e6bf6"})
    EXPECT_FALSE(is_line_id(other)) << other;
}

/// Every byte at every place: what is still an id has only hex digits in lower case where they belong.
TEST(LineId, NoOtherCharacterPassesAtAnyPlace) {
  constexpr std::string_view hex = "0123456789abcdef", variant = "89ab";
  const std::string good = test::id(7);
  for (std::size_t at = 0; at < good.size(); ++at)
    for (int byte = 0; byte < 256; ++byte) {
      std::string other = good;
      other[at] = static_cast<char>(byte);
      const bool fits = good[at] == '-' ? other[at] == '-' : (at == 19 ? variant : hex).find(other[at]) != hex.npos;
      EXPECT_EQ(is_line_id(other), fits) << "byte " << byte << " at " << at;
      EXPECT_EQ(is_id(other), is_line_id(other) && other[14] == '7') << "byte " << byte << " at " << at;
    }
}

TEST(LineId, ACorrectionAndAReplacedLineAreNamedByTheirs) {
  Event event = good_event();
  std::get<Placed>(event.body).stands_in_for = "../" + std::string(33, 'a');
  event.corrects = test::id(2);
  event.corrects->at(14) = '\0';
  EXPECT_EQ(wrong_paths(event), (std::vector<std::string>{"/body/stands_in_for", "/corrects", "/corrects"}));
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
  event.body = Retracted{" "};
  EXPECT_EQ(wrong_paths(event), std::vector<std::string>{"/body/reason"});
}

TEST(EventCheck, BirthDateMustHaveCome) {
  Event event = good_event();
  Opened fact = test::opened();
  fact.patient.birth_date = Date{std::chrono::year{2027} / 1 / 1};
  event.body = fact;
  EXPECT_EQ(wrong_paths(event), std::vector<std::string>{"/body/patient/birth_date"});
}

TEST(EventCheck, NamesAreOneLineAndNotesMayHaveSeveral) {
  Event event = good_event();
  event.author = "R. Ode\nSigned: Dr. Vane";
  event.deviation_reason = "first\nsecond";
  auto& placed = std::get<Placed>(event.body);
  placed.inserter = "R.\u202EedO";
  placed.samples = std::vector<std::string>{"blood culture", "gas\t"};
  placed.teaching = "call at pain\n\tor wetness";
  EXPECT_EQ(wrong_paths(event), (std::vector<std::string>{"/author", "/body/inserter", "/body/samples/1"}));
  Opened opened = test::opened();
  opened.patient.family = "Marsh\u200B";
  opened.patient.allergies = {"penicillin", "latex\u2028"};
  opened.place.bed = " ";
  event = good_event();
  event.body = opened;
  EXPECT_EQ(wrong_paths(event),
            (std::vector<std::string>{"/body/patient/allergies/1", "/body/patient/family", "/body/place/bed"}));
}

/// Each text of each kind of event is looked at: a character that no rule allows is found wherever it is put.
TEST(EventCheck, NoTextIsLeftOut) {
  boost::mp11::mp_for_each<Body>([](const auto& fact) {
    Event event = good_event();
    event.body = fact;
    std::vector<std::string> paths;
    text::each_text(event.body, [&](std::string& text, text::Rule, const text::Trail& trail) {
      text = "\u202E";
      paths.push_back("/body" + trail.path());
    });
    const auto wrong = wrong_paths(event);
    for (const auto& path : paths) EXPECT_TRUE(std::count(wrong.begin(), wrong.end(), path)) << fact.kind << path;
  });
}

TEST(EventCheck, AMoveGoesToAPlaceThatIsNamed) {
  Event event = good_event();
  event.body = Moved{{"Hill Hospital", "Ward 4", ""}};
  EXPECT_TRUE(wrong_paths(event).empty());
  event.body = Moved{{"", "Ward 4", "7"}};
  EXPECT_TRUE(wrong_paths(event).empty()) << "the house may be unknown";
  event.body = Moved{{"Hill Hospital", "", "7"}};
  EXPECT_EQ(wrong_paths(event), std::vector<std::string>{"/body/place/unit"});
}

TEST(EventCheck, DatesAreOfOurTime) {
  Event event = good_event();
  for (const int year : {0, 1899, 2200, 32767}) {
    event.body = SupplyUsed{"catheter", {}, {}, Date{std::chrono::year{year} / 1 / 1}, {}};
    EXPECT_EQ(wrong_paths(event), std::vector<std::string>{"/body/expiry"}) << year;
  }
}

// ---- what is accepted can be read for ever ----

/// Makes the numbers and moments of an event as odd as a device may send them.
template <class T>
void roughen(T& value) {
  if constexpr (json::is_optional<T>::value) {
    if (value) roughen(*value);
  } else if constexpr (QuantityType<T>) {
    const double noise =
        *rc::gen::element(1.0, 1 + 1e-13, 1 - 1e-13, 1 + 3e-12, 1.0 / 3, 1e-3, 1e-300, 1e-320, -0.0, 0.0);
    value = T::from_value(value.value() * noise);
  } else if constexpr (std::is_same_v<T, Instant>) {
    value = *rc::gen::element(value, first_moment, last_moment, value + std::chrono::milliseconds{1},
                              Instant(std::chrono::sys_days{std::chrono::year{2200} / 1 / 1}));
  } else if constexpr (std::is_same_v<T, Date>) {
    value = *rc::gen::element(value, Date{std::chrono::year{0} / 1 / 1}, Date{std::chrono::year{32767} / 12 / 31},
                              Date{std::chrono::year{1900} / 1 / 1}, Date{std::chrono::year{2199} / 12 / 31},
                              Date{std::chrono::year{2025} / 2 / 29});
  } else if constexpr (std::is_same_v<T, Interval>) {
    value = *rc::gen::element(value, Interval{0}, Interval{-1}, Interval{366 * 86400}, Interval{1'000'000'000'000});
  } else if constexpr (std::is_same_v<T, int>) {
    value = *rc::gen::element(value, 0, -1, 10, INT32_MAX, INT32_MIN);
  } else if constexpr (std::is_same_v<T, std::string>) {
    value = *rc::gen::element<std::string>(std::string(value), "\u00E9", std::string("\0", 1), "\xFF", "a\nb", "\u202E",
                                           "\U0010FFFF");
  } else if constexpr (json::DescribedStruct<T>) {
    boost::mp11::mp_for_each<json::members_of<T>>([&](auto member) { roughen(value.*member.pointer); });
  } else if constexpr (requires {
                         value.begin();
                         value.push_back(*value.begin());
                       }) {
    for (auto& one : value) roughen(one);
  }
}

template <class Fact>
void what_is_accepted_reads_back(int& accepted) {
  Event event = good_event();
  Fact fact = test::any<Fact>();
  if (*rc::gen::arbitrary<bool>()) roughen(fact);
  event.body = fact;
  if (std::is_same_v<Fact, Retracted>) event.corrects = test::id(9);
  if (!check(event, test::after(minutes{60 * 24})).empty()) return;
  ++accepted;
  const std::string written = json::to_text(json::encode(event));
  const auto parsed = json::parse_text(written);
  RC_ASSERT(parsed.has_value());
  const auto read = json::decode<Event>(*parsed);
  RC_ASSERT(read.has_value());
  RC_ASSERT(json::to_text(json::encode(*read)) == written);
}

TEST(EventCodec, WhatIsAcceptedOfEveryKindIsReadAsItWasWritten) {
  std::map<std::string_view, int> accepted;
  EXPECT_TRUE(rc::check("every kind", [&] {
    boost::mp11::mp_for_each<Body>([&](const auto& fact) {
      // Often enough that a short run, too, meets an acceptable one of each kind.
      for (int again = 0; again < 5; ++again)
        what_is_accepted_reads_back<std::remove_cvref_t<decltype(fact)>>(accepted[fact.kind]);
    });
  }));
  for (const auto& [kind, count] : accepted)
    EXPECT_TRUE(count > 0 || kind == Photographed::kind) << kind << " was never accepted, so nothing was tried";
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

TEST(EventCheck, LeftOnPurposeSaysWhyWhoWasToldAndWhoLooksAfterIt) {
  const auto refused = [](LeftWithLine left) {
    std::vector<std::string> paths;
    for (const auto& error : check(test::History{}.at(std::chrono::minutes{0}, left).events[0], test::start))
      paths.push_back(error.path);
    return paths;
  };
  EXPECT_EQ(refused({"at home", "the daughter", "home nurses"}), std::vector<std::string>{});
  EXPECT_EQ(refused({" ", "", ""}), (std::vector<std::string>{"/body/why", "/body/told", "/body/looks_after_it"}));
}

TEST(EventCheck, InCaseHasAName) {
  NeedReviewed need;
  need.ground = NeedGround::in_case;
  const auto errors = [&] { return check(test::History{}.at(std::chrono::minutes{0}, need).events[0], test::start); };
  ASSERT_EQ(errors().size(), 1u);
  EXPECT_EQ(errors()[0].path, "/body/in_case_by");
  need.in_case_by = "Dr T. Weller";
  EXPECT_TRUE(errors().empty());
}

TEST(EventCheck, NotPlacedForAnotherReasonSaysWhich) {
  NotPlaced fact{NotPlacedReason::other, ""};
  const auto errors = [&] { return check(test::History{}.at(std::chrono::minutes{0}, fact).events[0], test::start); };
  ASSERT_EQ(errors().size(), 1u);
  EXPECT_EQ(errors()[0].path, "/body/note");
  fact.note = "went to theatre";
  EXPECT_TRUE(errors().empty());
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

#include "exchange/said/said.h"

#include <gtest/gtest.h>

#include "json/codec.h"
#include "say/age.h"
#include "say/common.h"
#include "say/growth.h"

namespace dwell::said {
namespace {

const Reader spanish{"es", DecimalSign::comma};

TEST(Said, ASentenceOfEachLanguage) {
  const auto message = say::weight_far_below_chart(1.8 * kilogram, say::age_in_years(5), 12.4 * kilogram);
  EXPECT_EQ(in_english(message), "Weight 1.8 kg at 5 y is far below the lowest line of the growth chart, 12.4 kg.");
  EXPECT_EQ(
      said(message, spanish),
      "El peso de 1,8 kg a la edad de 5 años está muy por debajo de la línea más baja de la curva de crecimiento, "
      "12,4 kg.");
}

TEST(Said, ACountChoosesItsPlural) {
  EXPECT_EQ(in_english(say::age_in_months(1)), "1 month");
  EXPECT_EQ(in_english(say::age_in_months(1234)), "1\u202f234 months");
  EXPECT_EQ(said(say::age_in_years(1), spanish), "1 año");
}

TEST(Said, UnitsAndThousandsByTheOneDisplay) {
  const auto shown_in = [](auto quantity, const Reader& reader) {
    return said(say::quantity(shown(quantity)), reader);
  };
  EXPECT_EQ(shown_in(20.5 * drop / minute, spanish), "20,5 gotas/min");
  EXPECT_EQ(shown_in(1234.0 * millilitre / hour, spanish), "1\u202f234 mL/h");
  EXPECT_EQ(shown_in(Interval{27780}, Reader{}), show(Interval{27780}));
  EXPECT_EQ(shown_in(std::numeric_limits<double>::quiet_NaN() * kilogram, spanish), "desconocido");
}

TEST(Said, DaysAndMomentsByTheReadersClock) {
  using namespace std::chrono;
  const Message day = Message::of("quantity", {{"quantity", message::Day{Date{year{2026} / November / 5}}}});
  EXPECT_EQ(in_english(day), show(Date{year{2026} / November / 5}));
  EXPECT_EQ(said(day, spanish), "5 nov 2026");
  const Instant at = sys_days{year{2026} / November / 5} + hours{23} + minutes{5};
  Reader east{"en", DecimalSign::point, [](Instant) { return minutes{60}; }};
  EXPECT_EQ(said(Message::of("quantity", {{"quantity", message::Moment{at}}}), east), show_local(at, minutes{60}));
}

TEST(Said, OnASheetThatSaysItsDayTheTimeIsEnoughForThatDayAlone) {
  using namespace std::chrono;
  const sys_days day = year{2026} / November / 30;
  Reader at_home{"es", DecimalSign::comma, [](Instant) { return minutes{60}; }};
  at_home.sheet_of = day + hours{1};
  const auto moment = [&](Instant at) {
    return said(Message::of("quantity", {{"quantity", message::Moment{at}}}), at_home);
  };
  EXPECT_EQ(moment(day + hours{7}), "08:00");
  EXPECT_EQ(moment(day - minutes{30}), "00:30") << "by the reader's clock it is that day";
  EXPECT_EQ(moment(day - minutes{90}), "29 nov 23:30");
  EXPECT_EQ(moment(day + days{40}), "9 ene 2027 01:00");
  EXPECT_EQ(said(Message::of("quantity", {{"quantity", message::Day{Date{day}}}}), at_home), "30 nov 2026")
      << "a birth";
}

TEST(Said, OwnWordsStayAsTheyAre) {
  const std::string odd = "{weight} it's '{' # \u202e";
  EXPECT_EQ(said(say::symbol(odd), spanish), odd);
}

TEST(Said, AWordingInTheReadersLanguageOrPlainlyMarked) {
  const Wording both(Wording::Texts{{"en", "Stop."}, {"es", "Parar."}});
  EXPECT_EQ(in_english(both), "Stop.");
  EXPECT_EQ(said(both, spanish), "Parar.");
  EXPECT_EQ(said(both, Reader{"en-XA"}), "⟦Stop.⟧");
  EXPECT_EQ(said(Wording("Stop."), spanish), "[en] Stop.");
  EXPECT_EQ(in_english(Wording(Wording::Texts{{"es", "Parar."}})), "[es] Parar.");
  EXPECT_EQ(said(Wording(), spanish), "");
}

TEST(Said, WhatStandsInTheListsByItsTitleInTheReadersLanguage) {
  Reader reader = spanish;
  reader.title_of = [](const std::string& name) {
    std::optional<Wording> title;
    if (name == "red cells") title = Wording(Wording::Texts{{"en", "red cells"}, {"es", "hematíes"}});
    if (name == "house mixture") title = Wording("house mixture 7");
    return title;
  };
  EXPECT_EQ(said(say::listed_name("red cells"), reader), "hematíes");
  EXPECT_EQ(said(say::listed_name("house mixture"), reader), "[en] house mixture 7");
  EXPECT_EQ(said(say::listed_name("something new"), reader), "something new");
  EXPECT_EQ(in_english(say::listed_name("red cells")), "red cells") << "nobody told the lists";
}

TEST(Said, WhatAHostTellsIsEnglishAndMarkedSo) {
  EXPECT_EQ(in_english(in_english_only("a folder")), "a folder");
  EXPECT_EQ(said(in_english_only("a folder"), spanish), "[en] a folder");
}

TEST(Said, WhatNobodyKnowsIsSaidByItsId) {
  EXPECT_EQ(in_english(Message::of("of_a_newer_dwell", {})), "[of_a_newer_dwell]");
  EXPECT_EQ(said(say::weigh_again(), Reader{"xx"}), in_english(say::weigh_again()));
  EXPECT_TRUE(said(say::weigh_again(), Reader{"en-XA"}).starts_with("⟦"));
}

TEST(Said, JsonCarriesTheSameMessage) {
  const std::vector<Message> all{
      say::sentences(
          {say::weight_below_chart(1.8 * kilogram, say::age_in_days(12), 2.0 * kilogram), say::symbol("own words")}),
      say::symbol("k"),
      say::listed_name("red cells"),
      Wording("Stop."),
      Wording(Wording::Texts{{"en", "Stop."}, {"es", "Parar."}}),
      say::standard_deviations(shown_number(-0.04, 2)),
      Message()};
  for (const auto& message : all) {
    const auto read = json::decode<Message>(json::encode(message));
    ASSERT_TRUE(read);
    EXPECT_EQ(*read, message);
  }
  EXPECT_EQ(json::to_text(json::encode(say::age_in_days(12))),
            R"({"id":"age_in_days","args":{"days":{"count":12,"digits":"12"}}})");
  EXPECT_FALSE(json::decode<Message>(json::Object{{"id", "x"}, {"args", json::Object{{"a", "bare"}}}}));
}

}  // namespace
}  // namespace dwell::said

#include "supply/pack_code.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>

#include "json/codec.h"
#include "say/supply.h"
#include "supply/identifiers.h"
#include "supply/pack_text.h"

namespace dwell::supply {
namespace {

constexpr Date day(int y, unsigned m, unsigned d) {
  return Date{std::chrono::year{y} / std::chrono::month{m} / std::chrono::day{d}};
}
constexpr Date today = day(2026, 11, 25);
const std::string whole = "(01)09506000134352(17)270228(10)LOT-A7/2(21)SN0042";

FieldErrors faults(std::string_view text) {
  const auto read = read_pack_code(text, today);
  return read ? FieldErrors() : read.error();
}
bool expects(std::string_view text, const Message& expected) {
  const auto all = faults(text);
  return std::any_of(all.begin(), all.end(), [&](const auto& fault) { return fault.expected == expected; });
}
bool faults_at(std::string_view text, std::string_view path) {
  const auto all = faults(text);
  return std::any_of(all.begin(), all.end(), [&](const auto& fault) { return fault.path == path; });
}
bool finds(std::string_view text, std::string_view code) {
  const auto pack = read_pack_code(text, today);
  return pack && std::any_of(pack->findings.begin(), pack->findings.end(), [&](auto& f) { return f.code == code; });
}

TEST(PackCode, ReadsTheSameFromEveryForm) {
  const auto expected = json::to_text(json::encode(read_pack_code(whole, today).value()));
  for (const std::string form :
       {"]d201095060001343521727022810LOT-A7/2\x1d"
        "21SN0042",
        "]C101095060001343521727022810LOT-A7/2\x1d"
        "21SN0042",
        "01095060001343521727022810LOT-A7/2\x1d"
        "21SN0042",
        "  01095060001343521727022810LOT-A7/2^]21SN0042\r\n", "01095060001343521727022810LOT-A7/2<GS>21SN0042",
        "01095060001343521727022810LOT-A7/2\\u001d21SN0042", "01095060001343521727022810LOT-A7/2\\u001D21SN0042",
        "01095060001343521727022810LOT-A7/2|21SN0042", "^01095060001343521727022810LOT-A7/2^21SN0042",
        "0109506000134352\x1d"
        "17270228\x1d"
        "10LOT-A7/2\x1d"
        "21SN0042\x1d"})
    EXPECT_EQ(json::to_text(json::encode(read_pack_code(form, today).value())), expected) << printable(form);
  const auto link =
      read_pack_code("https://id.gs1.org/01/09506000134352/10/LOT-A7%2F2/21/SN0042?17=270228", today).value();
  EXPECT_EQ(link.lot, "LOT-A7/2");
  EXPECT_EQ(link.expiry, day(2027, 2, 28));
}

TEST(PackCode, GivesWhatAPackIsAskedFor) {
  const auto pack = read_pack_code("(01)09506000134352(11)260100(17)280200(10)A7", today).value();
  EXPECT_EQ(pack.gtin, "09506000134352");
  EXPECT_EQ(pack.produced, day(2026, 1, 31));
  EXPECT_EQ(pack.expiry, day(2028, 2, 29));
  EXPECT_EQ(pack.expiry_printed, "280200");
  EXPECT_FALSE(pack.serial);
  EXPECT_TRUE(pack.findings.empty());
  EXPECT_EQ(pack.elements[1].title, say::element_title(Title::production_date));
  EXPECT_EQ(read_pack_code("(01)09506000134352(7003)2702281430", today)->expiry, day(2027, 2, 28));
}

TEST(PackCode, BracketsMayBelongToAValue) {
  EXPECT_EQ(read_pack_code("(01)09506000134352(10)A(B)7", today)->lot, "A(B)7");
  EXPECT_EQ(read_pack_code("(01)09506000134352(10)A\\(17\\)7", today)->lot, "A(17)7");
}

TEST(PackCode, NamesEveryFaultAtOnce) {
  EXPECT_EQ(faults("(01)09506000134351(17)271328(10)LOT 7(77)X").size(), 4U);
  EXPECT_TRUE(expects("(01)09506000134351(17)271328", say::this_check_digit(2)));
  EXPECT_TRUE(expects("(01)09506000134351(17)271328", say::a_date_yymmdd_or_00()));
}

TEST(PackCode, RefusesWhatTheStandardRefuses) {
  EXPECT_TRUE(expects("", say::the_code_on_the_pack()));
  EXPECT_TRUE(expects("]d2", say::a_code_not_empty()));
  EXPECT_TRUE(
      expects("]d2\x1d"
              "0109506000134352",
              say::no_separator_first()));
  EXPECT_TRUE(
      expects("010950600013435210A\x1d\x1d"
              "21B",
              say::one_separator()));
  EXPECT_TRUE(expects("]E09506000134352", say::not_the_retail_code()));
  EXPECT_TRUE(expects("]d1hello", say::a_gs1_code()));
  EXPECT_TRUE(expects("+A123BJC5D6E71G", say::not_a_hibc_code()));
  EXPECT_TRUE(expects("=W000012345678", say::not_a_blood_code()));
  EXPECT_TRUE(expects("(01)9506000134352", say::so_many_digits(14, Off::too_short)));
  EXPECT_TRUE(expects("(01)09506000134352(10)123456789012345678901", say::characters_from_to(1, 20, Off::too_long)));
  EXPECT_TRUE(
      expects("(01)09506000134352(10)A#B", say::code_characters_only("! \" % & ' ( ) * + , - . / : ; < = > ? _")));
  EXPECT_TRUE(expects("(01)09506000134352(10)A(10)B", say::same_value_as_before("A")));
  EXPECT_TRUE(faults("(01)09506000134352(10)A(10)A").empty());
  EXPECT_TRUE(expects("(01)09506000134352(37)12(00)123456789012345675", say::not_both_on_one_pack()));
  EXPECT_TRUE(expects("(01)09506000134352(7003)2702001430", say::a_date_yymmdd()));
  EXPECT_TRUE(expects("(01)09506000134352(7003)2702282460", say::a_time_after_the_date()));
  EXPECT_TRUE(faults_at("(01)09506000134352(17)270229", "/17"));
  EXPECT_TRUE(expects("hello", say::a_known_identifier_here()));
  EXPECT_TRUE(expects(std::string(1001, '9'), say::code_characters_at_most(1000)));
}

TEST(PackCode, DigitalLinkKeepsItsOrder) {
  EXPECT_TRUE(faults("HTTPS://example.org/any/path/01/09506000134352/22/V/10/L/21/S?17=270228&lang=en").empty());
  EXPECT_TRUE(faults("https://example.org/01/09506000134352/21/S/").empty());
  EXPECT_TRUE(faults("https://example.org/01/09506000134352/235/T").empty());
  EXPECT_TRUE(expects("https://example.org/01/09506000134352/21/S/10/L", say::in_this_order("22 10 21|235")));
  EXPECT_TRUE(expects("https://example.org/01/09506000134352?10=L", say::in_the_path()));
  EXPECT_TRUE(expects("https://example.org/01/9506000134352", say::so_many_digits(14, Off::too_short)));
  EXPECT_TRUE(expects("https://example.org/01/09506000134352?770=1", say::a_known_identifier()));
  EXPECT_TRUE(expects("https://example.org/gtin/09506000134352", say::an_address_of_an_item()));
  EXPECT_TRUE(expects("https://exa mple.org/01/09506000134352", say::a_web_address()));
  EXPECT_TRUE(expects("https://example.org/01/09506000134352/10/A%00B",
                      say::code_characters_only("! \" % & ' ( ) * + , - . / : ; < = > ? _")));
  EXPECT_TRUE(faults("https://example.org/01/09506000134352?#top").empty()) << "found by fuzzing";
  EXPECT_EQ(read_pack_code("https://example.org/01/09506000134352/10/01", today)->lot, "01");
}

TEST(PackCode, SuspectsAMissingSeparator) {
  EXPECT_TRUE(finds("010950600013435210LOT117270228", "separator_missing"));
  EXPECT_FALSE(read_pack_code("010950600013435210LOT117270228", today)->expiry);
  EXPECT_FALSE(finds("010950600013435210LOT117271328", "separator_missing")) << "month 13 is no expiry";
  EXPECT_FALSE(finds("010950600013435210LOT1", "separator_missing"));
}

TEST(PackCode, AsksForThePacksOtherCode) {
  EXPECT_TRUE(finds("(17)270228(10)A7", "partner_missing"));
  EXPECT_FALSE(finds(whole, "partner_missing"));
}

TEST(PackCode, NoIdentifierBeginsAnother) {
  for (int n = 0; n < 10000; ++n) {
    const std::string four = std::to_string(10000 + n).substr(1);
    int found = 0;
    for (std::size_t size : {2U, 3U, 4U}) found += identifier_named(four.substr(0, size)) ? 1 : 0;
    EXPECT_LE(found, 1) << four;
  }
}

// ---- never a crash, whatever comes ----

void holds_its_promises(const std::string& text, Date now) {
  const auto pack = read_pack_code(text, now);
  if (!pack) {
    RC_ASSERT(!pack.error().empty());
    for (const auto& error : pack.error())
      RC_ASSERT(std::all_of(error.found.begin(), error.found.end(), [](char c) { return c >= 0x20 && c < 0x7F; }));
    return;
  }
  RC_ASSERT(!pack->elements.empty());
  if (pack->gtin) RC_ASSERT(gs1_check_digit(pack->gtin->substr(0, 13)) == pack->gtin->back() - '0');
  if (pack->expiry) RC_ASSERT(pack->expiry->ok());
}

RC_GTEST_PROP(PackCode, SurvivesAnyBytes, (const std::string& bytes)) { holds_its_promises(bytes, today); }

RC_GTEST_PROP(PackCode, SurvivesAnyMixtureOfItsOwnParts, ()) {
  const auto part = rc::gen::element<std::string>("01", "09506000134352", "17", "270228", "10", "21", "LOT-A7", "\x1d",
                                                  "^]", "<GS>", "(", ")", "(01)", "(17)", "(10)", "]d2", "]C1", "]Q1",
                                                  "https://h/", "01/", "/", "?17=", "?", "#", "&", "%2F", "%", "8006",
                                                  "255", "8013", "7003", "00", "\\(", "\xff", "");
  std::string text;
  for (const auto& piece : *rc::gen::container<std::vector<std::string>>(part)) text += piece;
  holds_its_promises(text, today);
}

RC_GTEST_PROP(PackCode, OneWrongDigitIsNoticed, ()) {
  std::string digits;
  for (int i = 0; i < 13; ++i) digits += static_cast<char>('0' + *rc::gen::inRange(0, 10));
  std::string gtin = digits + std::to_string(gs1_check_digit(digits));
  RC_ASSERT(read_pack_code("(01)" + gtin, today).has_value());
  char& changed = gtin[*rc::gen::inRange<std::size_t>(0, 14)];
  changed = static_cast<char>('0' + (changed - '0' + *rc::gen::inRange(1, 10)) % 10);
  RC_ASSERT(!read_pack_code("(01)" + gtin, today).has_value());
}

RC_GTEST_PROP(PackCode, CenturyIsTheNearest, ()) {
  const Date now = day(*rc::gen::inRange(1950, 2150), 6, 15);
  const int year = *rc::gen::inRange(0, 100);
  const auto text = "(01)09506000134352(17)" + std::string(year < 10 ? "0" : "") + std::to_string(year) + "0615";
  const int ahead = static_cast<int>(read_pack_code(text, now)->expiry->year()) - static_cast<int>(now.year());
  RC_ASSERT((ahead >= -49 && ahead <= 50));
}

// ---- the check of a supply ----

SupplyCheck checked(std::string code, std::optional<Date> typed = {}, std::string what = "flush") {
  return check_supply({std::move(code), typed, {}, std::move(what), today}).value();
}

TEST(Supply, SaysWhatToDo) {
  EXPECT_EQ(checked("(01)09506000134352(17)260228").text, say::expired_on(day(2026, 2, 28), SupplyKind::flush));
  EXPECT_FALSE(checked("(01)09506000134352(17)260228").usable);
  EXPECT_EQ(checked("(01)09506000134352(17)261125").text, say::in_date_on_its_last_day(day(2026, 11, 25)));
  EXPECT_TRUE(checked("(01)09506000134352(17)261125").usable);
  EXPECT_EQ(checked("(01)09506000134352(17)261100").state, DateState::in_date);
  EXPECT_EQ(checked("(01)09506000134352(17)261100").text, say::in_date_to(day(2026, 11, 30)));
  EXPECT_EQ(checked("(01)09506000134352(17)261124").state, DateState::expired);
}

TEST(Supply, UnknownIsNotInDate) {
  EXPECT_EQ(checked("").state, DateState::unknown);
  EXPECT_FALSE(checked("").usable);
  EXPECT_EQ(checked("(01)09506000134352", {}, "").text, say::expiry_not_known(SupplyKind::other));
  EXPECT_FALSE(checked("010950600013435210LOT117270228").usable);
}

TEST(Supply, ACodeWithoutAnItemNumberIsOfAnything) {
  const auto nameless = checked("(17)270228(10)LOT-A7");
  EXPECT_EQ(nameless.state, DateState::in_date);
  EXPECT_FALSE(nameless.usable);
  EXPECT_EQ(nameless.text, say::code_names_no_item(SupplyKind::flush));
  EXPECT_EQ(checked("(17)260228(10)LOT-A7").text, say::expired_on(day(2026, 2, 28), SupplyKind::flush));
  EXPECT_TRUE(checked("(01)09506000134352(17)270228(10)LOT-A7").usable);
  EXPECT_TRUE(checked("", day(2027, 2, 28)).usable) << "read from the pack by a person, who sees what it is";
}

TEST(Supply, AClockThatWasNeverSetIsNotTakenForToday) {
  for (const auto wrong : {day(1970, 1, 1), day(2025, 12, 31), day(2076, 1, 1)}) {
    const auto refused = check_supply({"(01)09506000134352(17)270228", {}, {}, "flush", wrong});
    ASSERT_FALSE(refused) << show(wrong);
    EXPECT_EQ(refused.error().front().path, "/today");
  }
  EXPECT_TRUE(check_supply({"(01)09506000134352(17)270228", {}, {}, "flush", day(2026, 1, 1)}));
  EXPECT_TRUE(check_supply({"(01)09506000134352(17)760228", {}, {}, "flush", day(2075, 12, 31)}));
  const auto to_come = checked("(01)09506000134352(11)270101(17)290228");
  EXPECT_EQ(to_come.state, DateState::unknown);
  EXPECT_FALSE(to_come.usable);
  EXPECT_TRUE(checked("(01)09506000134352(11)261125(17)290228").usable) << "made today";
}

TEST(Supply, TypedBesideScannedTakesTheEarlier) {
  EXPECT_EQ(checked("", day(2027, 1, 1)).state, DateState::in_date);
  const auto both = checked("(01)09506000134352(17)270228", day(2026, 2, 28));
  EXPECT_EQ(both.state, DateState::expired);
  ASSERT_EQ(both.pack.findings.size(), 1U);
  EXPECT_EQ(both.pack.findings[0].text, say::typed_expiry_differs(day(2026, 2, 28), day(2027, 2, 28)));
}

TEST(Supply, NamesAllWrongFieldsAtOnce) {
  const auto refused = check_supply({"(17)271328", day(2026, 2, 30), {}, "flush", today});
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error()[0].path, "/expiry");
  EXPECT_EQ(refused.error()[1].path, "/code/17");
  EXPECT_FALSE(check_supply({"", {}, {}, "flush", day(2026, 2, 30)}));
}

}  // namespace
}  // namespace dwell::supply

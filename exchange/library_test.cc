#include "exchange/library.h"
#include "exchange/said/said.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <sstream>

namespace dwell::exchange {
namespace {

namespace fs = std::filesystem;

const Instant now = *parse_instant("2026-11-25T08:19:02.000Z");

std::string text_of(const fs::path& path) {
  std::ostringstream out;
  out << std::ifstream(path).rdbuf();
  return std::move(out).str();
}

/// A copy of the ward's data that a test may spoil.
class WardFolder : public testing::Test {
 protected:
  void SetUp() override {
    folder_ = fs::path(testing::TempDir()) /
              ("ward_" + std::string(testing::UnitTest::GetInstance()->current_test_info()->name()));
    fs::remove_all(folder_);
    fs::create_directories(folder_);
    for (const char* name : {"policy.toml", "catheters.toml", "infusates.toml"})
      fs::copy_file(fs::path(DWELL_SOURCE) / "data" / name, folder_ / name);
  }
  void TearDown() override { fs::remove_all(folder_); }

  /// Puts `now_there` in place of `was` and gives the line in which that was.
  std::size_t spoil(const char* file, const std::string& was, const std::string& now_there) {
    std::string text = text_of(folder_ / file);
    const auto at = text.find(was);
    EXPECT_NE(at, std::string::npos) << was;
    text.replace(at, was.size(), now_there);
    std::ofstream(folder_ / file) << text;
    return 1 + static_cast<std::size_t>(std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(at), '\n'));
  }
  [[nodiscard]] FieldErrors refused() const {
    const auto library = load_library(folder_.string());
    EXPECT_FALSE(library.has_value());
    return library ? FieldErrors{} : library.error();
  }
  fs::path folder_;
};

TEST_F(WardFolder, TheShippedFilesAreTheBuiltInOnes) {
  const auto read = load_library(folder_.string());
  ASSERT_TRUE(read.has_value()) << read.error().front().path << " " << read.error().front().found;
  EXPECT_EQ(json::encode(read->policy), json::encode(default_library().policy));
  EXPECT_EQ(read->catheters, default_library().catheters);
  EXPECT_EQ(read->infusates, default_library().infusates);
}

TEST_F(WardFolder, AMissingFileIsNamed) {
  fs::remove(folder_ / "catheters.toml");
  fs::remove(folder_ / "infusates.toml");
  const auto errors = refused();
  ASSERT_EQ(errors.size(), 2u);
  EXPECT_NE(errors[0].found.find("catheters.toml"), std::string::npos);
  EXPECT_NE(errors[1].found.find("infusates.toml"), std::string::npos);
}

TEST_F(WardFolder, AFigureThatCannotBeReadHasFileLineColumnFoundAndExpected) {
  const auto line = spoil("policy.toml", "film_dressing = { value = \"7 d\"", "film_dressing = { value = \"a week\"");
  const auto errors = refused();
  ASSERT_EQ(errors.size(), 1u);
  EXPECT_EQ(errors[0].path, "/watch/film_dressing/value");
  EXPECT_NE(errors[0].found.find("policy.toml, line " + std::to_string(line) + ", column 27: a week"),
            std::string::npos)
      << errors[0].found;
  EXPECT_FALSE(errors[0].expected.empty());
}

TEST_F(WardFolder, AFigureThatPolicyForbidsHasItsLine) {
  const auto line = spoil("policy.toml", "pressure = { value = \"2 min\"", "pressure = { value = \"20 s\"");
  const auto errors = refused();
  ASSERT_EQ(errors.size(), 1u);
  EXPECT_EQ(errors[0].path, "/remove/pressure");
  EXPECT_NE(errors[0].found.find("line " + std::to_string(line) + ","), std::string::npos) << errors[0].found;
  EXPECT_NE(said::in_english(errors[0].expected).find("30 s"), std::string::npos);
}

TEST_F(WardFolder, AFigureWithoutItsSourceIsRefused) {
  spoil("policy.toml", ", source = \"common practice, no source: hub close to the skin\"", "");
  EXPECT_EQ(refused().front().path, "/vessel/exposed_length/source");
}

TEST_F(WardFolder, FaultsOfAllFilesComeTogether) {
  spoil("policy.toml", "name = \"Dwell default policy\"", "name = ");
  spoil("catheters.toml", "gauge = ", "gague = ");
  spoil("infusates.toml", "harm = \"harmless\"", "harm = \"fine\"");
  const auto errors = refused();
  for (const char* file : {"policy.toml, line ", "catheters.toml, line ", "infusates.toml, line "})
    EXPECT_TRUE(std::any_of(errors.begin(), errors.end(), [&](const FieldError& e) {
      return e.found.find(file) != std::string::npos;
    })) << file;
}

TEST(Case, EveryExampleIsReadAndPlanned) {
  int read = 0;
  for (const auto& entry : fs::directory_iterator(fs::path(DWELL_SOURCE) / "examples")) {
    if (entry.path().extension() != ".toml") continue;
    const auto nursing_case = load_case(text_of(entry.path()), entry.path().filename().string(), now);
    ASSERT_TRUE(nursing_case.has_value()) << entry.path() << ": " << nursing_case.error().front().found;
    EXPECT_EQ(nursing_case->now, now);
    EXPECT_FALSE(nursing_case->veins.empty());
    const auto& library = default_library();
    EXPECT_TRUE(device::plan(*nursing_case, library.catheters, library.infusates, library.policy).has_value())
        << entry.path();
    ++read;
  }
  EXPECT_GE(read, 5);
}

TEST(Case, AWrongFieldHasItsLine) {
  const auto refused = load_case("[patient]\nweight = \"47\"\n", "case.toml", now);
  ASSERT_FALSE(refused);
  const auto weight = std::find_if(refused.error().begin(), refused.error().end(),
                                   [](const FieldError& e) { return e.path == "/patient/weight"; });
  ASSERT_NE(weight, refused.error().end());
  EXPECT_EQ(weight->found, "case.toml, line 2, column 10: 47");
}

}  // namespace
}  // namespace dwell::exchange

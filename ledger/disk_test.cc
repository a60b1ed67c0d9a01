#include "ledger/disk.h"

#include <gtest/gtest.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include <csignal>
#include <filesystem>
#include <fstream>

#include "ledger/test_notes.h"

namespace dwell::ledger {
namespace {

namespace fs = std::filesystem;

class DiskFiles : public testing::Test {
 protected:
  void SetUp() override {
    folder_ = fs::temp_directory_path() / ("dwell-disk-test-" + std::to_string(getpid()));
    fs::remove_all(folder_);
    fs::create_directories(folder_);
  }
  void TearDown() override { fs::remove_all(folder_); }
  [[nodiscard]] std::string in_folder(const char* name) const { return (folder_ / name).string(); }
  [[nodiscard]] static mode_t mode(const std::string& path) {
    struct stat about {};
    EXPECT_EQ(stat(path.c_str(), &about), 0) << path;
    return about.st_mode & 07777;
  }
  [[nodiscard]] static std::string content(const std::string& path) {
    return machine_disk().read(path, 0, 1 << 20).value();
  }

  fs::path folder_;
  Disk& disk_ = machine_disk();
};

TEST_F(DiskFiles, WhatIsMadeIsItsOwnersAloneWhateverTheUmask) {
  for (const mode_t mask : {mode_t{0000}, mode_t{0077}, mode_t{0777}}) {
    const mode_t before = umask(mask);
    const std::string folder = in_folder("a/b"), file = folder + "/file";
    EXPECT_TRUE(disk_.make_folder(folder));
    EXPECT_TRUE(disk_.append(file, "one"));
    EXPECT_TRUE(disk_.replace(file + "-2", "two"));
    EXPECT_TRUE(disk_.create(file + "-3", "three").value());
    umask(before);
    for (const char* made : {"a", "a/b"}) EXPECT_EQ(mode(in_folder(made)), 0700u) << made;
    for (const char* end : {"", "-2", "-3"}) EXPECT_EQ(mode(file + end), 0600u) << end;
    fs::remove_all(in_folder("a"));
  }
}

TEST_F(DiskFiles, ALooserFileIsTightened) {
  const std::string file = in_folder("file");
  ASSERT_TRUE(disk_.append(file, "one"));
  ASSERT_EQ(chmod(file.c_str(), 0644), 0);
  EXPECT_FALSE(disk_.facts(file)->value().is_private);
  EXPECT_TRUE(disk_.make_private(file));
  EXPECT_TRUE(disk_.facts(file)->value().is_private);
  EXPECT_EQ(mode(file), 0600u);
}

TEST_F(DiskFiles, CreatingLeavesWhatIsThere) {
  const std::string file = in_folder("file");
  EXPECT_TRUE(disk_.create(file, "first").value());
  EXPECT_FALSE(disk_.create(file, "second").value());
  EXPECT_EQ(content(file), "first");
  ASSERT_TRUE(disk_.replace(file, "third"));
  EXPECT_EQ(content(file), "third");
  EXPECT_EQ(std::distance(fs::directory_iterator(folder_), fs::directory_iterator()), 1) << "a draft was left";
}

TEST_F(DiskFiles, AppendsCutsAndReadsFromAPlace) {
  const std::string file = in_folder("file");
  ASSERT_TRUE(disk_.append(file, "one\n"));
  ASSERT_TRUE(disk_.append(file, "two\n"));
  EXPECT_EQ(disk_.read(file, 4, 100).value(), "two\n");
  ASSERT_TRUE(disk_.cut(file, 4));
  EXPECT_EQ(content(file), "one\n");
  EXPECT_EQ(disk_.facts(file)->value().size, 4u);
  EXPECT_FALSE(disk_.read(file, 0, 3)) << "more than was asked for";
}

TEST_F(DiskFiles, WhatIsMissingIsSaid) {
  EXPECT_FALSE(disk_.facts(in_folder("file"))->has_value());
  EXPECT_FALSE(disk_.read(in_folder("file"), 0, 10));
  EXPECT_FALSE(disk_.append(in_folder("no/file"), "x"));
  EXPECT_FALSE(disk_.replace(in_folder("no/file"), "x"));
  EXPECT_FALSE(disk_.read(folder_.string(), 0, 10)) << "a folder";
}

TEST_F(DiskFiles, OneFileHasOneIdentityUnderAllItsNames) {
  const std::string file = in_folder("file");
  ASSERT_TRUE(disk_.append(file, "one"));
  fs::create_hard_link(file, in_folder("hard"));
  fs::create_symlink(file, in_folder("soft"));
  const auto identity = disk_.facts(file)->value().identity;
  for (const char* name : {"hard", "soft"}) {
    EXPECT_EQ(disk_.facts(in_folder(name))->value().identity, identity) << name;
    EXPECT_EQ(disk_.facts(in_folder(name))->value().names, 2u) << name;
  }
  ASSERT_TRUE(disk_.append(in_folder("other"), "one"));
  EXPECT_NE(disk_.facts(in_folder("other"))->value().identity, identity);
}

// A full disk, played by a limit on the size of files: replacing keeps the old content, and no draft is left.
TEST_F(DiskFiles, AFullDiskKeepsTheOldContent) {
  const std::string file = in_folder("file");
  ASSERT_TRUE(disk_.replace(file, "old"));
  EXPECT_EQ(in_child([&] {
              std::signal(SIGXFSZ, SIG_IGN);
              const rlimit most{1000, 1000};
              setrlimit(RLIMIT_FSIZE, &most);
              return disk_.replace(file, std::string(5000, 'x')) ? 1 : 0;
            }),
            0);
  EXPECT_EQ(content(file), "old");
  EXPECT_EQ(std::distance(fs::directory_iterator(folder_), fs::directory_iterator()), 1) << "a draft was left";
}

}  // namespace
}  // namespace dwell::ledger

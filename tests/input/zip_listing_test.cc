// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// Lists put together byte by byte by PKWARE's public APPNOTE.TXT, 4.3.7 (header of a member),
// 4.3.12 (its entry in the list), 4.3.14 to 4.3.16 (ends), 4.5.3 (64 bits).
#include "input/zip_listing.h"

#include <gtest/gtest.h>

#include <cstdint>
#include <string>
#include <utility>
#include <vector>

namespace ohmglow {
namespace {

std::string Little(std::uint64_t value, int bytes) {
  std::string text;
  for (int i = 0; i < bytes; ++i) {
    text += static_cast<char>(value & 0xFFU);
    value >>= 8U;
  }
  return text;
}

constexpr std::uint64_t kPlainFile = 0100644;
constexpr std::uint64_t kSymbolicLink = 0120777;

struct Member {
  std::string name;
  std::uint64_t mode = kPlainFile;
};

struct Zip {
  std::vector<std::uint64_t> offsets;
  std::string bytes;
};

Zip Stored(const std::vector<Member>& members, bool in_64_bits = false, std::string comment = {}) {
  Zip zip;
  for (const Member& member : members) {
    zip.offsets.push_back(zip.bytes.size());
    zip.bytes += "PK\3\4" + Little(20, 2) + Little(0, 8) + Little(0, 4) + Little(1, 4) +
                 Little(1, 4) + Little(member.name.size(), 2) + Little(0, 2) + member.name + "x";
  }
  const std::uint64_t list = zip.bytes.size();
  for (std::size_t i = 0; i < members.size(); ++i) {
    const std::string extra =
        in_64_bits ? Little(1, 2) + Little(8, 2) + Little(zip.offsets[i], 8) : std::string();
    zip.bytes += "PK\1\2" + Little(20, 1) + Little(3, 1) + Little(20, 2) + Little(0, 8) +
                 Little(0, 4) + Little(1, 4) + Little(1, 4) + Little(members[i].name.size(), 2) +
                 Little(extra.size(), 2) + Little(0, 2) + Little(0, 2) + Little(0, 2) +
                 Little(members[i].mode << 16U, 4) +
                 Little(in_64_bits ? 0xFFFFFFFFU : zip.offsets[i], 4) + members[i].name + extra;
  }
  const std::uint64_t size = zip.bytes.size() - list;
  const std::uint64_t count = members.size();
  if (in_64_bits) {
    const std::uint64_t end = zip.bytes.size();
    zip.bytes += "PK\6\6" + Little(44, 8) + Little(45, 2) + Little(45, 2) + Little(0, 8) +
                 Little(count, 8) + Little(count, 8) + Little(size, 8) + Little(list, 8);
    zip.bytes += "PK\6\7" + Little(0, 4) + Little(end, 8) + Little(1, 4);
  }
  zip.bytes += "PK\5\6" + Little(0, 4) + Little(count, 2) + Little(count, 2) +
               Little(in_64_bits ? 0xFFFFFFFFU : size, 4) +
               Little(in_64_bits ? 0xFFFFFFFFU : list, 4) + Little(comment.size(), 2) + comment;
  return zip;
}

std::optional<ZipListing> ListOf(std::string bytes) {
  return ZipListing::Read(ByteSource::InMemory(std::move(bytes), "film.zip"));
}

TEST(ZipListing, NamesFilesAndLinksByWhereTheyBegin) {
  for (const bool in_64_bits : {false, true}) {
    const Zip zip = Stored({{"a.png"}, {"b.png", kSymbolicLink}, {"c.png"}}, in_64_bits);
    const auto list = ListOf(zip.bytes);
    ASSERT_TRUE(list) << in_64_bits;
    EXPECT_EQ(list->size(), 3U);
    EXPECT_EQ(list->KindAt(zip.offsets[0]), ZipListing::Kind::kFile);
    EXPECT_EQ(list->KindAt(zip.offsets[1]), ZipListing::Kind::kLink);
    EXPECT_EQ(list->KindAt(zip.offsets[2]), ZipListing::Kind::kFile);
    EXPECT_EQ(list->KindAt(zip.offsets[1] + 1), ZipListing::Kind::kUnlisted);
  }
}

TEST(ZipListing, FindsTheEndBeforeAComment) {
  const auto list = ListOf(Stored({{"a.png"}}, false, "taken by the bench").bytes);
  ASSERT_TRUE(list);
  EXPECT_EQ(list->size(), 1U);
}

TEST(ZipListing, ReadsNothingOfWhatIsDamaged) {
  const Zip zip = Stored({{"a.png"}, {"b.png"}});
  EXPECT_FALSE(ListOf(""));
  EXPECT_FALSE(ListOf("no archive at all"));
  EXPECT_FALSE(ListOf(zip.bytes.substr(0, zip.bytes.size() - 1)));
  EXPECT_FALSE(ListOf("in front" + zip.bytes));
  std::string other = zip.bytes;
  other[zip.bytes.find("PK\1\2")] = 'Q';
  EXPECT_FALSE(ListOf(other));
}

}  // namespace
}  // namespace ohmglow

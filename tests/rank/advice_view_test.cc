// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/advice_view.h"

#include <gtest/gtest.h>

#include <limits>

#include "ohmglow/words/say.h"

namespace ohmglow {
namespace {

// 100 x 80 pixels of 0.5 mm, the board's origin at pixel (10, 10).
LocateResult Filmed() {
  LocateResult result;
  result.frame_size_px = {100, 80};
  result.maps.board_from_frame = PlaneMap{{0.5, 0, -5, 0, 0.5, -5, 0, 0, 1}};
  return result;
}

std::vector<std::string> Refs(const std::vector<Part>& parts) {
  std::vector<std::string> refs;
  for (const Part& part : parts) refs.push_back(part.ref);
  return refs;
}

using Names = std::vector<std::string>;

TEST(PartsNotInView, AreThoseOfWhichLessThanHalfShows) {
  const std::vector<Part> parts{{"U1", {20, 15}, 4, 4, BoardSide::kTop, "ic"},
                                {"C2", {60, 15}, 1, 2, BoardSide::kTop, "cap"},
                                {"C3", {20, 50}, 1, 2, BoardSide::kBottom, "cap"},
                                {"U4", {43, 15}, 6, 4, BoardSide::kTop, "ic"},
                                {"U5", {46, 15}, 6, 4, BoardSide::kTop, "ic"}};
  // The picture ends at 44.75 mm: U4 shows by more than half, U5 by less.
  EXPECT_EQ(Refs(PartsNotInView(parts, Filmed())), (Names{"C2", "C3", "U5"}));
  LocateResult unmapped = Filmed();
  unmapped.maps.board_from_frame.reset();
  EXPECT_TRUE(PartsNotInView(parts, unmapped).empty());
}

TEST(PartsNotInView, CountsWhatIsMasked) {
  const std::vector<Part> parts{{"U1", {20, 15}, 4, 4, BoardSide::kTop, "ic"},
                                {"C2", {5, 15}, 1, 2, BoardSide::kTop, "cap"}};
  LocateResult result = Filmed();
  result.limit_w = Image(80, 100, 0.002F);
  EXPECT_TRUE(PartsNotInView(parts, result).empty());
  result.limit_w(cv::Rect(40, 30, 20, 20)) = std::numeric_limits<float>::quiet_NaN();
  EXPECT_EQ(Refs(PartsNotInView(parts, result)), (Names{"U1"}));
}

TEST(InBoth, TellsTheSidesApart) {
  const Part top{"C1", {}, 1, 1, BoardSide::kTop, ""};
  const Part bottom{"C1", {}, 1, 1, BoardSide::kBottom, ""};
  EXPECT_EQ(InBoth({top}, {bottom}).size(), 0U);
  EXPECT_EQ(InBoth({top, bottom}, {bottom}).size(), 1U);
}

TEST(NamesOf, NamesTheLargestAndCountsTheRest) {
  std::vector<Part> parts{{"C1", {}, 1, 1, BoardSide::kTop, ""}};
  EXPECT_TRUE(NamesOf({}).empty());
  EXPECT_EQ(Say(NamesOf(parts)), "C1");
  parts.push_back({"U7", {}, 5, 5, BoardSide::kTop, ""});
  EXPECT_EQ(Say(NamesOf(parts)), "U7 and C1");
  for (const char* ref : {"C2", "C3", "C4"}) parts.push_back({ref, {}, 1, 1, BoardSide::kTop, ""});
  EXPECT_EQ(Say(NamesOf(parts)), "U7, C1, C2, C3 and C4");
  parts.push_back({"C5", {}, 1, 1, BoardSide::kTop, ""});
  EXPECT_EQ(Say(NamesOf(parts)), "U7, C1, C2, C3 and 2 others of the parts list");
}

}  // namespace
}  // namespace ohmglow

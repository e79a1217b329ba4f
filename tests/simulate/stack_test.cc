// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "simulate/stack.h"

#include <gtest/gtest.h>

#include "ohmglow/base/error.h"
#include "simulate/description.h"
#include "simulate/march.h"

namespace ohmglow::simulate {
namespace {

Scenario Plain(std::uint64_t seed) { return Draw(DefaultDescription(), seed); }

TEST(MakeBoard, KeepsPartsApartAndOnTheBoard) {
  const Board board = MakeBoard(Plain(5));
  EXPECT_GT(board.parts.size(), 25U);
  for (std::size_t i = 0; i < board.parts.size(); ++i) {
    const auto& a = board.parts[i];
    EXPECT_GE(a.box_mm.x, 0);
    EXPECT_LE(a.box_mm.br().x, board.width_mm) << a.ref;
    for (std::size_t j = 0; j < i; ++j) {
      const auto& b = board.parts[j];
      if (a.top == b.top) {
        EXPECT_EQ((a.box_mm & b.box_mm).area(), 0) << a.ref << ' ' << b.ref;
      }
    }
  }
}

TEST(MakeBoard, PutsTheNeighbourAtItsDistance) {
  Scenario s = Plain(5);
  s.fault_neighbor_mm = 2.5;
  const Board board = MakeBoard(s);
  EXPECT_NEAR(cv::norm(board.parts[0].center_mm() - board.parts[1].center_mm()), 2.5, 1e-9);
}

TEST(MakeStack, IsPatchyByTenAndMore) {
  const BoardStack stack = MakeStack(MakeBoard(Plain(2)), Plain(2));
  double low = 0;
  double high = 0;
  cv::minMaxLoc(stack.sheet_w_k, &low, &high);
  EXPECT_GE(low, 1.05e-3 * 1.2);  // Never less than the bare laminate.
  EXPECT_GT(high, 10 * low);
}

// Islands and vias change the copper alone: parts and all other chance stay.
TEST(MakeStack, IsPatchierWithIslandsAndVias) {
  Scenario s = Plain(2);
  const Board plain = MakeBoard(s);
  const BoardStack even = MakeStack(plain, s);
  s.islands = 20;
  s.via_groups = 30;
  const Board board = MakeBoard(s);
  const BoardStack stack = MakeStack(board, s);
  ASSERT_EQ(board.parts.size(), plain.parts.size());
  for (std::size_t i = 0; i < board.parts.size(); ++i) {
    EXPECT_EQ(board.parts[i].box_mm, plain.parts[i].box_mm);
  }
  EXPECT_FALSE(board.via_cells.empty());
  const auto through = [](const BoardStack& one) {
    double sum = 0;
    for (const float g : one.plate.gz_w_k) sum += static_cast<double>(g);
    return sum;
  };
  EXPECT_GT(through(stack), 1.1 * through(even));
  const auto bare = [](const BoardStack& one) { return cv::countNonZero(one.sheet_w_k < 2e-3F); };
  EXPECT_GT(bare(stack), bare(even));
}

TEST(MakeSources, ScalesTheCurrentsHeatAlone) {
  Scenario s = Plain(4);
  s.standby_w = 0.05;
  s.switched = 2;
  const Board board = MakeBoard(s);
  const BoardStack stack = MakeStack(board, s);
  const std::vector<HeatSource> once = MakeSources(s, board, stack);
  s.power_scale = 10;
  const std::vector<HeatSource> more = MakeSources(s, board, stack);
  ASSERT_EQ(once.size(), more.size());
  int by_themselves = 0;
  for (std::size_t i = 0; i < once.size(); ++i) {
    const bool current = once[i].when == HeatSource::When::kCurrent;
    EXPECT_NEAR(more[i].power_w, (current ? 10 : 1) * once[i].power_w, 1e-9) << once[i].ref;
    by_themselves += once[i].kind == "switched" ? 1 : 0;
  }
  EXPECT_EQ(by_themselves, 2);
}

TEST(MakeSources, SaysWhereNoPartIsForTheFault) {
  Scenario s = Plain(4);
  s.bottom_share = 0;
  s.fault_side = "far";
  const Board board = MakeBoard(s);
  try {
    static_cast<void>(MakeSources(s, board, MakeStack(board, s)));
    FAIL() << "no error";
  } catch (const DataError& e) {
    EXPECT_NE(std::string(e.what()).find("raise parts.chips or parts.bottom_share"),
              std::string::npos);
  }
}

// What one watt does on parts of its own side lies where finite-element boards
// put it: chips 70 to 320 K/W, moulded parts 10 to 46 K/W five seconds after a step.
TEST(HeatMarch, WarmsPartsByAsMuchAsTheyDo) {
  Scenario s = Plain(3);
  s.contacts = 0;
  s.track_w = s.inductor_w = 0;
  s.fault_power_w = 1;
  s.seconds = 60;
  for (const auto& [kind, low, high] :
       {std::tuple{"chip", 50.0, 350.0}, std::tuple{"circuit", 8.0, 60.0}}) {
    s.fault_part = kind;
    const Board board = MakeBoard(s);
    const BoardStack stack = MakeStack(board, s);
    const Drive drive{{{0, 60, 1}}, 1};
    const auto sources = MakeSources(s, board, stack);
    HeatMarch march(stack, sources, drive);
    march.AdvanceTo(5);
    Image rise;
    march.Rise(true, -1, rise);
    double peak = 0;
    cv::Point at;
    cv::minMaxLoc(rise, nullptr, &peak, nullptr, &at);
    EXPECT_GT(peak, low) << kind;
    EXPECT_LT(peak, high) << kind;
    EXPECT_LT(
        cv::norm(Point((at.x + 0.5) * kCellMm, (at.y + 0.5) * kCellMm) - sources[0].center_mm),
        2.0);
  }
}

}  // namespace
}  // namespace ohmglow::simulate

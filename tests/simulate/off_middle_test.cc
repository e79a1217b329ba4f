// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "simulate/off_middle.h"

#include <gtest/gtest.h>

#include <cmath>

#include "simulate/description.h"
#include "simulate/sources.h"

namespace ohmglow::simulate {
namespace {

std::vector<HeatSource> Sources(const char* kind, double share, std::uint64_t seed) {
  Scenario s = Draw(DefaultDescription(), seed);
  s.fault_part = kind;
  s.off_middle_share = share;
  const Board board = MakeBoard(s);
  return MakeSources(s, board, MakeStack(board, s));
}

Point MiddleOfCells(const HeatSource& source, const Board& board) {
  const auto width = static_cast<std::size_t>(board.cells().width);
  const auto area = width * static_cast<std::size_t>(board.cells().height);
  Point sum(0, 0);
  for (const auto& [cell, share] : source.cells) {
    const std::size_t at = cell % area;
    sum += share * kCellMm *
           Point(static_cast<double>(at % width) + 0.5, static_cast<double>(at / width) + 0.5);
  }
  return sum;
}

TEST(HotPiece, OfAChipMovesToAnEndAndKeepsTheWidth) {
  const BoardPart chip = {"C1", PartKind::kChip, {10, 20, 3, 1.5}, true};
  int low = 0;
  for (std::uint64_t seed = 0; seed < 40; ++seed) {
    Random random(seed, "test");
    const cv::Rect2d end = HotPiece(chip, 1, random);
    EXPECT_EQ(end.width, 1);
    EXPECT_EQ(end.height, 1.5);
    EXPECT_EQ(end.y, 20);
    EXPECT_TRUE(end.x == 10 || end.x == 12) << end.x;
    low += end.x == 10 ? 1 : 0;
  }
  EXPECT_GT(low, 8);
  EXPECT_LT(low, 32);
  Random random(1, "test");
  EXPECT_EQ(HotPiece(chip, 0, random), cv::Rect2d(11, 20, 1, 1.5));
}

// One circuit in four is hot at its rim, the others within 0.7 of it.
TEST(HotPiece, OfACircuitIsOnTheDiesRimOrAtAPin) {
  const BoardPart circuit = {"U1", PartKind::kCircuit, {10, 20, 10, 10}, true};
  int pins = 0;
  for (std::uint64_t seed = 0; seed < 200; ++seed) {
    Random random(seed, "test");
    const cv::Rect2d piece = HotPiece(circuit, 1, random);
    const Point off = Point(piece.x + 0.5, piece.y + 0.5) - circuit.center_mm();
    const double most = std::max(std::abs(off.x), std::abs(off.y));
    if (std::abs(most - 4.5) < 1e-9) {
      ++pins;
    } else {
      EXPECT_GE(most, 0.3 * 5 - 0.5);
      EXPECT_LE(most, 0.7 * 5 - 0.5);
    }
  }
  EXPECT_NEAR(pins, 50, 18);  // Three standard deviations.
}

TEST(MakeSources, HeatsWhereItSaysItDoes) {
  for (const char* kind : {"chip", "circuit", "transistor"}) {
    for (std::uint64_t seed = 1; seed < 6; ++seed) {
      const Board board = MakeBoard(Draw(DefaultDescription(), seed));
      const HeatSource fault = Sources(kind, 0.83, seed).front();
      double sum = 0;
      for (const auto& cell : fault.cells) sum += cell.second;
      EXPECT_NEAR(sum, 1, 1e-9);
      EXPECT_LT(cv::norm(MiddleOfCells(fault, board) - fault.center_mm), 1e-9);
      const BoardPart& part = board.parts[static_cast<std::size_t>(fault.part)];
      EXPECT_EQ(part.ref, fault.ref);
      EXPECT_TRUE(part.box_mm.contains(fault.center_mm));
      EXPECT_GT(cv::norm(part.center_mm() - fault.center_mm), 0.05);
    }
  }
}

// All else is drawn as before: the share has a stream of chance of its own.
TEST(MakeSources, LeavesAllElseWhereItWas) {
  const auto middle = Sources("chip", 0, 4);
  const auto off = Sources("chip", 0.9, 4);
  ASSERT_EQ(middle.size(), off.size());
  EXPECT_EQ(middle[0].ref, off[0].ref);
  EXPECT_NE(middle[0].center_mm, off[0].center_mm);
  for (std::size_t k = 1; k < middle.size(); ++k) {
    EXPECT_EQ(middle[k].center_mm, off[k].center_mm);
    EXPECT_EQ(middle[k].power_w, off[k].power_w);
  }
}

}  // namespace
}  // namespace ohmglow::simulate

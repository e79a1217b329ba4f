// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/color.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <vector>

#include "picture/color_scale.h"
#include "picture/style.h"

namespace ohmglow::internal {
namespace {

Color FromBytes(int red, int green, int blue) {
  return {red / 255.0, green / 255.0, blue / 255.0, 1};
}

// Source: WCAG 2.2 (W3C 2023), contrast ratio; values of black, #767676,
// #777777 and #0000FF on white recomputed from its formula.
TEST(ContrastRatio, MatchesWcagValues) {
  EXPECT_NEAR(ContrastRatio(FromBytes(0, 0, 0), kPaper), 21, 1e-9);
  EXPECT_NEAR(ContrastRatio(FromBytes(0x76, 0x76, 0x76), kPaper), 4.542, 5e-4);
  EXPECT_NEAR(ContrastRatio(FromBytes(0x77, 0x77, 0x77), kPaper), 4.478, 5e-4);
  EXPECT_NEAR(ContrastRatio(FromBytes(0, 0, 0xFF), kPaper), 8.592, 5e-4);
}

// WCAG 2.2, 1.4.3: text 4.5 : 1.
TEST(Style, GivesEveryTextEnoughContrast) {
  EXPECT_GE(ContrastRatio(kInk, kPaper), 4.5);
  EXPECT_GE(ContrastRatio(kSoftInk, kPaper), 4.5);
  EXPECT_GE(ContrastRatio(kStrongText, kStrong), 4.5);
  EXPECT_GE(ContrastRatio(kWeakText, kWeak), 4.5);
}

// WCAG 2.2, 1.4.11: parts of graphics 3 : 1. A ring has a light line and a dark
// halo: one of them stands out from any grey.
TEST(Style, LetsARingStandOutFromAnyBackground) {
  for (int grey = 0; grey < 256; ++grey) {
    const Color ground = FromBytes(grey, grey, grey);
    for (const Color line : {kRing, kWeakRing}) {
      EXPECT_GE(std::max(ContrastRatio(line, ground), ContrastRatio(kHalo, ground)), 3) << grey;
    }
  }
  EXPECT_GE(ContrastRatio(kStrong, kPaper), 3);
  EXPECT_GE(ContrastRatio(kSoftInk, kWeak), 3);
}

// Source: CIE 15, L* of white 100, of black 0, of sRGB mid grey #777777 50.03
// (recomputed).
TEST(Lightness, MatchesCieValues) {
  EXPECT_NEAR(Lightness(kPaper), 100, 1e-3);
  EXPECT_NEAR(Lightness({0, 0, 0, 1}), 0, 1e-9);
  EXPECT_NEAR(Lightness(FromBytes(0x77, 0x77, 0x77)), 50.03, 0.01);
}

// The rule that published uniform tables keep: L* rises at every step (Smith,
// van der Walt, Firing, mpl colormaps 2015).
TEST(ColorScale, RisesInLightnessAtEveryStep) {
  const ColorScale scale(-0.3, 3.0);
  double before = Lightness(scale.At(scale.low()));
  for (int i = 1; i <= 200; ++i) {
    const double now = Lightness(scale.At(scale.ValueAt(i / 200.0)));
    EXPECT_GT(now, before) << i;
    EXPECT_LT(now - before, 1.0) << i;
    before = now;
  }
  EXPECT_GT(before - Lightness(scale.At(scale.low())), 80);
}

TEST(ColorScale, ShowsZeroNeutralPositiveWarmAndNegativeBlue) {
  const ColorScale scale(-1, 2);
  const Color zero = scale.At(0);
  EXPECT_NEAR(zero.red, zero.blue, 0.01);
  EXPECT_NEAR(zero.red, zero.green, 0.01);
  EXPECT_GT(scale.At(0.3).red, scale.At(0.3).blue + 0.1);
  EXPECT_GT(scale.At(-0.3).blue, scale.At(-0.3).red + 0.1);
}

TEST(ColorScale, InvertsItsOwnPositions) {
  const ColorScale scale(-0.2, 5);
  for (const double value : {-0.2, -0.05, 0.0, 0.01, 1.0, 5.0}) {
    EXPECT_NEAR(scale.ValueAt(scale.Position(value)), value, 1e-12);
  }
}

TEST(ColorScale, LabelsRoundValuesApartAndZeroAmongThem) {
  for (const double high : {0.0042, 0.08, 1.0, 3.38, 47.0}) {
    const ColorScale scale(-0.1 * high, high);
    const std::vector<double> ticks = scale.Ticks(0.05);
    EXPECT_GE(ticks.size(), 4U) << high;
    EXPECT_EQ(std::count(ticks.begin(), ticks.end(), 0.0), 1);
    for (std::size_t i = 0; i < ticks.size(); ++i) {
      EXPECT_GE(ticks[i], scale.low());
      EXPECT_LE(ticks[i], scale.high());
      if (i > 0) {
        EXPECT_GE(scale.Position(ticks[i]) - scale.Position(ticks[i - 1]), 0.05 - 1e-12);
      }
      if (ticks[i] == 0) continue;
      const double decade = std::pow(10, std::floor(std::log10(std::abs(ticks[i])) + 1e-9));
      const double digit = std::abs(ticks[i]) / decade;
      EXPECT_TRUE(std::abs(digit - 1) < 1e-9 || std::abs(digit - 2) < 1e-9 ||
                  std::abs(digit - 5) < 1e-9)
          << ticks[i];
    }
  }
}

TEST(ColorScale, GivesTheSameColoursAsAStaircase) {
  for (const double low : {-1.0, -0.02, 0.0}) {
    const ColorScale scale(low, 2);
    const std::vector<ColorScale::Step> steps = scale.Steps();
    int others = 0;
    for (int i = -1500; i <= 2500; ++i) {
      const double value = 0.001 * i + 1e-5;
      const auto after = std::find_if(
          steps.begin(), steps.end(), [&](const ColorScale::Step& s) { return s.from > value; });
      const Color color = std::prev(after)->color;
      const Color wanted = scale.At(value);
      others += color.red != wanted.red || color.green != wanted.green || color.blue != wanted.blue;
    }
    EXPECT_EQ(others, 0) << low;
  }
}

TEST(ColorScale, ClampsAndSurvivesWhatIsNoNumber) {
  const ColorScale scale(-1, 2);
  EXPECT_EQ(Lightness(scale.At(99)), Lightness(scale.At(2)));
  EXPECT_EQ(Lightness(scale.At(-99)), Lightness(scale.At(-1)));
  EXPECT_NO_THROW(static_cast<void>(scale.At(std::nan(""))));
}

}  // namespace
}  // namespace ohmglow::internal

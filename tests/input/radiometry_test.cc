// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/input/radiometry.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "expect_error.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

using testing::ExpectError;

// Sources: h, k, c: SI Brochure, 9th ed. (BIPM 2019), Table 1; the rest CODATA
// 2018: Tiesinga, Mohr, Newell, Taylor, Rev. Mod. Phys. 93 (2021) 025010.
TEST(RadiationConstants, AreThePublishedOnes) {
  EXPECT_EQ(kPlanckJS, 6.62607015e-34);
  EXPECT_EQ(kBoltzmannJPerK, 1.380649e-23);
  EXPECT_EQ(kLightMPerS, 299792458);
  EXPECT_NEAR(kStefanBoltzmannWPerM2K4, 5.670374419e-8, 1e-17);
  EXPECT_NEAR(kFirstRadiationWM2, 3.741771852e-16, 1e-25);
  EXPECT_NEAR(kSecondRadiationMK, 1.438776877e-2, 1e-11);
}

TEST(RadiationConstants, StefanBoltzmannFollowsFromTheOthers) {
  const double pi5 = std::pow(std::numbers::pi, 5);
  const double sigma = 2 * pi5 * std::pow(kBoltzmannJPerK, 4) /
                       (15 * std::pow(kPlanckJS, 3) * std::pow(kLightMPerS, 2));
  EXPECT_NEAR(kStefanBoltzmannWPerM2K4 / sigma, 1, 1e-12);
}

// Stefan-Boltzmann law with the constant of CODATA 2018.
TEST(RadiationConstants, GiveTheExitanceAt300K) {
  EXPECT_NEAR(kStefanBoltzmannWPerM2K4 * std::pow(300, 4), 459.300, 0.001);
  // Linearised radiation 4 sigma T^3 of a black surface at 300 K.
  EXPECT_NEAR(4 * kStefanBoltzmannWPerM2K4 * std::pow(300, 3), 6.124, 5e-4);
}

// Wien's displacement constant 2.897771955e-3 m K (CODATA 2018): the exitance per
// wavelength, which is dF/dx T sigma T^4, peaks there.
TEST(BlackbodyFraction, IsSteepestWherePlanckSaysSo) {
  const auto density = [](double x_um_k) {
    return (BlackbodyFraction(x_um_k + 0.5) - BlackbodyFraction(x_um_k - 0.5));
  };
  const double peak_um_k = 2897.77;
  EXPECT_GT(density(peak_um_k), density(peak_um_k - 30));
  EXPECT_GT(density(peak_um_k), density(peak_um_k + 30));
}

// Source: Incropera, DeWitt, Bergman, Lavine, Fundamentals of Heat and Mass
// Transfer, 6th ed. 2007, Table 12.1, seen in a copy. The printed values exceed
// the exact ones by up to 4.8e-5 (older constants), hence 6e-5.
TEST(BlackbodyFraction, AgreesWithThePrintedTable) {
  struct Row {
    double lambda_t_um_k;
    double fraction;
  };
  constexpr std::array<Row, 17> kTable = {{{1000, 0.000321},
                                           {1400, 0.007790},
                                           {1600, 0.019718},
                                           {2000, 0.066728},
                                           {2400, 0.140256},
                                           {2800, 0.227897},
                                           {3000, 0.273232},
                                           {3200, 0.318102},
                                           {3600, 0.403607},
                                           {4000, 0.480877},
                                           {4200, 0.516014},
                                           {4400, 0.548796},
                                           {5000, 0.633747},
                                           {6000, 0.737818},
                                           {8000, 0.856288},
                                           {10000, 0.914199},
                                           {20000, 0.985602}}};
  for (const Row& row : kTable) {
    EXPECT_NEAR(BlackbodyFraction(row.lambda_t_um_k), row.fraction, 6e-5) << row.lambda_t_um_k;
  }
}

// Source: numerical integral of Planck's law with the constants above, computed
// outside this project's code.
TEST(BandExitance, AgreesWithQuadrature) {
  EXPECT_NEAR(BandExitance(293.15), 155.1095, 0.001);
  EXPECT_NEAR(BandExitance(300), 172.5786, 0.001);
  EXPECT_NEAR(BandExitance(323.15), 239.9749, 0.001);
  EXPECT_NEAR(BandExitanceSlope(293.15), 2.46860, 1e-4);
  EXPECT_NEAR(BandExitanceSlope(300), 2.63209, 1e-4);
  EXPECT_NEAR(BandExitanceSlope(323.15), 3.19166, 1e-4);
  EXPECT_NEAR(BandExitance(300) / 459.300, 0.37574, 2e-5);
  EXPECT_NEAR(300 * BandExitanceSlope(300) / BandExitance(300), 4.5755, 5e-4);
}

TEST(BandExitance, SlopeIsTheDerivative) {
  for (const double t : {120.0, 250.0, 400.0, 1500.0}) {
    const double difference = (BandExitance(t + 0.01) - BandExitance(t - 0.01)) / 0.02;
    EXPECT_NEAR(BandExitanceSlope(t) / difference, 1, 1e-6) << t;
  }
}

// Source: measurement equation (Usamentiaga et al., Sensors 14 (2014)
// 12305-12348; place from memory) with the exact 8-14 um integral.
TEST(ObjectTemperature, GivesTheApparentTemperatureOfAGreyObject) {
  const ObjectTemperature grey({.emissivity = 0.93, .reflected_k = 296.15});
  EXPECT_NEAR(grey.ToApparent(320), 318.4760, 0.001);
  EXPECT_NEAR(grey.FromApparent(318.4760), 320, 0.001);
}

// As above: a true rise of 3 K at emissivity 0.5 shows as 1.5104 K.
TEST(ObjectTemperature, ShrinksARiseByTheEmissivityToFirstOrder) {
  const ObjectTemperature half({.emissivity = 0.5, .reflected_k = 296.15});
  EXPECT_NEAR(half.ToApparent(299.15) - half.ToApparent(296.15), 1.51044, 1e-4);
}

TEST(ObjectTemperature, LeavesABlackSurfaceAlone) {
  const ObjectTemperature black({.emissivity = 1, .reflected_k = 250});
  EXPECT_EQ(black.FromApparent(301.25), 301.25);
  EXPECT_EQ(black.FromApparentFast(301.25F), 301.25F);
}

TEST(ObjectTemperature, LeavesTheReflectedTemperatureAlone) {
  const ObjectTemperature shiny({.emissivity = 0.2, .reflected_k = 297.5});
  EXPECT_NEAR(shiny.FromApparent(297.5), 297.5, 1e-4);
}

TEST(ObjectTemperature, SolvesTheEquationWithinATenthOfAMillikelvin) {
  for (const double emissivity : {0.3, 0.6, 0.93}) {
    const ObjectTemperature surface({.emissivity = emissivity, .reflected_k = 293.15});
    for (double object_k = 251.3; object_k < 590; object_k += 7.77) {
      const double seen = surface.ToApparent(object_k);
      // What is left of the equation with the series itself, as kelvin.
      const double left = emissivity * BandExitance(object_k) +
                          (1 - emissivity) * BandExitance(293.15) - BandExitance(seen);
      EXPECT_LT(std::abs(left / BandExitanceSlope(seen)), 1e-4 * emissivity) << object_k;
      EXPECT_NEAR(surface.FromApparent(seen), object_k, 1e-4);
    }
  }
}

TEST(ObjectTemperature, HasATableForPixelsThatAgrees) {
  for (const double emissivity : {0.1, 0.93}) {
    const ObjectTemperature surface({.emissivity = emissivity, .reflected_k = 293.15});
    // From a cool object up to beyond the end of the table at 600 K; with an
    // emissivity of 0.1 the object itself would pass 2000 K soon after 400 K.
    const float last_k = emissivity < 0.5 ? 400.0F : 650.0F;
    for (float seen = 291.03F; seen < last_k; seen += 0.137F) {
      const double exact = surface.FromApparent(static_cast<double>(seen));
      ASSERT_FALSE(std::isnan(exact)) << seen;
      // A float near 1000 K is good to 3e-5 K.
      EXPECT_NEAR(static_cast<double>(surface.FromApparentFast(seen)), exact, 1e-4) << seen;
    }
  }
}

TEST(ObjectTemperature, IsNanWhereThereIsNoAnswer) {
  const ObjectTemperature shiny({.emissivity = 0.1, .reflected_k = 293.15});
  EXPECT_TRUE(std::isnan(shiny.FromApparent(270)));  // Less than the reflection alone.
  EXPECT_TRUE(std::isnan(shiny.FromApparentFast(270)));
  EXPECT_TRUE(std::isnan(shiny.FromApparent(50)));
  EXPECT_TRUE(std::isnan(shiny.FromApparent(1e9)));
  EXPECT_TRUE(std::isnan(shiny.FromApparent(std::nan(""))));
  EXPECT_TRUE(std::isnan(shiny.FromApparentFast(INFINITY)));
  EXPECT_TRUE(std::isnan(shiny.ToApparent(-1)));
}

TEST(SurfaceOptions, NameTheFieldAndTheRule) {
  ExpectError<OptionError>([] { SurfaceOptions{0, 300}.Validate(); }, {"emissivity = 0", "(0, 1]"});
  ExpectError<OptionError>([] { SurfaceOptions{1.01, 300}.Validate(); }, {"emissivity = 1.01"});
  ExpectError<OptionError>([] { SurfaceOptions{std::nan(""), 300}.Validate(); }, {"emissivity"});
  ExpectError<OptionError>(
      [] {
        ObjectTemperature({0.9, 23});
      },
      {"reflected_k = 23", "100 .. 2000 K"});
}

}  // namespace
}  // namespace ohmglow

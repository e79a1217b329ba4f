// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <cmath>

#include "simulate/capture.h"
#include "simulate/description.h"
#include "simulate/drive.h"
#include "simulate/limits.h"
#include "simulate/motion.h"
#include "simulate/radiance.h"
#include "simulate/surface.h"

namespace ohmglow::simulate {
namespace {

Scenario Plain() { return Draw(DefaultDescription(), 6); }

TEST(MakeDrive, RisesInStepsToTheTopCurrent) {
  Scenario s = Plain();
  s.levels = 4;
  s.step_s = 5;
  s.end_zero = 1;
  s.seconds = 40;
  const Drive drive = MakeDrive(s);
  ASSERT_EQ(drive.levels.size(), 5U);
  EXPECT_EQ(drive.Amps(s.baseline_s - 0.01), 0);
  for (std::size_t k = 1; k < 4; ++k) {
    EXPECT_GT(drive.levels[k].amps, drive.levels[k - 1].amps);
    EXPECT_EQ(drive.levels[k].start_s, drive.levels[k - 1].end_s);
  }
  EXPECT_NEAR(drive.top_amps, s.top_amps, 0.02 * s.top_amps);
  EXPECT_EQ(drive.Amps(39), 0);
}

// Log time + offset = frame time, so the first row above 0 A lies within one
// row of the first level; volts carry the leads.
TEST(MakeLog, RunsOnItsOwnClock) {
  Scenario s = Plain();
  s.clock_offset_s = -2.5;
  s.time_origin_s = 40;
  const Drive drive = MakeDrive(s);
  const auto rows = MakeLog(drive, s, 0.5, 0.3);
  for (const auto& row : rows) {
    if (row.amps <= 0) continue;
    const double frame_time_s = row.time_s + s.clock_offset_s - s.time_origin_s;
    EXPECT_GE(frame_time_s, drive.levels[0].start_s - 1e-9);
    EXPECT_LT(frame_time_s, drive.levels[0].start_s + 1 / s.log_hz);
    EXPECT_NEAR(row.volts, 0.3 + drive.levels[0].amps * (0.5 + s.lead_ohm), 0.02);
    break;
  }
  EXPECT_EQ(rows.front().amps, 0);
}

TEST(MakeMotion, StartsAtIdentityAndMovesAsItsHolderDoes) {
  Scenario s = Plain();
  s.motion_px = 2;
  std::vector<double> times;
  for (int n = 0; n < 240; ++n) times.push_back(n / 8.0);
  const auto largest = [&](const char* kind) {
    s.motion = kind;
    const auto all = MakeMotion(s, times);
    EXPECT_EQ(all[0].dx_px, 0);
    EXPECT_EQ(all[0].scale, 1);
    double most = 0;
    for (const auto& m : all) most = std::max(most, std::hypot(m.dx_px, m.dy_px));
    return most;
  };
  EXPECT_LT(largest("tripod"), 0.08);
  EXPECT_GT(largest("arm"), 0.5);
  EXPECT_GT(largest("hand"), 0.5);
  EXPECT_GT(largest("bump"), 1.9);
}

// Off unless asked for: other descriptions must stay as they are.
TEST(MakeTiltSway, StartsAtRestAndWandersAsFarAsAsked) {
  Scenario s = Plain();
  std::vector<double> times;
  for (int n = 0; n < 240; ++n) times.push_back(n / 8.0);
  s.tilt_sway_deg = 0;
  EXPECT_TRUE(MakeTiltSway(s, times).empty());
  s.tilt_sway_deg = 2;
  const auto sway_deg = MakeTiltSway(s, times);
  ASSERT_EQ(sway_deg.size(), times.size());
  EXPECT_EQ(cv::norm(sway_deg.front()), 0);
  double most = 0;
  for (const auto& v : sway_deg) most = std::max(most, cv::norm(v));
  EXPECT_GT(most, 0.5);
  EXPECT_LT(most, 12);
}

// Measured rise = emissivity x true rise (first order of the measurement
// equation, Usamentiaga et al., Sensors 14 (2014) 12305-12348), and what is
// reflected comes with the rest.
TEST(Radiance, WeighsHeatAndReflectionByEmissivity) {
  Scenario s = Plain();
  s.reflected_k = s.ambient_drift_k = s.base_k = s.wires = 0;
  const Board board = MakeBoard(s);
  Reflection mirror{2, board.parts[0].center_mm(), {0, 0}, 1e6};
  Radiance radiance(s, MakeSurface(board, s, {}), mirror, MakeDrive(s));
  Image cold(board.cells(), 0.0F);
  Image warm(board.cells(), 3.0F);
  Image before, after, signal;
  radiance.Compose(cold, 0, before);
  radiance.Compose(warm, 0, after);
  radiance.Signal(warm, signal);
  const int margin = static_cast<int>(kMarginMm / kFineMm);
  const auto& surface = radiance.surface();
  for (int k = 5; k < 190; k += 7) {
    const cv::Point at(margin + k, margin + k);
    const float e = surface.emissivity(at);
    EXPECT_NEAR(after(at) - before(at), 3 * e, 1e-3);
    EXPECT_NEAR(signal(at), 3 * e, 1e-5);
    EXPECT_NEAR(
        before(at) - (273.15 + s.ambient_c), 2 * (1 - e) * surface.reflectivity_texture(at), 1e-3);
  }
  EXPECT_EQ(signal(5, 5), 0);
}

// One lag of 25 s: 1 - exp(-t/25) of the full rise under full current.
TEST(WireWarmth, FollowsOneLag) {
  const Drive drive{{{0, 100, 2}}, 2};
  WireWarmth wire(0.8, drive);
  EXPECT_NEAR(wire.AdvanceTo(25), 0.8 * (1 - std::exp(-1.0)), 0.002);
}

// A Gaussian spot, sigma/A = 0.06: 0.04787 px whatever its width (recomputed;
// Thompson, Larson, Webb, Biophys. J. 82 (2002) 2775, background term).
TEST(SignalMeter, GivesTheCramerRaoBoundOfASpot) {
  for (const double width : {3.0, 5.0}) {
    Image spot(81, 81);
    double energy = 0;
    for (int y = 0; y < 81; ++y) {
      for (int x = 0; x < 81; ++x) {
        const double r2 = (x - 40.3) * (x - 40.3) + (y - 39.8) * (y - 39.8);
        spot(y, x) = static_cast<float>(std::exp(-0.5 * r2 / (width * width)));
        energy += static_cast<double>(spot(y, x)) * spot(y, x);
      }
    }
    SignalMeter meter;
    meter.Add(spot, 1);
    const SignalLimits limits = meter.Limits(0.06);
    // Central differences see a slope smaller by about 1/(4 width^2).
    EXPECT_NEAR(limits.bound_x_px, 0.04787, 0.04787 / (3 * width * width));
    EXPECT_NEAR(limits.bound_y_px, limits.bound_x_px, 1e-4);
    EXPECT_NEAR(limits.ideal_snr, std::sqrt(energy) / 0.06, 1e-3);
    EXPECT_EQ(limits.peak_px, cv::Point(40, 40));
  }
}

// The pair of captures that shows one board from both sides.
TEST(CaseFilm, OtherIsTheSameBoardWithTheSameHeatSeenFromBehind) {
  Description description = DefaultDescription();
  description["board.side"] = "bottom";
  description["fault.side"] = "far";
  description["fault.neighbor_mm"] = "2.5";
  const Setting front = MakeSetting(Draw(description, 6001));
  description["case.film"] = "other";
  description["case.capture"] = "1";
  description["other.wires"] = "1";
  const Setting back = MakeSetting(Draw(description, 6001));
  EXPECT_FALSE(front.scenario.top());
  EXPECT_TRUE(back.scenario.top());
  EXPECT_TRUE(front.view.mirrored);
  EXPECT_FALSE(back.view.mirrored);
  ASSERT_EQ(front.board.parts.size(), back.board.parts.size());
  ASSERT_EQ(front.sources.size(), back.sources.size());
  for (std::size_t i = 0; i < front.sources.size(); ++i) {
    EXPECT_EQ(front.sources[i].ref, back.sources[i].ref);
    EXPECT_EQ(front.sources[i].top, back.sources[i].top);
    EXPECT_EQ(front.sources[i].center_mm, back.sources[i].center_mm);
  }
  EXPECT_TRUE(front.sources[0].top);  // Far from a camera that sees the bottom.
  // The leads are clipped on where nobody sees them now.
  EXPECT_TRUE(MakeSurface(back.board, back.scenario, back.sources).wire_paths_mm.empty());
}

}  // namespace
}  // namespace ohmglow::simulate

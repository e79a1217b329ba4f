// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/session.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <functional>
#include <limits>
#include <optional>

namespace ohmglow::record {
namespace {

constexpr double kRate = 8;

SessionOptions Options() {
  SessionOptions options;
  options.limits = {5, 2, 15, 60, 60};
  options.pattern.top_amps_a = 2;
  options.pattern.seconds_s = 59;
  options.rate_hz = kRate;
  options.until = 0.97;
  return options;
}

// Plays a board whose warm place rises by `ohmic_k` x amps^2 within a second or so.
struct Played {
  double end_s = 0;
  double most_a = 0;
  double off_s = -1;  // When the current went to zero for good.
};

Played Play(Session& session, double ohmic_k, const std::function<void(double, Session&)>& at) {
  Played played;
  double rise_k = 0;
  for (int n = 0;; ++n) {
    const double now_s = n / kRate;
    const double amps = session.Amps(now_s);
    if (session.Over(now_s)) {
      played.end_s = now_s;
      return played;
    }
    played.most_a = std::max(played.most_a, amps);
    if (amps > 0) played.off_s = -1;
    if (amps == 0 && played.off_s < 0) played.off_s = now_s;
    rise_k += (ohmic_k * amps * amps - rise_k) / kRate;
    Image frame(30, 40, 296.0F);
    frame(cv::Rect(20, 10, 4, 4)) += static_cast<float>(rise_k);
    frame(0, 0) += static_cast<float>(n % 7);  // No two frames alike.
    session.OnFrame(now_s, frame, false);
    at(now_s, session);
  }
}

const auto kNothing = [](double, Session&) {};

TEST(Session, RunsTheWholePatternOnAColdBoard) {
  Session session(Options(), 0);
  const Played played = Play(session, 0, kNothing);
  EXPECT_NEAR(played.end_s, 59, 0.3);
  EXPECT_EQ(played.most_a, 2);
  EXPECT_FALSE(session.trip());
}

TEST(Session, StaysAtACurrentAtWhichHeatShows) {
  Session session(Options(), 0);
  const Played played = Play(session, 20, kNothing);  // 80 K at 2 A: far too much.
  EXPECT_LE(played.most_a, 0.5);
  EXPECT_FALSE(session.trip());
}

TEST(Session, StopsWhereThePlaceGetsTooWarmAfterAll) {
  Session session(Options(), 0);
  double ohmic_k = 0.2;
  double rise_k = 0;
  double tripped_s = -1;
  double passed_s = -1;
  for (int n = 0; n < 60 * 8 && !session.Over(n / kRate); ++n) {
    const double now_s = n / kRate;
    if (now_s > 30) ohmic_k = 8;  // Something gave way.
    const double amps = session.Amps(now_s);
    rise_k += (ohmic_k * amps * amps - rise_k) / kRate;
    if (session.trip() && tripped_s < 0) tripped_s = now_s;
    if (session.trip()) {
      EXPECT_EQ(amps, 0);
    }
    Image frame(30, 40, 296.0F);
    frame(cv::Rect(20, 10, 4, 4)) += static_cast<float>(rise_k);
    if (rise_k > 15 && passed_s < 0) passed_s = now_s;
    session.OnFrame(now_s, frame, false);
  }
  ASSERT_TRUE(session.trip());
  EXPECT_EQ(session.trip()->cause, Cause::kRise);
  EXPECT_NEAR(tripped_s, passed_s, 1.01 / kRate);
}

TEST(Session, TwoSureAnswersOfOnePlaceEndIt) {
  Session session(Options(), 0);
  const Played played = Play(session, 0.2, [](double now_s, Session& s) {
    const AnswerView sure{true, "C3", 0.98, 10, 10};
    if (now_s == 20 || now_s == 23) s.OnAnswer(now_s, sure);
  });
  EXPECT_TRUE(session.enough());
  EXPECT_NEAR(played.end_s, 27, 0.3);
}

TEST(Session, AnswersThatDisagreeOrDoubtDoNot) {
  for (const AnswerView& second : {AnswerView{true, "C4", 0.98, 20, 10},
                                   AnswerView{true, "C3", 0.96, 10, 10},
                                   AnswerView{false, "C3", 0.98, 10, 10}}) {
    Session session(Options(), 0);
    const AnswerView first{true, "C3", 0.98, 10, 10};
    session.OnAnswer(20, first);
    session.OnAnswer(23, second);
    EXPECT_FALSE(session.enough());
  }
}

TEST(Session, WithoutUntilNoAnswerEndsIt) {
  SessionOptions options = Options();
  options.until.reset();
  Session session(options, 0);
  for (int n = 0; n < 9; ++n) session.OnAnswer(20 + n, {true, "C3", 0.999, 10, 10});
  EXPECT_FALSE(session.enough());
}

TEST(Session, ATripOfTheSupplyLeavesItOff) {
  Session session(Options(), 0);
  const Played played = Play(session, 0.2, [](double now_s, Session& s) {
    if (now_s == 14) s.OnTrip(Trip{Cause::kSupplyLost});
  });
  EXPECT_EQ(session.trip()->cause, Cause::kSupplyLost);
  EXPECT_NEAR(played.off_s, 14, 0.2);
  EXPECT_LT(played.end_s, 16);
}

TEST(Session, WithoutFramesItStops) {
  Session session(Options(), 0);
  session.OnFrame(0, Image(30, 40, 296.0F), false);
  EXPECT_EQ(session.Amps(0.4), 0);
  EXPECT_FALSE(session.trip());
  EXPECT_EQ(session.Amps(0.6), 0);
  ASSERT_TRUE(session.trip());
  EXPECT_EQ(session.trip()->cause, Cause::kCameraSilent);
}

// Frames of the rest by `frame`, then a place that gets hotter with the current.
std::optional<Trip> PlayRest(const SessionOptions& options,
                             double rate_hz,
                             const std::function<Image(int)>& frame,
                             double* most_a) {
  Session session(options, 0);
  *most_a = 0;
  for (int n = 0; n < 30 * rate_hz && !session.Over(n / rate_hz); ++n) {
    const double now_s = n / rate_hz;
    const double amps = session.Amps(now_s);
    *most_a = std::max(*most_a, amps);
    Image picture = frame(n);
    if (amps > 0) picture(cv::Rect(20, 10, 4, 4)) = 296.0F + 16;
    session.OnFrame(now_s, picture, false);
  }
  return session.trip();
}

constexpr float kNaN = std::numeric_limits<float>::quiet_NaN();
const auto kRoom = [](int) { return Image(30, 40, 296.0F); };

TEST(Session, AShutterInTheRestLeavesTheGuardsTheirSight) {
  double most_a = 0;
  const auto trip = PlayRest(
      Options(), kRate, [](int n) { return Image(30, 40, n == 9 ? kNaN : 296.0F); }, &most_a);
  ASSERT_TRUE(trip);
  EXPECT_EQ(trip->cause, Cause::kRise);
  EXPECT_EQ(most_a, 0.5) << "off at the first frame of the first current";
}

TEST(Session, NoCurrentWhereThereIsNothingToCompareWith) {
  double most_a = 0;
  const auto blind = [](int) {
    Image frame(30, 40, 296.0F);
    frame(cv::Rect(18, 8, 6, 6)) = kNaN;
    return frame;
  };
  auto trip = PlayRest(Options(), kRate, blind, &most_a);
  ASSERT_TRUE(trip);
  EXPECT_EQ(trip->cause, Cause::kBlind);
  EXPECT_EQ(most_a, 0);
  // All but three frames of the rest are without values.
  trip = PlayRest(
      Options(),
      kRate,
      [](int n) { return Image(30, 40, n > 2 && n < 40 ? kNaN : 296.0F); },
      &most_a);
  ASSERT_TRUE(trip);
  EXPECT_EQ(trip->cause, Cause::kFewRestFrames);
  EXPECT_EQ(most_a, 0);
  SessionOptions slow = Options();
  slow.rate_hz = 1;
  trip = PlayRest(slow, 0.5, kRoom, &most_a);
  ASSERT_TRUE(trip);
  EXPECT_EQ(trip->cause, Cause::kFewRestFrames);
  EXPECT_EQ(most_a, 0);
}

TEST(Session, FramesFarTooOftenAreNotTheFramesThatWereMeant) {
  SessionOptions options = Options();
  options.rate_hz = 8;
  options.most_rate_hz = 12;
  double most_a = 0;
  auto trip = PlayRest(options, 25, kRoom, &most_a);
  ASSERT_TRUE(trip);
  EXPECT_EQ(trip->cause, Cause::kCameraFast);
  EXPECT_EQ(most_a, 0);
  PlayRest(options, 10, kRoom, &most_a);
  EXPECT_GT(most_a, 0);
}

TEST(Session, ACameraBelowTheLeastRateGuardsNoSupply) {
  SessionOptions options = Options();
  options.least_rate_hz = 5;
  double most_a = 0;
  auto trip = PlayRest(options, 3, kRoom, &most_a);
  ASSERT_TRUE(trip);
  EXPECT_EQ(trip->cause, Cause::kCameraSlow);
  EXPECT_EQ(most_a, 0);
  trip = PlayRest(options, 5, kRoom, &most_a);
  ASSERT_TRUE(trip);
  EXPECT_EQ(trip->cause, Cause::kRise);
  EXPECT_GT(most_a, 0);
}

TEST(Session, SilenceIsJudgedByTheMeasuredRate) {
  SessionOptions options = Options();
  options.rate_hz = 1;  // Told wrong: 2.5 s of silence would be allowed.
  Session session(options, 0);
  for (int n = 0; n <= 41; ++n) {
    session.OnFrame(n / kRate, Image(30, 40, 296.0F), false);
    (void)session.Amps(n / kRate);
  }
  EXPECT_GT(session.Amps(5.5), 0);
  EXPECT_EQ(session.Amps(5.7), 0);
  ASSERT_TRUE(session.trip());
  EXPECT_EQ(session.trip()->cause, Cause::kCameraSilent);
}

}  // namespace
}  // namespace ohmglow::record

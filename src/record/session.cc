// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/session.h"

#include <algorithm>
#include <cmath>

namespace ohmglow::record {
namespace {

constexpr int kShowsFrames = 3;
constexpr int kAgreeing = 2;
constexpr double kSamePlacePx = 3;
// After a trip a little of the cooling is filmed, as far as frames come.
constexpr double kAfterTripS = 1;
// Of the pixels: some may be dead, a part's worth of them may not.
constexpr double kMostBlind = 0.01;
// A camera of the least rate may be measured that much slower.
constexpr double kRateSlack = 0.9;

}  // namespace

Session::Session(const SessionOptions& options, double start_s)
    : options_(options),
      start_s_(start_s),
      pattern_(options.pattern),
      camera_(options.limits, options.rate_hz, start_s),
      sure_(options.until) {
  options_.limits.Validate();
}

void Session::OnFrame(double now_s, const Image& kelvin, bool repeats) {
  const PatternStep now = step(now_s);
  if (now.phase == Phase::kRest) {
    Rest(now_s, kelvin);
  } else {
    heat_ = meter_.Measure(kelvin);
  }
  camera_.OnFrame(now_s, heat_, repeats);
  if (now.phase != Phase::kApproach) return;
  shows_ = heat_.shown_k > options_.pattern.show_k ? shows_ + 1 : 0;
  if (shows_ >= kShowsFrames) {
    pattern_.ShowsAt(now_s - start_s_);
    shows_ = 0;
  }
}

void Session::Rest(double now_s, const Image& kelvin) {
  if (num_rest_frames_++ == 0) first_rest_s_ = now_s;
  last_rest_s_ = now_s;
  // A shutter that closes while nothing flows is no heat.
  if (meter_.Rest(kelvin)) heat_ = meter_.Measure(kelvin);
}

double Session::RestRate() const {
  const double took_s = last_rest_s_ - first_rest_s_;
  return num_rest_frames_ > 1 && took_s > 0 ? (num_rest_frames_ - 1) / took_s : 0;
}

// Before the first current: whether there is anything that the guards can compare with.
std::optional<Trip> Session::JudgeRest() const {
  if (!meter_.rested()) return Trip{Cause::kFewRestFrames, 1.0 * meter_.num_rest()};
  if (meter_.blind_share() > kMostBlind) {
    return Trip{Cause::kBlind, 100 * meter_.blind_share(), 100 * kMostBlind};
  }
  if (!(RestRate() > 0) || RestRate() < kRateSlack * options_.least_rate_hz) {
    return Trip{Cause::kCameraSlow, RestRate(), options_.least_rate_hz};
  }
  if (RestRate() > options_.most_rate_hz) {
    return Trip{Cause::kCameraFast, RestRate(), options_.rate_hz};
  }
  return std::nullopt;
}

void Sureness::Hear(const AnswerView& answer) {
  const bool same =
      last_.first == answer.first &&
      std::hypot(last_.frame_x - answer.frame_x, last_.frame_y - answer.frame_y) <= kSamePlacePx;
  const bool sure = until_ && answer.verdict && answer.first_prob >= *until_;
  if (!sure) {
    agreed_ = 0;
  } else {
    agreed_ = agreed_ > 0 && same ? agreed_ + 1 : 1;
  }
  last_ = answer;
  if (agreed_ >= kAgreeing) enough_ = true;
}

void Session::OnAnswer(double now_s, const AnswerView& answer) {
  if (sure_.enough()) return;
  sure_.Hear(answer);
  if (sure_.enough()) pattern_.Finish(now_s - start_s_);
}

void Session::OnTrip(const Trip& trip) {
  if (!trip_) trip_ = trip;
}

double Session::Amps(double now_s) {
  if (!trip_) {
    trip_ = camera_.Check(now_s);
    trip_s_ = now_s;
  }
  if (trip_) return 0;
  const double amps = std::min(step(now_s).amps_a, options_.limits.max_amps_a);
  if (amps <= 0 || may_heat_) return amps;
  trip_ = JudgeRest();
  if (trip_) return 0;
  may_heat_ = true;
  camera_.OnRate(RestRate());
  return amps;
}

bool Session::Over(double now_s) const {
  if (trip_) return now_s - trip_s_ > kAfterTripS;
  return step(now_s).phase == Phase::kOver;
}

}  // namespace ohmglow::record

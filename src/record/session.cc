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
  if (now.phase == Phase::kRest) meter_.Rest(kelvin);
  heat_ = meter_.Measure(kelvin);
  camera_.OnFrame(now_s, heat_, repeats);
  if (now.phase != Phase::kApproach) return;
  shows_ = heat_.shown_k > options_.pattern.show_k ? shows_ + 1 : 0;
  if (shows_ >= kShowsFrames) {
    pattern_.ShowsAt(now_s - start_s_);
    shows_ = 0;
  }
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
  return std::min(step(now_s).amps_a, options_.limits.max_amps_a);
}

bool Session::Over(double now_s) const {
  if (trip_) return now_s - trip_s_ > kAfterTripS;
  return step(now_s).phase == Phase::kOver;
}

}  // namespace ohmglow::record

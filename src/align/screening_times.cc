// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <vector>

#include "align/robust.h"
#include "ohmglow/align/screening_report.h"
#include "ohmglow/base/error.h"
#include "ohmglow/base/remark_kind.h"

namespace ohmglow {
namespace {

constexpr std::size_t kSide = 4;  // Frames on each side that tell where the times slip.
constexpr double kWide = 2.5;
constexpr double kCandidate = 1.35;  // Intervals: less is shaking.
constexpr double kSlip = 0.6;        // Intervals by which all later times must have slipped.

void RequireRising(const std::vector<double>& times_s) {
  for (std::size_t n = 1; n < times_s.size(); ++n) {
    if (times_s[n] > times_s[n - 1]) continue;
    char text[200];
    std::snprintf(text,
                  sizeof text,
                  "frame %zu: its time %.4f s %s %.4f s of the frame before; write the times anew, "
                  "or give the rate alone",
                  n,
                  times_s[n],
                  times_s[n] < times_s[n - 1] ? "runs backwards from" : "repeats",
                  times_s[n - 1]);
    throw DataError(text);
  }
}

// By how many intervals the times from frame n on are later than those before
// lead to expect: medians over a few frames of each side, in which a single
// shaken time is nothing.
double SlipAt(const std::vector<double>& times_s, std::size_t n, double interval_s) {
  std::vector<double> before, after;
  for (std::size_t k = n > kSide ? n - kSide : 0; k < n; ++k) {
    before.push_back(times_s[k] / interval_s - static_cast<double>(k));
  }
  for (std::size_t k = n; k < std::min(n + kSide, times_s.size()); ++k) {
    after.push_back(times_s[k] / interval_s - static_cast<double>(k));
  }
  return internal::MedianInPlace(after) - internal::MedianInPlace(before);
}

}  // namespace

void ScreenTimes(const std::vector<double>& frame_times_s, ScreeningReport& report) {
  RequireRising(frame_times_s);
  std::vector<double> intervals_s;
  for (std::size_t n = 1; n < frame_times_s.size(); ++n) {
    intervals_s.push_back(frame_times_s[n] - frame_times_s[n - 1]);
  }
  const double interval_s = internal::Median(intervals_s);
  int lost = 0;
  for (std::size_t n = 1; n < frame_times_s.size(); ++n) {
    const double intervals = intervals_s[n - 1] / interval_s;
    if (intervals < kCandidate) continue;
    const bool wide = intervals > kWide;  // No shaking reaches so far.
    if (!wide && SlipAt(frame_times_s, n, interval_s) < kSlip) continue;
    ScreeningEvent event;
    event.kind = ScreeningEvent::Kind::kLost;
    event.frame = static_cast<int>(n);
    event.length = wide ? static_cast<int>(std::lround(intervals)) - 1 : 1;
    event.what = Remark(RemarkKind::kFramesMissing).With("count", event.length);
    lost += event.length;
    report.events.push_back(event);
  }
  report.lost_frames = lost;
  const auto by_frame = [](const ScreeningEvent& a, const ScreeningEvent& b) {
    return a.frame < b.frame;
  };
  std::stable_sort(report.events.begin(), report.events.end(), by_frame);
}

}  // namespace ohmglow

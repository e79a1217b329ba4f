// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/motion_quality.h"

#include <algorithm>
#include <cmath>

#include "align/robust.h"
#include "ohmglow/base/remark_kind.h"

namespace ohmglow::internal {
namespace {

constexpr double kFastPx = 0.5;         // From one frame to the next.
constexpr double kBlurredShare = 0.85;  // Of the contrast of the frames around.
constexpr std::ptrdiff_t kAround = 12;  // Frames before and after.
constexpr double kMissedShare = 0.04;   // Of the motion, rms over simulated captures.
constexpr double kMissedMostPx = 1.5;   // Of motion; larger ones miss no more than that.
constexpr double kDragReachPx = 3;      // Beyond it the pattern no longer overlaps itself.
constexpr double kWeakPx = 0.3;         // Expected error that is worth a remark.

double UsualContrast(const std::vector<PlacedFrame>& placed, std::ptrdiff_t at) {
  const auto last = static_cast<std::ptrdiff_t>(placed.size()) - 1;
  std::vector<double> around;
  for (std::ptrdiff_t i = std::max<std::ptrdiff_t>(at - kAround, 0);
       i <= std::min(at + kAround, last);
       ++i) {
    around.push_back(placed[static_cast<std::size_t>(i)].contrast);
  }
  return MedianInPlace(around);
}

double StepPx(cv::Size size, const PlacedFrame& a, const PlacedFrame& b) {
  return DisplacementPx(ToVector(Joined(b.motion, InverseOf(a.motion)), size), size);
}

}  // namespace

int DropBlurred(cv::Size size_px, std::vector<PlacedFrame>& placed) {
  std::vector<PlacedFrame> sharp;
  for (std::size_t i = 0; i < placed.size(); ++i) {
    double step_px = 0;
    if (i > 0) step_px = StepPx(size_px, placed[i - 1], placed[i]);
    if (i + 1 < placed.size()) {
      step_px = std::max(step_px, StepPx(size_px, placed[i], placed[i + 1]));
    }
    const double usual = UsualContrast(placed, static_cast<std::ptrdiff_t>(i));
    // The first frame is the reference of all others.
    if (i > 0 && step_px > kFastPx && placed[i].contrast < kBlurredShare * usual) {
      placed[i].state->used = false;
      placed[i].state->reason =
          Remark(RemarkKind::kFrameBlurred).With("percent", 100 * placed[i].contrast / usual);
    } else {
      sharp.push_back(placed[i]);
    }
  }
  const auto dropped = static_cast<int>(placed.size() - sharp.size());
  placed = std::move(sharp);
  return dropped;
}

void AddMissedMotion(cv::Size size_px, double drag, double most_px, Alignment& alignment) {
  // A share s is missing of the true motion: s / (1 - s) of what was found.
  const double dragged = drag / std::max(0.1, 1 - drag);
  for (FrameState& f : alignment.frames) {
    if (!f.used) continue;
    const MotionVector v = ToVector(ToMotion(f.frame_from_reference), size_px);
    const double moved_px = DisplacementPx(v, size_px);
    const double missed_px = kMissedShare * std::min(moved_px, kMissedMostPx) +
                             dragged * std::min(moved_px, kDragReachPx);
    f.residual_px = std::min(most_px, std::hypot(f.residual_px, missed_px));
  }
}

void Summarise(cv::Size size_px, bool fixes_motion, Alignment& alignment) {
  std::vector<double> residuals;
  const Point corners[] = {{0.0, 0.0},
                           {size_px.width - 1.0, 0.0},
                           {0.0, size_px.height - 1.0},
                           {size_px.width - 1.0, size_px.height - 1.0}};
  for (const FrameState& f : alignment.frames) {
    if (!f.used) continue;
    residuals.push_back(f.residual_px);
    for (const Point& p : corners) {
      const double shift = cv::norm(f.frame_from_reference.Apply(p, size_px) - p);
      alignment.largest_shift_px = std::max(alignment.largest_shift_px, shift);
    }
  }
  alignment.median_residual_px = MedianInPlace(residuals);
  if (!fixes_motion) {
    alignment.remarks.emplace_back(RemarkKind::kNoTexture);
  } else if (alignment.median_residual_px > kWeakPx) {
    alignment.remarks.push_back(
        Remark(RemarkKind::kWeakTexture).With("error_px", alignment.median_residual_px));
  }
}

}  // namespace ohmglow::internal

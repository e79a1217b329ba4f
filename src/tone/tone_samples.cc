// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "align/used_frames.h"
#include "input/nothing.h"
#include "tone/tone.h"

namespace ohmglow {
namespace {

constexpr std::size_t kMostValues = std::size_t{1} << 23U;
constexpr int kSnapshots = 24;
// As near to an end of the range counts as there: video smears it.
constexpr double kEndShare = 3.0 / 255;
constexpr double kAlways = 0.95;
// A mark stands still where the scene would have wandered by so much of the range ...
constexpr double kWander = 8.0 / 255;
// ... and shows at most this share of it, and so much of the range. What warms as the
// range grows may stand still as well, but it has no sharp edge before it warms.
constexpr double kStill = 0.25;
constexpr double kStillOfRange = 2.6 / 255;
constexpr double kEdgeOfRange = 30.0 / 255;
constexpr int kEdgeReachPx = 4;
// Ends over more of the picture than this are a bench or a sky, not marks.
constexpr double kMostAtEnds = 0.3;
constexpr int kMarkReachPx = 2;
constexpr int kLeastPatch = 5;  // Of 9 pixels: one alone is the one that made the range.

std::vector<int> Spread(const std::vector<int>& from, std::size_t most) {
  if (from.size() <= most) return from;
  std::vector<int> out;
  for (std::size_t i = 0; i < most; ++i) {
    out.push_back(from[i * (from.size() - 1) / (most - 1)]);
  }
  return out;
}

// Blurred with what is readable alone.
Image Blurred(const Image& frame, double sigma_px) {
  Image weight(frame.size());
  Image filled(frame.size());
  for (int y = 0; y < frame.rows; ++y) {
    for (int x = 0; x < frame.cols; ++x) {
      const bool readable = std::isfinite(frame(y, x));
      weight(y, x) = readable ? 1.0F : 0.0F;
      filled(y, x) = readable ? frame(y, x) : 0.0F;
    }
  }
  cv::GaussianBlur(filled, filled, {}, sigma_px);
  cv::GaussianBlur(weight, weight, {}, sigma_px);
  for (int y = 0; y < frame.rows; ++y) {
    for (int x = 0; x < frame.cols; ++x) {
      filled(y, x) = weight(y, x) > 0.5F ? filled(y, x) / weight(y, x) : kNothing;
    }
  }
  return filled;
}

// Near where the picture steps from one pixel to the next but one.
Mask SharpEdges(const Image& picture, double least_step) {
  const cv::Mat box = cv::Mat::ones(3, 3, CV_8U);
  cv::Mat high, low;
  cv::dilate(picture, high, box);
  cv::erode(picture, low, box);
  Mask edges = Mask(high - low >= least_step);
  constexpr int kBox = 2 * kEdgeReachPx + 1;
  cv::dilate(edges, edges, cv::Mat::ones(kBox, kBox, CV_8U));
  return edges;
}

}  // namespace

std::vector<ToneSample> SampleFrames(FrameSource& frames,
                                     const Alignment& alignment,
                                     const ToneOptions& options) {
  options.Validate();
  const std::vector<int> used = UsedFrames(alignment.frames);
  const cv::Size size = frames.size_px();
  int grid_px = options.grid_px;
  const auto values = [&] {
    return used.size() * static_cast<std::size_t>(size.width / grid_px + 1) *
           static_cast<std::size_t>(size.height / grid_px + 1);
  };
  while (values() > kMostValues && grid_px < size.width / 8) ++grid_px;
  const cv::Size grid(std::max(1, size.width / grid_px), std::max(1, size.height / grid_px));
  std::vector<ToneSample> samples;
  Image frame;
  for (const int n : used) {
    frames.Read(n, frame);
    const Image blurred = Blurred(frame, options.blur_px);
    // A place of the grid lies in the reference frame, then in this one.
    const double first = 0.5 * (grid_px - 1);
    const cv::Matx33d reference_from_grid(grid_px, 0, first, 0, grid_px, first, 0, 0, 1);
    const PlaneMap map = MapOf(alignment.frames[static_cast<std::size_t>(n)], size);
    Image shown;
    cv::warpPerspective(blurred,
                        shown,
                        cv::Mat(map.matrix * reference_from_grid),
                        grid,
                        cv::INTER_LINEAR | cv::WARP_INVERSE_MAP,
                        cv::BORDER_CONSTANT,
                        cv::Scalar(static_cast<double>(kNothing)));
    samples.push_back({n, shown});
  }
  return samples;
}

Mask FindMarks(FrameSource& frames, const Tones& tones) {
  const auto range = frames.range();
  if (!range) return {};
  const double whole = range->high - range->low;
  std::vector<int> all(static_cast<std::size_t>(frames.count()));
  for (std::size_t i = 0; i < all.size(); ++i) all[i] = static_cast<int>(i);
  const std::vector<int> taken = Spread(all, kSnapshots);
  Image first, least, most, at_ends(frames.size_px(), 0.0F), mean(frames.size_px(), 0.0F), frame;
  for (const int n : taken) {
    frames.Read(n, frame);
    if (least.empty()) {
      first = frame.clone();
      least = frame.clone();
      most = frame.clone();
    }
    least = Image(cv::min(least, frame));
    most = Image(cv::max(most, frame));
    const cv::Mat ends =
        (frame <= range->low + kEndShare * whole) | (frame >= range->high - kEndShare * whole);
    cv::add(at_ends, 1.0 / static_cast<double>(taken.size()), at_ends, ends);
    mean += frame / static_cast<double>(taken.size());
  }
  Mask marks = Mask(at_ends >= kAlways);
  if (cv::countNonZero(marks) > kMostAtEnds * static_cast<double>(marks.total())) marks = 0;
  const Mask edges = SharpEdges(first, kEdgeOfRange * whole);
  for (int y = 0; y < marks.rows; ++y) {
    for (int x = 0; x < marks.cols; ++x) {
      if (edges(y, x) == 0) continue;
      // How far a pixel of the scene with this value would have wandered.
      double low = range->high, high = range->low;
      const Tone& reference = tones.of_frame[static_cast<std::size_t>(taken.front())];
      const double value = (static_cast<double>(mean(y, x)) - reference.zero) / reference.gain;
      for (const int n : taken) {
        const Tone& tone = tones.of_frame[static_cast<std::size_t>(n)];
        const double shown = std::clamp(tone.zero + tone.gain * value, range->low, range->high);
        low = std::min(low, shown);
        high = std::max(high, shown);
      }
      if (high - low < kWander * whole) continue;
      const double still = std::min(kStill * (high - low), kStillOfRange * whole);
      if (static_cast<double>(most(y, x) - least(y, x)) < still) marks(y, x) = 255;
    }
  }
  if (cv::countNonZero(marks) == 0) return {};
  constexpr int kBox = 2 * kMarkReachPx + 1;
  cv::dilate(marks, marks, cv::Mat::ones(kBox, kBox, CV_8U));
  return marks;
}

Image ClippedShare(FrameSource& frames, const Alignment& alignment) {
  Image share(frames.size_px(), 0.0F);
  const auto range = frames.range();
  if (!range) return share;
  const std::vector<int> taken = Spread(UsedFrames(alignment.frames), 3 * kSnapshots);
  const double end = range->high - kEndShare * (range->high - range->low);
  Image frame;
  for (const int n : taken) {
    frames.Read(n, frame);
    Image at_end;
    cv::Mat(frame >= end).convertTo(at_end, CV_32F, 1.0 / 255);
    Image around;
    cv::boxFilter(at_end, around, CV_32F, {3, 3}, {-1, -1}, false);
    at_end.setTo(0, around < kLeastPatch - 0.5);
    Image warped;
    cv::warpPerspective(
        at_end,
        warped,
        cv::Mat(MapOf(alignment.frames[static_cast<std::size_t>(n)], frame.size()).matrix),
        frame.size(),
        cv::INTER_NEAREST | cv::WARP_INVERSE_MAP,
        cv::BORDER_CONSTANT);
    share += warped / static_cast<double>(taken.size());
  }
  return share;
}

}  // namespace ohmglow

// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/stack.h"

#ifdef __linux__
#include <malloc.h>
#endif

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <opencv2/imgproc.hpp>
#include <optional>

#include "base/made_ahead.h"
#include "base/median.h"
#include "base/simd_clones.h"
#include "heat/frame_warp.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

// Poses kept of each bin: enough to follow the motion inside a bin.
constexpr int kPosesPerBin = 3;
constexpr int kLeastFrames = 12;
// A bump may hide a strip, or a pixel fail, for a few frames; more than that
// and a pixel has no full course in time.
constexpr double kSeenShare = 0.97;
// What is unreadable in nearly all frames was so before the heating.
constexpr double kAlwaysShare = 0.95;
// Pixels around an unreadable one that the interpolation mixes with it.
constexpr int kCubicReachPx = 2;

// Groups of consecutive used frames, none across a shutter event.
std::vector<std::vector<int>> GroupFrames(const Alignment& alignment, int max_bins) {
  std::vector<int> used;
  for (std::size_t i = 0; i < alignment.frames.size(); ++i) {
    if (alignment.frames[i].used) used.push_back(static_cast<int>(i));
  }
  if (static_cast<int>(used.size()) < kLeastFrames) {
    throw DataError("only " + std::to_string(used.size()) +
                    " frames can be used; at least 12 are needed: capture for longer");
  }
  const int per_bin = (static_cast<int>(used.size()) + max_bins - 1) / max_bins;
  std::vector<std::vector<int>> groups;
  int segment = -1;
  for (const int index : used) {
    const int own = alignment.frames[static_cast<std::size_t>(index)].segment;
    if (groups.empty() || own != segment || static_cast<int>(groups.back().size()) >= per_bin) {
      groups.emplace_back();
      segment = own;
    }
    groups.back().push_back(index);
  }
  return groups;
}

OHMGLOW_SIMD_CLONES
bool AllFinite(const float* values, std::size_t count) {
  int infinite = 0;
  for (std::size_t i = 0; i < count; ++i) {
    infinite |= std::abs(values[i]) <= std::numeric_limits<float>::max() ? 0 : 1;
  }
  return infinite == 0;
}

// Puts the median of the good neighbours into bad and unreadable pixels, so
// that the interpolation of their neighbours stays clean.
class PixelFiller {
 public:
  /// @param first  the first frame used: what is bad and unreadable in it is
  ///               dead, what becomes so later was driven out of the range.
  PixelFiller(const Mask& good, const Image& first) : good_(good.clone()) {
    for (int y = 0; y < good.rows; ++y) {
      for (int x = 0; x < good.cols; ++x) {
        if (good(y, x) != 0) continue;
        (std::isfinite(first(y, x)) ? bad_ : dead_).emplace_back(x, y);
      }
    }
  }

  /// @return  255 at pixels that the frame tells nothing about: unreadable, or
  ///          too far from any good neighbour; empty where there are none.
  Mask Fill(Image& frame) const {
    for (const cv::Point p : dead_) frame(p) = std::numeric_limits<float>::quiet_NaN();
    const Image read = frame.clone();
    Mask lost;
    const auto lose = [&](cv::Point p) {
      if (lost.empty()) lost = Mask(read.size(), static_cast<unsigned char>(0));
      lost(p) = 255;
    };
    const auto fill = [&](cv::Point p) {
      const std::optional<float> around = GoodAround(read, p);
      frame(p) = around ? *around : FiniteMedian(read);
      return around.has_value();
    };
    for (const cv::Point p : dead_) {
      if (!fill(p)) lose(p);
    }
    for (const cv::Point p : bad_) {
      if (!std::isfinite(read(p)) || !fill(p)) lose(p);
    }
    if (AllFinite(frame.ptr<float>(), frame.total())) return lost;
    for (int y = 0; y < frame.rows; ++y) {
      for (int x = 0; x < frame.cols; ++x) {
        if (std::isfinite(frame(y, x))) continue;
        fill({x, y});
        lose({x, y});
      }
    }
    return lost;
  }

 private:
  static float FiniteMedian(const Image& frame) {
    std::vector<float> values;
    for (int y = 0; y < frame.rows; y += 3) {
      for (int x = 0; x < frame.cols; x += 3) {
        if (std::isfinite(frame(y, x))) values.push_back(frame(y, x));
      }
    }
    return values.empty() ? 0 : MedianOf(values);
  }

  [[nodiscard]] std::optional<float> GoodAround(const Image& read, cv::Point p) const {
    for (int radius = 1; radius <= 4; ++radius) {
      std::vector<float> values;
      for (int y = std::max(0, p.y - radius); y <= std::min(read.rows - 1, p.y + radius); ++y) {
        for (int x = std::max(0, p.x - radius); x <= std::min(read.cols - 1, p.x + radius); ++x) {
          const bool usable = good_(y, x) != 0 && cv::Point(x, y) != p;
          if (usable && std::isfinite(read(y, x))) values.push_back(read(y, x));
        }
      }
      if (values.size() >= 3) return MedianOf(values);
    }
    return std::nullopt;
  }

  std::vector<cv::Point> bad_;
  std::vector<cv::Point> dead_;
  Mask good_;
};

struct FilledFrame {
  Image kelvin;
  Mask unreadable;  // As PixelFiller::Fill() gives it.
};

// Adds a frame in the view of the reference frame.
void AddInReference(const Image& frame, const FrameState& state, Image& sum) {
  if (!state.projective_from_reference) {
    Warp(state.frame_from_reference.Matrix(frame.size()), frame.size()).AddCubic(frame, sum);
    return;
  }
  Image out;
  cv::warpPerspective(frame,
                      out,
                      cv::Mat(state.projective_from_reference->matrix),
                      frame.size(),
                      cv::INTER_CUBIC | cv::WARP_INVERSE_MAP,
                      cv::BORDER_REPLICATE);
  sum += out;
}

// Adds to `hits` where the frame's own pixels (two from the rim inwards) lie
// in the reference view.
void CountSeen(const Similarity& frame_from_reference, Image& hits) {
  Image inside(hits.size(), 0.0F);
  inside(cv::Rect(2, 2, inside.cols - 4, inside.rows - 4)) = 1.0F;
  Image warped;
  cv::warpAffine(inside,
                 warped,
                 cv::Mat(frame_from_reference.Matrix(hits.size())),
                 hits.size(),
                 cv::INTER_NEAREST | cv::WARP_INVERSE_MAP,
                 cv::BORDER_CONSTANT);
  hits += warped;
}

// Where frames could not be read, in the reference view.
class LostPixels {
 public:
  void BeginBin() { in_bin_.emplace_back(); }
  // @param unreadable  as PixelFiller::Fill() gives it.
  void Add(const Mask& unreadable, const Similarity& frame_from_reference) {
    if (unreadable.empty()) return;
    constexpr int kBox = 2 * kCubicReachPx + 1;
    const cv::Size size = unreadable.size();
    Mask lost;
    cv::dilate(unreadable, lost, cv::Mat::ones(kBox, kBox, CV_8U));
    cv::warpAffine(lost.clone(),
                   lost,
                   cv::Mat(frame_from_reference.Matrix(size)),
                   size,
                   cv::INTER_NEAREST | cv::WARP_INVERSE_MAP,
                   cv::BORDER_CONSTANT);
    if (frames_.empty()) frames_ = Image(size, 0.0F);
    cv::add(frames_, 1, frames_, lost);
    Mask& in_bin = in_bin_.back();
    in_bin = in_bin.empty() ? lost : Mask(in_bin | lost);
  }
  // Pixels that more than a share of the frames did not read; empty: none.
  [[nodiscard]] Mask BeyondShare(double share, double num_frames) const {
    return frames_.empty() ? Mask() : Mask(frames_ > share * num_frames);
  }
  // One per bin: 255 where a frame of it did not read the pixel; empty where all read all.
  [[nodiscard]] const std::vector<Mask>& in_bin() const { return in_bin_; }

 private:
  Image frames_;
  std::vector<Mask> in_bin_;
};

// The lower limit of the rise where something went beyond the range.
// @param lost  one per bin: 255 where a frame of it did not read the pixel; empty where all read
// all.
Image ReadRise(const Stack& stack, const std::vector<Mask>& lost) {
  const std::vector<float> levels_k = BinLevels(stack);
  const int at_rest = StaticBins(stack);
  Image begin_k(stack.size_px(), 0.0F);
  Image rise_k(stack.size_px(), 0.0F);
  for (int b = 0; b < stack.size(); ++b) {
    const auto i = static_cast<std::size_t>(b);
    const Image above_k(stack.bins_k[i] - levels_k[i]);
    if (b < at_rest) {
      begin_k += above_k / at_rest;
      continue;
    }
    const Image bin_rise_k(above_k - begin_k);
    Mask read = stack.out_of_range;
    if (!lost[i].empty()) read = Mask(read & ~lost[i]);
    cv::Mat(cv::max(rise_k, bin_rise_k)).copyTo(rise_k, read);
  }
  return rise_k;
}

}  // namespace

Stack BuildStack(FrameSource& frames,
                 const std::vector<double>& frame_times_s,
                 const Alignment& alignment,
                 const HeatOptions& options) {
  options.Validate();
  const std::vector<std::vector<int>> groups = GroupFrames(alignment, options.max_bins);
  const cv::Size size = frames.size_px();
  Stack stack;
  Image hits(size, 0.0F);
  LostPixels lost;
  Image first;
  frames.Read(groups.front().front(), first);
  const PixelFiller filler(alignment.good_pixels, first);
  std::vector<int> order;
  for (const std::vector<int>& group : groups)
    order.insert(order.end(), group.begin(), group.end());
  internal::MadeAhead<FilledFrame> filled(order.size(), [&](std::size_t i, FilledFrame& frame) {
    frames.Read(order[i], frame.kelvin);
    frame.unreadable = filler.Fill(frame.kelvin);
  });
  double num_used = 0;
  for (const std::vector<int>& group : groups) {
    Image sum(size, 0.0F);
    lost.BeginBin();
    std::vector<double> times;
    std::vector<Similarity> poses;
    const std::size_t stride = (group.size() + kPosesPerBin - 1) / kPosesPerBin;
    for (std::size_t i = 0; i < group.size(); ++i) {
      const auto index = static_cast<std::size_t>(group[i]);
      const Similarity& pose = alignment.frames[index].frame_from_reference;
      const FilledFrame& frame = filled.Next();
      lost.Add(frame.unreadable, pose);
      AddInReference(frame.kelvin, alignment.frames[index], sum);
      times.push_back(frame_times_s.at(index));
      if (i % stride == stride / 2) poses.push_back(pose);
    }
    if (poses.empty()) {
      poses.push_back(
          alignment.frames[static_cast<std::size_t>(group.front())].frame_from_reference);
    }
    const auto count = static_cast<double>(group.size());
    num_used += count;
    sum *= 1.0 / count;
    CountSeen(poses[poses.size() / 2], hits);
    double mean_time_s = 0;
    for (const double t : times) mean_time_s += t / count;
    stack.bins_k.push_back(sum);
    stack.time_s.push_back(mean_time_s);
    stack.num_frames.push_back(count);
    stack.segment.push_back(alignment.frames[static_cast<std::size_t>(group.front())].segment);
    stack.frame_times_s.push_back(std::move(times));
    stack.poses.push_back(std::move(poses));
  }
  stack.seen = Mask(hits >= kSeenShare * static_cast<double>(groups.size()));
  const Mask unread = lost.BeyondShare(1 - kSeenShare, num_used);
  if (unread.empty()) return stack;
  stack.seen.setTo(0, unread);
  stack.out_of_range = Mask(unread & ~lost.BeyondShare(kAlwaysShare, num_used));
  if (cv::countNonZero(stack.out_of_range) > 0) stack.read_rise_k = ReadRise(stack, lost.in_bin());
  return stack;
}

int StaticBins(const Stack& stack) { return std::max(1, std::min(stack.size() / 10, 8)); }

void KeepStaticBins(Stack& stack) {
  for (auto b = static_cast<std::size_t>(StaticBins(stack)); b < stack.bins_k.size(); ++b) {
    stack.bins_k[b].release();
  }
#ifdef __GLIBC__
  // Pictures below 32 MB come from the heap, which keeps what is freed inside of it.
  malloc_trim(0);
#endif
}

std::vector<float> BinLevels(const Stack& stack) {
  constexpr std::size_t kEnough = 4000;
  std::size_t stride = (stack.bins_k.front().total() / kEnough) | 1U;
  if (static_cast<std::size_t>(stack.size_px().width) % stride == 0) stride = 1;
  std::vector<float> levels;
  std::vector<float> sample;
  for (const Image& bin : stack.bins_k) {
    sample.clear();
    for (std::size_t i = 0; i < bin.total(); i += stride) sample.push_back(bin.ptr<float>()[i]);
    levels.push_back(MedianOf(sample));
  }
  return levels;
}

}  // namespace ohmglow

// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/screening_events.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "align/robust.h"
#include "align/screening_cover.h"
#include "ohmglow/base/remark_kind.h"

namespace ohmglow::internal {
namespace {

constexpr int kShapes = 6;           // Constant, two slopes, bowl, saddle: what a shutter leaves.
constexpr double kJumpRatio = 8.0;   // Against the usual step of the same capture.
constexpr double kShapeRatio = 5.0;  // The same without the mean: five terms scatter less than one.
constexpr double kNearRatio = 2.5;   // Against the steps just before and after.
constexpr double kLeastNoise = 0.15;      // And never below this share of a pixel's noise.
constexpr double kLeastShapeNoise = 0.4;  // Weaker ones may be motion and do little harm.
constexpr double kRestShare = 0.4;        // What the shapes leave of a step at most, of the step.
constexpr double kRoughRatio = 1.4;       // A step this much rougher than usual is motion.
constexpr double kWeakRoughRatio = 1.05;  // The same for weak steps; it is known to 1 %.
constexpr std::size_t kReach = 3;         // Steps looked at on both sides.
constexpr int kFreezeRepeats = 2;         // As many in a row are no slip of the recording.
constexpr double kManyRuns = 0.2;         // Runs of repeats a frame: recorded faster than filmed.

// The shapes over the blocks, orthonormal by Gram-Schmidt.
std::array<Blocks, kShapes> MakeShapes() {
  std::array<Blocks, kShapes> shapes{};
  for (std::size_t i = 0; i < kBlocks; ++i) {
    const double u = 2.0 * (static_cast<double>(i % kBlockColumns) + 0.5) / kBlockColumns - 1;
    const double v = 2.0 * (static_cast<double>(i / kBlockColumns) + 0.5) / kBlockRows - 1;
    const double values[kShapes] = {1, u, v, u * v, u * u, v * v};
    for (std::size_t k = 0; k < kShapes; ++k) shapes[k][i] = values[k];
  }
  for (std::size_t k = 0; k < kShapes; ++k) {
    for (std::size_t j = 0; j < k; ++j) {
      double dot = 0;
      for (std::size_t i = 0; i < kBlocks; ++i) dot += shapes[k][i] * shapes[j][i];
      for (std::size_t i = 0; i < kBlocks; ++i) shapes[k][i] -= dot * shapes[j][i];
    }
    double square = 0;
    for (const double v : shapes[k]) square += v * v;
    for (double& v : shapes[k]) v /= std::sqrt(square);
  }
  return shapes;
}

// How the picture changed from one used frame to the next.
struct Step {
  double smooth_k = 0;  // Rms of what the shapes explain.
  double rest_k = 0;    // Rms of what they do not.
  double mean_k = 0;
  double shape_k = 0;  // Rms of what the shapes explain beside the mean.
  double rough_k = 0;
};

Step MeasureStep(const FrameProfile& before,
                 const FrameProfile& after,
                 const std::array<Blocks, kShapes>& shapes) {
  Blocks change{};
  double total = 0, explained = 0;
  Step step;
  for (std::size_t i = 0; i < kBlocks; ++i) {
    // A block without a pixel to see says nothing of the step.
    if (before.seen[i] < 1 || after.seen[i] < 1) continue;
    change[i] = static_cast<double>(after.block_k[i] - before.block_k[i]);
    total += change[i] * change[i];
    step.mean_k += change[i] / kBlocks;
  }
  for (const Blocks& shape : shapes) {
    double dot = 0;
    for (std::size_t i = 0; i < kBlocks; ++i) dot += shape[i] * change[i];
    explained += dot * dot;
  }
  step.smooth_k = std::sqrt(explained / kBlocks);
  step.shape_k = std::sqrt(std::max(0.0, explained / kBlocks - step.mean_k * step.mean_k));
  step.rest_k = std::sqrt(std::max(0.0, total - explained) / kBlocks);
  step.rough_k = after.roughness_k;
  return step;
}

// Tells an offset that steps, smoothly over the picture and once, from drift,
// motion and everything that takes longer than a frame.
class JumpFinder {
 public:
  JumpFinder(const std::vector<FrameProfile>& profiles, double noise_k) {
    const std::array<Blocks, kShapes> shapes = MakeShapes();
    for (std::size_t i = 1; i < profiles.size(); ++i) {
      steps_.push_back(MeasureStep(profiles[i - 1], profiles[i], shapes));
    }
    std::vector<double> smooth, shape, rest, rough;
    for (const Step& s : steps_) {
      smooth.push_back(s.smooth_k);
      shape.push_back(s.shape_k);
      rest.push_back(s.rest_k);
      rough.push_back(s.rough_k);
    }
    least_k_ = std::max(kJumpRatio * MedianInPlace(smooth), kLeastNoise * noise_k);
    least_shape_k_ = std::max(kShapeRatio * MedianInPlace(shape), kLeastShapeNoise * noise_k);
    usual_rest_k_ = MedianInPlace(rest);
    usual_rough_k_ = MedianInPlace(rough);
  }

  // The step to profile i, i >= 1.
  [[nodiscard]] const Step& To(std::size_t i) const { return steps_[i - 1]; }

  [[nodiscard]] bool IsJump(std::size_t i) const {
    const Step& s = To(i);
    if (s.rest_k > kRestShare * s.smooth_k + 3 * usual_rest_k_) return false;
    // Motion roughens its neighbours as well; a change of the noise lasts.
    const double roughened = s.rough_k / std::max(usual_rough_k_, Around(i, &Step::rough_k));
    if (roughened > kRoughRatio) return false;
    return StandsOut(i, &Step::smooth_k, least_k_) ||
           (roughened < kWeakRoughRatio && StandsOut(i, &Step::shape_k, least_shape_k_));
  }

 private:
  // Whether the step is large, and larger than those around it.
  [[nodiscard]] bool StandsOut(std::size_t i, double Step::*field, double least_k) const {
    return To(i).*field > least_k && To(i).*field > kNearRatio * Around(i, field);
  }

  // The second largest near step: beside a second event, it is what is usual here.
  [[nodiscard]] double Around(std::size_t i, double Step::*field) const {
    std::vector<double> near;
    for (std::size_t k = i > kReach ? i - kReach : 1; k <= std::min(i + kReach, steps_.size());
         ++k) {
      if (k != i) near.push_back(To(k).*field);
    }
    std::sort(near.begin(), near.end(), std::greater<>());
    return near.size() < 2 ? 0 : near[1];
  }

  std::vector<Step> steps_;
  double least_k_ = 0, least_shape_k_ = 0, usual_rest_k_ = 0, usual_rough_k_ = 0;
};

class Segmenter {
 public:
  Segmenter(const std::vector<FrameProfile>& profiles, Screening& result)
      : profiles_(profiles), jumps_(profiles, result.noise_k), result_(result) {
    exclusion_.resize(result.frames.size(), kNone);
    for (std::size_t k = 0; k < result.report.excluded.size(); ++k) {
      const ExcludedFrame& e = result.report.excluded[k];
      if (e.kind == ExcludedFrame::Kind::kDoubled)
        exclusion_[static_cast<std::size_t>(e.index)] = k;
    }
    int runs = 0;
    for (std::size_t i = 1; i < profiles.size(); ++i) {
      runs += RepeatsBefore(i) >= 1 ? 1 : 0;
    }
    // A camera that gives fewer frames than are recorded repeats them all the time.
    regular_ = runs >= 4 && runs > kManyRuns * static_cast<double>(profiles.size());
  }

  void Run() {
    int segment = 0, at = 0;
    for (std::size_t i = 1; i < profiles_.size(); ++i) {
      const int repeats = RepeatsBefore(i);
      const bool jump = jumps_.IsJump(i);
      const bool freeze = repeats > 0 && (jump || (repeats >= kFreezeRepeats && !regular_));
      if (repeats > 0) Repeats(profiles_[i - 1].index + 1, repeats, freeze, &jumps_.To(i));
      if (jump && !freeze) Jump(profiles_[i].index, jumps_.To(i));
      const int until = profiles_[i].index;
      for (; at < until; ++at) At(at).segment = segment;
      if (jump || freeze) ++segment;
    }
    const int left = static_cast<int>(result_.frames.size()) - 1 - LastRepeated();
    if (!profiles_.empty() && left > 0) {
      Repeats(LastRepeated() + 1, left, left >= kFreezeRepeats && !regular_, nullptr);
    }
    for (; at < static_cast<int>(result_.frames.size()); ++at) At(at).segment = segment;
    result_.num_segments = segment + 1;
  }

 private:
  FrameState& At(int index) { return result_.frames[static_cast<std::size_t>(index)]; }

  [[nodiscard]] bool IsRepeat(int index) const {
    return exclusion_[static_cast<std::size_t>(index)] != kNone;
  }

  // The last frame before the repeats at the end of the capture.
  [[nodiscard]] int LastRepeated() const {
    int n = static_cast<int>(result_.frames.size()) - 1;
    while (n >= 0 && IsRepeat(n)) --n;
    return n;
  }

  [[nodiscard]] int RepeatsBefore(std::size_t i) const {
    int n = 0;
    for (int k = profiles_[i - 1].index + 1; k < profiles_[i].index; ++k) n += IsRepeat(k) ? 1 : 0;
    return n;
  }

  void Repeats(int first, int length, bool freeze, const Step* step) {
    ScreeningEvent event;
    event.frame = first;
    event.length = length;
    event.kind = freeze ? ScreeningEvent::Kind::kFreeze : ScreeningEvent::Kind::kDoubled;
    if (freeze) {
      event.what = Remark(RemarkKind::kPictureStoodStill).With("count", length);
      if (step) Measure(*step, event);
    } else {
      event.what =
          Remark(RemarkKind::kWrittenOften).With("frame", first - 1).With("times", length + 1);
    }
    result_.report.events.push_back(event);
    if (!freeze) return;
    for (int k = first; k < first + length; ++k) {
      if (!IsRepeat(k)) continue;
      ExcludedFrame& e = result_.report.excluded[exclusion_[static_cast<std::size_t>(k)]];
      e.kind = ExcludedFrame::Kind::kFrozen;
      e.why = Remark(RemarkKind::kFrameFrozen).With("frame", first - 1);
      At(e.index).reason = e.why;
    }
  }

  void Jump(int frame, const Step& step) {
    ScreeningEvent event;
    event.kind = ScreeningEvent::Kind::kJump;
    event.frame = frame;
    event.what = Remark(RemarkKind::kNoneRepeated);
    Measure(step, event);
    result_.report.events.push_back(event);
  }

  static void Measure(const Step& step, ScreeningEvent& event) {
    event.step_k = step.mean_k;
    event.shape_k = step.shape_k;
    event.what = Remark(RemarkKind::kThenStepped)
                     .With("what", event.what)
                     .With("step_k", event.step_k)
                     .With("shape_k", event.shape_k);
  }

  static constexpr std::size_t kNone = static_cast<std::size_t>(-1);

  const std::vector<FrameProfile>& profiles_;
  std::vector<std::size_t> exclusion_;  // Of each repeated frame, its place in the list.
  JumpFinder jumps_;
  Screening& result_;
  bool regular_ = false;
};

// The profiles as if the offset had never stepped. The median over the blocks
// stands for the step: something may have come into view while the shutter was
// closed.
std::vector<FrameProfile> WithoutSteps(std::vector<FrameProfile> profiles,
                                       const Screening& result) {
  float offset_k = 0;
  const auto segment = [&](std::size_t i) {
    return result.frames[static_cast<std::size_t>(profiles[i].index)].segment;
  };
  for (std::size_t i = 1; i < profiles.size(); ++i) {
    if (segment(i) != segment(i - 1)) {
      // The frame before is free of steps already.
      std::vector<float> change;
      for (std::size_t b = 0; b < kBlocks; ++b) {
        change.push_back(profiles[i].block_k[b] - profiles[i - 1].block_k[b]);
      }
      offset_k = MedianInPlace(change);
    }
    for (float& level : profiles[i].block_k) level -= offset_k;
  }
  return profiles;
}

}  // namespace

void Exclude(int index, ExcludedFrame::Kind kind, const Remark& why, Screening& result) {
  FrameState& state = result.frames[static_cast<std::size_t>(index)];
  state.used = false;
  state.reason = why;
  result.report.excluded.push_back({index, kind, why});
}

void FindEvents(const std::vector<FrameProfile>& profiles, Screening& result) {
  Segmenter(profiles, result).Run();
  FindCovered(WithoutSteps(profiles, result), result);
  const auto by_index = [](const ExcludedFrame& a, const ExcludedFrame& b) {
    return a.index < b.index;
  };
  const auto by_frame = [](const ScreeningEvent& a, const ScreeningEvent& b) {
    return a.frame < b.frame;
  };
  std::stable_sort(result.report.excluded.begin(), result.report.excluded.end(), by_index);
  std::stable_sort(result.report.events.begin(), result.report.events.end(), by_frame);
}

}  // namespace ohmglow::internal

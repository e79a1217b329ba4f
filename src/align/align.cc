// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <string>

#include "align/prepare.h"
#include "align/robust.h"
#include "align/scene.h"
#include "align/screening.h"
#include "align/smooth.h"
#include "ohmglow/align/alignment.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

using internal::CoarseToFine;
using internal::FramePreparer;
using internal::LearnedScene;
using internal::LearnOptions;
using internal::MotionFit;
using internal::Screening;
using internal::Snapshot;

constexpr int kSnapshots = 32;            // More would lower the model's noise by less than 2 %.
constexpr int kSmallestSidePx = 24;       // High-pass box and margins need room.
constexpr double kPointShare = 0.2;       // The steepest third carries most of the information.
constexpr double kPoorShare = 0.6;        // Of the usual correlation: look elsewhere.
constexpr double kLostShare = 0.5;        // Below that the frame is dropped.
constexpr double kWeakPx = 0.5;           // A bound above that says nothing of a poor fit.
constexpr double kWeakCorrelation = 0.3;  // The scene is no more than its own noise.
constexpr int kTrackIterations = 5;
constexpr double kMissedShare = 0.1;  // Of the motion, rms over simulated captures.

void RequirePositive(const char* field, double value) {
  if (value > 0) return;
  throw OptionError(std::string("AlignOptions::") + field + " = " + std::to_string(value) +
                    ": must be > 0");
}

void RequireAtLeast(const char* field, int value, int least) {
  if (value >= least) return;
  throw OptionError(std::string("AlignOptions::") + field + " = " + std::to_string(value) +
                    ": must be >= " + std::to_string(least));
}

std::vector<int> UsedFrames(const std::vector<FrameState>& frames) {
  std::vector<int> used;
  for (std::size_t n = 0; n < frames.size(); ++n) {
    if (frames[n].used) used.push_back(static_cast<int>(n));
  }
  return used;
}

std::vector<Snapshot> TakeSnapshots(FrameSource& frames,
                                    const FramePreparer& preparer,
                                    const std::vector<int>& used) {
  const std::size_t taken = std::min<std::size_t>(kSnapshots, used.size());
  std::vector<Snapshot> snapshots(taken);
  Image raw;
  for (std::size_t i = 0; i < taken; ++i) {
    // Evenly spread, the first and the last among them.
    snapshots[i].index = used[taken < 2 ? 0 : i * (used.size() - 1) / (taken - 1)];
    frames.Read(snapshots[i].index, raw);
    preparer.HighPass(raw, snapshots[i].frame_k);
    preparer.BandPass(raw, snapshots[i].band_k);
  }
  return snapshots;
}

std::string PoorFit(double correlation, double usual) {
  char text[96];
  std::snprintf(text,
                sizeof text,
                "does not match the scene (correlation %.2f, usual %.2f)",
                correlation,
                usual);
  return text;
}

// Registers every used frame to the learned scene.
class Tracker {
 public:
  Tracker(const LearnedScene& scene,
          double usual_correlation,
          double noise_k,
          const LearnOptions& options)
      : texture_(scene.band_k, scene.weight, options.max_points, options.max_shift_px),
        usual_(usual_correlation),
        bound_px_(texture_.finest().BoundPx(internal::kBandPeak * noise_k)),
        most_px_(options.max_shift_px) {}

  void Place(const Image& frame_k, FrameState& state) {
    MotionFit fit = texture_.finest().Fit(frame_k, predicted_, kTrackIterations);
    if (bound_px_ < kWeakPx && usual_ > kWeakCorrelation) {
      if (fit.correlation < kPoorShare * usual_) Better(texture_.Fit(frame_k, predicted_), fit);
      if (fit.correlation < kPoorShare * usual_) Better(texture_.Search(frame_k, predicted_), fit);
      if (fit.correlation < kLostShare * usual_) {
        state.used = false;
        state.reason = PoorFit(fit.correlation, usual_);
        return;
      }
    } else if (!(bound_px_ < most_px_)) {
      fit.frame_from_reference = {};  // No texture: rest is as good a guess as any.
    }
    state.frame_from_reference = predicted_ = fit.frame_from_reference;
    // The band's noise is not white; its density is highest where its gain is.
    constexpr double kGain = internal::kBandPeak / internal::kBandNoise;
    state.residual_px = std::min(most_px_, kGain * std::sqrt(cv::trace(fit.covariance_px2)));
    for (int k = 0; k < 4; ++k) {
      variances_[static_cast<std::size_t>(k)].push_back(kGain * kGain * fit.covariance_px2(k, k));
    }
  }

  // Whether the texture tells motion at all.
  [[nodiscard]] bool fixes_motion() const { return bound_px_ < most_px_; }

  // Median over the frames of each parameter's variance [px^2].
  [[nodiscard]] cv::Vec4d UsualVariance() const {
    cv::Vec4d usual;
    for (int k = 0; k < 4; ++k) {
      usual[k] = std::max(1e-12, internal::Median(variances_[static_cast<std::size_t>(k)]));
    }
    return usual;
  }

 private:
  static void Better(const MotionFit& other, MotionFit& fit) {
    if (other.correlation > fit.correlation) fit = other;
  }

  CoarseToFine texture_;
  double usual_;
  double bound_px_;
  double most_px_;
  Similarity predicted_;
  std::array<std::vector<double>, 4> variances_;
};

// Takes the measurement's noise out of each parameter's course. The frames'
// residual_px stays that of the single fit: what changes in the scene misleads
// neighbouring frames alike, which smoothing does not see.
void SmoothMotion(cv::Size size, const cv::Vec4d& bound_variance, Alignment& alignment) {
  std::vector<FrameState*> used;
  for (FrameState& f : alignment.frames) {
    if (f.used) used.push_back(&f);
  }
  std::vector<internal::MotionVector> motion(used.size());
  for (int k = 0; k < 4; ++k) {
    std::vector<double> measured;
    for (const FrameState* f : used) {
      measured.push_back(internal::ToVector(f->frame_from_reference, size)[k]);
    }
    const internal::SmoothSeries smooth = internal::SmoothWalk(measured, bound_variance[k]);
    for (std::size_t i = 0; i < used.size(); ++i) motion[i][k] = smooth.value[i];
  }
  for (std::size_t i = 0; i < used.size(); ++i) {
    used[i]->frame_from_reference = internal::ToSimilarity(motion[i], size);
  }
}

// The scene was learned about the reference; where the fit now puts that frame
// itself is the model's own small shift, taken out of all.
void AnchorToReference(Alignment& alignment) {
  const auto first = static_cast<std::size_t>(alignment.reference);
  const Similarity back = alignment.frames[first].frame_from_reference.Inverse();
  for (FrameState& f : alignment.frames) {
    if (f.used) f.frame_from_reference = f.frame_from_reference.After(back);
  }
  alignment.frames[first].frame_from_reference = {};
}

// A fit to a picture in which the sensor's pattern takes part misses a share of
// the motion, which the frames' own noise does not show.
void AddMissedMotion(cv::Size size, double drag, double most_px, Alignment& alignment) {
  for (FrameState& f : alignment.frames) {
    if (!f.used) continue;
    const double moved_px = cv::norm(internal::ToVector(f.frame_from_reference, size));
    const double missed_px = (kMissedShare + drag) * moved_px;
    f.residual_px = std::min(most_px, std::hypot(f.residual_px, missed_px));
  }
}

void Summarise(cv::Size size, Alignment& alignment) {
  std::vector<double> residuals;
  const Point corners[] = {{0.0, 0.0},
                           {size.width - 1.0, 0.0},
                           {0.0, size.height - 1.0},
                           {size.width - 1.0, size.height - 1.0}};
  for (const FrameState& f : alignment.frames) {
    if (!f.used) continue;
    residuals.push_back(f.residual_px);
    for (const Point& p : corners) {
      const double shift = cv::norm(f.frame_from_reference.Apply(p, size) - p);
      alignment.largest_shift_px = std::max(alignment.largest_shift_px, shift);
    }
  }
  alignment.median_residual_px = internal::MedianInPlace(residuals);
}

void RequireTwo(const std::vector<FrameState>& frames) {
  const std::size_t used = UsedFrames(frames).size();
  if (used >= 2) return;
  throw DataError("only " + std::to_string(used) + " of " + std::to_string(frames.size()) +
                  " frames can be used, at least 2 are needed: capture a longer series");
}

std::function<void(double)> Part(const AlignOptions& options, double begin, double end) {
  if (!options.progress) return {};
  return [&options, begin, end](double share) { options.progress(begin + (end - begin) * share); };
}

}  // namespace

void AlignOptions::Validate() const {
  RequirePositive("max_shift_px", max_shift_px);
  RequireAtLeast("reference_frames", reference_frames, 1);
  RequireAtLeast("pattern_iterations", pattern_iterations, 0);
  RequirePositive("dead_pixel_sigmas", dead_pixel_sigmas);
}

Alignment Align(FrameSource& frames, const AlignOptions& options) {
  options.Validate();
  const cv::Size size = frames.size_px();
  if (std::min(size.width, size.height) < kSmallestSidePx) {
    throw DataError("frames of " + std::to_string(size.width) + " x " +
                    std::to_string(size.height) + " pixels are too small to register: at least " +
                    std::to_string(kSmallestSidePx) + " each way are needed");
  }
  Screening screening = internal::ScreenFrames(frames, options, Part(options, 0, 0.25));
  RequireTwo(screening.frames);
  const std::vector<int> used = UsedFrames(screening.frames);

  const FramePreparer preparer(screening.good_pixels);
  std::vector<Snapshot> snapshots = TakeSnapshots(frames, preparer, used);
  LearnOptions learn;
  learn.first_frames = options.reference_frames;
  learn.iterations = options.pattern_iterations;
  learn.max_shift_px = options.max_shift_px;
  learn.band_noise_k = internal::kBandNoise * screening.noise_k;
  learn.max_points = static_cast<int>(kPointShare * size.area());
  const LearnedScene scene = LearnScene(snapshots, learn, Part(options, 0.25, 0.5));

  Alignment result;
  result.frames = std::move(screening.frames);
  result.reference = used.front();
  result.num_segments = screening.num_segments;
  result.good_pixels = screening.good_pixels;
  result.pattern_k = scene.pattern_k;
  result.noise_k = screening.noise_k;
  result.screening = std::move(screening.report);

  std::vector<double> correlations;
  for (const Snapshot& s : snapshots) {
    if (s.placed) correlations.push_back(s.correlation);
  }
  Tracker tracker(scene, internal::MedianInPlace(correlations), result.noise_k, learn);
  const auto progress = Part(options, 0.5, 1);
  Image raw, band;
  for (std::size_t i = 0; i < used.size(); ++i) {
    frames.Read(used[i], raw);
    preparer.BandPass(raw, band);
    band -= scene.band_pattern_k;
    tracker.Place(band, result.frames[static_cast<std::size_t>(used[i])]);
    if (progress) progress((static_cast<double>(i) + 1) / static_cast<double>(used.size()));
  }
  RequireTwo(result.frames);
  result.reference = UsedFrames(result.frames).front();
  if (tracker.fixes_motion()) SmoothMotion(size, tracker.UsualVariance(), result);
  AnchorToReference(result);
  AddMissedMotion(size, scene.drag, options.max_shift_px, result);
  Summarise(size, result);
  return result;
}

}  // namespace ohmglow

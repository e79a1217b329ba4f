// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <string>

#include "align/motion_quality.h"
#include "align/prepare.h"
#include "align/robust.h"
#include "align/scene.h"
#include "align/screening.h"
#include "align/smooth.h"
#include "align/used_frames.h"
#include "base/made_ahead.h"
#include "ohmglow/align/alignment.h"
#include "ohmglow/base/error.h"
#include "ohmglow/base/remark_kind.h"
#include "ohmglow/words/say.h"

namespace ohmglow {
namespace {

using internal::CoarseToFine;
using internal::FramePreparer;
using internal::LearnedScene;
using internal::LearnOptions;
using internal::Motion;
using internal::MotionFit;
using internal::PlacedFrame;
using internal::Screening;
using internal::Snapshot;

constexpr int kSnapshots = 24;            // More would lower the model's noise by less than 2 %.
constexpr int kSmallestSidePx = 24;       // High-pass box and margins need room.
constexpr double kPointShare = 0.2;       // The steepest third carries most of the information.
constexpr int kMostPoints = 5000;         // More is slower, not better: heat and pattern limit.
constexpr double kPoorShare = 0.6;        // Of the usual correlation: look elsewhere.
constexpr double kFarPx = 1;              // A step that a fit from nearby may not reach.
constexpr double kLostShare = 0.5;        // Below that the frame is dropped.
constexpr double kWeakPx = 0.5;           // A bound above that says nothing of a poor fit.
constexpr double kWeakCorrelation = 0.3;  // The scene is no more than its own noise.
constexpr double kUsualShare = 0.6;       // ShareFound() says so at least where all was found.
constexpr int kTrackIterations = 5;

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

// Registers every used frame to the learned scene.
class Tracker {
 public:
  Tracker(const LearnedScene& scene,
          double usual_correlation,
          double noise_k,
          const LearnOptions& options)
      : texture_(scene.band_k,
                 scene.weight,
                 options.max_points,
                 options.max_shift_px,
                 scene.choice.model),
        usual_(usual_correlation),
        bound_px_(texture_.finest().BoundPx(internal::kBandPeak * noise_k)),
        most_px_(options.max_shift_px),
        textured_(scene.textured) {}

  void Place(const Image& frame_k, FrameState& state) {
    MotionFit fit = texture_.finest().Fit(frame_k, predicted_, kTrackIterations);
    if (tells_poor_fits()) {
      const cv::Size size = frame_k.size();
      const Motion step =
          internal::Joined(fit.frame_from_reference, internal::InverseOf(predicted_));
      const bool far = internal::DisplacementPx(internal::ToVector(step, size), size) > kFarPx;
      // Far from where it began the fit may have stopped halfway.
      if (far || fit.agreement < kPoorShare * usual_) {
        Better(texture_.Fit(frame_k, predicted_), fit);
      }
      if (fit.agreement < kPoorShare * usual_) Better(texture_.Search(frame_k, predicted_), fit);
      if (fit.agreement < kLostShare * usual_) {
        state.used = false;
        state.reason =
            Remark(RemarkKind::kFrameLost).With("correlation", fit.agreement).With("usual", usual_);
        return;
      }
    } else if (!fixes_motion() || !Possible(fit, frame_k.size())) {
      fit = {};  // No texture: rest is as good a guess as any.
      fit.covariance_px2 = internal::MotionMatrix::eye() * (most_px_ * most_px_);
    }
    predicted_ = fit.frame_from_reference;
    placed_.push_back({&state, fit.frame_from_reference, fit.contrast});
    // The band's noise is not white; its density is highest where its gain is.
    constexpr double kGain = internal::kBandPeak / internal::kBandNoise;
    const cv::Size size = frame_k.size();
    const double white = kGain * kGain * internal::MeanSquare(fit.covariance_px2, size);
    const double blocks = internal::MeanSquare(fit.block_covariance_px2, size);
    state.residual_px = std::min(most_px_, std::sqrt(std::max(white, blocks)));
    for (int k = 0; k < internal::kMostParameters; ++k) {
      variances_[static_cast<std::size_t>(k)].push_back(kGain * kGain * fit.covariance_px2(k, k));
    }
  }

  // Whether the texture tells motion at all.
  [[nodiscard]] bool fixes_motion() const { return textured_ && bound_px_ < most_px_; }
  // Whether a poor fit shows as one.
  [[nodiscard]] bool tells_poor_fits() const {
    return textured_ && bound_px_ < kWeakPx && usual_ > kWeakCorrelation;
  }
  [[nodiscard]] std::vector<PlacedFrame>& placed() { return placed_; }

  // Median over the frames of each parameter's variance [px^2].
  [[nodiscard]] internal::MotionVector UsualVariance() const {
    internal::MotionVector usual;
    for (int k = 0; k < internal::kMostParameters; ++k) {
      usual[k] = std::max(1e-12, internal::Median(variances_[static_cast<std::size_t>(k)]));
    }
    return usual;
  }

 private:
  // A fit that ran away would lead all later frames astray.
  [[nodiscard]] bool Possible(const MotionFit& fit, cv::Size size_px) const {
    return std::isfinite(fit.covariance_px2(0, 0)) &&
           internal::DisplacementPx(internal::ToVector(fit.frame_from_reference, size_px),
                                    size_px) < most_px_;
  }
  static void Better(const MotionFit& other, MotionFit& fit) {
    if (other.agreement > fit.agreement) fit = other;
  }

  CoarseToFine texture_;
  double usual_;
  double bound_px_;
  double most_px_;
  bool textured_;
  Motion predicted_ = Motion::eye();
  std::vector<PlacedFrame> placed_;
  std::array<std::vector<double>, internal::kMostParameters> variances_;
};

// Takes the measurement's noise out of each parameter's course. The frames'
// residual_px stays that of the single fit: what changes in the scene misleads
// neighbouring frames alike, which smoothing does not see.
void SmoothMotion(cv::Size size,
                  int parameters,
                  const internal::MotionVector& bound_variance,
                  std::vector<PlacedFrame>& placed) {
  std::vector<internal::MotionVector> motion(placed.size());
  for (int k = 0; k < parameters; ++k) {
    std::vector<double> measured;
    for (const PlacedFrame& f : placed) measured.push_back(internal::ToVector(f.motion, size)[k]);
    const internal::SmoothSeries smooth = internal::SmoothWalk(measured, bound_variance[k]);
    for (std::size_t i = 0; i < placed.size(); ++i) motion[i][k] = smooth.value[i];
  }
  for (std::size_t i = 0; i < placed.size(); ++i) {
    placed[i].motion = internal::FromVector(motion[i], size);
  }
}

// The scene was learned about the reference; where the fit now puts that frame
// itself is the model's own small shift, taken out of all.
void WriteMotion(cv::Size size, bool projective, const std::vector<PlacedFrame>& placed) {
  const Motion back = internal::InverseOf(placed.front().motion);
  for (const PlacedFrame& f : placed) {
    const PlaneMap map = internal::ToPlaneMap(internal::Joined(f.motion, back), size);
    f.state->frame_from_reference = BestSimilarity(map, size);
    if (projective) f.state->projective_from_reference = map;
  }
  placed.front().state->frame_from_reference = {};
}

// The commonest reason, where there is one.
std::string WhyNot(const std::vector<FrameState>& frames) {
  std::map<RemarkKind, std::vector<const Remark*>> reasons;
  for (const FrameState& frame : frames) {
    if (!frame.used) reasons[frame.reason.kind].push_back(&frame.reason);
  }
  const auto most =
      std::max_element(reasons.begin(), reasons.end(), [](const auto& a, const auto& b) {
        return a.second.size() < b.second.size();
      });
  if (most == reasons.end()) return {};
  return " (left out, for example: " + SayInShort(*most->second.front()) + ")";
}

void RequireTwo(const std::vector<FrameState>& frames) {
  const std::size_t used = UsedFrames(frames).size();
  if (used >= 2) return;
  throw DataError("only " + std::to_string(used) + " of " + std::to_string(frames.size()) +
                  " frames can be used, at least 2 are needed" + WhyNot(frames) +
                  ": capture a longer series");
}

std::function<void(double)> ShareOfProgress(const AlignOptions& options, double begin, double end) {
  if (!options.progress) return {};
  return [&options, begin, end](double share) { options.progress(begin + (end - begin) * share); };
}

}  // namespace

PlaneMap MapOf(const FrameState& frame, cv::Size frame_size_px) {
  return frame.projective_from_reference.value_or(
      ToPlaneMap(frame.frame_from_reference, frame_size_px));
}

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
  Screening screening = internal::ScreenFrames(frames, options, ShareOfProgress(options, 0, 0.25));
  RequireTwo(screening.frames);
  const std::vector<int> used = UsedFrames(screening.frames);

  const FramePreparer preparer(screening.good_pixels);
  std::vector<Snapshot> snapshots = TakeSnapshots(frames, preparer, used);
  LearnOptions learn;
  learn.first_frames = options.reference_frames;
  learn.iterations = options.pattern_iterations;
  learn.max_shift_px = options.max_shift_px;
  learn.band_noise_k = internal::kBandNoise * screening.noise_k;
  learn.max_points = std::min(kMostPoints, static_cast<int>(kPointShare * size.area()));
  const LearnedScene scene = LearnScene(snapshots, learn, ShareOfProgress(options, 0.25, 0.5));

  Alignment result;
  result.frames = std::move(screening.frames);
  result.reference = used.front();
  result.num_segments = screening.num_segments;
  result.good_pixels = screening.good_pixels;
  result.pattern_k = scene.pattern_k;
  result.noise_k = screening.noise_k;
  result.screening = std::move(screening.report);
  result.motion_model = scene.choice.model;
  result.model_gain = scene.choice.gain;
  if (!scene.textured) {
    result.motion_model = MotionModel::kShift;
    result.model_gain = {};
  }

  std::vector<double> correlations;
  for (const Snapshot& s : snapshots) {
    if (s.placed) correlations.push_back(s.correlation);
  }
  Tracker tracker(scene, internal::MedianInPlace(correlations), result.noise_k, learn);
  const auto progress = ShareOfProgress(options, 0.5, 1);
  Image raw;  // The maker's own.
  internal::MadeAhead<Image> bands(used.size(), [&](std::size_t i, Image& band) {
    frames.Read(used[i], raw);
    preparer.BandPass(raw, band);
    band -= scene.band_pattern_k;
  });
  for (std::size_t i = 0; i < used.size(); ++i) {
    tracker.Place(bands.Next(), result.frames[static_cast<std::size_t>(used[i])]);
    if (progress) progress((static_cast<double>(i) + 1) / static_cast<double>(used.size()));
  }
  if (tracker.tells_poor_fits()) {
    result.num_blurred = internal::DropBlurred(size, tracker.placed());
  }
  RequireTwo(result.frames);
  result.reference = UsedFrames(result.frames).front();
  const MotionModel model = scene.choice.model;
  if (tracker.fixes_motion()) {
    SmoothMotion(size, internal::NumParameters(model), tracker.UsualVariance(), tracker.placed());
  }
  WriteMotion(size, model == MotionModel::kProjective, tracker.placed());
  const double held = std::max(0.0, 1 - scene.share_found / kUsualShare);
  internal::AddMissedMotion(size, std::max(scene.drag, held), options.max_shift_px, result);
  internal::Summarise(size, tracker.fixes_motion(), result);
  return result;
}

}  // namespace ohmglow

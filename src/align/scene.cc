// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/scene.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "align/robust.h"
#include "align/warp.h"

namespace ohmglow::internal {
namespace {

constexpr float kMisplacedPx = 0.3F;  // Frames in the learned scene may be off by that.
constexpr double kRimPx = 1;          // Cubic interpolation needs a pixel beyond.
constexpr double kPoorShare = 0.6;    // Of the usual correlation: look elsewhere.
constexpr int kRefineIterations = 4;
constexpr int kRounds = 4;  // Of model and motion; beyond, nothing changes by 0.01 px.

struct MeanImage {
  explicit MeanImage(cv::Size size) : sum(size, 0.0F), weight(size, 0.0F) {}

  void Add(const Image& image, const Image& cover) {
    cv::accumulateProduct(image, cover, sum);
    cv::accumulate(cover, weight);
  }
  [[nodiscard]] Image Mean() const {
    Image mean;
    cv::divide(sum, cv::max(weight, 0.5F), mean);
    return mean;
  }

  Image sum, weight;
};

// An image of the snapshot, seen in reference coordinates, added to `mean`.
void AddRegistered(const Image& image, const Similarity& map, MeanImage& mean) {
  Image moved, cover;
  Warp(image, map, moved);
  CoverOf(image.size(), map, kRimPx, cover);
  mean.Add(moved, cover);
}

Image RegisteredBand(const std::vector<Snapshot>& snapshots) {
  MeanImage mean(snapshots.front().band_k.size());
  for (const Snapshot& s : snapshots) {
    if (s.placed) AddRegistered(s.band_k, s.frame_from_reference, mean);
  }
  return mean.Mean();
}

// The mean of the frames without the pattern.
Image RegisteredScene(const std::vector<Snapshot>& snapshots, const Image& pattern_k) {
  MeanImage mean(pattern_k.size());
  Image clean;
  for (const Snapshot& s : snapshots) {
    if (!s.placed) continue;
    cv::subtract(s.frame_k, pattern_k, clean);
    AddRegistered(clean, s.frame_from_reference, mean);
  }
  return mean.Mean();
}

// What the frames show beyond the moved scene, on average over them, in sensor coordinates.
Image PatternOf(const std::vector<Snapshot>& snapshots, const Image& model_k) {
  MeanImage mean(model_k.size());
  Image moved, cover;
  for (const Snapshot& s : snapshots) {
    if (!s.placed) continue;
    const Similarity back = s.frame_from_reference.Inverse();
    Warp(model_k, back, moved);
    CoverOf(model_k.size(), back, kRimPx, cover);
    cv::subtract(s.frame_k, moved, moved);
    mean.Add(moved, cover);
  }
  Image pattern = mean.Mean();
  pattern -= cv::mean(pattern)[0];
  return pattern;
}

// Squared gradient, smoothed like the variance that it is compared with.
Image SteepnessOf(const Image& image) {
  Image dx, dy;
  cv::Sobel(image, dx, CV_32F, 1, 0, 1, 0.5);
  cv::Sobel(image, dy, CV_32F, 0, 1, 1, 0.5);
  cv::multiply(dx, dx, dx);
  cv::accumulateSquare(dy, dx);
  cv::blur(dx, dx, cv::Size(3, 3));
  return dx;
}

// Share of white noise in the variance of what is left over, smoothed lest
// its own scatter decide. What a small misplacement makes of a steep place does
// not count: the steep places are those that tell.
Image WeightOf(const std::vector<Snapshot>& snapshots, const Image& band_k, double noise_k) {
  MeanImage mean(band_k.size());
  Image moved, cover;
  for (const Snapshot& s : snapshots) {
    if (!s.placed) continue;
    Warp(s.band_k, s.frame_from_reference, moved);
    CoverOf(band_k.size(), s.frame_from_reference, kRimPx, cover);
    cv::subtract(moved, band_k, moved);
    cv::multiply(moved, moved, moved);
    mean.Add(moved, cover);
  }
  Image variance = mean.Mean();
  cv::blur(variance, variance, cv::Size(3, 3));
  const float white = static_cast<float>(noise_k * noise_k);
  const Image steepness = SteepnessOf(band_k);
  Image weight(variance.size());
  for (int r = 0; r < weight.rows; ++r) {
    for (int c = 0; c < weight.cols; ++c) {
      const bool seen = mean.weight(r, c) > 0.5F;
      const float excess = variance(r, c) - kMisplacedPx * kMisplacedPx * steepness(r, c);
      weight(r, c) = seen ? white / std::max(white, excess) : 0.0F;
    }
  }
  return weight;
}

// First round: every snapshot against the mean of those before it.
void Track(std::vector<Snapshot>& snapshots, const LearnOptions& options) {
  const cv::Size size = snapshots.front().band_k.size();
  const Image weight(size, 1.0F);
  MeanImage mean(size);
  snapshots.front().correlation = 1;
  AddRegistered(snapshots.front().band_k, {}, mean);
  std::vector<double> correlations;
  Similarity predicted;
  CoarseToFine scene(mean.Mean(), weight, options.max_points, options.max_shift_px);
  int in_model = 1;
  for (std::size_t i = 1; i < snapshots.size(); ++i) {
    Snapshot& s = snapshots[i];
    MotionFit fit = scene.Fit(s.band_k, predicted);
    const double usual = correlations.empty() ? 1.0 : Median(correlations);
    if (fit.correlation < kPoorShare * usual) {
      const MotionFit found = scene.Search(s.band_k, predicted);
      if (found.correlation > fit.correlation) fit = found;
    }
    s.placed = fit.correlation >= 0.5 * usual || correlations.empty();
    s.correlation = fit.correlation;
    if (!s.placed) continue;
    s.frame_from_reference = predicted = fit.frame_from_reference;
    correlations.push_back(fit.correlation);
    AddRegistered(s.band_k, s.frame_from_reference, mean);
    // Powers of two beyond the first: the model hardly changes in between.
    ++in_model;
    if (in_model <= options.first_frames || (in_model & (in_model - 1)) == 0) {
      scene = CoarseToFine(mean.Mean(), weight, options.max_points, options.max_shift_px);
    }
  }
}

void Refine(std::vector<Snapshot>& snapshots, const LearnedScene& scene, int max_points) {
  const Texture texture(scene.band_k, scene.weight, max_points);
  for (Snapshot& s : snapshots) {
    if (!s.placed) continue;
    const MotionFit fit = texture.Fit(s.band_k, s.frame_from_reference, kRefineIterations);
    s.frame_from_reference = fit.frame_from_reference;
    s.correlation = fit.correlation;
  }
}

// Puts the reference back to rest: only motion against it counts.
void Anchor(std::vector<Snapshot>& snapshots) {
  const Similarity reference_from_model = snapshots.front().frame_from_reference.Inverse();
  for (Snapshot& s : snapshots) {
    s.frame_from_reference = s.frame_from_reference.After(reference_from_model);
  }
}

}  // namespace

LearnedScene LearnScene(std::vector<Snapshot>& snapshots,
                        const LearnOptions& options,
                        const std::function<void(double)>& progress) {
  const cv::Size size = snapshots.front().frame_k.size();
  Track(snapshots, options);
  LearnedScene scene{Image(), Image(), Image(size, 0.0F), Image(size, 1.0F)};
  const int rounds = kRounds + options.iterations;
  for (int round = 0; round < kRounds; ++round) {
    scene.band_k = RegisteredBand(snapshots);
    scene.weight = WeightOf(snapshots, scene.band_k, options.band_noise_k);
    Refine(snapshots, scene, options.max_points);
    Anchor(snapshots);
    if (progress) progress((round + 1.0) / rounds);
  }
  scene.band_k = RegisteredBand(snapshots);
  scene.weight = WeightOf(snapshots, scene.band_k, options.band_noise_k);

  scene.model_k = RegisteredScene(snapshots, scene.pattern_k);
  for (int i = 0; i < options.iterations; ++i) {
    scene.pattern_k = PatternOf(snapshots, scene.model_k);
    scene.model_k = RegisteredScene(snapshots, scene.pattern_k);
    if (progress) progress((kRounds + i + 1.0) / rounds);
  }
  return scene;
}

}  // namespace ohmglow::internal

// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/scene.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <opencv2/imgproc.hpp>

#include "align/prepare.h"
#include "align/robust.h"
#include "align/shrink.h"
#include "align/warp.h"

namespace ohmglow::internal {
namespace {

constexpr float kMisplacedPx = 0.3F;  // Frames in the learned scene may be off by that.
constexpr double kRimPx = 1;          // Cubic interpolation needs a pixel beyond.
constexpr double kPoorShare = 0.6;    // Of the usual correlation: look elsewhere.
constexpr int kRefineIterations = 4;
constexpr int kMoreRounds = 4;  // Where the pattern had hold of the motion.
constexpr double kStrongDrag = 0.1;
constexpr double kLeastDrag = 0.01;
constexpr double kLeastDragPx = 0.03;  // Chosen on simulated captures.
constexpr int kRounds = 4;             // Of model and motion; beyond, nothing changes by 0.01 px.

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
Image WeightOf(const std::vector<Snapshot>& snapshots, const LearnedScene& scene, double noise_k) {
  const Image& band_k = scene.band_k;
  MeanImage mean(band_k.size());
  Image clean, moved, cover;
  for (const Snapshot& s : snapshots) {
    if (!s.placed) continue;
    cv::subtract(s.band_k, scene.band_pattern_k, clean);
    Warp(clean, s.frame_from_reference, moved);
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

void Refine(std::vector<Snapshot>& snapshots,
            const LearnedScene& scene,
            const LearnOptions& options,
            bool from_afar) {
  const CoarseToFine texture(scene.band_k, scene.weight, options.max_points, options.max_shift_px);
  Image clean;
  for (Snapshot& s : snapshots) {
    if (!s.placed) continue;
    cv::subtract(s.band_k, scene.band_pattern_k, clean);
    const MotionFit fit =
        from_afar ? texture.Fit(clean, s.frame_from_reference)
                  : texture.finest().Fit(clean, s.frame_from_reference, kRefineIterations);
    s.frame_from_reference = fit.frame_from_reference;
    s.correlation = fit.correlation;
  }
}

Image MeanOf(const std::vector<Snapshot>& snapshots, Image Snapshot::*image) {
  Image mean((snapshots.front().*image).size(), 0.0F);
  int placed = 0;
  for (const Snapshot& s : snapshots) {
    if (!s.placed) continue;
    mean += s.*image;
    ++placed;
  }
  mean /= std::max(placed, 1);
  return mean;
}

// Share of the squared slopes of the mean's steepest places that the scene has.
double SlopeShare(const Image& scene_k, const Image& mean_k, int max_points) {
  Image steep = SteepnessOf(mean_k);
  const Image own = SteepnessOf(scene_k);
  std::vector<float> ordered(steep.begin(), steep.end());
  const auto limit = static_cast<std::ptrdiff_t>(
      std::min(static_cast<std::size_t>(std::max(max_points, 1)), ordered.size() - 1));
  std::nth_element(ordered.begin(), ordered.begin() + limit, ordered.end(), std::greater<>());
  const float cut = ordered[static_cast<std::size_t>(limit)];
  double all = 0, share = 0;
  for (int r = 0; r < steep.rows; ++r) {
    for (int c = 0; c < steep.cols; ++c) {
      if (steep(r, c) < cut) continue;
      all += static_cast<double>(steep(r, c));
      share += static_cast<double>(std::sqrt(steep(r, c) * own(r, c)));
    }
  }
  return all > 0 ? share / all : 1;
}

// The scene without the pattern, and the pattern without the scene, from the
// snapshots where they lie now. False, and nothing parted, where the pattern has
// no hold of the motion.
bool PartSceneAndPattern(const std::vector<Snapshot>& snapshots,
                         const LearnOptions& options,
                         LearnedScene& scene) {
  std::vector<Similarity> motion;
  for (const Snapshot& s : snapshots) {
    if (s.placed) motion.push_back(s.frame_from_reference);
  }
  const double noise_k =
      options.band_noise_k / kBandNoise / std::sqrt(static_cast<double>(motion.size()));
  const double white_k = WhitePartOf(MeanOf(snapshots, &Snapshot::frame_k));
  const double pattern_k = std::sqrt(std::max(0.0, white_k * white_k - noise_k * noise_k));
  const Image mean_k = RegisteredBand(snapshots);
  scene.band_k = SceneOf(mean_k, motion, pattern_k, noise_k);
  scene.drag = 1 - SlopeShare(scene.band_k, mean_k, options.max_points);
  if (scene.drag < kLeastDrag) return false;
  MeanImage moved_mean(scene.band_k.size());
  for (const Snapshot& s : snapshots) {
    if (s.placed) AddRegistered(scene.band_k, s.frame_from_reference.Inverse(), moved_mean);
  }
  cv::subtract(MeanOf(snapshots, &Snapshot::band_k), moved_mean.Mean(), scene.band_pattern_k);
  return true;
}

// How far the snapshots lie from their mean place, rms over frames and picture [px].
double SpreadPx(const std::vector<Snapshot>& snapshots) {
  const cv::Size size = snapshots.front().band_k.size();
  MotionVector sum, square;
  double placed = 0;
  for (const Snapshot& s : snapshots) {
    if (!s.placed) continue;
    const MotionVector v = ToVector(s.frame_from_reference, size);
    sum += v;
    square += v.mul(v);
    ++placed;
  }
  const MotionVector variance =
      square * (1 / placed) - (sum * (1 / placed)).mul(sum * (1 / placed));
  return std::sqrt(std::max(0.0, variance[0] + variance[1] + variance[2] + variance[3]));
}

// The mean of the registered frames as it is.
void TakeMeanAsScene(const std::vector<Snapshot>& snapshots, LearnedScene& scene) {
  scene.band_k = RegisteredBand(snapshots);
  scene.band_pattern_k = Image(scene.band_k.size(), 0.0F);
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
  LearnedScene scene{Image(), Image(), 0.0, Image(), Image(size, 0.0F), Image(size, 1.0F)};
  const int rounds = kRounds + options.iterations;
  const std::vector<Snapshot> dragged = snapshots;
  bool parted = true;
  const auto learn = [&] {
    parted = parted && PartSceneAndPattern(snapshots, options, scene);
    if (!parted) TakeMeanAsScene(snapshots, scene);
    scene.weight = WeightOf(snapshots, scene, options.band_noise_k);
  };
  int num_rounds = kRounds;
  for (int round = 0; round < num_rounds; ++round) {
    learn();
    Refine(snapshots, scene, options, parted && round == 0);
    Anchor(snapshots);
    if (parted && round == 0 && scene.drag * SpreadPx(snapshots) < kLeastDragPx) {
      // The parting's own error is larger than what it mends.
      parted = false;
      snapshots = dragged;
      learn();
      Refine(snapshots, scene, options, false);
      Anchor(snapshots);
    }
    if (parted && round == 0 && scene.drag > kStrongDrag) num_rounds += kMoreRounds;
    if (progress) progress(std::min(static_cast<double>(kRounds), round + 1.0) / rounds);
  }
  learn();

  if (options.iterations > 0) scene.model_k = RegisteredScene(snapshots, scene.pattern_k);
  for (int i = 0; i < options.iterations; ++i) {
    scene.pattern_k = PatternOf(snapshots, scene.model_k);
    scene.model_k = RegisteredScene(snapshots, scene.pattern_k);
    if (progress) progress((kRounds + i + 1.0) / rounds);
  }
  return scene;
}

}  // namespace ohmglow::internal

// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/scene.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <opencv2/imgproc.hpp>
#include <optional>

#include "align/held.h"
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
constexpr int kTrackIterations = 4;
constexpr int kMoreRounds = 4;  // Where the pattern had hold of the motion.
constexpr double kStrongDrag = 0.1;
constexpr double kLeastDrag = 0.01;
constexpr double kLeastDragPx = 0.03;  // Chosen on simulated captures.
constexpr int kRounds = 5;             // Of model and motion; beyond, nothing changes by 0.01 px.
constexpr double kChosenPx = 0.05;     // Changes below that: time to choose the model of motion.
constexpr double kTextureRatio = 2;    // Of a mean's variance to its noise; 1.2 for noise alone.
constexpr double kSettledPx = 0.005;

// Sums over registered images, by pixel.
struct Sums {
  explicit Sums(cv::Size size) : value(size, 0.0F), square(size, 0.0F), number(size, 0.0F) {}

  // `image` as seen through `map`, where it lies in the picture.
  void Add(const Image& image, const Motion& map) {
    Warp(image, map, moved);
    const PlaneMap pixels = ToPlaneMap(map, image.size());
    for (int r = 0; r < value.rows; ++r) {
      const Columns inside = InsideOf(image.size(), pixels, r, kRimPx);
      const float* m = moved[r];
      float* v = value[r];
      float* s = square[r];
      float* n = number[r];
      for (int c = inside.begin; c < inside.end; ++c) {
        v[c] += m[c];
        s[c] += m[c] * m[c];
        n[c] += 1;
      }
    }
  }
  [[nodiscard]] Image Mean() const { return Over(value); }
  // Mean square distance from `from`.
  [[nodiscard]] Image MeanSquareFrom(const Image& from) const {
    const Image mean = Over(value);
    Image out = Over(square);
    out += from.mul(from - 2 * mean);
    return out;
  }

  Image value, square, number, moved;

 private:
  [[nodiscard]] Image Over(const Image& sum) const {
    Image out;
    cv::divide(sum, cv::max(number, 0.5F), out);
    return out;
  }
};

Sums RegisteredBands(const std::vector<Snapshot>& snapshots) {
  Sums sums(snapshots.front().band_k.size());
  for (const Snapshot& s : snapshots) {
    if (s.placed) sums.Add(s.band_k, s.frame_from_reference);
  }
  return sums;
}

// The mean of the frames without the pattern.
Image RegisteredScene(const std::vector<Snapshot>& snapshots, const Image& pattern_k) {
  Sums sums(pattern_k.size());
  Image clean;
  for (const Snapshot& s : snapshots) {
    if (!s.placed) continue;
    cv::subtract(s.frame_k, pattern_k, clean);
    sums.Add(clean, s.frame_from_reference);
  }
  return sums.Mean();
}

// What the frames show beyond the moved scene, on average over them, in sensor coordinates.
Image PatternOf(const std::vector<Snapshot>& snapshots, const Image& model_k) {
  Image pattern(model_k.size(), 0.0F);
  Image number(model_k.size(), 0.0F);
  Image moved;
  for (const Snapshot& s : snapshots) {
    if (!s.placed) continue;
    const Motion back = InverseOf(s.frame_from_reference);
    Warp(model_k, back, moved);
    cv::subtract(s.frame_k, moved, moved);
    const PlaneMap pixels = ToPlaneMap(back, model_k.size());
    for (int r = 0; r < pattern.rows; ++r) {
      const Columns inside = InsideOf(model_k.size(), pixels, r, kRimPx);
      for (int c = inside.begin; c < inside.end; ++c) {
        pattern(r, c) += moved(r, c);
        number(r, c) += 1;
      }
    }
  }
  cv::divide(pattern, cv::max(number, 0.5F), pattern);
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
// @param frames  without the pattern, registered.
Image WeightOf(const Sums& frames, const Image& band_k, double noise_k) {
  Image variance = frames.MeanSquareFrom(band_k);
  cv::blur(variance, variance, cv::Size(3, 3));
  const float white = std::max(1e-12F, static_cast<float>(noise_k * noise_k));
  const Image steepness = SteepnessOf(band_k);
  Image weight(variance.size());
  for (int r = 0; r < weight.rows; ++r) {
    for (int c = 0; c < weight.cols; ++c) {
      const bool seen = frames.number(r, c) > 0.5F;
      const float excess = variance(r, c) - kMisplacedPx * kMisplacedPx * steepness(r, c);
      weight(r, c) = seen ? white / std::max(white, excess) : 0.0F;
    }
  }
  return weight;
}

// First round: every snapshot against the mean of those before it. What changed among these
// has little weight already: the slopes of strong heat are the steepest, and go their own way.
void Track(std::vector<Snapshot>& snapshots, const LearnOptions& options) {
  const cv::Size size = snapshots.front().band_k.size();
  const auto textures = [&](const Sums& sums) {
    const Image mean_k = sums.Mean();
    return CoarseToFine(mean_k,
                        WeightOf(sums, mean_k, options.band_noise_k),
                        options.max_points,
                        options.max_shift_px,
                        MotionModel::kSimilarity);
  };
  Sums sums(size);
  snapshots.front().correlation = 1;
  sums.Add(snapshots.front().band_k, Motion::eye());
  std::vector<double> correlations;
  Motion predicted = Motion::eye();
  CoarseToFine scene = textures(sums);
  int in_model = 1;
  for (std::size_t i = 1; i < snapshots.size(); ++i) {
    Snapshot& s = snapshots[i];
    MotionFit fit = scene.Fit(s.band_k, predicted, kTrackIterations);
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
    sums.Add(s.band_k, s.frame_from_reference);
    // Powers of two: the model hardly changes in between.
    ++in_model;
    if ((in_model & (in_model - 1)) == 0) scene = textures(sums);
  }
}

// Puts the reference back to rest: only motion against it counts.
void Anchor(std::vector<Snapshot>& snapshots) {
  const Motion reference_from_model = InverseOf(snapshots.front().frame_from_reference);
  for (Snapshot& s : snapshots) {
    s.frame_from_reference = Joined(s.frame_from_reference, reference_from_model);
  }
}

// Registers the snapshots anew to the scene; the largest change [px].
double Refine(std::vector<Snapshot>& snapshots,
              const LearnedScene& scene,
              const LearnOptions& options,
              bool from_afar) {
  const CoarseToFine texture(scene.band_k,
                             scene.weight,
                             options.max_points,
                             options.max_shift_px,
                             scene.choice.model,
                             from_afar ? kAllLevels : 1);
  const cv::Size size = scene.band_k.size();
  std::vector<MotionVector> before;
  Image clean;
  for (Snapshot& s : snapshots) {
    before.push_back(ToVector(s.frame_from_reference, size));
    if (!s.placed) continue;
    cv::subtract(s.band_k, scene.band_pattern_k, clean);
    const MotionFit fit =
        from_afar ? texture.Fit(clean, s.frame_from_reference)
                  : texture.finest().Fit(clean, s.frame_from_reference, kRefineIterations);
    s.frame_from_reference = fit.frame_from_reference;
    s.correlation = fit.correlation;
  }
  Anchor(snapshots);
  double change_px = 0;
  for (std::size_t i = 0; i < snapshots.size(); ++i) {
    if (!snapshots[i].placed) continue;
    const MotionVector change = ToVector(snapshots[i].frame_from_reference, size) - before[i];
    change_px = std::max(change_px, DisplacementPx(change, size));
  }
  return change_px;
}

// Chooses the model of motion by the snapshots where they lie now, and takes
// from them what it does not have.
ModelChoice Choose(const LearnedScene& scene,
                   const LearnOptions& options,
                   std::vector<Snapshot>& snapshots) {
  const cv::Size size = scene.band_k.size();
  const Texture texture(scene.band_k, scene.weight, options.max_points, MotionModel::kProjective);
  std::vector<PlacedQuadratics> frames;
  Image clean;
  for (const Snapshot& s : snapshots) {
    if (!s.placed) continue;
    cv::subtract(s.band_k, scene.band_pattern_k, clean);
    frames.push_back(
        {ToVector(s.frame_from_reference, size), texture.Halves(clean, s.frame_from_reference)});
  }
  const ModelChoice choice = ChooseModel(frames);
  for (Snapshot& s : snapshots) {
    MotionVector v = ToVector(s.frame_from_reference, size);
    for (int k = NumParameters(choice.model); k < kMostParameters; ++k) v[k] = 0;
    s.frame_from_reference = FromVector(v, size);
  }
  return choice;
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
// @param white_k  what of the frames' mean is white, where they are not moved.
bool PartSceneAndPattern(const std::vector<Snapshot>& snapshots,
                         const Image& mean_k,
                         const LearnOptions& options,
                         double white_k,
                         LearnedScene& scene) {
  std::vector<Motion> motion;
  for (const Snapshot& s : snapshots) {
    if (s.placed) motion.push_back(s.frame_from_reference);
  }
  const double noise_k =
      options.band_noise_k / kBandNoise / std::sqrt(static_cast<double>(motion.size()));
  const double pattern_k = std::sqrt(std::max(0.0, white_k * white_k - noise_k * noise_k));
  scene.band_k = SceneOf(mean_k, motion, pattern_k, noise_k);
  scene.drag = 1 - SlopeShare(scene.band_k, mean_k, options.max_points);
  if (scene.drag < kLeastDrag) return false;
  Sums moved(scene.band_k.size());
  for (const Snapshot& s : snapshots) {
    if (s.placed) moved.Add(scene.band_k, InverseOf(s.frame_from_reference));
  }
  cv::subtract(MeanOf(snapshots, &Snapshot::band_k), moved.Mean(), scene.band_pattern_k);
  return true;
}

// Learns the scene from the snapshots where they lie now. False where scene
// and pattern are not parted: `part` is false, or the pattern has no hold.
bool Learn(const std::vector<Snapshot>& snapshots,
           const LearnOptions& options,
           bool part,
           double white_k,
           LearnedScene& scene) {
  const Sums bands = RegisteredBands(snapshots);
  const Image mean_k = bands.Mean();
  if (part && PartSceneAndPattern(snapshots, mean_k, options, white_k, scene)) {
    Sums clean(mean_k.size());
    Image frame;
    for (const Snapshot& s : snapshots) {
      if (!s.placed) continue;
      cv::subtract(s.band_k, scene.band_pattern_k, frame);
      clean.Add(frame, s.frame_from_reference);
    }
    scene.weight = WeightOf(clean, scene.band_k, options.band_noise_k);
    return true;
  }
  scene.band_k = mean_k;
  scene.band_pattern_k = Image(mean_k.size(), 0.0F);
  scene.weight = WeightOf(bands, mean_k, options.band_noise_k);
  return false;
}

// Whether the mean of the frames is more than the mean of their noise. Frames that noise threw
// about leave places that few of them saw: each place counts by its own number.
bool HasTexture(const Sums& bands, double noise_k) {
  const Image mean_k = bands.Mean();
  const Image power(mean_k.mul(mean_k).mul(bands.number));
  return cv::sum(power)[0] >
         kTextureRatio * noise_k * noise_k * static_cast<double>(cv::countNonZero(bands.number));
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
  const MotionVector mean = sum * (1 / placed);
  const MotionVector variance = square * (1 / placed) - mean.mul(mean);
  return std::sqrt(std::max(0.0, cv::sum(variance)[0]));
}

}  // namespace

LearnedScene LearnScene(std::vector<Snapshot>& snapshots,
                        const LearnOptions& options,
                        const std::function<void(double)>& progress) {
  Track(snapshots, options);
  LearnedScene scene;
  // Where the later rounds leave nothing to tell it by, as it was before them.
  const std::optional<double> at_first = ShareFound(snapshots);
  scene.pattern_k = Image(snapshots.front().frame_k.size(), 0.0F);
  scene.choice.model = MotionModel::kSimilarity;
  const int rounds = kRounds + options.iterations;
  const std::vector<Snapshot> dragged = snapshots;
  const double white_k = WhitePartOf(MeanOf(snapshots, &Snapshot::frame_k));
  bool parted = Learn(snapshots, options, true, white_k, scene);
  bool chosen = false;
  int num_rounds = kRounds;
  for (int round = 0; round < num_rounds; ++round) {
    double change_px = Refine(snapshots, scene, options, parted && round == 0);
    if (parted && round == 0) {
      if (scene.drag * SpreadPx(snapshots) < kLeastDragPx) {
        // The parting's own error is larger than what it mends.
        parted = false;
        snapshots = dragged;
        (void)Learn(snapshots, options, false, white_k, scene);
        change_px = Refine(snapshots, scene, options, false);
      } else if (scene.drag > kStrongDrag) {
        num_rounds += kMoreRounds;
      }
    }
    parted = Learn(snapshots, options, parted, white_k, scene);
    if (!chosen && (change_px < kChosenPx || round + 3 >= num_rounds)) {
      scene.choice = Choose(scene, options, snapshots);
      chosen = true;
      // The scene was learned with less freedom than there is.
      if (scene.choice.model == MotionModel::kProjective) num_rounds += kMoreRounds;
    } else if (chosen && change_px < kSettledPx) {
      break;
    }
    if (progress) progress(std::min(static_cast<double>(kRounds), round + 1.0) / rounds);
  }

  const std::optional<double> at_last = ShareFound(snapshots);
  scene.share_found = at_last.value_or(at_first.value_or(1));
  scene.textured = HasTexture(RegisteredBands(snapshots), options.band_noise_k);
  if (options.iterations > 0) scene.model_k = RegisteredScene(snapshots, scene.pattern_k);
  for (int i = 0; i < options.iterations; ++i) {
    scene.pattern_k = PatternOf(snapshots, scene.model_k);
    scene.model_k = RegisteredScene(snapshots, scene.pattern_k);
    if (progress) progress((kRounds + i + 1.0) / rounds);
  }
  return scene;
}

}  // namespace ohmglow::internal

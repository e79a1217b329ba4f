// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/search.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "align/warp.h"

namespace ohmglow::internal {
namespace {

constexpr int kIterations = 10;
constexpr double kCoarseUncertaintyPx = 2;
constexpr double kFineUncertaintyPx = 1;
constexpr double kMaxRotationDeg = 4;
constexpr double kRotationStepDeg = 1;
constexpr std::size_t kCandidates = 3;
constexpr int kSmallestSidePx = 24;  // Of a level worth fitting.

struct Candidate {
  double score = 0;
  int dx_px = 0, dy_px = 0;
};

struct Turned {
  double score = 0;
  Motion motion;
};

// The shift of the highest correlation of b against a: b(p + shift) ~ a(p).
Candidate BestShift(const Image& a, const cv::Mat& b_spectrum, cv::Size padded, double range_px) {
  Image field(padded, 0.0F);
  a.copyTo(field(cv::Rect(0, 0, a.cols, a.rows)));
  cv::Mat spectrum;
  cv::dft(field, spectrum, 0, a.rows);
  cv::mulSpectrums(b_spectrum, spectrum, spectrum, 0, true);
  cv::dft(spectrum, field, cv::DFT_INVERSE | cv::DFT_SCALE);
  Candidate best;
  const int range = static_cast<int>(std::ceil(range_px));
  for (int dy = -range; dy <= range; ++dy) {
    for (int dx = -range; dx <= range; ++dx) {
      const int r = (dy + padded.height) % padded.height;
      const int c = (dx + padded.width) % padded.width;
      const double score = static_cast<double>(field(r, c));
      if (score > best.score) {
        best.score = score;
        best.dx_px = dx;
        best.dy_px = dy;
      }
    }
  }
  return best;
}

// The same motion on pictures `times` as large.
Motion Scaled(const Motion& m, double times) {
  return {m(0, 0),
          m(0, 1),
          times * m(0, 2),
          m(1, 0),
          m(1, 1),
          times * m(1, 2),
          m(2, 0) / times,
          m(2, 1) / times,
          1};
}

}  // namespace

void Halve(const Image& image, Image& out) {
  const cv::Rect even(0, 0, image.cols / 2 * 2, image.rows / 2 * 2);
  cv::resize(image(even), out, even.size() / 2, 0, 0, cv::INTER_AREA);
}

CoarseToFine::CoarseToFine(const Image& model_k,
                           const Image& weight,
                           int max_points,
                           double max_shift_px,
                           MotionModel model,
                           int max_levels)
    : max_shift_px_(max_shift_px) {
  levels_.emplace_back(model_k, weight, max_points, model);
  Image m = model_k;
  Image w = weight;
  for (int level = 1; level < max_levels; ++level) {
    if (std::min(m.cols, m.rows) < 2 * kSmallestSidePx) break;
    Image half_m, half_w;
    Halve(m, half_m);
    Halve(w, half_w);
    m = half_m;
    w = half_w;
    if (level == 1) model_k_ = m.mul(w);
    max_points /= 2;
    levels_.emplace_back(m, w, max_points, std::min(model, MotionModel::kSimilarity));
  }
  if (model_k_.empty()) model_k_ = m.mul(w);
}

MotionFit CoarseToFine::Fit(const Image& frame_k,
                            const Motion& start,
                            int finest_iterations) const {
  std::vector<Image> pyramid{frame_k};
  Motion motion = start;
  for (std::size_t level = 1; level < levels_.size(); ++level) {
    Image half;
    Halve(pyramid.back(), half);
    pyramid.push_back(half);
    motion = Scaled(motion, 0.5);
  }
  for (std::size_t level = levels_.size() - 1; level > 0; --level) {
    const MotionFit coarse =
        levels_[level].Fit(pyramid[level], motion, kIterations, kCoarseUncertaintyPx);
    motion = Scaled(coarse.frame_from_reference, 2);
  }
  return levels_.front().Fit(frame_k, motion, finest_iterations, kFineUncertaintyPx);
}

MotionFit CoarseToFine::Search(const Image& frame_k, const Motion& around) const {
  const bool halved = levels_.size() > 1;
  Image small = frame_k;
  if (halved) Halve(frame_k, small);
  const double range =
      std::min(max_shift_px_ * (halved ? 0.5 : 1.0), 0.5 * std::min(small.cols, small.rows) - 1);
  const int pad = 2 * static_cast<int>(std::ceil(range));
  const cv::Size padded(cv::getOptimalDFTSize(small.cols + pad),
                        cv::getOptimalDFTSize(small.rows + pad));
  Image field(padded, 0.0F);
  small.copyTo(field(cv::Rect(0, 0, small.cols, small.rows)));
  cv::Mat spectrum;
  cv::dft(field, spectrum, 0, small.rows);

  std::vector<Turned> candidates;
  const Similarity start = BestSimilarity(ToPlaneMap(around, small.size()), small.size());
  Image turned;
  for (double a = -kMaxRotationDeg; a <= kMaxRotationDeg; a += kRotationStepDeg) {
    Similarity turn;
    turn.rotation_deg = start.rotation_deg + a;
    turn.scale = start.scale;
    Warp(model_k_, ToMotion(turn.Inverse()), turned);
    const Candidate best = BestShift(turned, spectrum, padded, range);
    turn.dx_px = best.dx_px;
    turn.dy_px = best.dy_px;
    const Motion motion = ToMotion(turn);
    candidates.push_back({best.score, halved ? Scaled(motion, 2) : motion});
  }
  std::stable_sort(candidates.begin(), candidates.end(), [](const auto& a, const auto& b) {
    return a.score > b.score;
  });
  MotionFit best;
  best.correlation = -1;
  for (std::size_t i = 0; i < std::min(kCandidates, candidates.size()); ++i) {
    const MotionFit fit = Fit(frame_k, candidates[i].motion);
    if (fit.correlation > best.correlation) best = fit;
  }
  return best;
}

}  // namespace ohmglow::internal

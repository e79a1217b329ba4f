// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/texture.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <opencv2/core/hal/intrin.hpp>

#include "align/robust.h"
#include "align/sample.h"

namespace ohmglow::internal {
namespace {

constexpr int kMarginPx = 4;  // The high-pass is not to be trusted at the rim.
constexpr int kBlockColumns = 8;
constexpr int kBlockRows = 6;
constexpr std::size_t kLanes = 4;
constexpr int kSweeps = 3;
constexpr float kTukey = 4.685F;
// A correlation counts values up to this many spreads of the texture: one spot
// that warms by kelvins is no other scene, and a frame of something else is.
constexpr double kClip = 4;
// Heat of tens of kelvins changes more than a spot, yet not everywhere: where a quarter of the
// blocks agree as well as this, it is the same scene. Blocks of a picture of something else
// correlate by chance, a quarter of them by 0.2 or more.
constexpr double kBlocksAgree = 0.75;
constexpr double kLeastAgreement = 0.5;
constexpr std::size_t kFewestBlocks = 8;
constexpr double kLeastBlockShare = 0.2;     // Of the middling block's texture; less is no block.
constexpr double kLeastUncertaintyPx = 0.1;  // What a learned model may still be off.
constexpr double kUncertaintyRatio = 0.4;    // From one step to the next.
constexpr double kConvergedPx = 0.01;        // The next step would be below a tenth of it.
constexpr std::size_t kSigmaStep = 8;        // Every n-th residual is enough for a median.

// Derivative by the five-point rule, exact for quartics.
float Slope(float m2, float m1, float p1, float p2) { return (8 * (p1 - m1) - (p2 - m2)) / 12; }

struct Slopes {
  float dx, dy;
};

Slopes SlopesAt(const Image& image, int r, int c) {
  const float* m = image[r] + c;
  const auto s = static_cast<std::ptrdiff_t>(image.step1());
  return {Slope(m[-2], m[-1], m[1], m[2]), Slope(m[-2 * s], m[-s], m[s], m[2 * s])};
}

// The smallest steepness that counts, so that at most max_points places do.
float CutOf(const std::vector<float>& steepness, int max_points) {
  const auto limit = static_cast<std::size_t>(std::max(max_points, 1));
  if (steepness.size() <= limit) return -1;
  std::vector<float> ordered = steepness;
  const auto cut = ordered.begin() + static_cast<std::ptrdiff_t>(limit);
  std::nth_element(ordered.begin(), cut, ordered.end(), std::greater<>());
  return *cut;
}

// Of the leading `n` parameters; false where they are not all fixed.
bool InvertLeading(const MotionMatrix& information, int n, MotionMatrix& inverse) {
  inverse = MotionMatrix::zeros();
  const cv::Mat block = cv::Mat(information)(cv::Rect(0, 0, n, n)).clone();
  cv::Mat values;
  cv::eigen(block, values);
  const double least = values.at<double>(n - 1);
  if (!(least > 1e-9 * values.at<double>(0)) || !(least > 0)) return false;
  cv::Mat inverted;
  cv::invert(block, inverted, cv::DECOMP_CHOLESKY);
  for (int a = 0; a < n; ++a) {
    for (int b = 0; b < n; ++b) inverse(a, b) = inverted.at<double>(a, b);
  }
  return true;
}

}  // namespace

struct Texture::Pass {
  std::vector<float> value, inside, sampled, weighted;
  double sigma_k = 0;  // Of residuals as they count: heat, known to vary, has no say in it.
  std::vector<Sums> block_score;
  Sums score{};
  double kept = 0, vm = 0, mm = 0, clipped_vm = 0, clipped_vv = 0, clipped_mm = 0;
  std::vector<double> block_correlation, block_mm;
  [[nodiscard]] double BlocksAgreement() const;
};

// Correlation that a quarter of the blocks reach; 0 where that is chance.
double Texture::Pass::BlocksAgreement() const {
  std::vector<double> all_mm = block_mm;
  const double least_mm = kLeastBlockShare * MedianInPlace(all_mm);
  std::vector<double> blocks;
  for (std::size_t i = 0; i < block_mm.size(); ++i) {
    if (block_mm[i] > 0 && block_mm[i] >= least_mm) blocks.push_back(block_correlation[i]);
  }
  if (blocks.size() < kFewestBlocks) return 0;
  const auto better = blocks.begin() + static_cast<std::ptrdiff_t>(
                                           kBlocksAgree * static_cast<double>(blocks.size()));
  std::nth_element(blocks.begin(), better, blocks.end());
  return *better < kLeastAgreement ? 0 : *better;
}

void Texture::Add(float x, float y, float value_k, float dx, float dy, float weight) {
  const float radius = static_cast<float>(RmsRadius(size_px_));
  const Point perspective = PerspectiveScale(size_px_);
  const float outward = dx * x + dy * y;
  x_.push_back(x);
  y_.push_back(y);
  value_k_.push_back(value_k);
  weight_.push_back(weight);
  steepness_.push_back(weight * (dx * dx + dy * dy));
  const std::array<float, kMostParameters> slope{dx,
                                                 dy,
                                                 (dy * x - dx * y) / radius,
                                                 outward / radius,
                                                 (dx * x - dy * y) / radius,
                                                 (dx * y + dy * x) / radius,
                                                 outward * x / static_cast<float>(perspective.x),
                                                 outward * y / static_cast<float>(perspective.y)};
  for (std::size_t k = 0; k < slope.size(); ++k) slope_[k].push_back(slope[k]);
}

void Texture::PadBlock() {
  while (x_.size() % kLanes != 0) Add(0, 0, 0, 0, 0, 0);
  block_end_.push_back(x_.size());
}

Texture::Texture(const Image& model_k, const Image& weight, int max_points, MotionModel model)
    : size_px_(model_k.size()), parameters_(NumParameters(model)) {
  const cv::Rect inner(
      kMarginPx, kMarginPx, model_k.cols - 2 * kMarginPx, model_k.rows - 2 * kMarginPx);
  Image steepness(inner.size());
  for (int r = 0; r < inner.height; ++r) {
    for (int c = 0; c < inner.width; ++c) {
      const Slopes s = SlopesAt(model_k, r + inner.y, c + inner.x);
      const float w = weight(r + inner.y, c + inner.x);
      steepness(r, c) = w > 0 ? w * (s.dx * s.dx + s.dy * s.dy) : -1.0F;
    }
  }
  const float cut = CutOf({steepness.begin(), steepness.end()}, max_points);
  const float cx = 0.5F * static_cast<float>(model_k.cols - 1);
  const float cy = 0.5F * static_cast<float>(model_k.rows - 1);
  for (int block = 0; block < kBlockRows * kBlockColumns; ++block) {
    const int i = block / kBlockColumns;
    const int j = block % kBlockColumns;
    for (int r = inner.height * i / kBlockRows; r < inner.height * (i + 1) / kBlockRows; ++r) {
      for (int c = inner.width * j / kBlockColumns; c < inner.width * (j + 1) / kBlockColumns;
           ++c) {
        if (!(steepness(r, c) > cut)) continue;
        const int row = r + inner.y;
        const int col = c + inner.x;
        const Slopes s = SlopesAt(model_k, row, col);
        Add(static_cast<float>(col) - cx,
            static_cast<float>(row) - cy,
            model_k(row, col),
            s.dx,
            s.dy,
            weight(row, col));
      }
    }
    PadBlock();
  }
  std::vector<float> values;
  for (std::size_t i = 0; i < x_.size(); ++i) {
    if (weight_[i] > 0) values.push_back(value_k_[i]);
  }
  if (!values.empty()) clip_k_ = static_cast<float>(kClip * RobustSigmaInPlace(values));
  if (!(clip_k_ > 0)) clip_k_ = std::numeric_limits<float>::max();  // No spread to clip by.
  Project();
  Invert();
}

// Takes out of each slope its weighted mean over the places of a column and of
// a row, by turns: what is left is orthogonal to any offset of these.
void Texture::Project() {
  const float cx = 0.5F * static_cast<float>(size_px_.width - 1);
  const float cy = 0.5F * static_cast<float>(size_px_.height - 1);
  const std::size_t n = x_.size();
  std::array<std::vector<std::uint16_t>, 2> line;
  std::array<std::vector<float>, 2> total;
  for (int side = 0; side < 2; ++side) {
    const auto k = static_cast<std::size_t>(side);
    line[k].resize(n);
    total[k].assign(static_cast<std::size_t>(side == 0 ? size_px_.width : size_px_.height), 1e-6F);
    for (std::size_t i = 0; i < n; ++i) {
      line[k][i] = static_cast<std::uint16_t>((side == 0 ? x_[i] + cx : y_[i] + cy) + 0.5F);
      total[k][line[k][i]] += weight_[i];
    }
  }
  std::vector<float> mean;
  for (std::size_t p = 0; p < static_cast<std::size_t>(parameters_); ++p) {
    float* slope = slope_[p].data();
    for (int sweep = 0; sweep < 2 * kSweeps; ++sweep) {
      const auto k = static_cast<std::size_t>(sweep % 2);
      mean.assign(total[k].size(), 0.0F);
      for (std::size_t i = 0; i < n; ++i) mean[line[k][i]] += weight_[i] * slope[i];
      for (std::size_t l = 0; l < mean.size(); ++l) mean[l] /= total[k][l];
      for (std::size_t i = 0; i < n; ++i) slope[i] -= mean[line[k][i]];
    }
  }
}

void Texture::Invert() {
  const auto n = static_cast<std::size_t>(parameters_);
  for (std::size_t i = 0; i < x_.size(); ++i) {
    const double w = static_cast<double>(weight_[i]);
    total_weight_ += w;
    for (std::size_t a = 0; a < n; ++a) {
      for (std::size_t b = 0; b <= a; ++b) {
        information_(static_cast<int>(a), static_cast<int>(b)) +=
            w * static_cast<double>(slope_[a][i] * slope_[b][i]);
      }
    }
  }
  for (int a = 0; a < parameters_; ++a) {
    for (int b = 0; b < a; ++b) information_(b, a) = information_(a, b);
  }
  fixes_motion_ = InvertLeading(information_, parameters_, inverse_);
}

double Texture::BoundPx(double noise_k) const {
  if (!fixes_motion_) return std::numeric_limits<double>::infinity();
  return noise_k * std::sqrt(MeanSquare(inverse_, size_px_));
}

bool Texture::Look(const Image& frame_k, const Motion& motion, Pass& pass) const {
  const CubicSampler sampler(frame_k);
  const cv::Matx33f m(motion);
  const float cx = 0.5F * static_cast<float>(size_px_.width - 1);
  const float cy = 0.5F * static_cast<float>(size_px_.height - 1);
  const bool affine = m(2, 0) == 0 && m(2, 1) == 0;
  pass.value.resize(x_.size());
  pass.inside.resize(x_.size());
  pass.sampled.clear();
  pass.weighted.clear();
  for (std::size_t i = 0; i < x_.size(); ++i) {
    const float x = x_[i];
    const float y = y_[i];
    const float w = affine ? 1 : 1 / (m(2, 0) * x + m(2, 1) * y + 1);
    float value = value_k_[i];
    const bool inside = sampler.At((m(0, 0) * x + m(0, 1) * y + m(0, 2)) * w + cx,
                                   (m(1, 0) * x + m(1, 1) * y + m(1, 2)) * w + cy,
                                   value);
    pass.value[i] = value;
    pass.inside[i] = inside ? 1.0F : 0.0F;
    if (i % kSigmaStep == 0 && inside && weight_[i] > 0) {
      pass.sampled.push_back(value - value_k_[i]);
      pass.weighted.push_back((value - value_k_[i]) * std::sqrt(weight_[i]));
    }
  }
  if (pass.sampled.size() < 16) return false;
  pass.sigma_k = std::max(1e-6, RobustSigmaInPlace(pass.weighted));
  return true;
}

template <int kParameters>
void Texture::Weigh(double uncertainty_px, Pass& pass) const {
  using Lanes = cv::v_float32x4;
  // A place off by the uncertainty is off by that times its slope: no outlier.
  const float sigma = static_cast<float>(pass.sigma_k);
  const Lanes one = cv::v_setall_f32(1);
  const Lanes zero = cv::v_setzero_f32();
  const Lanes upper = cv::v_setall_f32(clip_k_);
  const Lanes lower = cv::v_setall_f32(-clip_k_);
  const Lanes white = cv::v_setall_f32(kTukey * kTukey * sigma * sigma);
  const Lanes unsure =
      cv::v_setall_f32(kTukey * kTukey * static_cast<float>(uncertainty_px * uncertainty_px));
  pass.block_score.assign(block_end_.size(), Sums{});
  pass.score = {};
  pass.kept = pass.vm = pass.mm = pass.clipped_vm = pass.clipped_vv = pass.clipped_mm = 0;
  pass.block_correlation.assign(block_end_.size(), 0);
  pass.block_mm.assign(block_end_.size(), 0);
  std::size_t i = 0;
  for (std::size_t block = 0; block < block_end_.size(); ++block) {
    std::array<Lanes, kParameters> score;
    score.fill(zero);
    Lanes kept = zero, vm = zero, mm = zero, clipped_vm = zero, clipped_vv = zero,
          clipped_mm = zero;
    for (; i < block_end_[block]; i += kLanes) {
      const Lanes v = cv::v_load(&pass.value[i]);
      const Lanes m = cv::v_load(&value_k_[i]);
      const Lanes w = cv::v_load(&weight_[i]) * cv::v_load(&pass.inside[i]);
      const Lanes e = v - m;
      const Lanes t =
          cv::v_max(zero, one - e * e * w / (white + unsure * cv::v_load(&steepness_[i])));
      const Lanes robust = w * t * t;
      const Lanes pull = robust * e;
      for (std::size_t k = 0; k < kParameters; ++k) {
        score[k] += pull * cv::v_load(&slope_[k][i]);
      }
      kept += robust;
      // Outliers count here: a frame of something else has little but outliers.
      const Lanes clipped_v = cv::v_max(lower, cv::v_min(upper, v));
      const Lanes clipped_m = cv::v_max(lower, cv::v_min(upper, m));
      clipped_vm += w * clipped_v * clipped_m;
      clipped_vv += w * clipped_v * clipped_v;
      clipped_mm += w * clipped_m * clipped_m;
      vm += w * v * m;
      mm += w * m * m;
    }
    for (std::size_t k = 0; k < kParameters; ++k) {
      pass.block_score[block][k] = static_cast<double>(cv::v_reduce_sum(score[k]));
      pass.score[k] += pass.block_score[block][k];
    }
    pass.kept += static_cast<double>(cv::v_reduce_sum(kept));
    pass.vm += static_cast<double>(cv::v_reduce_sum(vm));
    pass.mm += static_cast<double>(cv::v_reduce_sum(mm));
    const auto block_vm = static_cast<double>(cv::v_reduce_sum(clipped_vm));
    const auto block_vv = static_cast<double>(cv::v_reduce_sum(clipped_vv));
    const auto block_mm = static_cast<double>(cv::v_reduce_sum(clipped_mm));
    pass.clipped_vm += block_vm;
    pass.clipped_vv += block_vv;
    pass.clipped_mm += block_mm;
    pass.block_mm[block] = block_mm;
    if (block_vv * block_mm > 0) {
      pass.block_correlation[block] = block_vm / std::sqrt(block_vv * block_mm);
    }
  }
}

MotionMatrix Texture::BlockCovariance(const Pass& pass) const {
  MotionMatrix meat;
  for (const Sums& s : pass.block_score) {
    for (int a = 0; a < parameters_; ++a) {
      for (int b = 0; b < parameters_; ++b) {
        meat(a, b) += s[static_cast<std::size_t>(a)] * s[static_cast<std::size_t>(b)];
      }
    }
  }
  const double gain = total_weight_ / pass.kept;
  return inverse_ * meat * inverse_ * (gain * gain);
}

MotionFit Texture::Fit(const Image& frame_k,
                       const Motion& start,
                       int iterations,
                       double uncertainty_px) const {
  MotionFit fit;
  fit.frame_from_reference = start;
  const MotionMatrix unknown = MotionMatrix::eye() * std::numeric_limits<double>::infinity();
  fit.covariance_px2 = fit.block_covariance_px2 = unknown;
  if (!fixes_motion_) return fit;
  Pass pass;
  for (int iteration = 0; iteration < iterations; ++iteration) {
    if (!Look(frame_k, fit.frame_from_reference, pass)) return fit;
    if (parameters_ <= 4) {
      Weigh<4>(uncertainty_px, pass);
    } else {
      Weigh<kMostParameters>(uncertainty_px, pass);
    }
    if (!(pass.kept > 0)) return fit;
    const double square = pass.clipped_vv * pass.clipped_mm;
    fit.correlation = square > 0 ? pass.clipped_vm / std::sqrt(square) : 0;
    fit.agreement = std::max(fit.correlation, pass.BlocksAgreement());
    fit.contrast = pass.mm > 0 ? pass.vm / pass.mm : 0;
    // The information is not summed anew: robust weights only thin it out.
    const double gain = total_weight_ / pass.kept;
    MotionVector score;
    for (int k = 0; k < parameters_; ++k) score[k] = pass.score[static_cast<std::size_t>(k)];
    const MotionVector step = (inverse_ * score) * gain;
    fit.frame_from_reference =
        Joined(fit.frame_from_reference, InverseOf(FromVector(step, size_px_)));
    const bool settled = uncertainty_px <= kLeastUncertaintyPx;
    if (settled && cv::norm(step) < kConvergedPx) break;
    uncertainty_px = std::max(kUncertaintyRatio * uncertainty_px, kLeastUncertaintyPx);
  }
  fit.sigma_k = std::max(1e-6, RobustSigmaInPlace(pass.sampled));
  fit.covariance_px2 = inverse_ * (total_weight_ / pass.kept * fit.sigma_k * fit.sigma_k);
  fit.block_covariance_px2 = BlockCovariance(pass);
  return fit;
}

std::array<Quadratic, 2> Texture::Halves(const Image& frame_k, const Motion& motion) const {
  std::array<Quadratic, 2> halves;
  Pass pass;
  if (!Look(frame_k, motion, pass)) return halves;
  const double white = pass.sigma_k * pass.sigma_k;
  const double limit = static_cast<double>(kTukey * kTukey);
  const double unsure = kLeastUncertaintyPx * kLeastUncertaintyPx;
  std::size_t i = 0;
  for (std::size_t block = 0; block < block_end_.size(); ++block) {
    const std::size_t side = (block % kBlockColumns + block / kBlockColumns) % 2;
    for (; i < block_end_[block]; ++i) {
      const double w = static_cast<double>(weight_[i] * pass.inside[i]);
      const double e = static_cast<double>(pass.value[i] - value_k_[i]);
      const double usual = white + unsure * static_cast<double>(steepness_[i]);
      const double t = std::max(0.0, 1 - e * e * w / (limit * usual));
      const double robust = w * t * t / white;
      if (!(robust > 0)) continue;
      std::array<double, kMostParameters> slope;
      for (std::size_t k = 0; k < slope.size(); ++k) slope[k] = static_cast<double>(slope_[k][i]);
      for (int a = 0; a < kMostParameters; ++a) {
        const double pull = robust * slope[static_cast<std::size_t>(a)];
        // The residual falls when the map gives way: the step's sign is turned.
        halves[side].score[a] -= pull * e;
        for (int b = 0; b <= a; ++b) {
          halves[side].information(a, b) += pull * slope[static_cast<std::size_t>(b)];
        }
      }
    }
  }
  for (Quadratic& q : halves) {
    for (int a = 0; a < kMostParameters; ++a) {
      for (int b = 0; b < a; ++b) q.information(b, a) = q.information(a, b);
    }
  }
  return halves;
}

}  // namespace ohmglow::internal

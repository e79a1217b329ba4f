// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/response.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <utility>

#include "heat/median.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

// Span of what heat does, for what is not heat.
constexpr std::array kLagsS = {0.3, 0.7, 1.5, 3.0, 6.0, 12.0};
// Spot sizes of the detector, standard deviation in pixels.
constexpr std::array kScalesPx = {1.0, 2.0, 4.0};
constexpr int kHeatModes = 3;
// A spot counts against its surroundings, a Gaussian mean this much wider but
// never narrower than the least: broad warmth (a hand, a reflection, far-off
// heat) drops out.
constexpr double kSurroundingsOfScale = 6;
constexpr double kLeastSurroundingsPx = 12;
// Kinds of source tried at every pixel, and the likeness at which one stands for another.
constexpr int kMostKinds = 8;
// Rise that the prior of the shown map expects, in units of one frame's noise.
constexpr double kPriorRiseOfNoise = 5;
constexpr double kRiseBlurPx = 1.2;
constexpr double kAlikeEnough = 0.97;

// Orthonormal basis of the lags' projected responses.
Eigen::MatrixXf HeatModes(const TemporalModel& model, const Drive& drive) {
  Eigen::MatrixXd lags(model.num_bins(), static_cast<Eigen::Index>(kLagsS.size()));
  for (std::size_t i = 0; i < kLagsS.size(); ++i) {
    lags.col(static_cast<Eigen::Index>(i)) = model.ProjectedLag(drive, kLagsS[i], 2);
  }
  const Eigen::JacobiSVD<Eigen::MatrixXd> svd(lags, Eigen::ComputeThinU);
  return svd.matrixU().leftCols(kHeatModes).cast<float>();
}

Image AsImage(const Eigen::VectorXf& values, cv::Size size) {
  Image image(size);
  std::copy(values.data(), values.data() + values.size(), image.ptr<float>());
  return image;
}

// Gaussian mean over the seen pixels only.
class SeenBlur {
 public:
  SeenBlur(const Mask& seen, double sigma_px) : sigma_px_(sigma_px) {
    seen.convertTo(weight_, CV_32F, 1.0 / 255);
    norm_ = Image(Blur(weight_, sigma_px_) + 1e-6F);
  }
  [[nodiscard]] Image operator()(const Image& image) const {
    return Image(Blur(Image(image.mul(weight_)), sigma_px_) / norm_);
  }
  // What the mean keeps of white noise: sigma / (2 s sqrt(pi)), more at the rim
  // of what was seen, where fewer pixels are averaged.
  [[nodiscard]] Image NoiseGain() const {
    // The squared weights are a Gaussian again, narrower by the root of two.
    Image gain;
    cv::sqrt(Blur(weight_, sigma_px_ / std::numbers::sqrt2), gain);
    return Image(gain / norm_ * (1 / (2 * sigma_px_ * std::sqrt(std::numbers::pi))));
  }

 private:
  [[nodiscard]] static Image Blur(const Image& image, double sigma_px) {
    Image out;
    cv::GaussianBlur(image, out, {0, 0}, sigma_px, sigma_px, cv::BORDER_CONSTANT);
    return out;
  }
  double sigma_px_;
  Image weight_;
  Image norm_;
};

// Largest slope of the static picture around each pixel, at a spot's size [K/px].
Image Slope(const Image& picture_k, double sigma_px) {
  Image smooth;
  cv::GaussianBlur(picture_k, smooth, {0, 0}, sigma_px);
  Image dx;
  Image dy;
  cv::Sobel(smooth, dx, CV_32F, 1, 0, 3, 1.0 / 8);
  cv::Sobel(smooth, dy, CV_32F, 0, 1, 3, 1.0 / 8);
  Image slope;
  cv::magnitude(dx, dy, slope);
  Image spread;
  cv::dilate(slope, spread, cv::Mat::ones(3, 3, CV_8U));
  return spread;
}

Image StaticPicture(const Stack& stack) {
  const int count = std::max(1, std::min(stack.size() / 10, 8));
  Image sum(stack.size_px(), 0.0F);
  for (int b = 0; b < count; ++b) sum += stack.bins_k[static_cast<std::size_t>(b)];
  return Image(sum * (1.0 / count));
}

// Local noise of one pixel in one frame, from what heat modes leave over.
void MeasureNoise(const Eigen::MatrixXf& courses,
                  const Eigen::MatrixXf& modes,
                  int num_nuisances,
                  const SeenBlur& blur,
                  Response& out) {
  const Eigen::MatrixXf in_modes = modes.transpose() * courses;
  const Eigen::VectorXf rest =
      (courses.colwise().squaredNorm() - in_modes.colwise().squaredNorm()).transpose();
  const auto degrees =
      static_cast<float>(std::max<Eigen::Index>(1, courses.rows() - num_nuisances - modes.cols()));
  const Image variance = AsImage(rest.cwiseMax(0.0F) / degrees, out.seen.size());
  std::vector<float> seen_variance;
  for (int y = 0; y < variance.rows; ++y) {
    for (int x = 0; x < variance.cols; ++x) {
      if (out.seen(y, x) != 0) seen_variance.push_back(variance(y, x));
    }
  }
  if (seen_variance.empty()) throw DataError("no pixel was seen in all frames: hold still");
  const float median = MedianOf(seen_variance);
  out.noise_median_k = std::sqrt(median);
  const Image local(cv::max(blur(variance), median));
  cv::sqrt(local, out.noise_k);
}

// A kind of source's course, as the pixels see it.
struct Kind {
  Eigen::VectorXf shape;  // weighted, projected, unit norm
  double strength;        // norm of the projected course of unit final rise
  double reached;         // its value at the end of the highest current
};

// A few kinds of source that stand for all: each next one is that which those
// before describe worst.
std::vector<Kind> SelectKinds(const SourceCourses& sources,
                              const TemporalModel& model,
                              const Drive& drive) {
  const Eigen::Index num_lags = sources.lags_s.size();
  Eigen::MatrixXd projected(model.num_bins(), num_lags);
  Eigen::RowVectorXd reached(num_lags);
  const std::array<double, 1> end_s = {drive.top_end_s()};
  for (Eigen::Index i = 0; i < num_lags; ++i) {
    projected.col(i) = model.ProjectedLag(drive, sources.lags_s(i), 2);
    reached(i) = drive.LagResponse(end_s, sources.lags_s(i), 2).front();
  }
  const Eigen::MatrixXd courses = projected * sources.mixture;
  const Eigen::RowVectorXd ends = reached * sources.mixture;
  const Eigen::RowVectorXd norms = courses.colwise().norm();
  const Eigen::MatrixXd shapes = courses.colwise().normalized();
  std::vector<Kind> kinds;
  Eigen::VectorXd likeness = Eigen::VectorXd::Constant(shapes.cols(), -1);
  // Start in the middle of the spread: closest to the mean.
  Eigen::Index next = 0;
  (shapes.transpose() * shapes.rowwise().mean()).maxCoeff(&next);
  for (int n = 0; n < kMostKinds; ++n) {
    kinds.push_back({shapes.col(next).cast<float>(), norms(next), ends(next)});
    likeness = likeness.cwiseMax(shapes.transpose() * shapes.col(next));
    if (likeness.minCoeff(&next) > kAlikeEnough) break;
  }
  return kinds;
}

// z and match of the best kind and spot size at every pixel.
void Detect(const Eigen::MatrixXf& courses,
            const std::vector<Kind>& kinds,
            const HeatOptions& options,
            Response& out) {
  const cv::Size size = out.seen.size();
  out.z = Image(size, 0.0F);
  out.match_k = Image(size, 0.0F);
  for (const double scale_px : kScalesPx) {
    const SeenBlur blur(out.seen, scale_px);
    const SeenBlur surroundings(out.seen,
                                std::max(kLeastSurroundingsPx, kSurroundingsOfScale * scale_px));
    const Image slope(Slope(out.static_k, scale_px));
    const Image white_k(out.noise_k.mul(blur.NoiseGain()));
    for (const Kind& kind : kinds) {
      const Image raw(AsImage((kind.shape.transpose() * courses).transpose(), size));
      const Image local(blur(raw) - surroundings(raw));
      // A registration error as large as the whole heating, at worst.
      const double misplaced = options.misplaced_px * kind.strength / kind.reached;
      Image noise;
      cv::magnitude(white_k, Image(slope * misplaced), noise);
      out.z = Image(cv::max(out.z, Image(local / noise)));
      out.match_k = Image(cv::max(out.match_k, local));
    }
  }
  out.z.setTo(0, out.seen == 0);
  out.match_k.setTo(0, out.seen == 0);
}

// Weights that turn a course into the rise at the end of the highest current.
Eigen::VectorXd RiseWeights(const std::vector<Kind>& kinds, double noise_k) {
  const Eigen::Index num_bins = kinds.front().shape.size();
  const double prior_k = kPriorRiseOfNoise * noise_k;
  Eigen::MatrixXd covariance = noise_k * noise_k * Eigen::MatrixXd::Identity(num_bins, num_bins);
  Eigen::VectorXd cross = Eigen::VectorXd::Zero(num_bins);
  for (const Kind& kind : kinds) {
    // Course of a pixel whose rise at the end is the prior's.
    const Eigen::VectorXd course =
        kind.shape.cast<double>() * (prior_k * kind.strength / kind.reached);
    covariance += course * course.transpose() / static_cast<double>(kinds.size());
    cross += course * (prior_k / static_cast<double>(kinds.size()));
  }
  return covariance.ldlt().solve(cross);
}

}  // namespace

Eigen::MatrixXf PixelCourses(const Stack& stack, const TemporalModel& model) {
  const int num_pixels = stack.size_px().area();
  Eigen::MatrixXf courses(stack.size(), num_pixels);
  std::vector<float> sample;
  for (int b = 0; b < stack.size(); ++b) {
    const float* pixels = stack.bins_k[static_cast<std::size_t>(b)].ptr<float>();
    // The bin's level: exact only up to what RemoveCommonOffset does later.
    sample.clear();
    for (int i = 0; i < num_pixels; i += 7) sample.push_back(pixels[i]);
    const float level = MedianOf(sample);
    const auto weight = static_cast<float>(model.weight()(b));
    for (int i = 0; i < num_pixels; ++i) courses(b, i) = weight * (pixels[i] - level);
  }
  model.ProjectColumns(courses);
  return courses;
}

void RemoveCommonOffset(Eigen::MatrixXf& courses,
                        const TemporalModel& model,
                        const Drive& drive,
                        const Mask& seen) {
  const Eigen::MatrixXf modes = HeatModes(model, drive);
  std::vector<Eigen::Index> pixels;
  for (int i = 0; i < static_cast<int>(seen.total()); ++i) {
    if (seen.data[i] != 0) pixels.push_back(i);
  }
  if (pixels.size() < 16) throw DataError("too few pixels were seen in all frames: hold still");
  const auto quarter = static_cast<std::ptrdiff_t>(pixels.size() / 4);
  for (int round = 0; round < 3; ++round) {
    const Eigen::VectorXf answer =
        (modes.transpose() * courses).colwise().squaredNorm().transpose();
    std::nth_element(pixels.begin(),
                     pixels.begin() + quarter,
                     pixels.end(),
                     [&](Eigen::Index a, Eigen::Index b) { return answer(a) < answer(b); });
    Eigen::VectorXd common(courses.rows());
    std::vector<float> values(static_cast<std::size_t>(quarter));
    for (Eigen::Index b = 0; b < courses.rows(); ++b) {
      for (std::size_t i = 0; i < values.size(); ++i) values[i] = courses(b, pixels[i]);
      common(b) = MedianOf(values);
    }
    courses.colwise() -= model.Project(common).cast<float>().eval();
  }
}

Response FitResponse(Eigen::MatrixXf courses,
                     const Stack& stack,
                     const TemporalModel& model,
                     const Drive& drive,
                     const SourceCourses& sources,
                     const HeatOptions& options) {
  Response out;
  out.seen = stack.seen.clone();
  out.out_of_range = stack.out_of_range.clone();
  out.static_k = StaticPicture(stack);
  MeasureNoise(
      courses, HeatModes(model, drive), model.num_nuisances(), SeenBlur(out.seen, 1.0), out);
  const std::vector<Kind> kinds = SelectKinds(sources, model, drive);
  Detect(courses, kinds, options, out);
  const Eigen::VectorXd weights = RiseWeights(kinds, out.noise_median_k);
  const Image raw(
      AsImage((weights.transpose().cast<float>() * courses).transpose(), out.seen.size()));
  out.rise_k = SeenBlur(out.seen, kRiseBlurPx)(raw);
  out.noise_rise_k =
      out.noise_median_k * weights.norm() / (2 * kRiseBlurPx * std::sqrt(std::numbers::pi));
  out.courses = std::move(courses);
  return out;
}

}  // namespace ohmglow

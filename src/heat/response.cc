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

#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

// From a chip capacitor seen from its side to a heavy part behind the board.
constexpr std::array kLagsS = {0.3, 0.7, 1.5, 3.0, 6.0, 12.0};
constexpr double kMiddlingLagS = 1.5;
// Spot sizes of the detector, standard deviation in pixels.
constexpr std::array kScalesPx = {1.0, 2.0};
constexpr int kHeatModes = 3;

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

float MedianOf(std::vector<float>& values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

// Gaussian mean over the seen pixels only.
class SeenBlur {
 public:
  SeenBlur(const Mask& seen, double sigma_px) : sigma_px_(sigma_px) {
    seen.convertTo(weight_, CV_32F, 1.0 / 255);
    norm_ = Image(Blur(weight_) + 1e-6F);
  }
  [[nodiscard]] Image operator()(const Image& image) const {
    return Image(Blur(Image(image.mul(weight_))) / norm_);
  }

 private:
  [[nodiscard]] Image Blur(const Image& image) const {
    Image out;
    cv::GaussianBlur(image, out, {0, 0}, sigma_px_, sigma_px_, cv::BORDER_REPLICATE);
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
                     const HeatOptions& options) {
  const cv::Size size = stack.size_px();
  Response out;
  out.seen = stack.seen.clone();
  out.static_k = StaticPicture(stack);
  out.lags_s.assign(kLagsS.begin(), kLagsS.end());
  const SeenBlur fine(out.seen, 1.0);
  MeasureNoise(courses, HeatModes(model, drive), model.num_nuisances(), fine, out);

  out.z = Image(size, 0.0F);
  out.best_lag_s = Image(size, static_cast<float>(kMiddlingLagS));
  out.rise_k = Image(size, 0.0F);
  std::vector<Image> rises;
  std::vector<Image> own_z;
  for (const double lag_s : kLagsS) {
    const Eigen::VectorXd course = model.ProjectedLag(drive, lag_s, 2);
    const double strength = course.norm();
    const std::array<double, 1> end_s = {drive.top_end_s()};
    const double reached = drive.LagResponse(end_s, lag_s, 2).front();
    const Eigen::VectorXf amplitude = (course.transpose().cast<float>() * courses).transpose() /
                                      static_cast<float>(strength * strength);
    const Image rise(AsImage(amplitude, size) * reached);
    if (lag_s == kMiddlingLagS) out.noise_rise_k = out.noise_median_k * reached / strength;
    Image best_z(size, -1e6F);
    for (const double scale_px : kScalesPx) {
      const SeenBlur blur(out.seen, scale_px);
      // A Gaussian mean of white noise: sigma / (2 s sqrt(pi)).
      const double gain = 1 / (2 * scale_px * std::sqrt(std::numbers::pi));
      const Image white(out.noise_k * (gain * reached / strength));
      const Image misplaced(Slope(out.static_k, scale_px) * options.misplaced_px);
      Image total;
      cv::magnitude(white, misplaced, total);
      best_z = Image(cv::max(best_z, Image(blur(rise) / total)));
    }
    const Mask better(best_z > out.z);
    best_z.copyTo(out.z, better);
    out.best_lag_s.setTo(lag_s, better);
    rises.push_back(rise);
    own_z.push_back(best_z);
  }
  out.z.setTo(0, out.seen == 0);
  // The rise shown is the lags' mean, each by how well it explains the pixel.
  Image norm(size, 1e-12F);
  for (std::size_t i = 0; i < rises.size(); ++i) {
    for (int y = 0; y < size.height; ++y) {
      for (int x = 0; x < size.width; ++x) {
        const float best = out.z(y, x);
        const float own = std::max(0.0F, own_z[i](y, x));
        const float softness = std::max(1.0F, 0.02F * best * best);
        const float weight = std::exp(-0.5F * (best * best - own * own) / softness);
        out.rise_k(y, x) += weight * rises[i](y, x);
        norm(y, x) += weight;
      }
    }
  }
  out.rise_k /= norm;
  out.courses = std::move(courses);
  return out;
}

}  // namespace ohmglow

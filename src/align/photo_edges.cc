// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/photo_edges.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "align/robust.h"

namespace ohmglow {
namespace {

// Of the typical slope: what is below counts as noise.
constexpr double kNoises = 2;
// Half the diagonal of a photo over its focal length: a usual camera sees some
// 60 degrees across; the slant found scales with it, the picture hardly.
constexpr double kDiagonalOfFocal = 0.6;
constexpr int kMostStep = 12;
constexpr int kLeastLevelPx = 60;
constexpr double kAlongPx = 3.5;
constexpr float kLineLoss = 0.95F;
constexpr double kTiltStepDeg = 5;
constexpr int kWorkWidthPx = 320;
constexpr std::size_t kMostSamples = 3000;

struct Slope {
  Image x, y;
};

Slope SlopeOf(const Image& smooth) {
  Slope slope;
  cv::Scharr(smooth, slope.x, CV_32F, 1, 0, 1.0 / 32);
  cv::Scharr(smooth, slope.y, CV_32F, 0, 1, 1.0 / 32);
  return slope;
}

struct Sample {
  Point at, along;  // In half diagonals from the middle; unit vector.
  double weight = 0;
};

// The strongest edges of a photo.
std::vector<Sample> StrongEdges(const Image& photo) {
  const double scale = std::min(1.0, static_cast<double>(kWorkWidthPx) / photo.cols);
  Image small;
  cv::resize(photo, small, {}, scale, scale, cv::INTER_AREA);
  cv::GaussianBlur(small, small, {0, 0}, 1.0);
  const Slope slope = SlopeOf(small);
  const Point middle((small.cols - 1) / 2.0, (small.rows - 1) / 2.0);
  const double unit = std::hypot(middle.x, middle.y);
  Image size;
  cv::magnitude(slope.x, slope.y, size);
  std::vector<float> sizes(size.begin(), size.end());
  const std::size_t keep = std::min(kMostSamples * 2, sizes.size() / 4);
  const auto limit = sizes.begin() + static_cast<std::ptrdiff_t>(sizes.size() - keep - 1);
  std::nth_element(sizes.begin(), limit, sizes.end());
  std::vector<Sample> samples;
  for (int y = 1; y + 1 < small.rows; ++y) {
    for (int x = 1; x + 1 < small.cols; ++x) {
      const double s = size(y, x);
      if (!(s > *limit) || (x + y) % 2 != 0) continue;
      const Point along(-slope.y(y, x) / s, slope.x(y, x) / s);
      // A very strong edge counts little more than a strong one.
      samples.push_back({(Point(x, y) - middle) * (1 / unit), along, std::sqrt(s)});
    }
  }
  return samples;
}

// Straight picture from photo, in half diagonals from the middle: the inverse
// of a pinhole that looks at a plane from a slant.
cv::Matx33d PhotoFromStraightLocal(double tilt_x_deg, double tilt_y_deg) {
  const double tilt = std::hypot(tilt_x_deg, tilt_y_deg) * std::numbers::pi / 180;
  const double direction = std::atan2(tilt_y_deg, tilt_x_deg);
  const double c = std::cos(direction);
  const double s = std::sin(direction);
  const cv::Matx33d turn(c, -s, 0, s, c, 0, 0, 0, 1);
  const cv::Matx33d tilted(std::cos(tilt), 0, 0, 0, 1, 0, kDiagonalOfFocal * std::sin(tilt), 0, 1);
  return turn * tilted * turn.t();
}

// How much the edges run two ways at right angles when seen straight: length
// of the mean of exp(4 i angle), whatever the turn.
double Squareness(const std::vector<Sample>& samples, double tilt_x_deg, double tilt_y_deg) {
  const PlaneMap straight = PlaneMap{PhotoFromStraightLocal(tilt_x_deg, tilt_y_deg).inv()};
  std::complex<double> sum = 0;
  for (const Sample& sample : samples) {
    const cv::Vec2d d = straight.Jacobian(sample.at) * cv::Vec2d(sample.along.x, sample.along.y);
    const std::complex<double> z(d[0], d[1]);
    const std::complex<double> z2 = z * z / std::max(1e-12, std::norm(z));
    sum += sample.weight * z2 * z2;
  }
  return std::abs(sum);
}

// Weighs down what runs one way for long: an outline lies well on any line of
// the other picture and says nothing along itself; small parts and corners do.
void WeighDownLines(EdgeField& edges) {
  cv::Mat_<cv::Vec2f> mean;
  cv::GaussianBlur(edges.value, mean, {0, 0}, kAlongPx);
  Image size(edges.size());
  for (int y = 0; y < size.rows; ++y) {
    for (int x = 0; x < size.cols; ++x) {
      size(y, x) = static_cast<float>(cv::norm(edges.value(y, x)));
    }
  }
  cv::GaussianBlur(size, size, {0, 0}, kAlongPx);
  for (int y = 0; y < size.rows; ++y) {
    for (int x = 0; x < size.cols; ++x) {
      const float one_way = static_cast<float>(cv::norm(mean(y, x))) / (size(y, x) + 1e-6F);
      edges.value(y, x) *= 1 - kLineLoss * one_way * one_way;
    }
  }
}

}  // namespace

EdgeField MakeEdges(const Image& picture, const Mask& seen, double blur_px, double least_noise) {
  Image smooth;
  cv::GaussianBlur(picture, smooth, {0, 0}, blur_px, blur_px, cv::BORDER_REPLICATE);
  const Slope slope = SlopeOf(smooth);
  Image size;
  cv::magnitude(slope.x, slope.y, size);
  EdgeField out{cv::Mat_<cv::Vec2f>(picture.size(), cv::Vec2f(0, 0)), Mask()};
  // The slope reaches beyond what is seen.
  const int reach = 1 + static_cast<int>(std::lround(blur_px));
  cv::erode(seen,
            out.seen,
            cv::Mat::ones(2 * reach + 1, 2 * reach + 1, CV_8U),
            {-1, -1},
            1,
            cv::BORDER_CONSTANT,
            cv::Scalar(0));
  std::vector<float> sizes;
  for (int y = 0; y < size.rows; ++y) {
    for (int x = 0; x < size.cols; ++x) {
      if (out.seen(y, x) != 0) sizes.push_back(size(y, x));
    }
  }
  const double noise = std::max(least_noise, kNoises * internal::MedianInPlace(sizes));
  for (int y = 0; y < size.rows; ++y) {
    for (int x = 0; x < size.cols; ++x) {
      if (out.seen(y, x) == 0) continue;
      const double gx = slope.x(y, x);
      const double gy = slope.y(y, x);
      const double scale = 1 / (gx * gx + gy * gy + noise * noise);
      out.value(y, x) = {static_cast<float>((gx * gx - gy * gy) * scale),
                         static_cast<float>(2 * gx * gy * scale)};
    }
  }
  WeighDownLines(out);
  return out;
}

EdgeField Halved(const EdgeField& edges) {
  const cv::Size size(edges.size().width / 2, edges.size().height / 2);
  const cv::Rect whole(0, 0, 2 * size.width, 2 * size.height);
  EdgeField out;
  cv::resize(edges.value(whole), out.value, size, 0, 0, cv::INTER_AREA);
  cv::resize(edges.seen(whole), out.seen, size, 0, 0, cv::INTER_AREA);
  out.seen = out.seen > 127;
  return out;
}

PhotoLevels::PhotoLevels(const Image& photo) {
  levels_.push_back(photo);
  for (int step = 2; step <= kMostStep && photo.cols / step >= kLeastLevelPx; ++step) {
    Image means;
    cv::resize(photo, means, {photo.cols / step, photo.rows / step}, 0, 0, cv::INTER_AREA);
    levels_.push_back(means);
  }
}

const Image& PhotoLevels::Means(int step) const {
  const auto level = static_cast<std::size_t>(std::max(1, step)) - 1;
  return levels_[std::min(level, levels_.size() - 1)];
}

StaticView SeenThrough(const PhotoLevels& photo, const PlaneMap& photo_from_target, cv::Size size) {
  const Point middle((size.width - 1) / 2.0, (size.height - 1) / 2.0);
  const double shrink = std::sqrt(std::abs(cv::determinant(photo_from_target.Jacobian(middle))));
  const Image& source =
      photo.Means(shrink < kMostStep ? static_cast<int>(shrink) : kMostStep);  // NaN: the last.
  const double sx = static_cast<double>(photo.cols()) / source.cols;
  const double sy = static_cast<double>(photo.rows()) / source.rows;
  const cv::Matx33d small_from_large(1 / sx, 0, 0.5 / sx - 0.5, 0, 1 / sy, 0.5 / sy - 0.5, 0, 0, 1);
  const cv::Matx33d map = small_from_large * photo_from_target.matrix;
  StaticView out;
  constexpr int kBack = cv::INTER_LINEAR | cv::WARP_INVERSE_MAP;
  cv::warpPerspective(source, out.picture_k, map, size, kBack, cv::BORDER_REPLICATE);
  cv::warpPerspective(Mask(source.size(), uchar{255}), out.seen, map, size, kBack);
  out.seen = out.seen > 250;
  return out;
}

double Likeness(const EdgeField& a, const EdgeField& b, double blur_px) {
  double cross = 0;
  double energy_a = 0;
  double energy_b = 0;
  int count = 0;
  for (int y = 0; y < a.value.rows; ++y) {
    for (int x = 0; x < a.value.cols; ++x) {
      if (a.seen(y, x) == 0 || b.seen(y, x) == 0) continue;
      const cv::Vec2f& p = a.value(y, x);
      const cv::Vec2f& q = b.value(y, x);
      cross += p.dot(q);
      energy_a += p.dot(p);
      energy_b += q.dot(q);
      ++count;
    }
  }
  if (!(energy_a > 0 && energy_b > 0)) return 0;
  // Each independent pair of directions contributes the cosine of a random
  // angle, variance 1/2.
  const double alike_px2 = 4 * std::numbers::pi * blur_px * blur_px;
  return cross / std::sqrt(energy_a * energy_b) * std::sqrt(2 * count / alike_px2);
}

PlaneMap PhotoFromStraight(const Image& photo, double most_tilt_deg) {
  const std::vector<Sample> samples = StrongEdges(photo);
  Point best(0, 0);
  double most = Squareness(samples, 0, 0);
  const auto search = [&](Point middle, double step_deg, int steps) {
    for (int j = -steps; j <= steps; ++j) {
      for (int i = -steps; i <= steps; ++i) {
        const Point tilt = middle + Point(i, j) * step_deg;
        if (std::hypot(tilt.x, tilt.y) > most_tilt_deg) continue;
        const double value = Squareness(samples, tilt.x, tilt.y);
        if (value > most) {
          most = value;
          best = tilt;
        }
      }
    }
  };
  search({0, 0}, kTiltStepDeg, static_cast<int>(std::ceil(most_tilt_deg / kTiltStepDeg)));
  for (double step = kTiltStepDeg / 2; step > 0.4; step /= 2) search(best, step, 1);
  const Point middle((photo.cols - 1) / 2.0, (photo.rows - 1) / 2.0);
  const double unit = std::hypot(middle.x, middle.y);
  const cv::Matx33d photo_from_local(unit, 0, middle.x, 0, unit, middle.y, 0, 0, 1);
  const cv::Matx33d m =
      photo_from_local * PhotoFromStraightLocal(best.x, best.y) * photo_from_local.inv();
  return PlaneMap{m * (1 / m(2, 2))};
}

}  // namespace ohmglow

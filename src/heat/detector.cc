// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/detector.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "base/decompose.h"
#include "base/steepness.h"
#include "heat/directions.h"
#include "heat/pixel_courses.h"
#include "heat/robust_covariance.h"
#include "heat/seen_blur.h"

namespace ohmglow {
namespace {

// Spot sizes, standard deviation in pixels.
constexpr std::array kSizesPx = {1.0, 2.0, 4.0};
// A spot counts against its surroundings, a Gaussian mean this much wider but
// never narrower than the least: broad warmth (a hand, a reflection, far-off
// heat) drops out.
constexpr double kSurroundingsOfSize = 6;
constexpr double kLeastSurroundingsPx = 12;
// Pixels from which the background is learned, at most.
constexpr std::size_t kSamples = 8000;
// Steps as clear as this are taken for heat of the drive; a little noise looks like it too.
constexpr double kShowsSteps = 2.5;
constexpr double kLeastBackground = 0.15;
// Independent places for each mode that a covariance asks for.
constexpr double kLeastPerMode = 4;
// A place is outstanding where its energy has this normal quantile (1e-5) or more.
constexpr double kOutstandingSigmas = 4.265;
constexpr std::size_t kMostOthers = 60;
// Two places closer than this, in spot sizes, may be one.
constexpr double kApartOfSize = 4;
constexpr double kLeastApartPx = 6;
// A strong place makes a ring of weaker ones: this much weaker, so near in
// widths of the surroundings.
constexpr double kRingOfStrength = 0.3;
constexpr double kRingOfSurroundings = 3;
// ... or weaker at all, where so much of its energy is heat's course turned over.
constexpr double kHollow = 0.5;
// Heat finds its way out at several places of patchy copper: weaker courses as alike as this, so
// near in widths of the surroundings, are of the same source.
constexpr double kSameCourse = 0.8;
constexpr double kOutletOfSurroundings = 4;
// Log likelihood by which heat of the drive must beat a drift for an
// outstanding place to count as explained.
constexpr double kExplained = 3;
// ... or the share of its energy that one kind of source must hold, where it shows steps.
constexpr double kFits = 0.85;

double SurroundingsPx(double sigma_px) {
  return std::max(kLeastSurroundingsPx, kSurroundingsOfSize * sigma_px);
}

Eigen::VectorXd CourseAt(const std::vector<Image>& modes, cv::Point at) {
  Eigen::VectorXd course(static_cast<Eigen::Index>(modes.size()));
  for (std::size_t m = 0; m < modes.size(); ++m) {
    course(static_cast<Eigen::Index>(m)) = modes[m](at);
  }
  return course;
}

// Largest slope of the static picture around each pixel, at a spot's size [K/px].
Image Slope(const Image& picture_k, double sigma_px) {
  Image smooth;
  cv::GaussianBlur(picture_k, smooth, {0, 0}, sigma_px);
  Image spread;
  cv::dilate(SteepnessOf(smooth), spread, cv::Mat::ones(3, 3, CV_8U));
  return spread;
}

// Where a map is highest within two pixels of a place.
cv::Point HighestAround(const Image& map, Point place_px) {
  const cv::Point corner(cvRound(place_px.x) - 2, cvRound(place_px.y) - 2);
  const cv::Rect box = cv::Rect(corner, cv::Size(5, 5)) & cv::Rect({0, 0}, map.size());
  cv::Point highest;
  cv::minMaxLoc(map(box), nullptr, nullptr, nullptr, &highest);
  return box.tl() + highest;
}

// Some of the seen pixels, always the same ones, spread evenly: a pixel more or less in the mask is
// one sample more or less. (Every third pixel of the list of seen ones are quite others behind it,
// and so every number of the answer.)
Eigen::MatrixXf Samples(const std::vector<Image>& modes, const Mask& seen) {
  constexpr std::uint32_t kGolden = 2654435769U;  // 2^32 over the golden ratio.
  std::vector<std::uint32_t> pixels;
  for (std::uint32_t i = 0; i < seen.total(); ++i) {
    if (seen.data[i] != 0) pixels.push_back(i);
  }
  if (pixels.size() > kSamples) {
    std::nth_element(pixels.begin(),
                     pixels.begin() + kSamples,
                     pixels.end(),
                     [](std::uint32_t a, std::uint32_t b) { return a * kGolden < b * kGolden; });
    pixels.resize(kSamples);
    std::sort(pixels.begin(), pixels.end());
  }
  Eigen::MatrixXf samples(static_cast<Eigen::Index>(modes.size()),
                          static_cast<Eigen::Index>(pixels.size()));
  for (std::size_t i = 0; i < pixels.size(); ++i) {
    for (std::size_t m = 0; m < modes.size(); ++m) {
      samples(static_cast<Eigen::Index>(m), static_cast<Eigen::Index>(i)) =
          modes[m].ptr<float>()[pixels[i]];
    }
  }
  return samples;
}

// matrix x pictures, piece by piece: the products of all kinds at once would be larger than all
// courses. work(first pixel, rows of the product).
template <typename Work>
void MixPieces(const Eigen::MatrixXd& matrix, const std::vector<Image>& modes, const Work& work) {
  const Eigen::MatrixXf weights = matrix.cast<float>();
  const auto num_pixels = static_cast<Eigen::Index>(modes.front().total());
  ForEachPiece(num_pixels, [&](Eigen::Index at, Eigen::Index count) {
    PixelRows rows(static_cast<Eigen::Index>(modes.size()), count);
    for (Eigen::Index m = 0; m < rows.rows(); ++m) {
      const float* mode = modes[static_cast<std::size_t>(m)].ptr<float>();
      std::copy_n(mode + at, count, rows.row(m).data());
    }
    work(at, Mixed(weights, rows));
  });
}

std::vector<Image> Mix(const Eigen::MatrixXd& matrix, const std::vector<Image>& modes) {
  std::vector<Image> out(static_cast<std::size_t>(matrix.rows()));
  for (Image& image : out) image.create(modes.front().size());
  MixPieces(matrix, modes, [&](Eigen::Index at, const PixelRows& mixed) {
    for (Eigen::Index row = 0; row < mixed.rows(); ++row) {
      float* image = out[static_cast<std::size_t>(row)].ptr<float>();
      std::copy_n(mixed.row(row).data(), mixed.cols(), image + at);
    }
  });
  return out;
}

// The highest and the lowest product of each pixel.
struct Range {
  Image most, least;
};

Range RangeOfMix(const Eigen::MatrixXd& matrix, const std::vector<Image>& modes) {
  Range out{Image(modes.front().size()), Image(modes.front().size())};
  MixPieces(matrix, modes, [&](Eigen::Index at, const PixelRows& mixed) {
    Eigen::Map<Eigen::RowVectorXf> most(out.most.ptr<float>() + at, mixed.cols());
    Eigen::Map<Eigen::RowVectorXf> least(out.least.ptr<float>() + at, mixed.cols());
    most = mixed.row(0);
    least = mixed.row(0);
    for (Eigen::Index row = 1; row < mixed.rows(); ++row) {
      most = most.cwiseMax(mixed.row(row));
      least = least.cwiseMin(mixed.row(row));
    }
  });
  return out;
}

}  // namespace

Detector::Detector(const std::vector<Image>& modes,
                   const CourseSpan& span,
                   const Image& noise_k,
                   const Image& static_k,
                   double misplaced_px,
                   const Mask& seen)
    : z_(seen.size(), 0.0F), z_steps_(seen.size(), 0.0F), steps_k_(seen.size(), 0.0F) {
  for (const double sigma_px : kSizesPx) {
    const SeenBlur spot(seen, sigma_px);
    const SeenBlur around(seen, SurroundingsPx(sigma_px));
    Image noise;
    // A registration error as large as the whole heating, at worst.
    cv::magnitude(noise_k.mul(spot.NoiseGain()),
                  Image(Slope(static_k, sigma_px) * (misplaced_px * span.strength)),
                  noise);
    std::vector<Image> local;
    for (const Image& mode : modes) {
      Image over((spot(mode) - around(mode)) / noise);
      over.setTo(0, seen == 0);
      local.push_back(over);
    }
    AddSize(sigma_px, local, span, noise, seen);
  }
  z_.setTo(0, seen == 0);
  z_steps_.setTo(0, seen == 0);
  steps_k_.setTo(0, seen == 0);
}

void Detector::AddSize(double sigma_px,
                       const std::vector<Image>& local,
                       const CourseSpan& span,
                       const Image& noise_k,
                       const Mask& seen) {
  const Eigen::MatrixXd steps = Without(span.usual, span.kinds).colwise().normalized();
  const auto [most, least] = RangeOfMix(steps.transpose(), local);
  Size size;
  size.z_steps = most;
  size.steps_k = Image(most.mul(noise_k));
  size.steps_k.setTo(0, seen == 0);
  steps_k_ = Image(cv::max(steps_k_, size.steps_k));
  z_steps_ = Image(cv::max(z_steps_, most));
  // Heat that shows its steps is no background, nor is the ring around it.
  Mask background = seen.clone();
  background.setTo(0, (most > kShowsSteps) | (least < -kShowsSteps));
  const bool enough = cv::countNonZero(background) > kLeastBackground * cv::countNonZero(seen);
  const double independent =
      std::max(1.0, cv::countNonZero(seen) / (4 * std::numbers::pi * sigma_px * sigma_px));
  // Too few places of this size in a small picture: the finer size has to do.
  const bool few = independent < kLeastPerMode * static_cast<double>(local.size());
  const Eigen::MatrixXd covariance =
      few && !sizes_.empty() ? covariance_
                             : RobustCovariance(Samples(local, enough ? background : seen));
  if (sizes_.empty()) covariance_ = covariance;
  const Eigen::MatrixXd whitener = PositiveMatrix(covariance).Whitener();
  size.sigma_px = sigma_px;
  size.covariance = covariance;
  size.independent = independent;
  size.white = Mix(whitener, local);
  const Eigen::MatrixXd kinds = whitener * span.kinds;
  size.kinds = kinds.colwise().normalized();
  size.z = RangeOfMix(size.kinds.transpose(), size.white).most;
  z_ = Image(cv::max(z_, size.z));
  FindOthers(whitener * span.usual, most, size);
  sizes_.push_back(std::move(size));
}

void Detector::FindOthers(const Eigen::MatrixXd& usual, const Image& steps, Size& size) {
  Image energy(size.z.size(), 0.0F);
  for (const Image& mode : size.white) energy += mode.mul(mode);
  const int reach = std::max(3, static_cast<int>(3 * size.sigma_px));
  Image highest;
  cv::dilate(energy, highest, cv::Mat::ones(2 * reach + 1, 2 * reach + 1, CV_8U));
  const double outstanding =
      ChiSquareQuantile(static_cast<int>(size.white.size()), kOutstandingSigmas);
  std::vector<cv::Point> places;
  for (int y = 0; y < energy.rows; ++y) {
    for (int x = 0; x < energy.cols; ++x) {
      if (energy(y, x) > outstanding && energy(y, x) >= highest(y, x)) places.emplace_back(x, y);
    }
  }
  std::sort(places.begin(), places.end(), [&](cv::Point a, cv::Point b) {
    return energy(a) > energy(b);
  });
  const Eigen::MatrixXd drift = Orthonormal(usual);
  const double ring_px = kRingOfSurroundings * SurroundingsPx(size.sigma_px);
  std::vector<Outstanding> explained;
  for (const cv::Point at : places) {
    if (size.others.size() >= kMostOthers) break;
    const Eigen::VectorXd course = CourseAt(size.white, at);
    const double heat = std::max(0.0, (size.kinds.transpose() * course).maxCoeff());
    const double by_drift = (drift.transpose() * course).squaredNorm();
    const bool fits = heat * heat > kFits * course.squaredNorm() && steps(at) > kShowsSteps;
    if (fits || 0.5 * (heat * heat - by_drift) > kExplained) {
      explained.push_back({at, course});
      continue;
    }
    // Nothing cools with the supply's steps but the hollow around what warms.
    const double cold = std::max(0.0, (-size.kinds.transpose() * course).maxCoeff());
    const bool hollow = cold * cold > kHollow * course.squaredNorm();
    const double share = hollow ? 1 : kRingOfStrength;
    const bool ring =
        std::any_of(explained.begin(), explained.end(), [&](const Outstanding& strong) {
          return cv::norm(strong.at_px - at) <= ring_px &&
                 course.norm() < share * strong.course.norm();
        });
    if (!ring) size.others.push_back({at, course});
  }
}

const Detector::Size& Detector::BestSize(cv::Point at) const {
  return *std::max_element(sizes_.begin(), sizes_.end(), [at](const Size& a, const Size& b) {
    return a.z(at) < b.z(at);
  });
}

std::vector<Detector::StepsOfSize> Detector::StepsAt(Point at_px) const {
  const cv::Point at = HighestAround(z_, at_px);
  const Size& best = BestSize(at);
  std::vector<StepsOfSize> out = {{best.sigma_px, best.steps_k}};
  for (auto size = sizes_.rbegin(); size != sizes_.rend(); ++size) {
    const bool finer = size->sigma_px < best.sigma_px;
    if (finer && size->z_steps(at) >= kStrongSteps) out.push_back({size->sigma_px, size->steps_k});
  }
  return out;
}

Detector::Best Detector::BestAt(Point at_px) const {
  const Size& size = BestSize(HighestAround(z_, at_px));
  return {size.sigma_px, SurroundingsPx(size.sigma_px), size.covariance};
}

Detector::Best Detector::OfSize(double sigma_px) const {
  const auto size =
      std::min_element(sizes_.begin(), sizes_.end(), [&](const Size& a, const Size& b) {
        return std::abs(a.sigma_px - sigma_px) < std::abs(b.sigma_px - sigma_px);
      });
  return {size->sigma_px, SurroundingsPx(size->sigma_px), size->covariance};
}

std::vector<Detector::Bright> Detector::Unexplained(std::size_t most) const {
  std::vector<Bright> all;
  for (const Size& size : sizes_) {
    for (const Outstanding& other : size.others) {
      all.push_back({other.at_px, size.sigma_px, other.course.squaredNorm()});
    }
  }
  std::stable_sort(
      all.begin(), all.end(), [](const Bright& a, const Bright& b) { return a.energy > b.energy; });
  std::vector<Bright> apart;
  for (const Bright& one : all) {
    if (apart.size() >= most) break;
    const bool known = std::any_of(apart.begin(), apart.end(), [&](const Bright& other) {
      const double reach_px =
          std::max(kLeastApartPx, kApartOfSize * std::max(one.sigma_px, other.sigma_px));
      return cv::norm(one.at_px - other.at_px) < reach_px;
    });
    if (!known) apart.push_back(one);
  }
  return apart;
}

double Detector::StandsOut(Point at_px) const {
  const cv::Point at = HighestAround(z_, at_px);
  const Size& best = BestSize(at);
  if (best.z(at) <= 0) return 0;
  const double z = best.z(at);
  const Eigen::VectorXd course = CourseAt(best.white, at);
  const double apart_px = std::max(kLeastApartPx, kApartOfSize * best.sigma_px);
  const double ring_px = kRingOfSurroundings * SurroundingsPx(best.sigma_px);
  const double outlet_px = kOutletOfSurroundings * SurroundingsPx(best.sigma_px);
  Eigen::MatrixXd covariance = Eigen::MatrixXd::Zero(course.size(), course.size());
  double count = 0;
  for (const Outstanding& other : best.others) {
    const double distance_px = cv::norm(other.at_px - at);
    const double strength = other.course.norm();
    const bool ring = distance_px <= ring_px && strength < kRingOfStrength * course.norm();
    // The hollow beside heat has its course turned over.
    const bool same = std::abs(other.course.dot(course)) > kSameCourse * strength * course.norm();
    const bool outlet = distance_px <= outlet_px && same && strength < course.norm();
    if (distance_px <= apart_px || ring || outlet) continue;
    covariance += other.course * other.course.transpose();
    count += 1;
  }
  if (count == 0) return z;
  covariance = covariance / count + Eigen::MatrixXd::Identity(course.size(), course.size());
  const PositiveMatrix positive(covariance);
  const Eigen::MatrixXd solved = positive.Solve(best.kinds);
  const double z_among =
      (solved.transpose() * course)
          .cwiseQuotient(best.kinds.cwiseProduct(solved).colwise().sum().cwiseSqrt().transpose())
          .maxCoeff();
  // -2 log likelihoods, but for what all have in common.
  const double usual = course.squaredNorm();
  const double among = course.dot(positive.Solve(course)) + positive.LogDeterminant() +
                       2 * std::log(std::max(1.0, best.independent / count));
  const double heat = std::min(usual - z * z, among - std::pow(std::max(0.0, z_among), 2));
  return std::min(z, std::sqrt(std::max(0.0, std::min(usual, among) - heat)));
}

}  // namespace ohmglow

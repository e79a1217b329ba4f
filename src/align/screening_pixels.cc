// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/screening_pixels.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <utility>
#include <vector>

#include "align/robust.h"

namespace ohmglow::internal {
namespace {

using Faults = cv::Mat_<unsigned char>;

constexpr int kFewestChanges = 8;
constexpr double kStuckRatio = 0.4;  // Liveliness against the neighbours' median.
constexpr double kBlinkRatio = 2.5;
constexpr double kBlinkShare = 0.025;  // Of the excess variance: half of what 0.5 px of blur give.
constexpr double kDriftRatio = 4.0;    // Rms course of the parts against the neighbours'.
constexpr double kPartSpread = 0.17;   // Share that a point of the scene gives to its neighbours
                                       // at least: 0.25 with a blur of 0.5 px and square pixels.
constexpr double kEdgeShare = 0.2;     // Mean share of the four at the edges: the same, less doubt.
constexpr double kLevelShare = 0.15;   // The same of a level.
constexpr double kOutRatio = 1.0;      // How far out of its neighbours, in their own range.
constexpr double kLevelRatio = 1.5;    // Step against the spread of the neighbours.
constexpr double kOneCount = 0.75;     // Liveliness in counts; 0.5 between two neighbouring ones.
constexpr double kFineNoise = 0.6;     // Noise in counts from which all pixels are alike.
constexpr double kChance = 1e-6;       // Of a good pixel being judged stuck.
constexpr double kSigmasStuck = 5;     // The same, in standard deviations.
constexpr double kSigmasBlinking = 6;

void Set(Faults& faults, int r, int c, PixelFault fault) {
  unsigned char& f = faults(r, c);
  if (f == 0) f = static_cast<unsigned char>(fault);
}

Image NeighbourMedian(const Image& image, int size) {
  Image out;
  cv::medianBlur(image, out, size);
  return out;
}

// The eight places around a pixel; beyond the rim that on the other side, so
// that an edge that ends there is still a line.
std::array<cv::Point, 8> Around(cv::Size size, int r, int c) {
  std::array<cv::Point, 8> out;
  std::size_t n = 0;
  for (int i = -1; i <= 1; ++i) {
    for (int j = -1; j <= 1; ++j) {
      if (i == 0 && j == 0) continue;
      const int y = r + i < 0 || r + i >= size.height ? r - i : r + i;
      const int x = c + j < 0 || c + j >= size.width ? c - j : c + j;
      out[n++] = {x, y};
    }
  }
  return out;
}

std::array<float, 8> Neighbours(const Image& image, int r, int c) {
  std::array<float, 8> out{};
  const auto around = Around(image.size(), r, c);
  for (std::size_t k = 0; k < 8; ++k) out[k] = image(around[k]);
  return out;
}

// The second largest: one neighbour may be a bad pixel as well, but a line of
// the scene goes on to both sides.
double Second(std::array<float, 8> v) {
  std::nth_element(v.begin(), v.begin() + 1, v.end(), std::greater<>());
  return static_cast<double>(v[1]);
}

// Quantile of the relative liveliness of a good pixel after n changes: chi
// square of n / 1.5 degrees of freedom, since neighbouring changes share a
// frame, by the cube root (Wilson, Hilferty, Proc. Natl. Acad. Sci. 17 (1931)
// 684-688).
double LivelinessAt(int changes, double sigmas) {
  const double k = 2.0 / (9.0 * std::max(1.0, changes / 1.5));
  const double root = std::max(0.0, 1 - k + sigmas * std::sqrt(k));
  return std::sqrt(root * root * root);
}

// Chance that a good pixel shows the same count in all frames, because the
// counts are coarser than its noise.
double ChanceOfStandstill(double noise_k, double quantum_k, int changes) {
  if (quantum_k <= 0 || noise_k <= 0) return noise_k > 0 ? 0 : 1;
  const double stay = std::erf(quantum_k / (2 * std::sqrt(2.0) * noise_k));
  return std::pow(stay, changes + 1);
}

void FindUnseen(const ScreeningSums& sums, Faults& faults) {
  Image unseen(faults.size());
  for (int r = 0; r < faults.rows; ++r) {
    for (int c = 0; c < faults.cols; ++c) unseen(r, c) = sums.Values(r, c) < 1 ? 1.0F : 0.0F;
  }
  for (int r = 0; r < faults.rows; ++r) {
    for (int c = 0; c < faults.cols; ++c) {
      if (unseen(r, c) < 0.5F) continue;
      const bool alone = Second(Neighbours(unseen, r, c)) < 0.5;
      Set(faults, r, c, alone ? PixelFault::kDead : PixelFault::kSaturated);
    }
  }
}

// The four neighbours at the edges, mirrored at the rim.
std::array<cv::Point, 4> Edges(cv::Size size, int r, int c) {
  const auto around = Around(size, r, c);
  return {around[1], around[3], around[4], around[6]};
}

// Mean variance beyond the usual of the neighbours at the edges; the liveliest
// may be a bad pixel as well.
double ExcessAround(const Image& lively, int r, int c, double usual) {
  std::array<double, 4> excess{};
  const auto edges = Edges(lively.size(), r, c);
  for (std::size_t k = 0; k < 4; ++k) {
    const double v = lively(edges[k]);
    excess[k] = v * v - usual * usual;
  }
  std::sort(excess.begin(), excess.end());
  return (excess[0] + excess[1] + excess[2]) / 3;
}

void FindStuckAndBlinking(const ScreeningSums& sums,
                          const Image& lively,
                          const Image& usual,
                          Faults& faults) {
  const int n = sums.changes();
  if (n < kFewestChanges) return;
  const double low = std::min(kStuckRatio, LivelinessAt(n, -kSigmasStuck));
  const double high = std::max(kBlinkRatio, LivelinessAt(n, kSigmasBlinking));
  for (int r = 0; r < lively.rows; ++r) {
    for (int c = 0; c < lively.cols; ++c) {
      const double own = lively(r, c), near = usual(r, c);
      // Between two counts a good pixel is as lively as its level will have it.
      const bool coarse = near < kFineNoise * sums.quantum_k();
      if (own <= (coarse ? 0.0 : low * near)) {
        if (ChanceOfStandstill(near, sums.quantum_k(), n) < kChance) {
          Set(faults, r, c, PixelFault::kStuck);
        }
      } else if (own > std::max(high * near, kOneCount * sums.quantum_k())) {
        if (ExcessAround(lively, r, c, near) < kBlinkShare * (own * own - near * near)) {
          Set(faults, r, c, PixelFault::kBlinking);
        }
      }
    }
  }
}

double EdgeMean(const Image& image, int r, int c) {
  double sum = 0;
  for (const cv::Point& p : Edges(image.size(), r, c)) sum += static_cast<double>(image(p)) / 4;
  return sum;
}

void FindLevels(const Image& mean_k, const Image& usual_k, double limit_k, Faults& faults) {
  for (int r = 0; r < mean_k.rows; ++r) {
    for (int c = 0; c < mean_k.cols; ++c) {
      const double off = static_cast<double>(mean_k(r, c)) - usual_k(r, c);
      if (std::abs(off) < limit_k) continue;
      const std::array<float, 8> near = Neighbours(mean_k, r, c);
      const auto [low, high] = std::minmax_element(near.begin(), near.end());
      const double spread = static_cast<double>(*high - *low);
      const double out = std::max(mean_k(r, c) - *high, *low - mean_k(r, c));
      const double shared = EdgeMean(mean_k, r, c) - usual_k(r, c);
      if (out > std::max(limit_k, kLevelRatio * spread) && shared / off < kLevelShare) {
        Set(faults, r, c, PixelFault::kStandsOut);
      }
    }
  }
}

// The course of a pixel over the parts of the capture, less what its
// surroundings do.
struct Courses {
  explicit Courses(std::vector<Image> parts_k) : raw_k(std::move(parts_k)) {
    const Image first = raw_k.front().clone();
    Image mean(first.size(), 0.0F);
    for (Image& part : raw_k) {
      part -= first;  // What never changes, the scene at rest and the pattern, is gone.
      alone_k.emplace_back(part - NeighbourMedian(part, 3));
      mean += alone_k.back();
    }
    mean /= static_cast<double>(raw_k.size());
    square_k2 = Image(first.size(), 0.0F);
    for (Image& part : alone_k) {
      part -= mean;
      cv::accumulateSquare(part, square_k2);
    }
  }

  std::vector<Image> raw_k, alone_k;
  Image square_k2;  // Of alone_k, summed over the parts.
};

// Share of the pixel's own course in that of another.
double Share(const Courses& courses, cv::Point own, cv::Point other) {
  double product = 0;
  for (const Image& part : courses.alone_k) {
    product += static_cast<double>(part(own)) * static_cast<double>(part(other));
  }
  return product / static_cast<double>(courses.square_k2(own));
}

// Mean over the border of the five by five pixels around.
double RingMean(const Image& image, int r, int c) {
  double sum = 0;
  int n = 0;
  for (int i = std::max(r - 2, 0); i <= std::min(r + 2, image.rows - 1); ++i) {
    for (int j = std::max(c - 2, 0); j <= std::min(c + 2, image.cols - 1); ++j) {
      if (std::max(std::abs(i - r), std::abs(j - c)) < 2) continue;
      sum += static_cast<double>(image(i, j));
      ++n;
    }
  }
  return sum / n;
}

// What share of the pixel's course its four neighbours have in the mean, both
// over the ring around; means, since medians would take it in where it is faint.
double EdgeShare(const Courses& courses, int r, int c) {
  std::vector<double> own, edges;
  double own_mean = 0, edges_mean = 0;
  const double share = 1 / static_cast<double>(courses.raw_k.size());
  for (const Image& part : courses.raw_k) {
    const double ring = RingMean(part, r, c);
    own.push_back(static_cast<double>(part(r, c)) - ring);
    edges.push_back(EdgeMean(part, r, c) - ring);
    own_mean += share * own.back();
    edges_mean += share * edges.back();
  }
  double product = 0, square = 0;
  for (std::size_t k = 0; k < own.size(); ++k) {
    product += (own[k] - own_mean) * (edges[k] - edges_mean);
    square += (own[k] - own_mean) * (own[k] - own_mean);
  }
  return square > 0 ? product / square : 1;
}

// Whether no more than one neighbour has a share of what the pixel does beyond
// its surroundings, and the four at the edges have less of it than a point of
// the scene would give them, by twice what the noise `usual_k2` leaves in doubt.
bool MovesAlone(const Courses& courses, int r, int c, double usual_k2) {
  const cv::Size size = courses.square_k2.size();
  std::array<float, 8> share{};
  const auto around = Around(size, r, c);
  for (std::size_t k = 0; k < 8; ++k) {
    share[k] = static_cast<float>(std::abs(Share(courses, {c, r}, around[k])));
  }
  const double edges = EdgeShare(courses, r, c);
  const double doubt = std::sqrt(usual_k2 / (static_cast<double>(courses.square_k2(r, c)) * 4 *
                                             static_cast<double>(courses.alone_k.size())));
  return Second(share) < kPartSpread && edges + 2 * doubt < kEdgeShare;
}

// Whether the pixel lies farther out of what its neighbours do than they
// differ among each other, one of them left out. The median of the
// surroundings alone would take the ridge of a warm slope for such a pixel.
bool LiesOutside(const Courses& courses, int r, int c) {
  const auto along = [&](cv::Point p) {
    double sum = 0;
    for (std::size_t k = 0; k < courses.raw_k.size(); ++k) {
      sum += static_cast<double>(courses.alone_k[k](r, c)) * courses.raw_k[k](p);
    }
    return sum;
  };
  std::array<double, 8> near{};
  const auto around = Around(courses.square_k2.size(), r, c);
  for (std::size_t k = 0; k < 8; ++k) near[k] = along(around[k]);
  std::sort(near.begin(), near.end());
  const double own = along({c, r});
  const double above = own - near[6];
  const double below = near[1] - own;
  return std::max(above, below) > kOutRatio * (near[6] - near[1]);
}

void FindDrifting(const ScreeningSums& sums, double noise_k, Faults& faults) {
  std::vector<Image> parts_k = sums.PartMeans();
  if (parts_k.size() < 3) return;
  const Courses courses(std::move(parts_k));
  const Image usual = NeighbourMedian(courses.square_k2, 5);
  // Never below what white noise leaves in the parts' means.
  const double parts = static_cast<double>(courses.raw_k.size());
  double least = noise_k * noise_k * parts * parts / std::max(1, sums.frames());
  // Counts coarser than the noise follow a slow change in steps.
  const double count_k = sums.quantum_k();
  if (noise_k < kFineNoise * count_k) least = std::max(least, parts * count_k * count_k / 8);
  for (int r = 0; r < usual.rows; ++r) {
    for (int c = 0; c < usual.cols; ++c) {
      const double near = std::max(least, static_cast<double>(usual(r, c)));
      if (courses.square_k2(r, c) < kDriftRatio * kDriftRatio * near) continue;
      if (MovesAlone(courses, r, c, near) && LiesOutside(courses, r, c)) {
        Set(faults, r, c, PixelFault::kDrifting);
      }
    }
  }
}

}  // namespace

Faults JudgePixels(const ScreeningSums& sums, double dead_pixel_sigmas, double& noise_k) {
  const Image lively = sums.Liveliness();
  std::vector<float> seen(lively.begin(), lively.end());
  // Few changes scatter to both sides unequally: the median is too low.
  noise_k = static_cast<double>(MedianInPlace(seen)) / LivelinessAt(sums.changes(), 0);
  Faults faults(lively.size(), static_cast<unsigned char>(0));
  if (sums.frames() == 0) return faults;
  FindUnseen(sums, faults);
  FindStuckAndBlinking(sums, lively, NeighbourMedian(lively, 5), faults);
  FindDrifting(sums, noise_k, faults);
  const Image mean_k = sums.Mean();
  FindLevels(mean_k, NeighbourMedian(mean_k, 5), dead_pixel_sigmas * noise_k, faults);
  return faults;
}

}  // namespace ohmglow::internal

// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/held.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace ohmglow::internal {
namespace {

// Slopes of noise alone agree between halves by chance: so many of their spreads are none.
constexpr double kClear = 6;
constexpr std::size_t kLeastPlaced = 8;

struct Slopes {
  Image x, y;
};

Image MeanBand(const std::vector<const Snapshot*>& snapshots) {
  Image mean(snapshots.front()->band_k.size(), 0.0F);
  for (const Snapshot* s : snapshots) mean += s->band_k;
  return Image(mean / static_cast<double>(snapshots.size()));
}

// Shifts of the middle about their mean [px].
std::vector<Point> ShiftsOf(const std::vector<const Snapshot*>& snapshots) {
  std::vector<Point> shifts;
  Point mean;
  for (const Snapshot* s : snapshots) {
    const MotionVector v = ToVector(s->frame_from_reference, s->band_k.size());
    shifts.emplace_back(v[0], v[1]);
    mean += shifts.back() / static_cast<double>(snapshots.size());
  }
  for (Point& shift : shifts) shift -= mean;
  return shifts;
}

// Regression of what the snapshots show beside their mean on their shifts, by pixel: a scene that
// moved by +1 px shows its slope turned over.
Slopes Regress(const std::vector<const Snapshot*>& snapshots) {
  const Image mean = MeanBand(snapshots);
  const std::vector<Point> shifts = ShiftsOf(snapshots);
  Slopes sums{Image(mean.size(), 0.0F), Image(mean.size(), 0.0F)};
  cv::Matx22d normal = cv::Matx22d::zeros();
  for (std::size_t i = 0; i < snapshots.size(); ++i) {
    const Image rest(snapshots[i]->band_k - mean);
    const Point d = shifts[i];
    sums.x -= rest * d.x;
    sums.y -= rest * d.y;
    normal += cv::Matx22d(d.x * d.x, d.x * d.y, d.x * d.y, d.y * d.y);
  }
  const double ridge = 1e-9 * cv::trace(normal) + 1e-12;
  const cv::Matx22d inverse = (normal + ridge * cv::Matx22d::eye()).inv();
  return {Image(sums.x * inverse(0, 0) + sums.y * inverse(0, 1)),
          Image(sums.x * inverse(1, 0) + sums.y * inverse(1, 1))};
}

Slopes SlopesOf(const Image& image) {
  Slopes out;
  cv::Sobel(image, out.x, CV_32F, 1, 0, 1, 0.5);
  cv::Sobel(image, out.y, CV_32F, 0, 1, 1, 0.5);
  return out;
}

double Product(const Slopes& a, const Slopes& b) { return a.x.dot(b.x) + a.y.dot(b.y); }

}  // namespace

std::optional<double> ShareFound(const std::vector<Snapshot>& snapshots) {
  std::array<std::vector<const Snapshot*>, 2> halves;
  std::vector<const Snapshot*> placed;
  for (const Snapshot& s : snapshots) {
    if (!s.placed) continue;
    halves[placed.size() % 2].push_back(&s);
    placed.push_back(&s);
  }
  if (placed.size() < 2 * kLeastPlaced) return std::nullopt;
  const Slopes first = Regress(halves[0]);
  const Slopes second = Regress(halves[1]);
  const double agree = Product(first, second);
  const double spread = std::sqrt(Product(first, first) * Product(second, second) /
                                  static_cast<double>(first.x.total()));
  if (!(agree > kClear * spread)) return std::nullopt;
  const Slopes mean = SlopesOf(MeanBand(placed));
  const Slopes both{Image(0.5 * (first.x + second.x)), Image(0.5 * (first.y + second.y))};
  return std::clamp(Product(both, mean) / agree, 0.0, 1.0);
}

}  // namespace ohmglow::internal

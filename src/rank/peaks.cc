// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/peaks.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>

namespace ohmglow {
namespace {

// Level sets as a forest: every root is a component with its highest pixel.
class LevelSets {
 public:
  LevelSets(const Image& map, const Image& depth)
      : map_(map), depth_(depth), parent_(map.total(), -1) {}

  // Adds a pixel no higher than those before. Reports in `ended` the peaks of
  // components that end here because they meet a higher one across a deep
  // enough saddle; shallower ones are swallowed in silence.
  void Add(int index, std::vector<int>& ended) {
    parent_[At(index)] = index;
    std::vector<int> roots;
    const int y = index / map_.cols;
    const int x = index % map_.cols;
    for (int dy = -1; dy <= 1; ++dy) {
      for (int dx = -1; dx <= 1; ++dx) {
        const bool inside = y + dy >= 0 && y + dy < map_.rows && x + dx >= 0 && x + dx < map_.cols;
        const int other = (y + dy) * map_.cols + x + dx;
        if (!inside || other == index || parent_[At(other)] < 0) continue;
        roots.push_back(Root(other));
      }
    }
    // A component's root is its highest pixel, since it was added first.
    std::sort(roots.begin(), roots.end(), [this](int a, int b) { return Higher(a, b); });
    roots.erase(std::unique(roots.begin(), roots.end()), roots.end());
    if (roots.empty()) return;
    parent_[At(index)] = roots.front();
    for (std::size_t i = 1; i < roots.size(); ++i) {
      const bool deep = Value(index) < Value(roots[i]) - depth_.ptr<float>()[roots[i]];
      if (deep) ended.push_back(roots[i]);
      parent_[At(roots[i])] = roots.front();
    }
  }

  [[nodiscard]] std::vector<int> Survivors() const {
    std::vector<int> roots;
    for (std::size_t i = 0; i < parent_.size(); ++i) {
      if (parent_[i] == static_cast<int>(i)) roots.push_back(static_cast<int>(i));
    }
    return roots;
  }

  [[nodiscard]] float Value(int index) const { return map_.ptr<float>()[index]; }
  [[nodiscard]] bool Higher(int a, int b) const {
    return Value(a) != Value(b) ? Value(a) > Value(b) : a < b;
  }

 private:
  static std::size_t At(int index) { return static_cast<std::size_t>(index); }
  int Root(int index) {
    while (parent_[At(index)] != index) {
      parent_[At(index)] = parent_[At(parent_[At(index)])];
      index = parent_[At(index)];
    }
    return index;
  }

  const Image& map_;
  const Image& depth_;
  std::vector<int> parent_;
};

// Vertex of the parabola through three samples, within half a step.
double Vertex(double below, double at, double above) {
  const double curvature = 2 * at - below - above;
  return curvature > 0 ? std::clamp(0.5 * (above - below) / curvature, -0.5, 0.5) : 0.0;
}

Peak Refine(const Image& map, int index) {
  const int x = index % map.cols;
  const int y = index / map.cols;
  Peak peak{Point(x, y), map(y, x), 0};
  if (x > 0 && x + 1 < map.cols) peak.at_px.x += Vertex(map(y, x - 1), map(y, x), map(y, x + 1));
  if (y > 0 && y + 1 < map.rows) peak.at_px.y += Vertex(map(y - 1, x), map(y, x), map(y + 1, x));
  return peak;
}

}  // namespace

std::vector<Peak> FindPeaks(const Image& map, double threshold, const Image& depth) {
  LevelSets sets(map, depth);
  std::vector<int> order;
  for (int i = 0; i < static_cast<int>(map.total()); ++i) {
    if (sets.Value(i) >= threshold) order.push_back(i);
  }
  std::sort(order.begin(), order.end(), [&](int a, int b) { return sets.Higher(a, b); });
  std::vector<int> tops;
  for (const int index : order) sets.Add(index, tops);
  const std::vector<int> survivors = sets.Survivors();
  tops.insert(tops.end(), survivors.begin(), survivors.end());
  std::sort(tops.begin(), tops.end(), [&](int a, int b) { return sets.Higher(a, b); });
  std::vector<Peak> peaks;
  for (const int index : tops) peaks.push_back(Refine(map, index));
  return peaks;
}

std::vector<Peak> FindPeaks(const Image& map, double threshold, double saddle_fraction) {
  return FindPeaks(map, threshold, Image((1 - saddle_fraction) * map));
}

Peak ClimbTo(const Image& map, Point from_px) {
  const cv::Rect frame({0, 0}, map.size());
  cv::Point at(std::clamp(cvRound(from_px.x), 0, map.cols - 1),
               std::clamp(cvRound(from_px.y), 0, map.rows - 1));
  while (true) {
    const cv::Rect around = cv::Rect(at.x - 1, at.y - 1, 3, 3) & frame;
    cv::Point next;
    cv::minMaxLoc(map(around), nullptr, nullptr, nullptr, &next);
    next += around.tl();
    if (!(map(next) > map(at))) return Refine(map, at.y * map.cols + at.x);
    at = next;
  }
}

double NoiseThreshold(double area_px, double fwhm_px, double num_maps, double prob) {
  const double resels = area_px / (fwhm_px * fwhm_px);
  const double factor =
      num_maps * resels * 4 * std::numbers::ln2 * std::pow(2 * std::numbers::pi, -1.5);
  // The expectation falls monotonically beyond t = 1: bisect.
  double low = 1;
  double high = 12;
  for (int i = 0; i < 60; ++i) {
    const double t = 0.5 * (low + high);
    (factor * t * std::exp(-0.5 * t * t) > prob ? low : high) = t;
  }
  return high;
}

}  // namespace ohmglow

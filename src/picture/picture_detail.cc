// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/picture_detail.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "base/steepness.h"

namespace ohmglow::internal {
namespace {

// A change of brightness from one pixel to the next that draws the eye, of 255.
constexpr double kEdge = 12;
// Share of edge pixels at which a place is full.
constexpr double kFull = 0.25;

}  // namespace

PictureDetail::PictureDetail(const cv::Mat& bgr) {
  cv::Mat grey = bgr;
  if (bgr.channels() == 3) cv::cvtColor(bgr, grey, cv::COLOR_BGR2GRAY);
  cv::Mat smooth;  // Not in place: a grey picture is the caller's own.
  cv::GaussianBlur(grey, smooth, {}, 1);
  const cv::Mat edges = (SteepnessOf(smooth) > kEdge) / 255;
  cv::integral(edges, sums_, CV_32S);
}

double PictureDetail::Around(Point at_px, double radius_px) const {
  if (sums_.empty()) return 0;
  // A place that is no number, or far outside, has nothing around it.
  const double reach_px = std::max(1.0, radius_px);
  const auto is_near = [&](double at, int size) { return at > -reach_px && at < size + reach_px; };
  if (!is_near(at_px.x, sums_.cols) || !is_near(at_px.y, sums_.rows)) return 0;
  const int reach = std::max(1, static_cast<int>(std::lround(radius_px)));
  const cv::Point corner(cvRound(at_px.x) - reach, cvRound(at_px.y) - reach);
  const cv::Rect box = cv::Rect(corner, cv::Size(2 * reach + 1, 2 * reach + 1)) &
                       cv::Rect(0, 0, sums_.cols - 1, sums_.rows - 1);
  if (box.empty()) return 0;
  const int edges = sums_.at<int>(box.br()) - sums_.at<int>(box.y, box.br().x) -
                    sums_.at<int>(box.br().y, box.x) + sums_.at<int>(box.tl());
  return std::min(1.0, edges / (kFull * box.area()));
}

double PictureDetail::Along(Point from_px, Point to_px, double radius_px) const {
  if (sums_.empty()) return 0;
  const int steps = std::max(1, static_cast<int>(cv::norm(to_px - from_px) / (2 * radius_px)));
  double sum = 0;
  for (int i = 0; i <= steps; ++i) {
    sum += Around(from_px + (static_cast<double>(i) / steps) * (to_px - from_px), radius_px);
  }
  return sum / (steps + 1);
}

}  // namespace ohmglow::internal

// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/backdrop.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "input/case_remarks.h"

namespace ohmglow::internal {
namespace {

constexpr double kLeastWidthPx = 1000;
constexpr double kMostSidePx = 2400;
const cv::Size kUnknownFrame{320, 240};

double DisplayScale(cv::Size size) {
  const double longest = std::max(size.width, size.height);
  const double up = std::max(1.0, kLeastWidthPx / size.width);
  return std::min(up, kMostSidePx / longest);
}

cv::Mat Resized(const cv::Mat& image, double scale) {
  if (scale == 1) return image.clone();
  const cv::Size size(std::max(1, static_cast<int>(std::lround(image.cols * scale))),
                      std::max(1, static_cast<int>(std::lround(image.rows * scale))));
  cv::Mat out;
  cv::resize(image, out, size, 0, 0, scale > 1 ? cv::INTER_CUBIC : cv::INTER_AREA);
  return out;
}

// The photo as a pinhole would have taken it: the maps of the pictures are plane.
cv::Mat Straightened(const cv::Mat& photo, const RadialLens& lens) {
  cv::Mat_<cv::Vec2f> from(photo.size());
  for (int y = 0; y < from.rows; ++y) {
    for (int x = 0; x < from.cols; ++x) {
      const Point p = lens.Apply(Point(x, y));
      from(y, x) = {static_cast<float>(p.x), static_cast<float>(p.y)};
    }
  }
  cv::Mat straight;
  cv::remap(photo, straight, from, cv::noArray(), cv::INTER_LINEAR, cv::BORDER_REPLICATE);
  return straight;
}

}  // namespace

PlaneMap EnlargedFromFrame(double scale) {
  const double shift = 0.5 * scale - 0.5;  // Pixel centres lie at whole numbers.
  return {{scale, 0, shift, 0, scale, shift, 0, 0, 1}};
}

std::optional<GreyRange> StaticRange(const LocateResult& result) {
  std::vector<float> values;
  for (const float v : result.reference_k) {
    if (std::isfinite(v)) values.push_back(v);
  }
  if (values.empty()) return std::nullopt;
  std::sort(values.begin(), values.end());
  return GreyRange{values[values.size() / 100], values[values.size() - 1 - values.size() / 100]};
}

cv::Mat StaticGrey(const LocateResult& result) {
  if (result.reference_k.empty()) {
    const cv::Size size = result.frame_size_px.area() > 0 ? result.frame_size_px : kUnknownFrame;
    return {size, CV_8UC1, cv::Scalar(128)};
  }
  const std::optional<GreyRange> range = StaticRange(result);
  if (!range) return {result.reference_k.size(), CV_8UC1, cv::Scalar(128)};
  const float span = std::max(range->high - range->low, 1e-3F);
  cv::Mat_<unsigned char> grey(result.reference_k.size());
  for (int y = 0; y < grey.rows; ++y) {
    for (int x = 0; x < grey.cols; ++x) {
      const float v = result.reference_k(y, x);
      const float share = std::isfinite(v) ? std::clamp((v - range->low) / span, 0.0F, 1.0F) : 0.5F;
      grey(y, x) = cv::saturate_cast<unsigned char>(kDarkGrey + (kBrightGrey - kDarkGrey) * share);
    }
  }
  return grey;
}

Backdrop MakeBackdrop(const LocateResult& result, const cv::Mat& photo) {
  Backdrop backdrop;
  const bool use_photo =
      !photo.empty() && photo.type() == CV_8UC3 && result.maps.photo_from_frame.has_value();
  cv::Mat base = photo;
  if (use_photo && result.maps.photo_lens) base = Straightened(photo, *result.maps.photo_lens);
  if (!use_photo) cv::cvtColor(StaticGrey(result), base, cv::COLOR_GRAY2BGR);
  const double scale = DisplayScale(base.size());
  backdrop.bgr = Resized(base, scale);
  backdrop.map.is_photo = use_photo;
  backdrop.map.scale = scale;
  backdrop.map.picture_from_frame = EnlargedFromFrame(scale);
  if (use_photo) {
    backdrop.map.picture_from_frame.matrix =
        EnlargedFromFrame(scale).matrix * result.maps.photo_from_frame->matrix;
  }
  return backdrop;
}

std::optional<double> PixelsPerMillimetre(const LocateResult& result,
                                          const PictureMap& map,
                                          cv::Size picture_size_px) {
  if (!result.maps.board_from_frame) {
    const bool known = result.mm_per_pixel > 0 && !ScaleIsGuess(result.assumed);
    return known && !map.is_photo ? std::optional(map.scale / result.mm_per_pixel) : std::nullopt;
  }
  const Point middle(0.5 * picture_size_px.width, 0.5 * picture_size_px.height);
  const Point in_frame = map.picture_from_frame.Inverse().Apply(middle);
  const double picture = cv::determinant(map.picture_from_frame.Jacobian(in_frame));
  const double board = cv::determinant(result.maps.board_from_frame->Jacobian(in_frame));
  const double px_per_mm = std::sqrt(std::abs(picture / board));
  if (!std::isfinite(px_per_mm) || px_per_mm <= 0) return std::nullopt;
  return px_per_mm;
}

}  // namespace ohmglow::internal

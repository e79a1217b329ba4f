// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "sheet/photo_view.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "picture/heat_picture.h"

namespace ohmglow::internal {
namespace {

constexpr double kOutlineWeight = 0.35;
constexpr double kEdgeBlurShare = 0.0018;  // Of the photo's width: finer detail is texture.
constexpr double kPale = 0.45;             // Of the photo's contrast, where nothing was filmed.
constexpr int kLensSteps = 6;
constexpr double kEnlargedPx = 800;

// Undone step by step: the bending is a few per cent of a photo, each step leaves as
// many per cent of the error.
Point Straight(Point photo_px, const RadialLens& lens) {
  Point pinhole = photo_px;
  for (int i = 0; i < kLensSteps; ++i) pinhole += photo_px - lens.Apply(pinhole);
  return pinhole;
}

cv::Mat EdgesOf(const cv::Mat& grey) {
  cv::Mat smooth;
  cv::GaussianBlur(grey, smooth, {}, std::max(0.8, kEdgeBlurShare * grey.cols));
  cv::Mat edges;
  cv::Canny(smooth, edges, 30, 75, 3, true);
  return edges;
}

}  // namespace

PhotoView::PhotoView(const BoardMaps& maps,
                     const cv::Mat& photo,
                     double photo_scale,
                     cv::Size frame_px)
    : maps_(maps), scale_(photo_scale), from_(photo.size()), inside_(photo.size()) {
  cv::cvtColor(photo, grey_, cv::COLOR_BGR2GRAY);
  edges_ = EdgesOf(grey_);
  const PlaneMap frame_from_photo = maps.photo_from_frame->Inverse();
  double num_inside = 0;
  for (int y = 0; y < photo.rows; ++y) {
    for (int x = 0; x < photo.cols; ++x) {
      // Pixel centres lie at whole numbers.
      Point p((x + 0.5) / scale_ - 0.5, (y + 0.5) / scale_ - 0.5);
      if (maps.photo_lens) p = Straight(p, *maps.photo_lens);
      p = frame_from_photo.Apply(p);
      const bool inside =
          p.x >= -0.5 && p.y >= -0.5 && p.x <= frame_px.width - 0.5 && p.y <= frame_px.height - 0.5;
      if (!inside) p = {-1, -1};
      from_(y, x) = {static_cast<float>(p.x), static_cast<float>(p.y)};
      inside_(y, x) = inside ? 255 : 0;
      num_inside += inside ? 1 : 0;
    }
  }
  seen_share_ = num_inside / static_cast<double>(photo.total());
}

Point PhotoView::ShareOf(Point frame_px) const {
  const Point photo = maps_.PhotoPlace(frame_px);
  return {(photo.x + 0.5) * scale_ / grey_.cols, (photo.y + 0.5) * scale_ / grey_.rows};
}

double PhotoView::SizeOf(Point frame_px) const {
  const double area = std::abs(cv::determinant(maps_.photo_from_frame->Jacobian(frame_px)));
  return std::sqrt(area) * scale_ / grey_.cols;
}

cv::Mat PhotoView::Draw(const Image& response_k, const ColorScale& scale, bool hatched) const {
  // Enlarged first: colours between two pixels of the frame follow the scale.
  const int times = std::max(1, static_cast<int>(std::lround(kEnlargedPx / response_k.cols)));
  const double shift = 0.5 * times - 0.5;
  cv::Mat bgr;
  cv::remap(HeatPicture(response_k, scale, times),
            bgr,
            cv::Mat(from_ * times + cv::Scalar(shift, shift)),
            {},
            cv::INTER_LINEAR,
            cv::BORDER_REPLICATE);
  cv::Mat outlined = bgr.clone();
  outlined.setTo(cv::Scalar::all(225), edges_);
  cv::addWeighted(outlined, kOutlineWeight, bgr, 1 - kOutlineWeight, 0, bgr);
  if (hatched) {
    Image nearest;
    cv::remap(response_k, nearest, from_, {}, cv::INTER_NEAREST, cv::BORDER_REPLICATE);
    HatchUnknown(bgr, nearest, 1);
  }
  cv::Mat pale;
  grey_.convertTo(pale, CV_8U, kPale, 255 * (0.95 - kPale));
  cv::cvtColor(pale, pale, cv::COLOR_GRAY2BGR);
  pale.copyTo(bgr, ~inside_);
  return bgr;
}

}  // namespace ohmglow::internal

// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "photo_camera.h"

#include <cmath>
#include <opencv2/imgproc.hpp>

#include "random.h"

namespace ohmglow::simulate {
namespace {

Point Middle(cv::Size size) { return {(size.width - 1) / 2.0, (size.height - 1) / 2.0}; }

cv::Mat ThroughLens(const cv::Mat& drawing, double k) {
  const cv::Size size = drawing.size();
  cv::Mat_<cv::Vec2f> from(size);
  for (int y = 0; y < size.height; ++y) {
    for (int x = 0; x < size.width; ++x) {
      Point pinhole(x, y);
      for (int n = 0; n < 8; ++n) pinhole += Point(x, y) - Distorted(pinhole, size, k);
      from(y, x) = {static_cast<float>(pinhole.x), static_cast<float>(pinhole.y)};
    }
  }
  cv::Mat taken;
  cv::remap(drawing, taken, from, cv::noArray(), cv::INTER_LINEAR, cv::BORDER_REPLICATE);
  return taken;
}

// Darker from one end to the other and, half as much, towards the corners.
void Light(cv::Mat& photo, double loss, Random& random) {
  const double angle = random.Uniform(0, 2 * CV_PI);
  const Point towards(std::cos(angle), std::sin(angle));
  const Point middle = Middle(photo.size());
  const double unit = std::hypot(middle.x, middle.y);
  for (int y = 0; y < photo.rows; ++y) {
    for (int x = 0; x < photo.cols; ++x) {
      const Point p = (Point(x, y) - middle) * (1 / unit);
      const double light = 1 - 0.5 * loss * (1 + p.dot(towards)) * (1 + 0.25 * p.dot(p));
      auto& pixel = photo.at<cv::Vec3b>(y, x);
      for (int c = 0; c < 3; ++c) pixel[c] = cv::saturate_cast<uchar>(pixel[c] * light);
    }
  }
}

void AddNoise(cv::Mat& photo, double sd, Random& random) {
  for (int y = 0; y < photo.rows; ++y) {
    for (int x = 0; x < photo.cols; ++x) {
      auto& pixel = photo.at<cv::Vec3b>(y, x);
      for (int c = 0; c < 3; ++c) {
        pixel[c] = cv::saturate_cast<uchar>(pixel[c] + sd * random.Normal());
      }
    }
  }
}

}  // namespace

Point Distorted(Point pinhole_px, cv::Size photo_px, double k) {
  const Point middle = Middle(photo_px);
  const Point p = pinhole_px - middle;
  return middle + p * (1 + k * p.dot(p) / middle.dot(middle));
}

cv::Mat AsTaken(const cv::Mat& drawing, const Scenario& s) {
  cv::Mat photo = drawing;
  Random random(s.seed, "photo camera");
  if (s.photo_distortion != 0) photo = ThroughLens(photo, s.photo_distortion);
  if (s.photo_light > 0) Light(photo, s.photo_light, random);
  if (s.photo_blur_px > 0) cv::GaussianBlur(photo, photo, {0, 0}, s.photo_blur_px);
  if (s.photo_noise > 0) AddNoise(photo, s.photo_noise, random);
  return photo;
}

}  // namespace ohmglow::simulate

// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/align/photo_alignment.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <span>
#include <string>
#include <vector>

#include "align/photo_edges.h"
#include "align/photo_refine.h"
#include "align/photo_search.h"
#include "align/stripes.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

// Pictures about this wide hold what both show.
constexpr int kFrameWidthPx = 160;
constexpr int kPhotoWidthPx = 1000;
constexpr double kBlurPx = 1.2;
constexpr int kTried = 12;
constexpr int kPursued = 5;
constexpr int kFirstRounds = 2;
constexpr int kLastRounds = 4;
// Maps this far apart are two, not one fitted badly.
constexpr double kOtherMapPx = 6;
// Likeness of chance matches and of true ones: see the table in PHOTO.md.
constexpr double kTrustMargin = 1.55;
constexpr double kTrustSlope = 1.2;
// None of 200 photos of other boards passed: more cannot be claimed.
constexpr double kMostTrust = 0.99;
// Of the error: areas that overlap err alike, and lenses bend the photo. Measured
// on simulated captures: one error in ten was 1.7 times what the areas say.
constexpr double kCaution = 1.5;
constexpr double kMostKelvin = 1e5;

struct Shrunk {
  Image picture;
  Mask seen;
  cv::Matx33d small_from_large = cv::Matx33d::eye();
};

// Pixel centres at whole numbers: small = (large + 0.5) / factor - 0.5.
Shrunk ShrinkTo(const Image& picture, const Mask& seen, int width_px) {
  const int factor = std::max(1, static_cast<int>(std::lround(picture.cols / double(width_px))));
  Shrunk out;
  if (factor == 1) {
    out.picture = picture;
    out.seen = seen;
    return out;
  }
  const cv::Size size(picture.cols / factor, picture.rows / factor);
  const cv::Rect whole(0, 0, size.width * factor, size.height * factor);
  cv::resize(picture(whole), out.picture, size, 0, 0, cv::INTER_AREA);
  cv::resize(seen(whole), out.seen, size, 0, 0, cv::INTER_AREA);
  out.seen = out.seen > 250;
  const double shift = 0.5 / factor - 0.5;
  out.small_from_large = {1.0 / factor, 0, shift, 0, 1.0 / factor, shift, 0, 0, 1};
  return out;
}

StaticView Usable(const StaticView& view) {
  Mask finite;
  cv::inRange(view.picture_k, -kMostKelvin, kMostKelvin, finite);
  StaticView out{view.picture_k.clone(), view.seen.clone()};
  out.seen.setTo(0, finite == 0);
  out.picture_k.setTo(cv::mean(view.picture_k, out.seen), out.seen == 0);
  return Destriped(out);
}

Image Grey(const cv::Mat& photo) {
  cv::Mat grey = photo;
  if (photo.channels() == 3) cv::cvtColor(photo, grey, cv::COLOR_BGR2GRAY);
  Image out;
  grey.convertTo(out, CV_32F);
  return out;
}

// A map that folds, mirrors or flattens the frame is no camera's view.
bool Possible(const PlaneMap& map, cv::Size frame) {
  double least = 1e300;
  double most = 0;
  for (const double x : {0.0, frame.width - 1.0}) {
    for (const double y : {0.0, frame.height - 1.0}) {
      const double w = map.matrix(2, 0) * x + map.matrix(2, 1) * y + map.matrix(2, 2);
      const cv::Matx22d j = map.Jacobian({x, y});
      const double area = cv::determinant(j);
      const double size = cv::norm(j);
      if (!(w > 0.1 && area > 0.3 * size * size / 2)) return false;
      least = std::min(least, area);
      most = std::max(most, area);
    }
  }
  return most < 6 * least;
}

double Trust(double z, double rival_z) {
  return std::min(kMostTrust, 1 / (1 + std::exp(-kTrustSlope * (z - rival_z - kTrustMargin))));
}

std::vector<RefinedMap> Candidates(const EdgeField& frame,
                                   const PhotoLevels& photo,
                                   const PhotoAlignOptions& options) {
  const PlaneMap straight = PhotoFromStraight(photo.full(), options.most_tilt_deg);
  std::vector<RefinedMap> maps;
  const auto refine = [&](const PlaneMap& start, int first, int rounds) {
    return RefinePhotoMap(frame, photo, start, kBlurPx, first, rounds);
  };
  for (const PhotoMatch& match : SearchPhoto(frame, photo, straight, options, kBlurPx, kTried)) {
    const RefinedMap map = refine(match.photo_from_frame, 0, kFirstRounds);
    if (Possible(map.photo_from_frame, frame.size())) maps.push_back(map);
  }
  const auto better = [](const RefinedMap& a, const RefinedMap& b) { return a.z > b.z; };
  std::stable_sort(maps.begin(), maps.end(), better);
  // The others stay as rivals.
  for (RefinedMap& map : std::span(maps).first(std::min<std::size_t>(kPursued, maps.size()))) {
    const RefinedMap further = refine(map.photo_from_frame, kFirstRounds, kLastRounds);
    if (further.z > map.z && Possible(further.photo_from_frame, frame.size())) map = further;
  }
  std::stable_sort(maps.begin(), maps.end(), better);
  return maps;
}

}  // namespace

void PhotoAlignOptions::Validate() const {
  const auto refuse = [](const std::string& field, double value, const std::string& rule) {
    throw OptionError("PhotoAlignOptions::" + field + " must " + rule + "; it is " +
                      std::to_string(value));
  };
  if (!(least_trust >= 0 && least_trust <= 1)) refuse("least_trust", least_trust, "lie in 0 .. 1");
  if (!(most_tilt_deg >= 0 && most_tilt_deg <= 45)) {
    refuse("most_tilt_deg", most_tilt_deg, "lie in 0 .. 45");
  }
  if (!(least_frames > 0.05)) refuse("least_frames", least_frames, "be above 0.05");
  if (!(most_frames >= least_frames && most_frames <= 10)) {
    refuse("most_frames", most_frames, "lie between least_frames and 10");
  }
}

PhotoAlignment AlignPhoto(const StaticView& thermal,
                          const cv::Mat& photo,
                          const PhotoAlignOptions& options) {
  options.Validate();
  if (thermal.picture_k.empty() || thermal.seen.size() != thermal.picture_k.size()) {
    throw DataError("the thermal picture is empty or has another size than its mask");
  }
  if (photo.empty() || photo.depth() != CV_8U || (photo.channels() != 1 && photo.channels() != 3)) {
    throw DataError("the photo is empty or no 8-bit picture");
  }
  const StaticView usable = Usable(thermal);
  const Shrunk frame = ShrinkTo(usable.picture_k, usable.seen, kFrameWidthPx);
  const Image grey = Grey(photo);
  const Shrunk small = ShrinkTo(grey, Mask(grey.size(), uchar{255}), kPhotoWidthPx);
  const EdgeField edges = MakeEdges(frame.picture, frame.seen, kBlurPx);
  const std::vector<RefinedMap> maps = Candidates(edges, PhotoLevels(small.picture), options);
  PhotoAlignment out;
  if (maps.empty()) return out;
  const RefinedMap& best = maps.front();
  out.z = best.z;
  for (const RefinedMap& other : maps) {
    if (FrameDistance(best.photo_from_frame, other.photo_from_frame, edges.size()) > kOtherMapPx) {
      out.rival_z = std::max(out.rival_z, other.z);
    }
  }
  const cv::Matx33d m =
      small.small_from_large.inv() * best.photo_from_frame.matrix * frame.small_from_large;
  out.photo_from_frame.matrix = m * (1 / m(2, 2));
  const Point middle((photo.cols - 1) / 2.0, (photo.rows - 1) / 2.0);
  const PlaneMap frame_from_photo = out.photo_from_frame.Inverse();
  const double scale = 1 / std::sqrt(std::abs(cv::determinant(frame_from_photo.Jacobian(middle))));
  out.error_px = kCaution * best.error_px * scale / frame.small_from_large(0, 0);
  out.trust = Trust(out.z, out.rival_z);
  out.accepted = out.trust >= options.least_trust;
  return out;
}

}  // namespace ohmglow

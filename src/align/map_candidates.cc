// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/map_candidates.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <span>
#include <vector>

#include "align/photo_search.h"
#include "align/stripes.h"

namespace ohmglow {
namespace {

constexpr int kTried = 12;
constexpr int kPursued = 5;
constexpr int kFirstRounds = 2;
constexpr int kLastRounds = 4;
// Maps this far apart are two, not one fitted badly.
constexpr double kOtherMapPx = 6;
constexpr double kMostKelvin = 1e5;
// Likeness of chance matches and of true ones: see the tables in PHOTO.md.
constexpr double kTrustMargin = 1.55;
constexpr double kTrustSlope = 1.2;
// None of 200 photos of other boards passed: more cannot be claimed.
constexpr double kMostTrust = 0.99;

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

}  // namespace

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

StaticView UsableView(const StaticView& view) {
  Mask finite;
  cv::inRange(view.picture_k, -kMostKelvin, kMostKelvin, finite);
  StaticView out{view.picture_k.clone(), view.seen.clone()};
  out.seen.setTo(0, finite == 0);
  out.picture_k.setTo(cv::mean(view.picture_k, out.seen), out.seen == 0);
  return Destriped(out);
}

Image GreyOf(const cv::Mat& photo) {
  cv::Mat grey = photo;
  if (photo.channels() == 3) cv::cvtColor(photo, grey, cv::COLOR_BGR2GRAY);
  Image out;
  grey.convertTo(out, CV_32F);
  return out;
}

std::vector<RefinedMap> FindMaps(const EdgeField& frame,
                                 const PhotoLevels& photo,
                                 const PlaneMap& straight,
                                 const PhotoAlignOptions& options,
                                 double least_noise) {
  std::vector<RefinedMap> maps;
  const auto refine = [&](const PlaneMap& start, int first, int rounds) {
    return RefinePhotoMap(frame, photo, start, kEdgeBlurPx, first, rounds, least_noise);
  };
  for (const PhotoMatch& match :
       SearchPhoto(frame, photo, straight, options, kEdgeBlurPx, kTried, least_noise)) {
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

double RivalZ(const std::vector<RefinedMap>& maps, cv::Size frame) {
  double rival_z = 0;
  for (const RefinedMap& other : maps) {
    if (FrameDistance(maps.front().photo_from_frame, other.photo_from_frame, frame) > kOtherMapPx) {
      rival_z = std::max(rival_z, other.z);
    }
  }
  return rival_z;
}

double MatchTrust(double z, double rival_z) {
  return std::min(kMostTrust, 1 / (1 + std::exp(-kTrustSlope * (z - rival_z - kTrustMargin))));
}

}  // namespace ohmglow

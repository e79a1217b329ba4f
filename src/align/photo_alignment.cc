// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/align/photo_alignment.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <string>
#include <vector>

#include "align/map_candidates.h"
#include "align/photo_edges.h"
#include "align/photo_refine.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

// Pictures about this wide hold what both show.
constexpr int kFrameWidthPx = 160;

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
  const StaticView usable = UsableView(thermal);
  const Shrunk frame = ShrinkTo(usable.picture_k, usable.seen, kFrameWidthPx);
  const Image grey = GreyOf(photo);
  const Shrunk small = ShrinkTo(grey, Mask(grey.size(), uchar{255}), kPhotoWidthPx);
  const EdgeField edges = MakeEdges(frame.picture, frame.seen, kEdgeBlurPx);
  const PhotoLevels levels(small.picture);
  const PlaneMap straight = PhotoFromStraight(levels.full(), options.most_tilt_deg);
  const std::vector<RefinedMap> maps = FindMaps(edges, levels, straight, options);
  PhotoAlignment out;
  if (maps.empty()) return out;
  const RefinedMap& best = maps.front();
  out.z = best.z;
  out.rival_z = RivalZ(maps, edges.size());
  const cv::Matx33d m =
      small.small_from_large.inv() * best.photo_from_frame.matrix * frame.small_from_large;
  out.photo_from_frame.matrix = m * (1 / m(2, 2));
  const Point middle((photo.cols - 1) / 2.0, (photo.rows - 1) / 2.0);
  const PlaneMap frame_from_photo = out.photo_from_frame.Inverse();
  const double scale = 1 / std::sqrt(std::abs(cv::determinant(frame_from_photo.Jacobian(middle))));
  out.error_px = kErrorCaution * best.error_px * scale / frame.small_from_large(0, 0);
  out.trust = MatchTrust(out.z, out.rival_z);
  out.accepted = out.trust >= options.least_trust;
  return out;
}

}  // namespace ohmglow

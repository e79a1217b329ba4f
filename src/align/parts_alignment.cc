// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/align/parts_alignment.h"

#include <algorithm>
#include <cmath>
#include <string>

#include "align/body_evidence.h"
#include "align/map_candidates.h"
#include "align/parts_picture.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

// The longer side of the drawn list: what both show is left at this size. Where the
// scale is known and few sizes are tried, it is drawn as finely as the picture is.
constexpr double kPartsWidthPx = 160;
constexpr double kFinePartsWidthPx = 320;
// A frame in which the list is too large to lie as a whole is shrunk to such pixels, but
// not to fewer across than a chip needs.
constexpr double kFrameMm = 0.5;
constexpr double kMostWidthPx = 340;
constexpr int kPhotoWidthPx = 1000;
// Fewer bodies never say enough.
constexpr std::size_t kLeastParts = 4;
constexpr double kMarginMm = 2;  // Left empty around the list: neighbours belong to the pattern.
// Slope of the drawing that counts as noise; a body's edge has about 0.3.
constexpr double kLeastNoise = 0.05;
// The list's rectangle over the photo's width and height, where no scale is known.
constexpr double kLeastLists = 0.85;
constexpr double kMostLists = 2.6;
constexpr double kSmallerShare = 0.8;  // Of the picture's area: the list is the smaller one.
constexpr double kRoomShare = 0.3;     // Of the picture's diagonal, around the list.
constexpr double kWithinUnknown = 2;
// Of the error: areas that overlap err alike, and lenses bend the photo.
constexpr double kCaution = 1.5;
// Margins of evidence of chance matches and of true ones: see the tables in PHOTO.md.
constexpr double kEvenMargin = 5.1;
constexpr double kTrustSlope = 0.6;
constexpr double kMostTrust = 0.99;

struct List {
  const std::vector<Part>& parts;
  BoardSide side;
};

// The map by which the bodies show best, out of those under which edges agree.
template <typename PictureFromBoard>
PartsAlignment FirstOf(std::vector<RefinedMap> maps,
                       const std::vector<cv::Rect2d>& bodies,
                       const PhotoLevels& picture,
                       cv::Size size,
                       double px_per_mm,
                       const PictureFromBoard& picture_from_board) {
  for (RefinedMap& map : maps) map.z = BodyEvidence(picture, picture_from_board(map), bodies);
  std::stable_sort(
      maps.begin(), maps.end(), [](const RefinedMap& a, const RefinedMap& b) { return a.z > b.z; });
  PartsAlignment out;
  out.picture_from_board = picture_from_board(maps.front());
  out.evidence = maps.front().z;
  out.rival_evidence = RivalZ(maps, size);
  out.error_mm = kCaution * maps.front().error_px / px_per_mm;
  return out;
}

// The better of the two hands; the other is a rival.
PartsAlignment Better(const PartsAlignment& a, const PartsAlignment& b) {
  PartsAlignment out = a.evidence >= b.evidence ? a : b;
  out.rival_evidence = std::max(out.rival_evidence, std::min(a.evidence, b.evidence));
  return out;
}

double TrustOf(const PartsAlignment& found) {
  const double margin = found.evidence - found.rival_evidence;
  return std::min(kMostTrust, 1 / (1 + std::exp(-kTrustSlope * (margin - kEvenMargin))));
}

PartsAlignment Judged(PartsAlignment found, const PartsAlignOptions& options) {
  found.trust = TrustOf(found);
  found.accepted = found.trust >= options.least_trust;
  return found;
}

PlaneMap Normed(const cv::Matx33d& m) { return PlaneMap{m * (1 / m(2, 2))}; }

// The drawn list is what is moved: over a picture that shows all or most of it.
PartsAlignment LayListOnPicture(const List& list,
                                const Shrunk& small,
                                const PlaneMap& straight,
                                const PartsAlignOptions& options) {
  const cv::Size2d extent_mm = ExtentMm(list.parts, list.side);
  const double longer_mm = std::max(extent_mm.width, extent_mm.height) + 2 * kMarginMm;
  double width_px = kPartsWidthPx;
  if (options.mm_per_pixel) {
    const double same_px = longer_mm * small.small_from_large(0, 0) / *options.mm_per_pixel;
    width_px = std::clamp(same_px, kPartsWidthPx, kFinePartsWidthPx);
  }
  const double px_per_mm = width_px / longer_mm;
  const PhotoLevels levels(small.picture);
  const std::vector<cv::Rect2d> bodies = BodiesOf(list.parts, list.side);
  PartsAlignment best;
  for (const bool mirrored : {false, true}) {
    const PartsPicture drawn = DrawParts(list.parts, list.side, px_per_mm, kMarginMm, mirrored);
    const cv::Size size = drawn.picture.size();
    const EdgeField edges =
        MakeEdges(drawn.picture, Mask(size, uchar{255}), kEdgeBlurPx, kLeastNoise);
    PhotoAlignOptions search;
    search.least_frames = kLeastLists;
    search.most_frames = kMostLists;
    if (options.mm_per_pixel) {
      // Pictures of the list that go into this one.
      const double frames = *options.mm_per_pixel / small.small_from_large(0, 0) * px_per_mm *
                            std::hypot(levels.cols(), levels.rows()) /
                            std::hypot(size.width, size.height);
      search.least_frames = std::clamp(frames * (1 - options.within), 0.06, 9.0);
      search.most_frames = std::clamp(frames * (1 + options.within), search.least_frames, 10.0);
    }
    const std::vector<RefinedMap> maps = FindMaps(edges, levels, straight, search);
    if (maps.empty()) continue;
    PartsAlignment hand =
        FirstOf(maps, bodies, levels, size, px_per_mm, [&](const RefinedMap& map) {
          return Normed(map.photo_from_frame.matrix * drawn.picture_from_board.matrix);
        });
    hand.mirrored = mirrored;
    best = Better(best, hand);
  }
  best.picture_from_board = Normed(small.small_from_large.inv() * best.picture_from_board.matrix);
  return best;
}

// The picture is what is moved: it shows a part of the drawn list.
PartsAlignment LayPictureOnList(const List& list,
                                const Shrunk& frame,
                                double full_mm_per_px,
                                const PartsAlignOptions& options) {
  const EdgeField edges = MakeEdges(frame.picture, frame.seen, kEdgeBlurPx);
  const double mm_per_px = full_mm_per_px / frame.small_from_large(0, 0);
  const double diagonal_px = std::hypot(edges.size().width, edges.size().height);
  const PhotoLevels levels(frame.picture);
  const std::vector<cv::Rect2d> bodies = BodiesOf(list.parts, list.side);
  PartsAlignment best;
  for (const bool mirrored : {false, true}) {
    // Twice as fine as the picture, with room for what it shows beyond the list.
    const PartsPicture drawn = DrawParts(
        list.parts, list.side, 2 / mm_per_px, kRoomShare * diagonal_px * mm_per_px, mirrored);
    const double drawn_per_mm = std::abs(drawn.picture_from_board.matrix(0, 0));
    const double frames = std::hypot(drawn.picture.cols, drawn.picture.rows) /
                          (drawn_per_mm * mm_per_px * diagonal_px);
    const double within = options.mm_per_pixel ? 1 + options.within : kWithinUnknown;
    PhotoAlignOptions search;
    search.least_frames = std::clamp(frames / within, 0.06, 9.0);
    search.most_frames = std::clamp(frames * within, search.least_frames, 10.0);
    const std::vector<RefinedMap> maps =
        FindMaps(edges, PhotoLevels(drawn.picture), PlaneMap{}, search, kLeastNoise);
    if (maps.empty()) continue;
    PartsAlignment hand =
        FirstOf(maps, bodies, levels, edges.size(), 1 / mm_per_px, [&](const RefinedMap& map) {
          return Normed(map.photo_from_frame.matrix.inv() * drawn.picture_from_board.matrix);
        });
    hand.mirrored = mirrored;
    best = Better(best, hand);
  }
  best.picture_from_board = Normed(frame.small_from_large.inv() * best.picture_from_board.matrix);
  return best;
}

}  // namespace

void PartsAlignOptions::Validate() const {
  const auto refuse = [](const std::string& field, double value, const std::string& rule) {
    throw OptionError("PartsAlignOptions::" + field + " must " + rule + "; it is " +
                      std::to_string(value));
  };
  if (!(least_trust >= 0 && least_trust <= 1)) refuse("least_trust", least_trust, "lie in 0 .. 1");
  if (!(most_tilt_deg >= 0 && most_tilt_deg <= 45)) {
    refuse("most_tilt_deg", most_tilt_deg, "lie in 0 .. 45");
  }
  if (mm_per_pixel && !(*mm_per_pixel > 0)) refuse("mm_per_pixel", *mm_per_pixel, "be above 0");
  if (!(within > 0 && within <= 0.5)) refuse("within", within, "lie in (0, 0.5]");
}

PartsAlignment AlignPartsToPhoto(const std::vector<Part>& parts,
                                 BoardSide side,
                                 const cv::Mat& photo,
                                 const PartsAlignOptions& options) {
  options.Validate();
  if (photo.empty() || photo.depth() != CV_8U || (photo.channels() != 1 && photo.channels() != 3)) {
    throw DataError("the photo is empty or no 8-bit picture");
  }
  if (BodiesOf(parts, side).size() < kLeastParts) return {};
  const Image grey = GreyOf(photo);
  const Shrunk small = ShrinkTo(grey, Mask(grey.size(), uchar{255}), kPhotoWidthPx);
  const PlaneMap straight = PhotoFromStraight(small.picture, options.most_tilt_deg);
  return Judged(LayListOnPicture({parts, side}, small, straight, options), options);
}

PartsAlignment AlignPartsToFrame(const std::vector<Part>& parts,
                                 BoardSide side,
                                 const StaticView& thermal,
                                 const PartsAlignOptions& options) {
  options.Validate();
  if (thermal.picture_k.empty() || thermal.seen.size() != thermal.picture_k.size()) {
    throw DataError("the thermal picture is empty or has another size than its mask");
  }
  if (BodiesOf(parts, side).size() < kLeastParts) return {};
  const StaticView usable = UsableView(thermal);
  const cv::Size2d list_mm = ExtentMm(parts, side);
  const cv::Size frame_px = thermal.picture_k.size();
  // Not known: the board fills about two thirds of the picture's width.
  const double mm_per_px =
      options.mm_per_pixel.value_or(1.5 * std::max(list_mm.width, list_mm.height) / frame_px.width);
  // The smaller of the two is looked for in the larger one.
  if (list_mm.area() < kSmallerShare * frame_px.area() * mm_per_px * mm_per_px) {
    const Shrunk all = ShrinkTo(usable.picture_k, usable.seen, kPhotoWidthPx);
    return Judged(LayListOnPicture({parts, side}, all, PlaneMap{}, options), options);
  }
  const int factor = std::max({1,
                               static_cast<int>(std::lround(kFrameMm / mm_per_px)),
                               static_cast<int>(std::lround(frame_px.width / kMostWidthPx))});
  const Shrunk frame = ShrinkTo(usable.picture_k, usable.seen, frame_px.width / factor);
  return Judged(LayPictureOnList({parts, side}, frame, mm_per_px, options), options);
}

}  // namespace ohmglow

// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/align/parts_alignment.h"

#include <algorithm>
#include <cmath>
#include <span>
#include <string>

#include "align/body_evidence.h"
#include "align/body_fit.h"
#include "align/body_rectangles.h"
#include "align/body_search.h"
#include "align/map_candidates.h"
#include "align/parts_picture.h"
#include "align/photo_fit.h"
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
// Maps this far apart are two, not one fitted badly.
constexpr double kOtherMm = 2.5;
// Bodies vote for pixels that others vote for as well: rms of true over stated errors.
constexpr double kFitCaution = 1.6;
constexpr int kUnslantGrid = 6;
// Margins of evidence of chance matches and of true ones: see the tables in PHOTO.md.
struct Margins {
  double even = 0;  // Trust is one half.
  double slope = 0;
};
constexpr Margins kSomePlaces = {5.1, 0.6};  // The best rival may not have been among them.
constexpr Margins kAllPlaces = {3, 1};
constexpr double kMostTrust = 0.99;

struct List {
  const std::vector<Part>& parts;
  BoardSide side;
};

PlaneMap Normed(const cv::Matx33d& m) { return PlaneMap{m * (1 / m(2, 2))}; }

struct Candidate {
  PlaneMap picture_from_board;
  double error_mm = 0;
  double evidence = 0;
};

template <typename PictureFromBoard>
void AddMaps(const std::vector<RefinedMap>& maps,
             double px_per_mm,
             const PictureFromBoard& picture_from_board,
             std::vector<Candidate>& out) {
  for (const RefinedMap& map : maps) {
    out.push_back({Normed(picture_from_board(map)), map.error_px / px_per_mm, 0});
  }
}

std::vector<Candidate> Weighed(std::vector<Candidate> maps,
                               const PhotoLevels& picture,
                               const std::vector<cv::Rect2d>& bodies,
                               const BodyLook& look) {
  for (Candidate& map : maps) {
    map.evidence = BodyView(picture, map.picture_from_board, bodies, look).Evidence();
  }
  return maps;
}

// Without the slant that edges alone have given it: the bodies give their own.
PlaneMap Unslanted(const PlaneMap& map, const std::vector<cv::Rect2d>& bodies) {
  const cv::Rect2d all = RectangleAround(bodies);
  PointPairs pairs;
  for (int j = 0; j < kUnslantGrid; ++j) {
    for (int i = 0; i < kUnslantGrid; ++i) {
      const Point at(all.x + (i + 0.5) / kUnslantGrid * all.width,
                     all.y + (j + 0.5) / kUnslantGrid * all.height);
      pairs.push_back({at, map.Apply(at), 0});
    }
  }
  return PointFit(pairs, MapKind::kAffine, {}).plane();
}

// The map by which the bodies show best; the best that puts them elsewhere is its rival.
PartsAlignment BestOf(std::vector<Candidate> maps,
                      const std::vector<cv::Rect2d>& bodies,
                      cv::Size size) {
  if (maps.empty()) return {};
  std::stable_sort(maps.begin(), maps.end(), [](const Candidate& a, const Candidate& b) {
    return a.evidence > b.evidence;
  });
  const Candidate& first = maps.front();
  PartsAlignment out;
  out.picture_from_board = first.picture_from_board;
  out.evidence = first.evidence;
  out.error_mm = kErrorCaution * first.error_mm;
  out.mirrored = cv::determinant(first.picture_from_board.Jacobian(bodies.front().tl())) < 0;
  for (const Candidate& other : maps) {
    if (ApartMm(first.picture_from_board, other.picture_from_board, bodies, size) > kOtherMm) {
      out.rival_evidence = std::max(out.rival_evidence, other.evidence);
    }
  }
  return out;
}

double TrustOf(double margin, const Margins& margins) {
  return std::min(kMostTrust, 1 / (1 + std::exp(-margins.slope * (margin - margins.even))));
}

PartsAlignment Judged(PartsAlignment found,
                      const Margins& margins,
                      const PartsAlignOptions& options) {
  found.trust = TrustOf(found.evidence - found.rival_evidence, margins);
  found.accepted = found.trust >= options.least_trust;
  return found;
}

// The drawn list is what is moved: over a picture that shows all or most of it.
std::vector<Candidate> LayListOnPicture(const List& list,
                                        const Shrunk& small,
                                        const PhotoLevels& levels,
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
  std::vector<Candidate> out;
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
    const auto over = [&](const RefinedMap& map) {
      return map.photo_from_frame.matrix * drawn.picture_from_board.matrix;
    };
    AddMaps(FindMaps(edges, levels, straight, search), px_per_mm, over, out);
  }
  return out;
}

// The picture is what is moved: it shows a part of the drawn list.
std::vector<Candidate> LayPictureOnList(const List& list,
                                        const Shrunk& frame,
                                        double mm_per_px,
                                        const PartsAlignOptions& options) {
  const EdgeField edges = MakeEdges(frame.picture, frame.seen, kEdgeBlurPx);
  const double diagonal_px = std::hypot(edges.size().width, edges.size().height);
  std::vector<Candidate> out;
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
    const auto under = [&](const RefinedMap& map) {
      return map.photo_from_frame.matrix.inv() * drawn.picture_from_board.matrix;
    };
    AddMaps(FindMaps(edges, PhotoLevels(drawn.picture), PlaneMap{}, search, kLeastNoise),
            1 / mm_per_px,
            under,
            out);
  }
  return out;
}

PartsAlignment InFull(PartsAlignment found, const Shrunk& small) {
  found.picture_from_board = Normed(small.small_from_large.inv() * found.picture_from_board.matrix);
  return found;
}

// At about this many millimetres a pixel, without a search of all places.
std::vector<Candidate> LayByEdges(const List& list,
                                  const StaticView& usable,
                                  double mm_per_px,
                                  const PartsAlignOptions& options) {
  const cv::Size2d list_mm = ExtentMm(list.parts, list.side);
  const cv::Size frame_px = usable.seen.size();
  // The smaller of the two is looked for in the larger one.
  const bool list_is_smaller =
      list_mm.area() < kSmallerShare * frame_px.area() * mm_per_px * mm_per_px;
  const int factor = std::max({1,
                               static_cast<int>(std::lround(kFrameMm / mm_per_px)),
                               static_cast<int>(std::lround(frame_px.width / kMostWidthPx))});
  const Shrunk frame = ShrinkTo(
      usable.picture_k, usable.seen, list_is_smaller ? kPhotoWidthPx : frame_px.width / factor);
  const PhotoLevels levels(frame.picture);
  std::vector<Candidate> maps =
      list_is_smaller
          ? LayListOnPicture(list, frame, levels, PlaneMap{}, options)
          : LayPictureOnList(list, frame, mm_per_px / frame.small_from_large(0, 0), options);
  for (Candidate& map : maps) {
    map.picture_from_board = Normed(frame.small_from_large.inv() * map.picture_from_board.matrix);
  }
  return maps;
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
  const PhotoLevels levels(small.picture);
  const std::vector<cv::Rect2d> bodies = BodiesOf(parts, side);
  const std::vector<Candidate> maps =
      Weighed(LayListOnPicture({parts, side}, small, levels, straight, options),
              levels,
              bodies,
              kPhotoLook);
  return Judged(InFull(BestOf(maps, bodies, levels.full().size()), small), kSomePlaces, options);
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
  const PhotoLevels levels(usable.picture_k);
  const std::vector<cv::Rect2d> bodies = BodiesOf(parts, side);
  const cv::Size size = usable.seen.size();
  if (!options.mm_per_pixel) {
    // The board fills about two thirds of the picture's width.
    const cv::Size2d list_mm = ExtentMm(parts, side);
    const double guess = 1.5 * std::max(list_mm.width, list_mm.height) / size.width;
    const auto maps =
        Weighed(LayByEdges({parts, side}, usable, guess, options), levels, bodies, kThermalLook);
    return Judged(BestOf(maps, bodies, size), kSomePlaces, options);
  }
  std::vector<Candidate> maps;
  std::vector<PlaneMap> starts =
      SearchBodies(levels, usable.seen, bodies, {*options.mm_per_pixel, options.within});
  for (const Candidate& map : LayByEdges({parts, side}, usable, *options.mm_per_pixel, options)) {
    starts.push_back(Unslanted(map.picture_from_board, bodies));
  }
  for (const PlaneMap& start : starts) {
    const FittedBodies fit = FitBodies(levels, start, bodies, kBodySearchOffMm);
    maps.push_back({fit.picture_from_board, kFitCaution * fit.error_mm, fit.evidence});
  }
  return Judged(BestOf(maps, bodies, size), kAllPlaces, options);
}

}  // namespace ohmglow

// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/parts_tie.h"

#include <algorithm>
#include <cmath>
#include <string>

#include "align/photo_fit.h"
#include "input/case_remarks.h"
#include "ohmglow/align/parts_alignment.h"
#include "ohmglow/base/remark_kind.h"

namespace ohmglow {
namespace {

// A stated scale is a ruler's or a distance's: it may be wrong by a tenth, the
// scale in the middle differs from that at a rim ...
constexpr double kScaleWithin = 0.12;
// ... and one that the photo gives must agree about.
constexpr double kScaleMayDiffer = 1.3;
constexpr int kGrid = 6;
// Error of a photo laid on the frame without landmarks (PHOTO.md), frame pixels.
constexpr double kLaidPhotoPx = 0.6;

// The scale is stated where no default had to stand in for it.
std::optional<double> StatedScale(const Case& job) {
  if (FindAssumed(job.assumed, "board.mm_per_pixel")) return std::nullopt;
  return job.mm_per_pixel;
}

// Through the photo, its lens included, by a grid of places over the frame.
PlaneMap ThroughPhoto(const BoardMaps& maps, const PlaneMap& photo_from_board, cv::Size frame_px) {
  const PlaneMap board_from_photo = photo_from_board.Inverse();
  PointPairs pairs;
  for (int j = 0; j < kGrid; ++j) {
    for (int i = 0; i < kGrid; ++i) {
      const Point at((i + 0.5) / kGrid * frame_px.width, (j + 0.5) / kGrid * frame_px.height);
      pairs.push_back({at, board_from_photo.Apply(maps.PhotoPlace(at)), 0});
    }
  }
  return PointFit(pairs, MapKind::kProjective, {}).plane();
}

double ScaleMm(const PlaneMap& board_from_frame, Point at) {
  return std::sqrt(std::abs(cv::determinant(board_from_frame.Jacobian(at))));
}

// What ties frame and photo adds to what ties photo and list [mm].
double PhotoErrorMm(const BoardMaps& maps, const PlaneMap& photo_from_board, double mm, Point at) {
  if (!maps.photo_error.known()) return kLaidPhotoPx * mm;
  const double px_per_mm = ScaleMm(photo_from_board, maps.board_from_frame->Apply(at));
  return maps.photo_error.Rms(at) / px_per_mm;
}

void Accept(const PlaneMap& map, double trust, double error_mm, RemarkKind laid, BoardMaps& out) {
  out.board_from_frame = map;
  out.board_trust = trust;
  out.board_error_mm = error_mm;
  out.remarks.push_back(Remark(laid).With("percent", 100 * trust).With("error_mm", error_mm));
}

bool TieThroughPhoto(const Case& job,
                     const PartsAlignment& found,
                     cv::Size frame_px,
                     BoardMaps& maps) {
  const Point middle((frame_px.width - 1) / 2.0, (frame_px.height - 1) / 2.0);
  BoardMaps tied = maps;
  tied.board_from_frame = ThroughPhoto(maps, found.picture_from_board, frame_px);
  const double mm = ScaleMm(*tied.board_from_frame, middle);
  const auto stated = StatedScale(job);
  if (stated && std::abs(std::log(mm / *stated)) > std::log(kScaleMayDiffer)) return false;
  const double photo_mm = PhotoErrorMm(tied, found.picture_from_board, mm, middle);
  Accept(*tied.board_from_frame,
         found.trust * maps.photo_trust.value_or(1),
         std::hypot(found.error_mm, photo_mm),
         RemarkKind::kPartsLaidOnPhoto,
         maps);
  return true;
}

}  // namespace

void TieByParts(const Case& job, const StaticView& still, BoardMaps& maps) {
  const cv::Size frame_px = still.picture_k.size();
  PartsAlignment in_photo;
  if (!job.photo.empty()) in_photo = AlignPartsToPhoto(job.parts, job.side, job.photo, {});
  if (in_photo.accepted && maps.photo_from_frame &&
      TieThroughPhoto(job, in_photo, frame_px, maps)) {
    return;
  }
  PartsAlignOptions options;
  options.mm_per_pixel = StatedScale(job);
  options.within = kScaleWithin;
  const PartsAlignment in_frame = AlignPartsToFrame(job.parts, job.side, still, options);
  if (!in_frame.accepted) {
    // That the list lies on a photo which itself lies nowhere is no trust in a place of it.
    const double trust =
        in_photo.accepted ? in_frame.trust : std::max(in_frame.trust, in_photo.trust);
    maps.remarks.push_back(
        Remark(RemarkKind::kPartsNotTied).With("percent", std::floor(100 * trust)));
    return;
  }
  Accept(in_frame.picture_from_board.Inverse(),
         in_frame.trust,
         in_frame.error_mm,
         RemarkKind::kPartsLaidOnFrames,
         maps);
  if (!in_photo.accepted || maps.photo_from_frame) return;
  const cv::Matx33d m = in_photo.picture_from_board.matrix * maps.board_from_frame->matrix;
  maps.photo_from_frame = PlaneMap{m * (1 / m(2, 2))};
  maps.photo_trust = in_photo.trust * in_frame.trust;
}

}  // namespace ohmglow

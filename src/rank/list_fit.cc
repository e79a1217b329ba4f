// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/list_fit.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <opencv2/imgproc.hpp>

#include "align/body_evidence.h"
#include "align/map_candidates.h"
#include "align/parts_picture.h"
#include "base/steepness.h"
#include "ohmglow/base/remark_kind.h"

namespace ohmglow {
namespace {

// Landmarks may be off by a millimetre: the best of so many shifts each way counts.
constexpr int kShifts = 2;
constexpr double kShiftMm = 0.5;
// One list in twenty is of another board or revision (common practice, no source).
constexpr double kPriorLogOdds = 3;
// Bodies beside each other show or do not together: of their log ratios so much counts
// (PHOTO.md has it for lists that are laid on a photo).
constexpr double kCounts = 0.6;
// Below what is believed of any list (0.95): the photo speaks against it.
constexpr double kWorthSaying = 0.9;

PlaneMap ShiftedBy(const PlaneMap& map, double right_mm, double down_mm) {
  return PlaneMap{map.matrix * cv::Matx33d(1, 0, right_mm, 0, 1, down_mm, 0, 0, 1)};
}

double BestEvidence(const PhotoLevels& photo,
                    const PlaneMap& photo_from_board,
                    const std::vector<cv::Rect2d>& bodies) {
  double best = -std::numeric_limits<double>::infinity();
  for (int down = -kShifts; down <= kShifts; ++down) {
    for (int right = -kShifts; right <= kShifts; ++right) {
      const PlaneMap map = ShiftedBy(photo_from_board, kShiftMm * right, kShiftMm * down);
      best = std::max(best, BodyEvidence(photo, map, bodies));
    }
  }
  return best;
}

// Whether the photo could show bodies at all: one that is blurred, dark or blank speaks against no
// list. Simulated photos of boards have seven times so many edges.
bool ShowsEdges(const cv::Mat& grey) {
  constexpr int kWidthPx = 500;
  constexpr double kLevelsPerPx = 4;
  constexpr double kLeastShare = 0.02;
  cv::Mat small;
  const int height = std::max(1, cvRound(double{kWidthPx} * grey.rows / grey.cols));
  cv::resize(grey, small, {kWidthPx, height}, 0, 0, cv::INTER_AREA);
  return cv::countNonZero(SteepnessOf(small) > kLevelsPerPx) >
         kLeastShare * static_cast<double>(small.total());
}

}  // namespace

double ListFits(const Case& job, const BoardMaps& maps) {
  if (job.photo.empty() || !maps.photo_from_frame || !maps.board_from_frame) return 1;
  if (maps.board_trust || maps.photo_trust) return 1;
  const std::vector<cv::Rect2d> bodies = BodiesOf(job.parts, job.side);
  if (bodies.empty()) return 1;
  const cv::Matx33d m = maps.photo_from_frame->matrix * maps.board_from_frame->Inverse().matrix;
  const PlaneMap photo_from_board{m * (1 / m(2, 2))};
  const Image grey = GreyOf(job.photo);
  if (!ShowsEdges(grey)) return 1;
  const PhotoLevels photo(grey);
  // One look is enough for most.
  if (BodyEvidence(photo, photo_from_board, bodies) >= 0) return 1;
  const double evidence = BestEvidence(photo, photo_from_board, bodies);
  return evidence >= 0 ? 1 : 1 / (1 + std::exp(-kPriorLogOdds - kCounts * evidence));
}

Remark DoubtOfList(double list_fits) {
  return list_fits < kWorthSaying ? Remark(RemarkKind::kListPerhapsOther) : Remark();
}

}  // namespace ohmglow

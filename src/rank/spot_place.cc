// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/spot_place.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "rank/line_fit.h"
#include "rank/part_form.h"

namespace ohmglow {
namespace {

// Sources on the far side before looking.
constexpr double kFarPrior = 0.35;
constexpr double kBoardMarginMm = 6;
constexpr double kLeastBoardErrorMm = 0.1;
constexpr double kAtContactMm = 2.5;
// Location error floors: registration and patchy copper.
constexpr double kLeastSigmaPx = 0.25;
constexpr double kSigmaOfWidth = 0.06;
// The floors weigh a place with more caution than its error asks for; what is
// stated is the error: 95 % of 98 simulated faults off the middle of their parts
// (descriptions/off-middle.ini, seeds 6700..6799) lie within 2.45 of these.
constexpr double kErrorOfCaution = 0.8;
// Heat of a source beyond the rim of what was seen peaks on that rim.
constexpr double kRimSigmaPx = 3;

// Within the parts' outline and a margin.
bool OnBoard(const std::vector<Part>& parts, Point place_mm) {
  Point low(1e9, 1e9);
  Point high(-1e9, -1e9);
  for (const Part& part : parts) {
    const Point half(part.width_mm / 2 + kBoardMarginMm, part.height_mm / 2 + kBoardMarginMm);
    const Point a = part.center_mm - half;
    const Point b = part.center_mm + half;
    low = {std::min(low.x, a.x), std::min(low.y, a.y)};
    high = {std::max(high.x, b.x), std::max(high.y, b.y)};
  }
  return place_mm.x >= low.x && place_mm.x <= high.x && place_mm.y >= low.y && place_mm.y <= high.y;
}

// Draws the place to what sits there. How far it is off is the peak's error or
// the map's: in the picture only the peak's share of it is made good.
void DrawPlace(
    const PlaneMap& to_board, double peak_px, double peak_share, double wander_px, Spot& spot) {
  const Point peak_mm = *spot.board_mm;
  const Point off_mm = spot.parts.place_mm - peak_mm;
  const double drawn_px = spot.parts.place_sigma_mm / spot.mm_per_pixel;
  spot.board_mm = spot.parts.place_mm;
  spot.place_px = to_board.Inverse().Apply(peak_mm + peak_share * off_mm);
  const double error_px =
      kErrorOfCaution * std::hypot(peak_share * drawn_px, std::sqrt(1 - peak_share) * peak_px);
  // Where no part draws it, heat of the far side is as far off as without a list.
  spot.place_sigma_px = std::hypot(error_px, std::sqrt(spot.parts.prob_none) * wander_px);
}

// Heat of the far side comes out where the copper lets it, by the chance that it is such.
double WanderPx(const Spot& spot) {
  return std::sqrt(spot.far_prob) * FarShiftMm(Part{}) / spot.mm_per_pixel;
}

}  // namespace

double ScaleAt(const BoardMaps& maps, const Case& job, Point frame_px) {
  if (!maps.board_from_frame) return job.mm_per_pixel;
  return std::sqrt(std::abs(cv::determinant(maps.board_from_frame->Jacobian(frame_px))));
}

double SigmaPx(const Spot& spot) {
  const double width_px =
      ShapeIsClear(spot) ? spot.shape.width_px : std::min(spot.shape.width_px, spot.most_width_px);
  const double patchy_px = kSigmaOfWidth * width_px;
  if (spot.at_rim) return std::hypot(kRimSigmaPx, patchy_px);
  const double noise_px = 0.5 * width_px / std::max(spot.snr, 1.0);
  return std::hypot(std::hypot(noise_px, kLeastSigmaPx), patchy_px);
}

void PlaceSpot(const BoardMaps& maps, const Case& job, Spot& spot) {
  // The form of the heat tells the side; the plate's kernels do not: patchy
  // copper bends them by more than the sides differ.
  const HeatForm& form = spot.fit.form;
  spot.far_prob = 1 - MatchParts({}, {}, 1, job.side, kFarPrior, form).prob_this_side;
  spot.place_px = spot.peak.at_px;
  const double peak_px = SigmaPx(spot);
  spot.place_sigma_px = std::hypot(peak_px, WanderPx(spot));
  if (!maps.board_from_frame) return;
  const PlaneMap& to_board = *maps.board_from_frame;
  spot.board_mm = to_board.Apply(spot.peak.at_px);
  if (job.parts.empty()) return;
  const double peak_mm = spot.mm_per_pixel * peak_px;
  const double map_mm = std::max(kLeastBoardErrorMm, maps.BoardErrorMm(spot.peak.at_px));
  const double sigma_mm = std::hypot(peak_mm, map_mm);
  spot.parts = MatchParts(job.parts, *spot.board_mm, sigma_mm, job.side, kFarPrior, form);
  spot.far_prob = 1 - spot.parts.prob_this_side;
  spot.on_board = OnBoard(job.parts, *spot.board_mm);
  // A clip's heat, or a track's, is not drawn to the part beside it.
  if (spot.contact_mm < kAtContactMm || IsLine(spot.fit.line)) return;
  DrawPlace(to_board, peak_px, peak_mm * peak_mm / (sigma_mm * sigma_mm), WanderPx(spot), spot);
}

}  // namespace ohmglow

// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "ohmglow/base/geometry.h"
#include "ohmglow/base/remark.h"
#include "ohmglow/input/case.h"

namespace ohmglow {

/// Radial lens distortion: a place at the vector d from the centre, where a
/// pinhole would have put it, is seen at d (1 + k1 r^2 + k2 r^4), r = |d| / radius.
/// Source: D. C. Brown, Photogramm. Eng. 37 (1971) 855-866, radial terms.
struct RadialLens {
  Point center_px;       ///< Middle of the photo.
  double radius_px = 1;  ///< Half its diagonal; > 0.
  double k1 = 0;
  double k2 = 0;

  [[nodiscard]] Point Apply(Point pinhole_px) const;
};

class PointFit;

/// How well a fitted map knows where it puts a place.
class PlaceError {
 public:
  PlaceError() = default;
  /// @param sigma  standard deviation of one coordinate of a landmark, target units.
  PlaceError(std::shared_ptr<const PointFit> fit, double sigma);

  /// The same for frames whose pixels are so many times smaller, along and across.
  [[nodiscard]] PlaceError OfPixels(int smaller) const;

  [[nodiscard]] bool known() const { return fit_ != nullptr; }
  /// Covariance of the mapped place, target units squared; 0 where not known.
  /// Its eigenvectors and the roots of its eigenvalues are the error ellipse.
  [[nodiscard]] cv::Matx22d Covariance(Point frame_px) const;
  /// Root mean square distance from the true place, target units.
  [[nodiscard]] double Rms(Point frame_px) const;

 private:
  std::shared_ptr<const PointFit> fit_;
  double sigma_ = 0;
  int smaller_ = 1;
};

/// From the reference frame to the photo and to the board.
struct BoardMaps {
  /// To the photo as a pinhole would have taken it: to the photo itself where
  /// there is no `photo_lens`, which comes after it.
  std::optional<PlaneMap> photo_from_frame;
  std::optional<RadialLens> photo_lens;
  std::optional<PlaneMap> board_from_frame;  ///< Millimetres.
  /// Standard error of a mapped place among the landmarks, from their scatter;
  /// where the fit is exact (3 or 4 rows), for landmarks good to 0.5 px.
  double board_error_mm = 0;
  PlaceError photo_error;             ///< Photo pixels, of photo_from_frame and lens.
  PlaceError board_error;             ///< Millimetres, of board_from_frame.
  std::optional<double> photo_trust;  ///< Set where photo_from_frame was found without landmarks.
  std::optional<double> board_trust;  ///< Set where board_from_frame was found by the parts list.
  std::vector<Remark> remarks;        ///< For example a landmark that was left out.

  /// A place in the photo, the lens included. photo_from_frame must be set.
  [[nodiscard]] Point PhotoPlace(Point frame_px) const;
  /// Standard error of a place on the board [mm]: at the place where that is
  /// known, else board_error_mm.
  [[nodiscard]] double BoardErrorMm(Point frame_px) const;
};

/// Fits the maps to the landmarks: none with fewer than three, affine with
/// three, homography with four and five; with six and more either, with
/// eight and more a lens (one or two radial terms) besides, whichever predicts
/// landmarks that it was not fitted to best (leave-one-out). With five or more,
/// a landmark that contradicts the others is left out and named (row of the table, its header being
/// row 1); with just five the one without which the view has the least perspective.
/// @param photo_size_px  its middle is the lens's centre; empty: no lens is fitted.
/// @throws DataError  where the landmarks lie on a line, or the photo is a mirror image by them.
/// Source: Stone, J. R. Stat. Soc. B 36 (1974) 111-147 (leave-one-out).
[[nodiscard]] BoardMaps FitBoardMaps(const std::vector<Landmark>& landmarks,
                                     cv::Size photo_size_px = {});

}  // namespace ohmglow

// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <functional>
#include <vector>

#include "heat/course_span.h"
#include "ohmglow/base/geometry.h"
#include "ohmglow/base/image.h"

namespace ohmglow {

/// Finds places that warm as the drive lets a source warm, in a background
/// that is learned from the picture: an adaptive matched filter in time at
/// each of a few spot sizes (Robey, Fuhrmann, Kelly, Nitzberg, IEEE Trans.
/// Aerosp. Electron. Syst. 28 (1992) 208-216; from memory), its covariance
/// robust against the minority of pixels that do something of their own.
///
/// What it can see: a course that is slow and common in the picture (drift,
/// slow noise of the pixels) counts for little, the same course in a quiet
/// picture for much. With a free cubic in every pixel instead, a staircase of
/// current keeps 7 % of its signal.
class Detector {
 public:
  /// Steps this strong tell better where a place is, and how strong, than what
  /// the background lets through.
  static constexpr double kStrongSteps = 15;

  Detector() = default;
  /// @param modes    one picture a mode, what all share taken out.
  /// @param noise_k       white noise of one pixel in one frame.
  /// @param static_k      the picture before the heating: its slopes turn what
  ///                      registration left into noise.
  /// @param misplaced_px  how far registration may be off in the heating's time.
  Detector(const std::vector<Image>& modes,
           const CourseSpan& span,
           const Image& noise_k,
           const Image& static_k,
           double misplaced_px,
           const Mask& seen);

  /// Signal-to-noise ratio of the best kind and size at every pixel; 0 unseen.
  [[nodiscard]] const Image& z() const { return z_; }
  /// The same of what no drift to the third degree can make, noise taken as
  /// white: dear, but strong heat that is in the background all over the
  /// picture does not bend it.
  [[nodiscard]] const Image& z_steps() const { return z_steps_; }
  /// Its strength, as a norm over the bins [K]: where a strong source peaks. The
  /// noise beside it, which a hot spot raises, does not count in it.
  [[nodiscard]] const Image& steps_k() const { return steps_k_; }
  /// The same of one spot size.
  struct StepsOfSize {
    double sigma_px;
    std::reference_wrapper<const Image> steps_k;
  };
  /// Of the size that suits a place best, then of the finer ones in which its steps are strong.
  [[nodiscard]] std::vector<StepsOfSize> StepsAt(Point at_px) const;

  /// The spot size that suits a place best, and the background at that size.
  struct Best {
    double sigma_px = 1;
    double surroundings_px = 12;
    Eigen::MatrixXd covariance;  ///< Of the modes, white noise 1.
  };
  [[nodiscard]] Best BestAt(Point at_px) const;
  /// The background at one of the spot sizes.
  [[nodiscard]] Best OfSize(double sigma_px) const;

  struct Bright {
    Point at_px;
    double sigma_px = 1;  ///< The spot size at which it stands out most.
    double energy = 0;    ///< Of its course, over that of the background's modes.
  };
  /// Places with a lively course that this drive does not explain, the liveliest first:
  /// under another clock it may.
  [[nodiscard]] std::vector<Bright> Unexplained(std::size_t most) const;

  /// Signal-to-noise ratio of a place when it might as well be one of the
  /// outstanding places that the drive does not explain: a joint that mirrors
  /// the room, a part that cools. Their courses elsewhere in the picture say
  /// how large such things are here. Never above z.
  /// The likelihood ratio of heat against the better of two backgrounds, the
  /// usual one and that of an outstanding place, the latter at its rarity.
  [[nodiscard]] double StandsOut(Point at_px) const;

  /// Covariance of the modes in the background at the finest spot size, white noise 1.
  [[nodiscard]] const Eigen::MatrixXd& covariance() const { return covariance_; }

 private:
  struct Outstanding {
    cv::Point at_px;
    Eigen::VectorXd course;
  };
  struct Size {
    double sigma_px = 0;
    double independent = 0;  // places of this size in the picture
    Eigen::MatrixXd covariance;
    std::vector<Image> white;  // modes, background of unit spread
    Eigen::MatrixXd kinds;     // modes x kinds, unit norm
    Image z;
    Image z_steps;
    Image steps_k;
    std::vector<Outstanding> others;  // that the drive does not explain
  };
  void AddSize(double sigma_px,
               const std::vector<Image>& local,
               const CourseSpan& span,
               const Image& noise_k,
               const Mask& seen);
  static void FindOthers(const Eigen::MatrixXd& usual, const Image& steps, Size& size);

  [[nodiscard]] const Size& BestSize(cv::Point at) const;

  std::vector<Size> sizes_;
  Image z_;
  Image z_steps_;
  Image steps_k_;
  Eigen::MatrixXd covariance_;
};

}  // namespace ohmglow

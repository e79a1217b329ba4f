// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <optional>
#include <span>
#include <vector>

#include "heat/drive.h"
#include "heat/response.h"
#include "heat/temporal_model.h"
#include "ohmglow/align/board_maps.h"
#include "ohmglow/input/case.h"
#include "rank/spot.h"
#include "rank/spot_model.h"

namespace ohmglow {

/// What is given of a case's board.
[[nodiscard]] PlatePrior PriorOf(const Case& job);

/// The moulded body that most likely sits at a spot.
struct BodyThere {
  double area_mm2 = 0;    ///< 0: none, a chip or a source on the far side.
  double heat_j_m2k = 0;  ///< What it holds, over its area.
  double seen_share = 1;  ///< Of its power, by what flows around it and what it holds.
};

/// Powers of all spots of a capture together.
class SpotPowers {
 public:
  SpotPowers(const Response& response,
             const TemporalModel& model,
             const Drive& drive,
             const Case& job);

  /// All heat of the supply, in the span of the models: modes x pixels.
  [[nodiscard]] Eigen::MatrixXf AllHeat() const { return model_.ToModes(response_.courses); }
  /// The first round of backfitting: each spot to what the others leave over.
  /// @param modes  from AllHeat(); the spots are taken out.
  void FitOnce(const BoardMaps& maps, std::span<Spot> spots, Eigen::MatrixXf& modes) const;
  /// Adds what was taken out for some spots.
  void PutBack(std::span<const Spot> spots, Eigen::MatrixXf& modes) const;
  /// The next round; then side, place and part (PlaceSpot), which rest on the fits, and the power.
  /// @return  the board as the strongest spot shows it that is round and no body, clip or rim.
  std::optional<PlateFit> Finish(const BoardMaps& maps,
                                 std::vector<Spot>& spots,
                                 Eigen::MatrixXf& modes) const;
  /// Strength of one slow course in the span [K].
  [[nodiscard]] Image StrengthOf(const Eigen::MatrixXf& modes) const;

 private:
  [[nodiscard]] SpotModel::View ViewOf(const Spot& spot) const;
  [[nodiscard]] std::optional<PlateFit> PlateOfStrongest(Eigen::MatrixXf& modes,
                                                         const std::vector<Spot>& spots) const;
  [[nodiscard]] HeatLine LineOf(const Eigen::MatrixXf& modes, const Spot& spot) const;
  void FitOne(const BoardMaps& maps, Eigen::MatrixXf& modes, Spot& spot) const;
  [[nodiscard]] BodyThere BodyAt(const Spot& spot) const;
  [[nodiscard]] double PowerOf(Eigen::MatrixXf& modes, Spot& spot) const;

  const Response& response_;
  const Case& job_;
  SpotModel model_;
  double supply_w_;
};

}  // namespace ohmglow
